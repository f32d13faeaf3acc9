"""RGB converted to the machine's inks by ICC profiles, as littlecms does it.

In: pixels, the picture's own profile if it has one (else it is taken for sRGB), the path of an
output profile; or a colour that was split from RGB. Out: four inks, of pixels 255 being full
ink. The intent is relative colorimetric with black-point compensation.
"""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vardata.dress.colour import FromRgb, to_srgb
from vardata.marks import Cmyk
from vardata.problems import JobError, Problem, Severity, Where


def converted(
    pixels: NDArray[np.uint8], own: bytes | None, profile: str, where: Where
) -> NDArray[np.uint8]:
    """RGB pixels in process inks. Raises ``JobError`` where a profile cannot be used."""
    from PIL import Image, ImageCms

    try:
        transform = _transform(own or b"", profile)
        made = ImageCms.applyTransform(Image.fromarray(pixels, "RGB"), transform)
    except (ImageCms.PyCMSError, OSError):
        what = "the picture's colour profile cannot be used"
        remedy = "convert it to sRGB before"
        raise JobError(
            Problem("picture-profile", Severity.ERROR, what, remedy, where)
        ) from None
    return np.asarray(made)


@lru_cache(maxsize=1024)
def inks(paint: FromRgb, profile: str) -> Cmyk:
    """The inks of a colour that was split from sRGB; greys stay black alone."""
    red, green, blue = to_srgb(paint)
    if red == green == blue:
        return paint
    pixel = np.array([[[red, green, blue]]], np.uint8)
    found = converted(pixel, None, profile, Where())[0, 0]
    c, m, y, k = (round(int(ink) / 255, 4) for ink in found)
    return Cmyk(c, m, y, k)


@lru_cache(maxsize=8)
def _transform(own: bytes, profile: str) -> Any:
    from PIL import ImageCms

    source = ImageCms.ImageCmsProfile(io.BytesIO(own)) if own else ImageCms.createProfile("sRGB")
    return ImageCms.buildTransform(
        source, profile, "RGB", "CMYK", ImageCms.Intent.RELATIVE_COLORIMETRIC,
        ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )  # fmt: skip
