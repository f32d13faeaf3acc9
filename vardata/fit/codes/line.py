"""The human-readable line under a linear code.

It stands in a strip at the foot of the code's box, centred under the bars, its baseline the
same for all records, and is fitted as any other text: it may shrink, it is never cut off.
"""

from __future__ import annotations

from functools import lru_cache

from vardata.fit.fonts import Face
from vardata.fit.result import TextFit
from vardata.fit.text import fit_text
from vardata.job.model import TextField
from vardata.problems import Problem
from vardata.units import MM_PER_PT

# The strip's height in font sizes: room for ascenders, descenders and a gap below the bars.
# Common practice, no source.
STRIP = 1.2


def strip_height(size_pt: float) -> float:
    """The mm of height that a line of this font size takes below the bars."""
    return size_pt * MM_PER_PT * STRIP


def fit_line(
    line: str,
    font: str | tuple[str, ...],
    size_pt: float,
    box: tuple[float, float],
    middle: float,
    chain: tuple[Face, ...],
) -> TextFit | Problem:
    """The line at the foot of a box of (w, h) mm, centred on ``middle`` mm from its left edge."""
    half = round(min(middle, box[0] - middle), 6)  # one field for all codes of a width
    fitted = fit_text(line, _strip_field(2 * half, box[1], font, size_pt), chain)
    if isinstance(fitted, Problem):
        return fitted._replace(what=f"the line under the code: {fitted.what}", value=line)
    return _shifted(fitted, middle - half)


@lru_cache(maxsize=1024)
def _strip_field(w: float, h: float, font: str | tuple[str, ...], size_pt: float) -> TextField:
    height = min(h, strip_height(size_pt))
    return TextField(
        type="text",
        name="line",
        text="",
        box=(0.0, 0.0, w, height),
        font=font,
        size=f"{size_pt!r}pt",  # type: ignore[arg-type]  # the model takes sizes with a unit
        valign="bottom",
        align_by="metrics",
    )


def _shifted(fit: TextFit, right: float) -> TextFit:
    """The same text further right by so many mm, a hair apart."""
    if abs(right) < 1e-5:
        return fit
    x0, y0, x1, y1 = fit.ink
    runs = tuple(run._replace(x=round(run.x + right, 4)) for run in fit.runs)
    return fit._replace(runs=runs, ink=(x0 + right, y0, x1 + right, y1))
