"""The gradients of an SVG, from elements to blends of process ink.

In: a gradient's element and those that it takes from, stops already read. Out: ``Gradient``, and
for a shape in its place a ``Blend`` in item mm. Red, green and blue change in straight lines
between stops (SVG 1.1, 13.2.4), and become process ink by ``colour.from_rgb``: a stretch is cut
where that has a bend, so that nothing is lost. What readers draw differently raises
``ValueError``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from fontTools.misc.bezierTools import calcCubicBounds

from vardata.dress import colour
from vardata.dress.geometry import Bounds
from vardata.dress.svg_css import Looks
from vardata.marks import Blend, Cmyk, Commands, Step
from vardata.svg.shape import Size, diagonal
from vardata.svg.source import Element, href, local
from vardata.svg.values import Matrix, length, shown, transform

MOST_TURNS = 500  # of a gradient that repeats within one shape
_CHAIN = 10  # gradients that take from one another
_NARROW = 1e-6  # of a blend: a stretch that is shorter is a jump
_WAYS = ("pad", "reflect", "repeat")
_UNITS = ("objectBoundingBox", "userSpaceOnUse")

Rgb = tuple[float, float, float]


class Stop(NamedTuple):
    """A colour at a place from 0 to 1; ``rgb`` is None where it was written in inks."""

    at: float
    paint: Cmyk
    rgb: Rgb | None


class Gradient(NamedTuple):
    """A gradient as it was written. ``ends`` as in ``Blend``, in shares of the shape's box where
    it is ``boxed``, else in user units; ``matrix`` is the gradient's own transform."""

    ends: tuple[float, ...]
    boxed: bool
    matrix: Matrix
    way: str
    stops: tuple[Stop, ...]


def chain(element: Element, ids: dict[str, Element]) -> list[Element]:
    """A gradient and those that it takes from, one after the other (SVG 1.1, 13.2.2)."""
    found = [element]
    while href(found[-1]):
        link = href(found[-1])
        if not link.startswith("#"):
            raise ValueError(f"the gradient takes from {shown(link)}, another file")
        other = ids.get(link[1:])
        if other is None or local(other) not in ("linearGradient", "radialGradient"):
            raise ValueError(f"the gradient takes from {shown(link)}, which is no gradient")
        found.append(other)
        if len(found) > _CHAIN:
            raise ValueError("the gradient takes from itself, or from more than 10 others")
    return found


def stop_elements(element: Element) -> list[Element]:
    return [child for child in element if local(child) == "stop"]


def gradient(
    sources: Sequence[Element], stops: Sequence[Stop], size: Size, looks: Looks
) -> Gradient | None:
    """The gradient of the first of ``sources``; None if it has no way to go."""
    declared = looks.of(sources[0]).get("color-interpolation")
    if (declared or sources[0].get("color-interpolation") or "").lower() == "linearrgb":
        raise ValueError("the gradient mixes its colours in linear light")
    same = [e for e in sources if local(e) == local(sources[0])]
    boxed = _choice(sources, "gradientUnits", _UNITS) == _UNITS[0]
    way = _choice(sources, "spreadMethod", _WAYS)
    box = (1.0, 1.0) if boxed else size
    if local(sources[0]) == "linearGradient":
        names = (("x1", "0%"), ("y1", "0%"), ("x2", "100%"), ("y2", "0%"))
        ends = tuple(
            _length(same, name, box[i % 2], default) for i, (name, default) in enumerate(names)
        )
        none = ends[:2] == ends[2:]
    else:
        ends = _circles(same, box)
        none = ends[5] == 0
    text = next((e.get("gradientTransform") for e in sources if e.get("gradientTransform")), "")
    try:
        matrix = transform(text) if text else Matrix()
    except ValueError as error:
        raise ValueError(f"gradientTransform: {error}") from None
    if not matrix.det:
        raise ValueError("the gradient's transform flattens it")
    return None if none else Gradient(ends, boxed, matrix, way, tuple(stops))


def _circles(sources: Sequence[Element], box: Size) -> tuple[float, ...]:
    """The inner and the outer circle of a radial gradient (SVG 2, 14.2.3)."""
    across = diagonal(box)
    cx, cy = (_length(sources, name, box[i], "50%") for i, name in enumerate(("cx", "cy")))
    r = _length(sources, "r", across, "50%")
    fx, fy = (
        _length(sources, name, box[i], repr(default))
        for i, (name, default) in enumerate((("fx", cx), ("fy", cy)))
    )
    fr = _length(sources, "fr", across, "0%")
    if r < 0 or fr < 0:
        raise ValueError("the gradient's radius is negative")
    if r and math.hypot(fx - cx, fy - cy) + fr >= r:
        raise ValueError("the gradient's focus lies outside its circle")
    return fx, fy, fr, cx, cy, r


def _length(sources: Sequence[Element], name: str, whole: float, default: str) -> float:
    text = next((e.get(name).strip() for e in sources if (e.get(name) or "").strip()), default)
    try:
        return length(text, whole)
    except ValueError as error:
        raise ValueError(f"the gradient's {name}: {error}") from None


def _choice(sources: Sequence[Element], name: str, allowed: tuple[str, ...]) -> str:
    text = next((e.get(name).strip() for e in sources if e.get(name)), allowed[0])
    if text not in allowed:
        raise ValueError(f"the gradient's {name} {shown(text)} is not one of {', '.join(allowed)}")
    return str(text)


# ------------------------------------------------------------ in its place


def blend(found: Gradient, shape: Commands, matrix: Matrix, reach: Bounds) -> Blend:
    """The gradient of a shape. ``shape`` is its outline in user units, which ``matrix`` takes to
    item mm; ``reach`` is a box in item mm that holds all that it paints."""
    space = found.matrix
    if found.boxed:
        x0, y0, x1, y1 = _bounds(shape)
        if x1 <= x0 or y1 <= y0:
            # SVG 1.1, 7.11: there is no such box, and the paint is ignored.
            raise ValueError("the gradient is scaled to a line that has no width or no height")
        space = space.then(Matrix(x1 - x0, 0.0, 0.0, y1 - y0, x0, y0))
    space = space.then(matrix)
    if not space.det:
        raise ValueError("the gradient's transform flattens it")
    steps = _steps(found.stops)
    if found.way == "pad":
        return Blend(found.ends, space[:], steps)
    first, last = _turns(found, space, reach)
    longer = _longer(found.ends, first, last)
    return Blend(longer, space[:], _repeated(steps, found.way, first, last))


def _bounds(shape: Commands) -> Bounds:
    """The box of an outline, its curves where they bulge and not where their handles are."""
    xs: list[float] = []
    ys: list[float] = []
    pen = start = (0.0, 0.0)
    for kind, *given in shape:
        n = [float(v) for v in given]
        if kind == "h":
            pen = start
            continue
        if kind == "c":
            x0, y0, x1, y1 = calcCubicBounds(pen, n[0:2], n[2:4], n[4:6])
            xs += (x0, x1)
            ys += (y0, y1)
        elif kind == "re":
            n = [n[0], n[1], n[0] + n[2], n[1] + n[3]]
        xs += n[-2:-1] if kind == "c" else n[::2]
        ys += n[-1:] if kind == "c" else n[1::2]
        pen = (n[-2], n[-1])
        start = pen if kind == "m" else start
    return min(xs), min(ys), max(xs), max(ys)


def _steps(stops: Sequence[Stop]) -> tuple[Step, ...]:
    """Stretches from 0 to 1: the first and the last colour go on to the ends."""
    ends = [stops[0]._replace(at=0.0), *stops, stops[-1]._replace(at=1.0)]
    made: list[Step] = []
    for one, other in pairwise(ends):
        if other.at - one.at <= _NARROW:
            continue
        shares = [0.0, *_bends(one, other), 1.0]
        paints = [_mixed(one, other, share) for share in shares]
        places = [one.at + share * (other.at - one.at) for share in shares]
        for i in range(len(shares) - 1):
            if places[i + 1] - places[i] > _NARROW:
                made.append(Step(places[i], places[i + 1], paints[i], paints[i + 1]))
    # What was left out must not leave a gap.
    made[-1] = made[-1]._replace(end=1.0)
    return tuple(
        step._replace(start=before.end if before else 0.0)
        for before, step in zip([None, *made], made)
    )


def _bends(one: Stop, other: Stop) -> list[float]:
    """Where between two colours the darkest of red, green and blue may change: black, which is
    taken out of the other inks, has a bend there."""
    if one.rgb is None or other.rgb is None:
        return []
    found = set()
    for i, j in ((0, 1), (1, 2), (0, 2)):
        before, after = one.rgb[i] - one.rgb[j], other.rgb[i] - other.rgb[j]
        if before * after < 0:
            found.add(before / (before - after))
    return sorted(found)


def _mixed(one: Stop, other: Stop, share: float) -> Cmyk:
    if share in (0.0, 1.0):
        return other.paint if share else one.paint
    if one.rgb is None or other.rgb is None:
        raise ValueError("only colours of red, green and blue have bends between them")
    r, g, b = (a + (z - a) * share for a, z in zip(one.rgb, other.rgb))
    return colour.from_rgb(r, g, b)


def _turns(found: Gradient, space: Matrix, reach: Bounds) -> tuple[int, int]:
    """The first and the last turn of a repeated gradient that shows in a box of item mm."""
    x0, y0, x1, y1 = reach
    corners = [_back(space, x, y) for x in (x0, x1) for y in (y0, y1)]
    if len(found.ends) == 4:
        ax, ay, bx, by = found.ends
        dx, dy = bx - ax, by - ay
        along = [((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy) for x, y in corners]
        first, last = math.floor(min(along)), math.ceil(max(along))
    else:
        fx, fy, fr, cx, cy, r = found.ends
        if fr:
            raise ValueError("the gradient repeats into its inner circle")
        first, last = 0, 1
        # Each circle lies in the next, so all of the box does once its corners do.
        while last <= MOST_TURNS and any(
            math.hypot(x - fx - (cx - fx) * last, y - fy - (cy - fy) * last) > r * last
            for x, y in corners
        ):
            last += 1
    last = max(last, first + 1)
    if last - first > MOST_TURNS:
        raise ValueError(f"the gradient repeats more than {MOST_TURNS} times")
    return first, last


def _back(space: Matrix, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = space
    x, y = x - e, y - f
    return (d * x - c * y) / space.det, (a * y - b * x) / space.det


def _longer(ends: tuple[float, ...], first: int, last: int) -> tuple[float, ...]:
    """The ends of all turns together."""
    half = len(ends) // 2
    return tuple(
        start + (end - start) * turn
        for turn in (first, last)
        for start, end in zip(ends[:half], ends[half:])
    )


def _repeated(steps: tuple[Step, ...], way: str, first: int, last: int) -> tuple[Step, ...]:
    mirrored = tuple(
        Step(1 - step.end, 1 - step.start, step.last, step.first) for step in reversed(steps)
    )
    whole = last - first
    return tuple(
        Step((turn - first + start) / whole, (turn - first + end) / whole, one, other)
        for turn in range(first, last)
        for start, end, one, other in (mirrored if way == "reflect" and turn % 2 else steps)
    )
