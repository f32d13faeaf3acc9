"""Signals while the program loads: Ctrl-C gets its one line and its exit code from here on.

In: a signal. Out: the end of the process. Loads next to nothing itself, and tidies nothing up:
until a command guards itself there is nothing to tidy.
"""

from __future__ import annotations

import os
import signal
from types import FrameType

# A system may lack some of them.
STOPS = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)


def words(number: int) -> str:
    """What is said of a process that a signal ended."""
    what = "interrupted" if number == signal.SIGINT else "stopped"
    return f"{what}; nothing was left behind"


def end_at_once(number: int, _frame: FrameType | None) -> None:
    """Ends the process with one line, while it loads and has made nothing."""
    os.write(2, f"{words(number)}\n".encode())
    os._exit(128 + number)


def arm() -> None:
    """From here on the first signal to stop ends the process at once."""
    for stop in STOPS:
        if signal.getsignal(stop) != signal.SIG_IGN:  # nohup wants SIGHUP ignored
            signal.signal(stop, end_at_once)
