"""How long work tells that it goes on. The faces decide what to do with it."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    def step(self, stage: str, done: int, total: int | None) -> None:
        """``done`` of ``total`` (None: not known yet) units of ``stage`` are finished."""


class Silent:
    """Says nothing."""

    def step(self, stage: str, done: int, total: int | None) -> None:
        return
