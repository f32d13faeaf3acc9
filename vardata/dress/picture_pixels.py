"""Opens picture files and gives their pixels, or one clear line why not.

In: the bytes of a file. Out: an image that was decoded to its end, then the same the right
way up in 8 bits, and its alpha. Files may be broken or hostile: whatever a decoder raises
becomes a ``picture-unreadable`` problem.
"""

from __future__ import annotations

import warnings
from io import BytesIO
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image, UnidentifiedImageError

from vardata.dress import picture_bands, picture_jpeg
from vardata.dress.picture_jpeg import Jpeg
from vardata.problems import JobError, Problem, Severity, Where

MOST_PIXELS = 89_478_485  # Pillow's own limit: 1/4 GB of RGB
MODES = {"L": 1, "RGB": 3, "CMYK": 4}  # what pixels are given as, and their parts
AGAIN = "save it again as PNG or JPEG"
_ORIENTATION = 0x0112
# EXIF 2.3, 4.6.4: what brings a picture upright, by the place of its first row and column.
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}

Bytes2D = NDArray[np.uint8]


class Opened(NamedTuple):
    """A decoded file. ``orientation`` is the EXIF value, 1 to 8; ``jpeg`` the markers, if it is
    a JPEG and they make sense."""

    image: Image.Image
    orientation: int
    jpeg: Jpeg | None

    @property
    def upright_size(self) -> tuple[int, int]:
        """Width and height once the picture is turned as its camera says."""
        w, h = self.image.size
        return (h, w) if self.orientation >= 5 else (w, h)


def unreadable(where: Where, what: str, remedy: str) -> JobError:
    return JobError(Problem("picture-unreadable", Severity.ERROR, what, remedy, where))


def opened(data: bytes, where: Where) -> Opened:
    """Decode a file to its end. Raises ``JobError``."""
    if not data:
        raise unreadable(where, "the file is empty", "put the whole file in its place")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Pillow's remarks about tags and sizes; we look ourselves
        try:
            image = Image.open(BytesIO(data), formats=_formats(data))
            _check(image, where)
            is_jpeg = image.format in ("JPEG", "MPO")
            jpeg = picture_jpeg.scan(data) if is_jpeg else None
            if is_jpeg and image.mode == "CMYK" and (jpeg is None or jpeg.adobe is None):
                # Without the marker nobody knows whether 0 is no ink or full ink.
                what = "the CMYK JPEG has no Adobe marker, so its inks may be inverted"
                raise unreadable(where, what, "save it again as JPEG, or as PNG in RGB")
            image.load()
        except JobError:
            raise
        except Exception as error:
            raise _damaged(error, where) from None
    return Opened(image, _orientation(image), jpeg)


def _formats(data: bytes) -> tuple[str, ...]:
    """The readers that may look at a file. HEIF's is loaded only for a file of its kind: a box
    ``ftyp`` (ISO/IEC 14496-12, 4.3) comes first in it."""
    if data[4:8] != b"ftyp":
        return ("PNG", "JPEG", "TIFF", "WEBP")
    import pillow_heif

    pillow_heif.register_heif_opener()
    return ("HEIF",)


def _orientation(image: Image.Image) -> int:
    """How the camera was held; remarks that cannot be read are as good as none."""
    try:
        found = image.getexif().get(_ORIENTATION, 1)
    except Exception:
        return 1
    return found if isinstance(found, int) and found in _UPRIGHT else 1


def _check(image: Image.Image, where: Where) -> None:
    """What can be told before the pixels are unpacked."""
    if image.width * image.height > MOST_PIXELS:
        raise _too_large(where, f"{image.width} x {image.height}")
    if image.format in ("PNG", "WEBP") and getattr(image, "n_frames", 1) > 1:
        raise unreadable(where, "the picture moves", "save one frame of it as PNG")
    if image.format == "TIFF" and getattr(image, "n_frames", 1) > 1:
        raise unreadable(where, "the TIFF has several pages", "save one of them")


def _too_large(where: Where, size: str) -> JobError:
    what = f"the picture has {size} pixels; at most {MOST_PIXELS // 1_000_000} million are read"
    return unreadable(where, what, "scale it down to 300 ppi at its printed size")


def _damaged(error: Exception, where: Where) -> JobError:
    """One line for whatever a decoder raised."""
    if isinstance(error, UnidentifiedImageError):
        return unreadable(where, "the file is none of PNG, JPEG, TIFF, WebP and HEIF", AGAIN)
    if isinstance(error, Image.DecompressionBombError):
        return _too_large(where, "far more")
    text = str(error).lower()
    if "truncated" in text or "incomplete" in text or "unexpected end" in text:
        return unreadable(where, "the picture is cut short", "copy or export the file again")
    return unreadable(where, "the picture is damaged", "export it again as PNG or JPEG")


def upright(opened: Opened, where: Where) -> tuple[Image.Image, Bytes2D | None]:
    """The picture the right way up in 8 bits, and alpha if it hides anything.

    It is in greys, RGB or CMYK (255 is full ink); RGB that is grey all over comes as grey, to be
    printed with K alone.
    """
    image = opened.image
    clear = image.info.get("transparency")
    if opened.orientation in _UPRIGHT:
        image = image.transpose(_UPRIGHT[opened.orientation])
    if image.mode.startswith("I"):
        return _deep_grey(image, clear)
    alpha: Bytes2D | None = None
    if image.mode in ("P", "PA") or (clear is not None and image.mode in ("1", "L", "RGB")):
        image = image.convert("RGBA")
    if image.mode in ("LA", "RGBA"):
        alpha = np.asarray(image.getchannel("A"))
        image = image.convert("L" if image.mode == "LA" else "RGB")
    if image.mode == "1":
        image = image.convert("L")
    if image.mode not in MODES:
        raise unreadable(where, f"pictures of kind {image.mode} are not read", AGAIN)
    if image.mode == "RGB" and picture_bands.is_grey(image):
        image = image.getchannel("R")
    return image, (None if alpha is None or (alpha == 255).all() else alpha)


def _deep_grey(image: Image.Image, clear: object) -> tuple[Image.Image, Bytes2D | None]:
    """16-bit grey; its transparency is one grey value (PNG 3, 11.3.2.1)."""
    deep = np.asarray(image).astype(np.int64)
    grey = Image.fromarray((deep >> 8).clip(0, 255).astype(np.uint8))
    if not isinstance(clear, int) or not (deep == clear).any():
        return grey, None
    return grey, np.where(deep == clear, 0, 255).astype(np.uint8)
