"""Where the items of a proof lie: as large as the sheets allow, in rows, captions with them.

In: sections of items of one size each, in points, with their captions. Out: places on numbered
sheets. All items have one scale, the largest that takes no more sheets than true size does; where
even that is too large for a sheet, as much as fits. Nothing is drawn here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

from vardata.output.picklist_paper import BOTTOM, INNER, LEFT, TOP

GAP = 16.0  # points between items, and between a picture and what stands beside it
LINE = 10.0  # from caption line to caption line
HEADING = 22.0  # of a section, with the gap below it
_NEXT = 16.0  # from the top of a sheet that goes on
_LOW = 8.0  # between the last row and the foot
_CELL = 120.0  # the least width for captions
_BESIDE = 150.0  # the least width for captions beside a picture
_SPREAD = 40.0  # how far at the most items and rows are moved apart to fill a sheet
_CAPTIONS = 9 * LINE  # kept free for captions where an item is as large as a sheet
_MOST, _STEP = 2.5, 0.05  # of true size; from scale to scale that is tried

Strength = Literal["name", "plain", "grey"]
Wrap = Callable[[str, Strength, float], Sequence[str]]


class Caption(NamedTuple):
    """One thing that is said of an item."""

    text: str
    strength: Strength = "plain"


class Section(NamedTuple):
    """Items of one size (points, with the room around them). ``heading`` may be empty. So many
    that follow one another lie ``together`` in a row, where a sheet is wide enough."""

    heading: str
    size: tuple[float, float]
    captions: Sequence[Sequence[Caption]]
    together: int = 1


class Spot(NamedTuple):
    """A picture's place: sheet from 0, lower left corner; its captions, wrapped, with the place
    of the first one's baseline."""

    page: int
    x: float
    y: float
    words: tuple[float, float]
    lines: tuple[Caption, ...]


class Flow(NamedTuple):
    """``spots`` by section; ``headings`` are (sheet, baseline) for each section; ``ends`` the
    height down to which each sheet is filled."""

    scale: float
    spots: tuple[tuple[Spot, ...], ...]
    headings: tuple[tuple[int, float], ...]
    ends: tuple[float, ...]

    @property
    def pages(self) -> int:
        return len(self.ends)


class Room(NamedTuple):
    """Where the first sheet's items start, and how much is kept on the last for signing."""

    top: float
    signing: float = 0.0


def flow(sections: Sequence[Section], sheets: Room, wrap: Wrap) -> Flow:
    """The flow at the largest scale that takes no more sheets than true size."""
    room = sheets.top - BOTTOM - _LOW - sheets.signing - _CAPTIONS
    if len(sections) > 1:
        room -= HEADING
    fit = min(min(INNER / wide, room / high) for wide, high in (one.size for one in sections))
    found = _Filler(sections, sheets, wrap, min(1.0, fit)).flow()
    scale = min(_MOST, fit)
    while scale > found.scale + _STEP / 2:
        tried = _Filler(sections, sheets, wrap, scale).flow()
        if tried.pages <= found.pages:
            return tried
        scale -= _STEP
    return found


class _Row(NamedTuple):
    page: int
    top: float
    height: float
    spots: list[Spot]


class _Filler:
    """Fills sheets at one scale, row after row."""

    def __init__(
        self, sections: Sequence[Section], sheets: Room, wrap: Wrap, scale: float
    ) -> None:
        self._sections, self._sheets, self._wrap, self._scale = sections, sheets, wrap, scale
        self._rows: list[tuple[int, _Row]] = []  # with the number of its section
        self._headings: list[tuple[int, float]] = []
        self._page, self._y = 0, sheets.top

    def flow(self) -> Flow:
        named = len(self._sections) > 1
        for number, section in enumerate(self._sections):
            self._section(number, section, HEADING if named else 0.0)
        if self._y + GAP < BOTTOM + _LOW + self._sheets.signing:
            self._turn()
        return self._spread()

    def _turn(self) -> None:
        self._page, self._y = self._page + 1, TOP - _NEXT

    def _section(self, number: int, section: Section, heading: float) -> None:
        wide, high = (side * self._scale for side in section.size)
        cell = max(wide, min(_CELL, INNER))
        columns = max(1, int((INNER + GAP + 0.01) / (cell + GAP)))
        columns = min(columns, len(section.captions))
        if columns > section.together:
            columns -= columns % section.together
        step = cell + GAP
        if columns > 1:
            step = min((INNER - cell) / (columns - 1), step + _SPREAD)
        beside = columns == 1 and INNER - wide - GAP >= _BESIDE
        room = INNER - wide - GAP if beside else cell
        first = True
        for start in range(0, len(section.captions), columns):
            told = [self._lines(one, room) for one in section.captions[start : start + columns]]
            words = LINE * max(map(len, told))
            height = max(high, words) if beside else high + words + 4.0
            if self._y - heading - height < BOTTOM + _LOW and (self._y < TOP - _NEXT - 1):
                self._turn()
            if first:
                self._headings.append((self._page, self._y - 11.0))
                self._y -= heading
                first, heading = False, 0.0
            spots = []
            for place, lines in enumerate(told):
                x, y = LEFT + place * step, self._y - high
                at = (x + wide + GAP, self._y - 8.0) if beside else (x, y - LINE)
                spots.append(Spot(self._page, x, y, at, lines))
            self._rows.append((number, _Row(self._page, self._y, height, spots)))
            self._y -= height + GAP

    def _lines(self, captions: Sequence[Caption], room: float) -> tuple[Caption, ...]:
        return tuple(
            Caption(line, one.strength)
            for one in captions for line in self._wrap(one.text, one.strength, room)
        )  # fmt: skip

    def _spread(self) -> Flow:
        """What is left of each sheet goes between its rows, and headings go with them."""
        spots: list[list[Spot]] = [[] for _ in self._sections]
        headings = list(self._headings)
        ends = [TOP - _NEXT] * (self._page + 1)
        for page in range(self._page + 1):
            rows = [pair for pair in self._rows if pair[1].page == page]
            if not rows:
                continue
            floor = BOTTOM + _LOW + (self._sheets.signing if page == self._page else 0.0)
            left = max(0.0, rows[-1][1].top - rows[-1][1].height - floor)
            between = min(_SPREAD, left / (len(rows) - 1)) if len(rows) > 1 else 0.0
            before = -1
            for at, (number, row) in enumerate(rows):
                down = between * at
                if number != before and headings[number][0] == page:
                    headings[number] = (page, headings[number][1] - down)
                before = number
                spots[number] += [
                    one._replace(y=one.y - down, words=(one.words[0], one.words[1] - down))
                    for one in row.spots
                ]
            ends[page] = rows[-1][1].top - rows[-1][1].height - between * (len(rows) - 1)
        return Flow(self._scale, tuple(map(tuple, spots)), tuple(headings), tuple(ends))
