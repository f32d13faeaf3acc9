"""What every worker must know of the run that it works for."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import NamedTuple

Place = tuple[int, int, int]  # worker, offset, length


class RunPlan(NamedTuple):
    """One run, as far as beds and papers show it."""

    run_id: str
    at: datetime
    beds: int
    records: int
    folder: Path  # the run's folder, still hidden
    scratch: Path
    remake_of: str = ""  # the run whose spoiled pieces this one makes again
    fields: tuple[str, ...] = ()  # fields with a column in the pick list's tables
    extras: tuple[str, ...] = ()  # further columns, by the names that ``SlotLine`` has for them
