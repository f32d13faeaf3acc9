"""The columns of a sheet that are kept: what each is called, where it lies, what it is for."""

from __future__ import annotations

from dataclasses import dataclass

from vardata.intake.parts import Split


@dataclass(frozen=True, slots=True)
class Plan:
    """The columns kept. Positions count kept columns, then the parts of columns
    that are taken apart; ``indexes`` are those on the sheet."""

    names: tuple[str, ...]
    headings: tuple[str, ...]
    indexes: tuple[int, ...]
    codes: frozenset[int]  # positions that are never touched
    needed: frozenset[int]  # positions that something uses
    order: int | None
    quantity: int | None
    blank: int | None
    width: int  # columns of the sheet up to the last heading
    span: int  # cells of the heading row, with empty ones at its end
    line: int | None = None
    product: int | None = None
    ship_by: int | None = None
    priority: int | None = None
    sort: tuple[int, ...] = ()
    splits: tuple[Split, ...] = ()  # columns whose cells are taken apart
    parents: tuple[int, ...] = ()  # positions of the columns that the parts come from
    unread: frozenset[int] = frozenset()  # codes that no text shows, or that the job calls codes

    def own(self, place: int) -> int:
        """The position of the sheet's own column: that of a part is where it was taken from."""
        count = len(self.headings)
        return place if place < count else self.parents[place - count]

    def label(self, place: int) -> str:
        """What a person calls a column, or a part of one."""
        heading = self.headings[self.own(place)]
        return heading if place < len(self.headings) else f"{heading}: {self.names[place]}"
