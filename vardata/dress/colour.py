"""Colours a person writes, as process ink; and process ink as screen colour for pictures.

In: a name, "#rrggbb" or [c, m, y, k] in percent. Out: ``Cmyk``. There is no colour
management here: RGB is split into inks by ISO 32000-1, 10.3.5, with full black generation and
undercolour removal, so that greys and black are printed with K alone. ``icc`` can do better.
"""

from __future__ import annotations

import math
import re

from vardata.job import model, near
from vardata.job.found import clipped, plain
from vardata.marks import BLACK, Cmyk
from vardata.problems import JobError, Problem, Severity, Where

WHITE = Cmyk(0.0, 0.0, 0.0, 0.0)  # no process ink: bare white, or white ink where art asks for it

# Full and half tints of the process inks; what these words mean is common practice, no
# source. In an SVG the same words have the meaning that CSS gives them (``svg_paint``).
NAMES: dict[str, Cmyk] = {
    "black": BLACK,
    "white": WHITE,
    "grey": Cmyk(0.0, 0.0, 0.0, 0.5),
    "gray": Cmyk(0.0, 0.0, 0.0, 0.5),
    "cyan": Cmyk(1.0, 0.0, 0.0, 0.0),
    "magenta": Cmyk(0.0, 1.0, 0.0, 0.0),
    "yellow": Cmyk(0.0, 0.0, 1.0, 0.0),
    "red": Cmyk(0.0, 1.0, 1.0, 0.0),
    "green": Cmyk(1.0, 0.0, 1.0, 0.0),
    "blue": Cmyk(1.0, 1.0, 0.0, 0.0),
    "orange": Cmyk(0.0, 0.5, 1.0, 0.0),
    "purple": Cmyk(0.5, 1.0, 0.0, 0.0),
    "brown": Cmyk(0.0, 0.5, 1.0, 0.5),
}


class FromRgb(Cmyk):
    """Inks split from RGB: those of another colour than grey may be converted by a profile."""

    __slots__ = ()


_HEX = re.compile(r"#([0-9a-f]{3}|[0-9a-f]{6})", re.IGNORECASE)
_NOWHERE = Where()
_HOW = 'write "#rrggbb", [c, m, y, k] in percent'


def parse(colour: model.Colour, where: Where = _NOWHERE) -> Cmyk:
    """The ink of a colour. Raises ``JobError`` (``colour-unknown``), placed at ``where``.

    The name of a plate is not a colour: who allows one looks for it first.
    """
    if not isinstance(colour, str):
        return _percent(colour, where)
    name = colour.strip().lower()
    if name in NAMES:
        return NAMES[name]
    digits = _HEX.fullmatch(name)
    if digits is None:
        raise JobError(_unknown(colour, where))
    text = digits.group(1)
    pairs = [ch * 2 for ch in text] if len(text) == 3 else [text[0:2], text[2:4], text[4:6]]
    r, g, b = (int(pair, 16) / 255 for pair in pairs)
    return from_rgb(r, g, b)


def _percent(parts: tuple[float, ...], where: Where) -> Cmyk:
    if len(parts) != 4 or not all(0.0 <= part <= 100.0 for part in parts):  # NaN fails too
        shown = "[" + ", ".join(plain(part) for part in parts[:6]) + "]"
        raise JobError(
            Problem(
                "colour-unknown",
                Severity.ERROR,
                f"the colour {shown} is not four inks from 0 to 100 percent",
                "write it like [0, 100, 100, 0] for cyan, magenta, yellow, black",
                where,
                shown,
            )
        )
    c, m, y, k = (part / 100.0 for part in parts)
    return Cmyk(c, m, y, k)


def _unknown(colour: str, where: Where) -> Problem:
    text = colour.strip()
    if text.startswith("#"):
        what, remedy = (
            f"the colour {clipped(text)} does not have 3 or 6 hex digits",
            f"{_HOW} or a name",
        )
    else:
        guess = near.nearest(text, NAMES)
        hint = f"did you mean {guess!r}? " if guess else ""
        what = f"the colour {clipped(text)} is not known"
        remedy = f"{hint}{_HOW}, or one of {', '.join(name for name in NAMES if name != 'gray')}"
    return Problem("colour-unknown", Severity.ERROR, what, remedy, where, text[:60])


def from_rgb(r: float, g: float, b: float) -> FromRgb:
    """Inks of an RGB colour, parts from 0 to 1 (values outside are cut).

    ISO 32000-1, 10.3.5: c = 1 - r and so on, k = min(c, m, y); black generation BG(k) = k
    and undercolour removal UCR(k) = k, both in full. Rounded to 1/10,000.
    """
    c, m, y = (1.0 - min(1.0, max(0.0, part)) for part in (r, g, b))
    k = min(c, m, y)
    return FromRgb(round(c - k, 4), round(m - k, 4), round(y - k, 4), round(k, 4))


def to_srgb(cmyk: Cmyk) -> tuple[int, int, int]:
    """(r, g, b) from 0 to 255 for pictures that eyes see, not for print.

    The simple conversion of ISO 32000-1, 10.3.6: red = 1 - min(1, cyan + black). It undoes
    ``from_rgb``; real ink on a real blank looks duller.
    """
    c, m, y, k = cmyk
    r, g, b = (math.floor(255.0 * (1.0 - min(1.0, ink + k)) + 0.5) for ink in (c, m, y))
    return r, g, b


def luminance(cmyk: Cmyk) -> float:
    """Relative luminance from 0 (black) to 1 (white) of the colour as ``to_srgb`` shows it.

    Linearised sRGB weighted as IEC 61966-2-1 does: the "relative luminance" of WCAG 2.
    """
    r, g, b = (_linear(part / 255) for part in to_srgb(cmyk))
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
