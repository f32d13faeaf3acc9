"""The human-readable line under a linear code.

It stands in a strip at the foot of the code's box, its baseline the same for all records, and is
fitted as any other text: it may shrink, it is never cut off. It is centred under the bars. That of
EAN and UPC stands between their guard bars: ``digits``.
"""

from __future__ import annotations

from functools import lru_cache

from vardata.fit.fonts import Face
from vardata.fit.result import TextFit
from vardata.fit.text import fit_text
from vardata.job.model import CodeField, TextField
from vardata.problems import Problem
from vardata.units import MM_PER_PT

# The strip's height in font sizes: room for ascenders, descenders and a gap below the bars.
# Common practice, no source.
STRIP = 1.2
_SIZE = 6.0  # pt, where the layout says nothing (common practice, no source)


def size_of(field: CodeField) -> float:
    """The font size of a field's line, in pt."""
    return _SIZE if field.text_size is None else field.text_size


def strip_height(size_pt: float) -> float:
    """The mm of height that a line of this font size takes below the bars."""
    return size_pt * MM_PER_PT * STRIP


def fit_line(
    line: str, field: CodeField, middle: float, chain: tuple[Face, ...]
) -> TextFit | Problem:
    """The line at the foot of a field's box, centred on ``middle`` mm from its left edge."""
    _, _, w, h = field.box
    half = round(min(middle, w - middle), 6)  # one field for all codes of a width
    strip = strip_field(2 * half, field.text_font, size_of(field), most=h)
    fitted = fit_text(line, strip, chain)
    if isinstance(fitted, Problem):
        return fitted._replace(what=f"the line under the code: {fitted.what}", value=line)
    return shifted(fitted, middle - half)


@lru_cache(maxsize=1024)
def strip_field(
    w: float, font: str | tuple[str, ...], size_pt: float, align: str = "centre",
    most: float = float("inf"),
) -> TextField:  # fmt: skip
    """A text of a line's font and size at the foot of a strip ``w`` mm wide, ``most`` mm high at
    the most; what is not centred is aligned by its ink."""
    return TextField(
        type="text",
        name="line",
        text="",
        box=(0.0, 0.0, w, min(most, strip_height(size_pt))),
        font=font,
        size=f"{size_pt!r}pt",  # type: ignore[arg-type]  # the model takes sizes with a unit
        align=align,  # type: ignore[arg-type]  # one of the model's three
        valign="bottom",
        align_by="metrics" if align == "centre" else "ink",
    )


def shifted(fit: TextFit, right: float, up: float = 0.0) -> TextFit:
    """The same text further right and up by so many mm, a hair apart."""
    if abs(right) < 1e-5 and abs(up) < 1e-5:
        return fit
    x0, y0, x1, y1 = fit.ink
    runs = tuple(
        run._replace(x=round(run.x + right, 4), y=round(run.y + up, 4)) for run in fit.runs
    )
    return fit._replace(runs=runs, ink=(x0 + right, y0 + up, x1 + right, y1 + up))
