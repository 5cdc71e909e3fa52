"""The commands, one file each, in the order in which help lists them.

Each module has ``add``, which tells its arguments, and ``run``, which imports what it needs only
when it is called, so that one command does not wait for another's libraries.
"""

from dashboards.commands import (
    cards,
    chances,
    check,
    compare,
    dashboard,
    decide,
    fields,
    keys,
    new,
    oils,
    plan,
    present,
    records,
    thinners,
)

COMMANDS = (
    decide,
    chances,
    thinners,
    oils,
    plan,
    compare,
    present,
    records,
    cards,
    dashboard,
    check,
    new,
    fields,
    keys,
)
