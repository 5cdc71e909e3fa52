"""Lets the command be run as a module."""

import sys

from dashboards.command import process

sys.exit(process())
