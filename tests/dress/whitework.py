"""How white plates are judged: rendered by PDFium, with scipy's erosion as the rule."""

from __future__ import annotations

import numpy as np
from plateprint import Mask, of_plate, rendered
from platework import dressed, shape_field
from scipy import ndimage

from vardata.dress.drawing import Drawing, PlacedPicture, Shape
from vardata.dress.dresser import Dresser
from vardata.fit.result import FieldFit
from vardata.job import model
from vardata.marks import Cmyk, Item

DPI = 1200
PX = DPI / 25.4
C = 0.1
PIXEL = 2 / PX + 0.01
RED = Cmyk(0, 1, 1, 0)
PANEL = shape_field("panel", (10, 0, 12, 20), shape="rectangle", fill="red")


def plate(made: Dresser, item: Item, index: int) -> Mask:
    return rendered(of_plate(made, item, index), dpi=DPI)


def both(made: Dresser, *fits: FieldFit, blank: str = "dark") -> tuple[Mask, Mask]:
    item = dressed(made, *fits, blank=blank)
    return plate(made, item, 0), plate(made, item, 1)


def depth(mask: Mask) -> np.ndarray:
    return np.asarray(ndimage.distance_transform_edt(np.pad(mask, 1))[1:-1, 1:-1] / PX)


def agrees(white: Mask, ink: Mask, alone: Mask | None = None, choke: float = C) -> None:
    """White is S u choke(U u S), pixel by pixel but for the edges. Notches and corners that
    are finer than a pixel are not looked at."""
    alone = np.zeros_like(ink) if alone is None else alone
    deep = depth(ink | alone)
    sure = alone & (depth(alone) > PIXEL)
    missing = (sure | (deep > choke + PIXEL)) & ~white
    beyond = white & ~ndimage.binary_dilation(alone, iterations=2) & (deep < choke - PIXEL)
    assert not ndimage.binary_opening(missing).any()
    assert not ndimage.binary_opening(beyond).any()


def art(*shapes: Shape | PlacedPicture, **more: object) -> tuple[model.Art, Drawing]:
    entry = model.Art.model_validate({"file": "logo.svg", "box": (0, 0, 40, 20), **more})
    return entry, Drawing(shapes)


def rect(x: float, y: float, w: float, h: float, paint: Cmyk | None = RED) -> Shape:
    return Shape((("re", x, y, w, h),), paint)
