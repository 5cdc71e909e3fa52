"""Lets the command be run as a module."""

import sys

from dashboards.command import main

sys.exit(main())
