"""Why a cell cannot be taken as it stands, or what a check says of it."""

from __future__ import annotations

from typing import NamedTuple


class CellFault(NamedTuple):
    """A fault of one cell or, with ``column`` -1, of the whole row."""

    column: int  # counted from 0 on the sheet
    kind: str
    what: str
    remedy: str
    value: str = ""
    place: int = -1  # the position of the column or part, where it is known
