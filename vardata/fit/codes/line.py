"""The human-readable line under a linear code.

It stands in a strip at the foot of the code's box, its baseline the same for all records, and is
fitted as any other text: it may shrink, it is never cut off. It is centred under the bars; that of
EAN and UPC stands in parts, each under the bars that say it, and digits that have none of their
own, or guard bars for them, outside (GS1 General Specifications, the figures of 5.2).
"""

from __future__ import annotations

from functools import lru_cache

from vardata.fit.codes.symbol import Symbol
from vardata.fit.fonts import Face
from vardata.fit.groupsize import GroupSize
from vardata.fit.result import TextFit
from vardata.fit.text import fit_in_group, fit_text
from vardata.job.model import TextField
from vardata.problems import Problem
from vardata.units import MM_PER_PT

# The strip's height in font sizes: room for ascenders, descenders and a gap below the bars.
# Common practice, no source.
STRIP = 1.2
# Modules between which each part of the line is centred, from the first bar on: under the halves
# of the symbol, whose guards take 3 modules at the ends and 5 in the middle, and outside in the
# quiet zones. Outside the places are ours: 7 modules, as wide as a digit's bars.
_PARTS: dict[str, tuple[tuple[int, int], ...]] = {
    "ean13": ((-9, -2), (3, 45), (50, 92)),
    "ean8": ((3, 31), (36, 64)),
    "upca": ((-8, -1), (10, 45), (50, 85), (96, 103)),
    "upce": ((-8, -1), (3, 45), (51, 58)),
}

Part = tuple[str, float, float]  # text; from, to mm in the box


def line_parts(symbology: str, symbol: Symbol, x: float, module: float) -> tuple[Part, ...]:
    """The parts of the line of an EAN or UPC whose first bar stands at ``x`` mm; () of others."""
    spans = _PARTS.get(symbology)
    if spans is None:
        return ()
    words = symbol.line.split(" ")
    if len(words) > len(spans):  # an add-on: it ends the symbol
        addon = len(words[-1])  # 2 digits take 20 modules, 5 take 47 (5.2.2.5, from memory)
        spans = (*spans, (symbol.columns - (20 if addon == 2 else 47), symbol.columns))
    return tuple(
        (word, x + start * module, x + end * module) for word, (start, end) in zip(words, spans)
    )

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


def fit_parts(
    parts: tuple[Part, ...],
    font: str | tuple[str, ...],
    size_pt: float,
    height: float,
    chain: tuple[Face, ...],
) -> TextFit | Problem:
    """The parts of a line at the foot of a box, all of one size."""
    fields = [_strip_field(round(end - x, 6), height, font, size_pt) for _, x, end in parts]
    fits: list[TextFit] = []
    for (text, *_), field in zip(parts, fields):
        fitted = fit_text(text, field, chain)
        if isinstance(fitted, Problem):
            return fitted._replace(what=f"the line under the code: {fitted.what}", value=text)
        fits.append(fitted)
    size, squeeze = min(fit.size_pt for fit in fits), min(fit.squeeze for fit in fits)
    if any((fit.size_pt, fit.squeeze) != (size, squeeze) for fit in fits):
        common = GroupSize(size, squeeze, 1, 0.0)
        again = (fit_in_group(p[0], field, chain, common) for p, field in zip(parts, fields))
        fits = [fit for fit in again if isinstance(fit, TextFit)]  # what is smaller fits as well
    moved = [_shifted(fit, x) for fit, (_, x, _) in zip(fits, parts)]
    boxes = list(zip(*(fit.ink for fit in moved)))
    return moved[0]._replace(
        text=" ".join(part[0] for part in parts),
        runs=tuple(run for fit in moved for run in fit.runs),
        ink=(min(boxes[0]), min(boxes[1]), max(boxes[2]), max(boxes[3])),
    )


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
