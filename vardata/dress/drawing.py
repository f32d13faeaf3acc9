"""Art once it has been read: shapes and pictures in mm, before plates are derived.

Readers of SVG and of pictures give these values; white, gloss and the marks are made from them.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from vardata.marks import Blend, Cmyk, Commands


class Shape(NamedTuple):
    """A filled outline (``stroke`` 0) or a stroked line (``stroke`` mm wide) in item mm.

    ``cap``/``join``/``miter`` describe a stroke as ISO 32000-1, 8.4.3.3 to 8.4.3.5 number
    them. ``paint`` None stands for white ink: the shape knocks out the colour below it and
    is printed by the white plate, unchoked. With a ``blend`` it is filled with that, and
    ``paint`` is the blend's heaviest ink.
    """

    commands: Commands
    paint: Cmyk | None
    even_odd: bool = False
    stroke: float = 0.0
    cap: Literal[0, 1, 2] = 0
    join: Literal[0, 1, 2] = 0
    miter: float = 10.0
    blend: Blend | None = None


class Soft(NamedTuple):
    """How little see-through a picture is, place by place: levels from 0 to 255, row by row from
    the top, deflated. ``fades``: the ink of the picture is as much less."""

    width: int
    height: int
    data: bytes
    fades: bool = False


class Picture(NamedTuple):
    """A raster picture ready for a PDF, stored once a file under ``key`` (a hash of it).

    ``data`` is what stands in the image's stream, with ``filter`` ("DCTDecode" or
    "FlateDecode") already applied; ``space`` is DeviceGray, DeviceRGB or DeviceCMYK, or "Page",
    and then ``data`` is a PDF of one page and the size that of its ``mask``;
    ``decode`` is the Decode array or empty. ``mask`` is a 1-bit stencil of the same size,
    rows padded to bytes from the top, 1 is painted, or empty where all of it is opaque.
    ``small`` is a copy with fewer pixels for papers, if it has many.
    ``heaviest`` is the most ink of a pixel in process inks, in percent, 0 where nobody knows.
    ``soft`` is there where its edges are to stay soft: ``mask`` then is all that is painted.
    ``coverage`` outlines the painted area in the unit square (y up), for white and gloss.
    """

    key: str
    width: int
    height: int
    space: Literal["DeviceGray", "DeviceRGB", "DeviceCMYK", "Page"]
    filter: Literal["DCTDecode", "FlateDecode", "None"]
    data: bytes
    decode: tuple[float, ...]
    mask: bytes
    coverage: Commands
    small: Picture | None = None
    heaviest: float = 0.0
    soft: Soft | None = None


class PlacedPicture(NamedTuple):
    """A picture in a box of item mm, turned by ``angle`` about the box's centre.

    For white and gloss, holes up to ``holes`` mm across are closed and specks up to ``specks`` mm
    dropped, each as wide as a circle of its area.
    """

    picture: Picture
    x: float
    y: float
    w: float
    h: float
    angle: float = 0.0
    holes: float = 0.0
    specks: float = 0.0


class Drawing(NamedTuple):
    """One piece of art in painting order."""

    parts: tuple[Shape | PlacedPicture, ...]
