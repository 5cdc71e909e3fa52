"""Runs a program so that it, all it starts, and its folder end with whoever asked for it.

Started as a script of its own: it holds the other end of a pipe from its starter, which the
system closes however the starter ends.
"""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from typing import NoReturn


def _end(process: "subprocess.Popen[bytes]", folder: str, status: int) -> NoReturn:
    """End all that was started, and leave nothing."""
    with contextlib.suppress(OSError):
        if os.name == "posix":
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
    for _ in range(50):  # what is being ended may write for a moment longer
        shutil.rmtree(folder, ignore_errors=True)
        if not os.path.exists(folder):  # noqa: PTH110, a script of its own, quick to start
            break
        time.sleep(0.01)
    os._exit(status)


def main() -> NoReturn:
    """Run what follows the folder's name until it ends or the starter does."""
    folder, *command = sys.argv[1:]
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the starter closes the pipe instead
    process = subprocess.Popen(command, stdin=subprocess.DEVNULL, start_new_session=True)  # noqa: S603

    def wait_for_starter() -> None:
        sys.stdin.buffer.read()
        _end(process, folder, 1)

    threading.Thread(target=wait_for_starter, daemon=True).start()
    status = process.wait()
    # What it printed lies in the folder until the starter has read it and closes the pipe.
    # A starter that has ended reads nothing: the thread that saw it end removes the folder.
    with contextlib.suppress(OSError):
        sys.stdout.write(f"{status}\n")
        sys.stdout.flush()
    while True:
        threading.Event().wait()


if __name__ == "__main__":
    main()
