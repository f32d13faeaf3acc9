"""Numbers, lengths, matrices and view boxes as SVG writes them.

In: attribute texts. Out: floats in user units (px) and matrices. A text that does not follow
the grammar raises ``ValueError`` with a few words for a message; nothing is guessed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import NamedTuple

NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(NUMBER)
_COMMA = re.compile(r"[ \t\r\n\f]*,?[ \t\r\n\f]*")
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([A-Za-z%]*)\s*")
_AMOUNT = re.compile(rf"\s*({NUMBER})(%?)\s*")
_CALL = re.compile(r"[\s,]*([A-Za-z]+)\s*\(([^()]*)\)")
_ALIGN = re.compile(r"(?:defer\s+)?(none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?")
_LARGEST = 1e9  # user units; larger numbers are slips or traps

# CSS Values and Units 3, 6.2: 1in = 96px = 72pt = 6pc = 25.4mm; 1Q = 1/4 mm.
PX = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "mm": 96.0 / 25.4,
    "cm": 96.0 / 2.54,
    "q": 96.0 / 101.6,
    "pt": 96.0 / 72.0,
    "pc": 16.0,
}


class Matrix(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f, as ISO 32000-1, 8.3.3 and SVG write it."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def then(self, outer: Matrix) -> Matrix:
        """This first, then ``outer``."""
        a, b, c, d, e, f = self
        return Matrix(
            a * outer.a + b * outer.c,
            a * outer.b + b * outer.d,
            c * outer.a + d * outer.c,
            c * outer.b + d * outer.d,
            e * outer.a + f * outer.c + outer.e,
            e * outer.b + f * outer.d + outer.f,
        )

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    @property
    def det(self) -> float:
        return self.a * self.d - self.b * self.c

    def scales(self) -> tuple[float, float]:
        """The largest and the smallest factor by which a length grows (singular values)."""
        half = (self.a**2 + self.b**2 + self.c**2 + self.d**2) / 2
        rest = math.sqrt(max(0.0, half * half - self.det * self.det))
        return math.sqrt(half + rest), math.sqrt(max(0.0, half - rest))


def turned(angle: float, cx: float = 0.0, cy: float = 0.0) -> Matrix:
    """A turn by ``angle`` degrees about (cx, cy); exact at quarter turns."""
    exact = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
    radians = math.radians(angle)
    cos, sin = exact.get(angle % 360.0, (math.cos(radians), math.sin(radians)))
    return Matrix(cos, sin, -sin, cos, cx - cos * cx + sin * cy, cy - sin * cx - cos * cy)


def shown(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")


def numbers(text: str) -> list[float]:
    """A list of numbers, parted by white space, one comma, or nothing where that is clear."""
    found: list[float] = []
    text = text.strip()
    at = 0
    while at < len(text):
        match = _NUMBER.match(text, at)
        if match is None:
            raise ValueError(f"{shown(text[at:])} is not a number")
        found.append(checked(float(match.group())))
        gap = _COMMA.match(text, match.end())
        at = gap.end() if gap is not None else match.end()
        if gap is not None and "," in gap.group() and at == len(text):
            raise ValueError("a number is missing after the last comma")
    return found


def checked(value: float) -> float:
    if not abs(value) <= _LARGEST:
        raise ValueError(f"the number {value:g} is too large")
    return value


def length(text: str, whole: float) -> float:
    """A length in user units; ``whole`` is what 100 % stands for."""
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise ValueError(f"{shown(text)} is not a length")
    value, unit = float(match.group(1)), match.group(2).lower()
    if unit == "%":
        return checked(value / 100 * whole)
    if unit not in PX:
        raise ValueError(f"the unit {unit!r} has no fixed size")
    return checked(value * PX[unit])


def amount(text: str) -> float:
    """An opacity or a share of ink from 0 to 1, written as a number or in percent."""
    match = _AMOUNT.fullmatch(text)
    if match is None:
        raise ValueError(f"{shown(text.strip())} is neither a number nor a percentage")
    return min(1.0, max(0.0, float(match.group(1)) / (100 if match.group(2) else 1)))


def _translate(n: list[float]) -> Matrix:
    return Matrix(e=n[0], f=n[1] if len(n) > 1 else 0.0)


def _scale(n: list[float]) -> Matrix:
    return Matrix(a=n[0], d=n[1] if len(n) > 1 else n[0])


# SVG 1.1, 7.6: how many numbers each may have, and its matrix.
_TRANSFORMS: dict[str, tuple[tuple[int, ...], Callable[[list[float]], Matrix]]] = {
    "matrix": ((6,), lambda n: Matrix(*n)),
    "translate": ((1, 2), _translate),
    "scale": ((1, 2), _scale),
    "rotate": ((1, 3), lambda n: turned(*n)),
    "skewX": ((1,), lambda n: Matrix(c=math.tan(math.radians(n[0])))),
    "skewY": ((1,), lambda n: Matrix(b=math.tan(math.radians(n[0])))),
}


def transform(text: str) -> Matrix:
    """The matrix of a transform attribute; the last one written is applied first."""
    whole = Matrix()
    at = 0
    text = text.rstrip()
    while at < len(text):
        match = _CALL.match(text, at)
        if match is None or match.group(1) not in _TRANSFORMS:
            raise ValueError(f"{shown(text[at:].strip())} is not a transform")
        counts, make = _TRANSFORMS[match.group(1)]
        values = numbers(match.group(2))
        if len(values) not in counts:
            raise ValueError(f"{shown(match.group().strip())} has {len(values)} numbers")
        whole = make(values).then(whole)
        at = match.end()
    return whole


class View(NamedTuple):
    """A view box mapped into a viewport: its matrix and the view box itself."""

    matrix: Matrix
    x: float
    y: float
    width: float
    height: float


def view_box(text: str) -> tuple[float, float, float, float]:
    values = numbers(text)
    if len(values) != 4 or values[2] <= 0 or values[3] <= 0:
        raise ValueError(f"{shown(text)} is not x, y, width and height")
    return values[0], values[1], values[2], values[3]


def fitted(
    size: tuple[float, float], into: tuple[float, float], aspect: str
) -> tuple[float, float, float, float, bool]:
    """How a box of ``size`` lies in a viewport by preserveAspectRatio (SVG 1.1, 7.8).

    Out: scale x, scale y, offset x, offset y (y down), and whether it is cut ("slice").
    """
    match = _ALIGN.fullmatch(aspect.strip() or "xMidYMid")
    if match is None:
        raise ValueError(f"{shown(aspect)} is not a preserveAspectRatio")
    sx, sy = into[0] / size[0], into[1] / size[1]
    if match.group(1) == "none":
        return sx, sy, 0.0, 0.0, False
    scale = max(sx, sy) if match.group(4) == "slice" else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    left = (into[0] - size[0] * scale) * share[match.group(2)]
    top = (into[1] - size[1] * scale) * share[match.group(3)]
    return scale, scale, left, top, match.group(4) == "slice"


def view(text: str, aspect: str, into: tuple[float, float]) -> View:
    """The user space of an element with a viewBox attribute (or none) in a viewport."""
    if not text.strip():
        return View(Matrix(), 0.0, 0.0, *into)
    x, y, w, h = view_box(text)
    sx, sy, left, top, _ = fitted((w, h), into, aspect)
    return View(Matrix(sx, 0.0, 0.0, sy, left - x * sx, top - y * sy), x, y, w, h)
