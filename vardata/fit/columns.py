"""Fits a text that is set downwards, in columns from right to left.

In: a text, a field with ``direction = "down"``, its fonts. Out: a ``TextFit`` whose runs are single
upright letters, or a ``Problem``. A column is a line that was turned by a quarter, so everything
that a text in a box can do is done as there: the steps "shrink", "lines" (more columns), "smaller"
and "tracking", one size for a group, the places of the field. Letters are never squeezed: that
would make them lower than wide.
"""

from __future__ import annotations

from vardata.fit.block import Block, Breaks
from vardata.fit.downward import DownShaper, down_shaper
from vardata.fit.fonts import Face
from vardata.fit.refusal import too_long
from vardata.fit.result import Run, TextFit
from vardata.fit.sizing import Setting
from vardata.fit.text import TextFitter
from vardata.job.layout import Align, Valign
from vardata.job.model import TextField
from vardata.problems import Problem

# A column begins at the top, and the first stands at the right.
_ALONG: dict[Valign, Align] = {"top": "left", "middle": "centre", "bottom": "right"}
_ACROSS: dict[Align, Valign] = {"left": "bottom", "centre": "middle", "right": "top"}
_HALF_EM = 500.0  # what a column takes on either side of its axis, placed by metrics


class ColumnFitter(TextFitter):
    """One field with its fonts; the box lies on its side, its top to the left."""

    def __init__(self, field: TextField, chain: tuple[Face, ...]) -> None:
        x, y, w, h = field.box
        self._upright = field
        turned = {
            "box": (x, y, h, w), "squeeze": 100.0,
            "align": _ALONG[field.valign], "valign": _ACROSS[field.align],
        }  # fmt: skip
        super().__init__(field.model_copy(update=turned), chain)

    def _tracked(self, room: float) -> DownShaper:
        return down_shaper(self._chain, self._field.features, room)

    def _edges(self) -> tuple[float, float]:
        return _HALF_EM, -_HALF_EM

    def _placed(
        self, text: str, block: Block, setting: Setting, tracking: float | None = None
    ) -> TextFit:
        lying = super()._placed(text, block, setting, tracking)
        height = self._upright.box[3]
        runs = tuple(
            Run(run.font, run.y, round(height - run.x, 4), run.glyphs, run.kerns)
            for run in lying.runs
        )
        x0, y0, x1, y1 = lying.ink
        return lying._replace(runs=runs, ink=(y0, height - x1, y1, height - x0))

    def _too_long(self, text: str, breaks: Breaks) -> Problem:
        return too_long(text, self._upright, self._sizes.limits[-1], self._all_blocks(breaks))
