"""The command as a process of its own, which ends with it."""

import gc
import sys

_MADE_BEFORE_GARBAGE = 100_000
"""Objects that a process makes before it looks for garbage; a decision makes fewer."""


def process() -> int:
    """Run the command.

    Nearly all that a command makes is needed to its end, so looking among it for garbage is a
    tenth of a short one's time, half of it when the process leaves. It is looked for seldom, for
    what runs long, and not at the end.

    Returns
    -------
    int
        Exit status, as `main` has it.
    """
    gc.set_threshold(_MADE_BEFORE_GARBAGE)
    from dashboards.command import main

    status = main()
    gc.freeze()
    return status


if __name__ == "__main__":
    sys.exit(process())
