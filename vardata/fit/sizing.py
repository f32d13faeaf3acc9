"""How far a text may shrink, break and narrow, and the size that follows: in closed form.

In: a text field, and a block of lines at 1000 units an em. Out: the size and the squeeze at
which the block's ink lies in the field's box. The limits are loosened one after another in
the order of ``field.fit``; the limit loosened last is used as little as it can be:

- "shrink": the size may fall to ``shrink_to`` percent of the wanted; the largest wins;
- "lines": the text may stand on up to ``lines`` lines; the fewest win;
- "smaller": the size may fall to ``min_size``; the largest wins, on any number of lines;
- "tracking": the letters may come closer, down to ``tightest``; the widest wins, within all
  that is allowed so far;
- "squeeze": the letters may be narrowed to ``squeeze`` percent; the widest win, at the
  smallest size so far.

Sizes are whole steps of ``size_step`` down from the wanted size; limits are rounded to them.
A text's own line breaks need no step, if they are not more than ``lines`` allows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import takewhile
from typing import NamedTuple

from vardata.fit.block import Block
from vardata.job.model import TextField
from vardata.units import MM_PER_PT

UNIT = MM_PER_PT / 1000.0  # mm of 1/1000 em at 1 pt
# mm of the box kept free on each side, because positions are rounded to 0.0001 mm here and to
# 0.001 pt by the PDF writer. It also takes what widths and kerns lose that are written to a
# thousandth of 1/1000 em: less than 2 millionths of a line's length.
PLAY = 0.0008
_THOUSANDTHS = 1000.0  # a squeeze is a whole number of them: what Tz is written in
_NEARLY = 1e-9  # what the last bits of a float may take from a whole step or a squeeze
_A_HAIR = 1e-6  # 1/1000 em: what is wider cannot fit, whatever the floats say
_FINEST = 0.001  # pt: the PDF writer's own step
_STEPS = 1000  # sizes of a field that are remembered


class Limits(NamedTuple):
    """How far fitting may go at one step. ``smallest`` in pt; ``narrowest`` 1.0 is no squeeze."""

    smallest: float
    lines: int
    narrowest: float
    last: str  # the step that was loosened last
    squeeze_first: bool  # squeezing comes before the latest loosening of the size
    widest: float  # 1/1000 em of ink that could just be set


class Setting(NamedTuple):
    """The greater is the better: first the larger size, then the wider letters."""

    size: float
    squeeze: float


class Sizes:
    """The sizes a field may take, and what fits its box."""

    def __init__(self, field: TextField) -> None:
        self.wanted = Setting(field.size, 1.0)
        self._steps_down: dict[int, float] = {0: field.size}
        self._step = max(field.size_step, _FINEST)
        self.width = field.box[2] - 2 * PLAY
        self.height = field.box[3] - 2 * PLAY
        self.limits = tuple(map(self._measured, self._loosened(field)))
        # Those of a text on one line, until more lines or closer letters are allowed.
        self.of_one_line = tuple(
            takewhile(lambda one: one.lines == 1 and one.last != "tracking", self.limits)
        )

    def _loosened(self, field: TextField) -> list[Limits]:
        lowest = min(field.size, field.min_size or field.size / 2.0)
        floors = {
            "shrink": self._floor(max(lowest, field.size * field.shrink_to / 100.0)),
            "smaller": self._floor(lowest),
        }
        limits = Limits(field.size, 1, 1.0, "", False, math.inf)
        out = [limits]
        for step in field.fit:
            limits = limits._replace(last=step)
            if step == "lines":
                limits = limits._replace(lines=field.lines)
            elif step == "squeeze":
                limits = limits._replace(narrowest=field.squeeze / 100.0, squeeze_first=False)
            elif step == "tracking":
                pass  # letters come closer, what else is allowed stays as it is
            elif floors[step] < limits.smallest:
                limits = limits._replace(
                    smallest=floors[step], squeeze_first=limits.narrowest < 1.0
                )
            out.append(limits)
        return out

    def _floor(self, least: float) -> float:
        """The smallest whole step down from the wanted size that is not below ``least``."""
        return self._down(math.floor((self.wanted.size - least) / self._step + _NEARLY))

    def _down(self, steps: int) -> float:
        found = self._steps_down.get(steps)
        if found is None:
            found = round(self.wanted.size - steps * self._step, 6)
            if len(self._steps_down) < _STEPS:
                self._steps_down[steps] = found
        return found

    def _largest(self, most: float) -> float:
        """The largest whole step down from the wanted size that is not above ``most``."""
        if most >= self.wanted.size:
            return self.wanted.size
        return self._down(math.ceil((self.wanted.size - most) / self._step - _NEARLY))

    def fits(self, block: Block, setting: Setting) -> bool:
        """Whether a block's ink lies in the box with a given setting."""
        unit = setting.size * UNIT
        return (
            block.width * unit * setting.squeeze <= self.width * (1.0 + _NEARLY)
            and (block.top - block.bottom) * unit <= self.height * (1.0 + _NEARLY)
        )

    def _measured(self, limits: Limits) -> Limits:
        widest = self.width / (limits.smallest * limits.narrowest * UNIT)
        return limits._replace(widest=widest + _A_HAIR)

    def setting(self, block: Block, steps: Sequence[Limits]) -> Setting | None:
        """The best setting of a block within the first of ``steps`` that allows any."""
        width, height = block.width, block.top - block.bottom
        tall = self.height / (height * UNIT) if height > 0 else math.inf
        wide = self.width / (width * UNIT) if width > 0 else math.inf
        size = self._largest(min(tall, wide))
        for limits in steps:
            if width > limits.widest:
                continue
            if size >= limits.smallest and not limits.squeeze_first:
                return Setting(size, 1.0)
            found = self._squeezed(tall, wide, size, limits)
            if found is not None:
                return found
        return None

    def _squeezed(self, tall: float, wide: float, size: float, limits: Limits) -> Setting | None:
        """The setting of letters that may be narrowed; ``size`` is that of letters that are not."""
        if limits.squeeze_first:
            size = self._largest(min(tall, wide / limits.narrowest))
        elif size < limits.smallest <= self._largest(tall):
            size = limits.smallest
        if size < limits.smallest:
            return None
        squeeze = wide / size + _NEARLY
        if squeeze >= 1.0:
            return Setting(size, 1.0)
        if squeeze < limits.narrowest:
            return None
        rounded = math.floor(squeeze * _THOUSANDTHS) / _THOUSANDTHS
        return Setting(size, max(rounded, limits.narrowest))
