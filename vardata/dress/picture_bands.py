"""The pixels of large pictures, a band of rows at a time, so that memory holds them only once.

In: a decoded image the right way up, in greys, RGB or inks. Out: bands as arrays, the packed
data of a PDF's image, what is grey, what has ink, a small copy for papers.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Bytes = NDArray[np.uint8]
_ROWS = 256
_LEVEL = 6  # of zlib
SMALL = 480  # pixels: the longer side of a picture on papers, where an item is a few centimetres


def bands(image: Image.Image) -> Iterator[Bytes]:
    """Rows from the top: (rows, columns, parts) of 8 bits."""
    width, height = image.size
    for top in range(0, height, _ROWS):
        found = np.asarray(image.crop((0, top, width, min(height, top + _ROWS))))
        yield found[:, :, None] if found.ndim == 2 else found


def is_grey(image: Image.Image) -> bool:
    """Whether RGB is grey all over: it is to be printed with K alone."""
    return all(bool((band == band[:, :, :1]).all()) for band in bands(image))


def heaviest(image: Image.Image, change: Callable[[Bytes], Bytes] | None = None) -> float:
    """The most ink of a pixel in percent; 0 for what is no process ink."""
    if change is None and image.mode != "CMYK":
        return 0.0
    most = 0
    for band in bands(image):
        rows = change(band) if change is not None else band
        most = max(most, int(rows.sum(axis=2, dtype=np.uint16).max()))
    return most / 2.55


def packed(image: Image.Image, change: Callable[[Bytes], Bytes] | None = None) -> bytes:
    """All rows deflated, each band changed before."""
    squeeze = zlib.compressobj(_LEVEL)
    out = []
    for band in bands(image):
        rows = change(band) if change is not None else band
        out.append(squeeze.compress(np.ascontiguousarray(rows).tobytes()))
    out.append(squeeze.flush())
    return b"".join(out)


def inked(image: Image.Image, alpha: Bytes | None, least: float) -> Bytes:
    """Alpha 255 where a picture has at least so much ink (from 0 to 1), else 0."""
    found = []
    for band in bands(image):
        ink = band.max(axis=2) if band.shape[2] == 4 else 255 - band.min(axis=2)
        found.append(np.where(ink >= max(1.0, 255 * least), 255, 0).astype(np.uint8))
    painted = np.concatenate(found)
    if alpha is not None:
        painted[alpha < 128] = 0
    return painted


def small(image: Image.Image) -> Image.Image | None:
    """A copy for papers; None for a picture that is small already."""
    size = image.size
    if max(size) < 2 * SMALL:
        return None
    across, up = (max(1, round(side * SMALL / max(size))) for side in size)
    return image.resize((across, up), Image.Resampling.BOX)
