"""Where things lie on the page: item mm to points of the page.

In: placements, boxes, angles. Out: transformation matrices. Quarter turns are exact.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from vardata.marks import Commands, Placement
from vardata.output.pdf.syntax import FINE, THOUSANDTHS, TURNS
from vardata.units import PT_PER_MM

_KEPT = 20_000  # places kept in their written form

_QUARTERS = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))


def turn(angle: float) -> tuple[float, float]:
    """Cosine and sine of degrees, exact at the quarter turns."""
    quarter = angle / 90.0
    if quarter == int(quarter):
        return _QUARTERS[int(quarter) % 4]
    return math.cos(math.radians(angle)), math.sin(math.radians(angle))


class Frame(NamedTuple):
    """From mm of an item (or of a form) to thousandths of a point on the page.

    X = a x - b y + e, Y = b x + a y + f. ``angle`` is the frame's own turn in degrees.
    """

    a: float
    b: float
    e: float
    f: float
    angle: float

    def moved(self, x: float, y: float, angle: float) -> Frame:
        """The frame of something at (x, y) mm in this one, turned by ``angle`` about it."""
        a, b, e, f, mine = self
        e, f = a * x - b * y + e, b * x + a * y + f
        if not angle:
            return Frame(a, b, e, f, mine)
        whole = mine + angle
        c, s = turn(whole)
        scale = 1000.0 * PT_PER_MM
        return Frame(c * scale, s * scale, e, f, whole)

    def point(self, x: float, y: float) -> bytes:
        """A point of mm on the page."""
        a, b, e, f, _ = self
        written = THOUSANDTHS
        return b"%b %b" % (written[round(a * x - b * y + e)], written[round(b * x + a * y + f)])

    @lru_cache(maxsize=_KEPT)  # noqa: B019 - frames are values, and slots repeat from bed to bed
    def matrix(self, x: float = 0.0, y: float = 0.0, angle: float = 0.0) -> bytes:
        """The six numbers for ``cm`` of something drawn in points, at (x, y) mm and turned."""
        if x or y or angle:
            return self.moved(x, y, angle).matrix()
        place = b"%b %b" % (THOUSANDTHS[round(self.e)], THOUSANDTHS[round(self.f)])
        return turn_matrix(self.angle) + place

    @lru_cache(maxsize=_KEPT)  # noqa: B019
    def box_matrix(self, x: float, y: float, w: float, h: float, angle: float) -> bytes:
        """The six numbers that bring the unit square to a box of mm.

        The box is turned about its own centre by ``angle``. Written to 10^-5 pt, because the
        edges of a code have to meet dots of the bed.
        """
        a, b, e, f, mine = self
        cx, cy = x + w / 2, y + h / 2
        c, s = turn(mine + angle)
        scale = 1e5 * PT_PER_MM
        ux, uy, vx, vy = c * w * scale, s * w * scale, -s * h * scale, c * h * scale
        left = 100.0 * (a * cx - b * cy + e) - (ux + vx) / 2
        low = 100.0 * (b * cx + a * cy + f) - (uy + vy) / 2
        # The far corner is rounded as a corner and not as a length, so that it falls on a dot.
        x0, y0 = round(left), round(low)
        return b"%b %b %b %b %b %b" % (
            FINE[round(left + ux) - x0],
            FINE[round(low + uy) - y0],
            FINE[round(left + vx) - x0],
            FINE[round(low + vy) - y0],
            FINE[x0],
            FINE[y0],
        )

    @lru_cache(maxsize=_KEPT)  # noqa: B019
    def rectangle(self, x: float, y: float, w: float, h: float) -> bytes | None:
        """A rectangle of mm as ``re``, or None if it does not lie square to the page.

        Written as finely as a code: grounds end on dots, and a renderer that paints every dot
        an area touches would add a row of them for the least excess.
        """
        a, b, e, f, _ = self
        if (a and b) or w < 0 or h < 0:
            return None
        x0, y0 = a * x - b * y + e, b * x + a * y + f
        x, y = x + w, y + h
        x1, y1 = a * x - b * y + e, b * x + a * y + f
        if x1 < x0:
            x0, x1 = x1, x0
        if y1 < y0:
            y0, y1 = y1, y0
        left, low = round(100.0 * x0), round(100.0 * y0)
        written = FINE
        return b"%b %b %b %b re" % (
            written[left],
            written[low],
            written[round(100.0 * x1) - left],
            written[round(100.0 * y1) - low],
        )


# Item mm to points of a form: what a static drawing is written in.
FORM = Frame(1000.0 * PT_PER_MM, 0.0, 0.0, 0.0, 0.0)


@lru_cache(maxsize=_KEPT)
def frame_of(placement: Placement, width: float, height: float) -> Frame:
    """The frame of an item of width x height mm that lies on the bed at ``placement``."""
    cx, cy, angle = placement
    c, s = turn(angle)
    scale = 1000.0 * PT_PER_MM
    a, b = c * scale, s * scale
    e = cx * scale - (a * width - b * height) / 2
    f = cy * scale - (b * width + a * height) / 2
    return Frame(a, b, e, f, angle % 360.0)


@lru_cache(maxsize=4096)
def turn_matrix(angle: float) -> bytes:
    """The first four numbers of a matrix that turns by ``angle`` degrees."""
    c, s = turn(angle)
    cos, sin = round(c * 1e7), round(s * 1e7)
    return b"%b %b %b %b " % (TURNS[cos], TURNS[sin], TURNS[-sin], TURNS[cos])


_OPERATORS = {"m": b"m", "l": b"l", "c": b"c"}


def outline(commands: Commands, frame: Frame) -> bytes:
    """Path construction operators (ISO 32000-1, 8.5.2) of commands in mm."""
    out: list[bytes] = []
    for command in commands:
        kind = command[0]
        if kind == "h":
            out.append(b"h")
        elif kind == "re":
            x, y, w, h = (float(n) for n in command[1:])
            square = frame.rectangle(x, y, w, h)
            out.append(square if square is not None else _corners(frame, x, y, w, h))
        else:
            numbers = [float(n) for n in command[1:]]
            out += [frame.point(x, y) for x, y in zip(numbers[::2], numbers[1::2])]
            out.append(_OPERATORS[str(kind)])
    return b" ".join(out)


def _corners(frame: Frame, x: float, y: float, w: float, h: float) -> bytes:
    corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
    return b"%b m %b l %b l %b l h" % tuple(frame.point(*corner) for corner in corners)
