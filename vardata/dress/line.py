"""One run whose glyphs need different things: which go together, and where they meet.

In: a run's glyphs and the table of its setting. Out: a ``RunPlan``: runs to be filled and
stroked, by falling choke, and areas to be painted after all of those; or, for a knockout,
the run less the choke as areas alone.
"""

from __future__ import annotations

import struct
from itertools import pairwise, repeat

from vardata.dress.geometry import Bounds
from vardata.dress.glyphs import DRAWN, Glyphs, grown
from vardata.dress.runs import RunPlan, SubRun, Table
from vardata.marks import Commands

_NOWHERE = float("-inf")


class Line:
    """One run that is not plain: which glyphs go together, and where they meet."""

    def __init__(
        self,
        glyphs: Glyphs,
        table: Table,
        ids: tuple[int, ...],
        kerns: tuple[float, ...],
    ) -> None:
        self._glyphs, self._setting = glyphs, table.setting
        self._ids = ids
        self._rows = [table[glyph] for glyph in ids]
        self._pens: list[float] = []
        pen = 0.0
        for row, kern in zip(self._rows, kerns or repeat(0.0)):
            self._pens.append(pen)
            pen += row.advance - kern
        self._inked = [i for i, row in enumerate(self._rows) if row.white is not None]

    def plan(self) -> RunPlan:
        whites = {i: w for i in self._inked if (w := self._rows[i].white) is not None}
        groups: dict[float, list[int]] = {}
        for i, white in whites.items():
            if white.choke != DRAWN:
                groups.setdefault(white.choke, []).append(i)
        runs = tuple(self._sub(choke, groups[choke]) for choke in sorted(groups, reverse=True))
        em_x = self._setting.em_x
        areas = [(self._pens[i] * em_x, w.extras) for i, w in whites.items() if w.extras]
        wanted = self._setting.choke
        chokes = {i: wanted if w.choke == DRAWN else w.choke for i, w in whites.items()}
        areas += self._seams(chokes)
        least = min((w.least for w in whites.values()), default=wanted)
        return RunPlan(runs, tuple(areas), least)

    def cores(self) -> RunPlan:
        em_x, choke = self._setting.em_x, self._setting.choke
        areas = [
            (self._pens[i] * em_x, core)
            for i in self._inked
            if (core := self._glyphs.core(self._setting, self._ids[i]))
        ]
        areas += self._seams(dict.fromkeys(self._inked, choke))
        return RunPlan((), tuple(areas), choke)

    def _sub(self, choke: float, members: list[int]) -> SubRun:
        """Some glyphs as a run of their own; kerns carry the pen over the others."""
        kerns = [
            round(self._rows[i].advance - (self._pens[j] - self._pens[i]), 3) + 0.0
            for i, j in pairwise(members)
        ] + [0.0]
        glyphs = struct.pack(f">{len(members)}H", *(self._ids[i] for i in members))
        x = self._pens[members[0]] * self._setting.em_x
        return SubRun(choke, x, glyphs, tuple(kerns) if any(kerns) else ())

    def _seams(self, chokes: dict[int, float]) -> list[tuple[float, Commands]]:
        """What is missing where glyphs meet, each from the glyph on the left of the pair."""
        seams = []
        setting, em, em_x = self._setting, self._setting.em, self._setting.em_x
        if setting.choke <= 0:
            return []
        for i, j in self._pairs():
            apart = round(self._pens[j] - self._pens[i], 3)
            meet = self._glyphs.meet(setting.font, self._ids[i], self._ids[j], apart)
            if meet is None:
                continue
            shared = (meet[0] * em_x, meet[1] * em, meet[2] * em_x, meet[3] * em)
            zone = grown(shared, setting.choke + 0.01)
            near = self._near(i, grown(zone, 2 * setting.choke))
            members = tuple((self._ids[k], round(self._pens[k] - self._pens[i], 3)) for k in near)
            if not any(chokes[k] for k in near):
                continue  # fills alone take nothing from each other
            least = min(chokes[k] for k in near)
            seam = self._glyphs.seam(setting, members, zone, least)
            if seam:
                seams.append((self._pens[i] * em_x, seam))
        return seams

    def _pairs(self) -> list[tuple[int, int]]:
        """Pairs of glyphs whose ink boxes overlap, left to right."""
        pairs = []
        reach = _NOWHERE
        for rank, j in enumerate(self._inked):
            right, x = self._rows[j], self._pens[j]
            if x + right.left < reach:
                pairs += [(i, j) for i in self._inked[:rank] if self._overlap(i, j)]
            reach = max(reach, x + right.right)
        return pairs

    def _overlap(self, i: int, j: int) -> bool:
        one, other, apart = self._rows[i], self._rows[j], self._pens[j] - self._pens[i]
        return (
            apart + other.left < one.right
            and one.left < apart + other.right
            and other.bottom < one.top
            and one.bottom < other.top
        )

    def _near(self, origin: int, zone: Bounds) -> list[int]:
        """The glyphs whose ink boxes reach a zone (mm from glyph ``origin``)."""
        em, em_x, x0 = self._setting.em, self._setting.em_x, self._pens[origin]
        found = []
        for k in self._inked:
            row, x = self._rows[k], self._pens[k] - x0
            if (
                (x + row.left) * em_x < zone[2]
                and zone[0] < (x + row.right) * em_x
                and row.bottom * em < zone[3]
                and zone[1] < row.top * em
            ):
                found.append(k)
        return found
