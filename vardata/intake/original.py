"""The order sheet as it came, for whoever copies it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple


class Original(NamedTuple):
    """The order sheet: a workbook by ``path``, or else its ``rows`` with their numbers."""

    path: Path | None
    sheet: str
    rows: Iterable[tuple[int, Sequence[str]]]
    header_row: int
