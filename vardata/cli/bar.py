"""A progress bar for people; silence for pipes and machines."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import Any

from vardata.progress import Silent

_EVERY = 0.1  # seconds between two drawings
_WORDS = {
    "fit": "fitting records", "beds": "making beds", "orders": "listing orders",
    "readback": "reading back",
}  # fmt: skip


class Bar:
    """Draws one line a stage with rich; no thread of its own, so workers may be forked."""

    def __init__(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
        from rich.progress import Progress as RichProgress

        self._rich = RichProgress(
            TextColumn("{task.description:<16}"),
            BarColumn(),
            MofNCompleteColumn(),
            TimeElapsedColumn(),
            console=Console(stderr=True),
            auto_refresh=False,
            transient=True,
        )
        self._tasks: dict[str, Any] = {}
        self._drawn = 0.0

    def step(self, stage: str, done: int, total: int | None) -> None:
        if stage not in self._tasks:
            self._tasks[stage] = self._rich.add_task(_WORDS.get(stage, stage), total=total)
        self._rich.update(self._tasks[stage], completed=done, total=total)
        now = time.monotonic()
        if now - self._drawn > _EVERY or done == total:
            self._rich.refresh()
            self._drawn = now

    def __enter__(self) -> Bar:
        self._rich.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._rich.stop()


class Quiet(Silent):
    def __enter__(self) -> Quiet:
        return self

    def __exit__(self, *exc: object) -> None:
        return


def progress(quiet: bool) -> Bar | Quiet:
    """A bar where a person looks at standard error, else nothing."""
    return Quiet() if quiet or not sys.stderr.isatty() else Bar()
