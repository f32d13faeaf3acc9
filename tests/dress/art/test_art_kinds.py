"""TIFF, WebP and HEIF, crops, holes and specks, the least ppi, conversion by profiles."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from art_judges import AT, photo, saved
from PIL import Image, ImageCms

from vardata.dress import geometry, icc, pictures
from vardata.dress.framing import Framing
from vardata.problems import JobError

CMYK_PROFILE = "/usr/share/color/icc/ghostscript/default_cmyk.icc"


def pixels(picture: pictures.Picture) -> np.ndarray:
    import zlib

    parts = {"DeviceGray": 1, "DeviceRGB": 3, "DeviceCMYK": 4}[picture.space]
    data = zlib.decompress(picture.data)
    return np.frombuffer(data, np.uint8).reshape(picture.height, picture.width, parts)


@pytest.mark.parametrize("mode", ["RGB", "CMYK", "L"])
@pytest.mark.parametrize("kind", ["TIFF", "WEBP"])
def test_other_kinds_give_the_pixels_that_were_saved(kind: str, mode: str) -> None:
    if (kind, mode) != ("WEBP", "CMYK"):  # WebP has no inks
        image = photo().convert(mode)
        data = saved(image, kind, **({"lossless": True} if kind == "WEBP" else {}))
        found = pixels(pictures.from_bytes(data, AT).picture)
        assert np.array_equal(found.squeeze(), np.asarray(image))


def test_a_webp_with_alpha_has_a_stencil() -> None:
    image = photo().convert("RGBA")
    image.putalpha(Image.new("L", image.size, 0))
    image.paste((10, 20, 200, 255), (5, 5, 25, 15))
    picture = pictures.from_bytes(saved(image, "WEBP", lossless=True), AT).picture
    mask = np.unpackbits(np.frombuffer(picture.mask, np.uint8))
    assert mask.sum() == 20 * 10


def test_heif_is_read_the_right_way_up() -> None:
    """A camera's picture, turned by its remark; the codec is lossy, so halves are compared."""
    import pillow_heif

    image = Image.new("RGB", (128, 64), "red")
    image.paste("blue", (64, 0, 128, 64))
    exif = Image.Exif()
    exif[0x0112] = 6  # EXIF 2.3, 4.6.4: the first row is at the right
    out = io.BytesIO()
    pillow_heif.from_pillow(image).save(out, exif=exif.tobytes())
    found = pixels(pictures.from_bytes(out.getvalue(), AT).picture).astype(int)
    assert found.shape == (128, 64, 3)
    top, bottom = found[8:56].mean(axis=(0, 1)), found[72:120].mean(axis=(0, 1))
    assert top[0] > 200 > 60 > top[2] and bottom[2] > 200 > 60 > bottom[0]


def test_what_is_kept_of_a_crop_is_the_anchor() -> None:
    image = Image.new("RGB", (40, 20), "red")
    image.paste("blue", (20, 0, 40, 20))
    data = saved(image)
    for x, colour in ((0.0, (255, 0, 0)), (1.0, (0, 0, 255))):
        found = pixels(pictures.from_bytes(data, AT, Framing(1.0, (x, 0.5))).picture)
        assert found.shape == (20, 20, 3) and (found == colour).all()
    tall = saved(image.transpose(Image.Transpose.ROTATE_90))  # blue above red
    for y, colour in ((0.0, (255, 0, 0)), (1.0, (0, 0, 255))):
        found = pixels(pictures.from_bytes(tall, AT, Framing(1.0, (0.5, y))).picture)
        assert (found == colour).all()


def test_white_by_ink_leaves_the_paper_out() -> None:
    image = Image.new("RGB", (40, 40), "white")
    image.paste((200, 60, 0), (10, 5, 30, 35))
    data = saved(image)
    assert pictures.from_bytes(data, AT).picture.mask == b""
    picture = pictures.from_bytes(data, AT, Framing(ink=0.02)).picture
    mask = np.unpackbits(np.frombuffer(picture.mask, np.uint8)).reshape(40, 40)
    assert mask.sum() == 20 * 30 and mask[5:35, 10:30].all()


def test_small_holes_are_closed_and_specks_dropped() -> None:
    """Areas by hand: a square of 10 mm with holes of 1 and 4 mm2, and a speck of 0.25 mm2."""
    area = geometry.union((
        geometry.rectangle((0, 0, 10, 10))
        .difference(geometry.rectangle((1, 1, 2, 2)))
        .difference(geometry.rectangle((5, 5, 7, 7))),
        geometry.rectangle((12, 12, 12.5, 12.5)),
    ))  # fmt: skip
    assert area.area == pytest.approx(95.25)
    # A circle of 1.2 mm has 1.13 mm2, one of 2.3 mm has 4.15 mm2, one of 0.6 mm has 0.28 mm2.
    assert geometry.tidied(area, 1.2, 0.0).area == pytest.approx(96.25)
    assert geometry.tidied(area, 2.3, 0.6).area == pytest.approx(100.0)
    assert geometry.tidied(area, 0.0, 0.5).area == pytest.approx(95.25)


@pytest.mark.parametrize(
    ("stretch", "aspect", "ppi"), [(False, None, 127), (True, None, 127), (False, 2.0, 127)]
)
def test_a_picture_with_too_few_pixels_is_refused(
    stretch: bool, aspect: float | None, ppi: int
) -> None:
    """200 x 100 pixels in a box of 40 x 20 mm: 200 / 40 * 25.4 = 127 ppi."""
    wanted = Framing(aspect, size=(40.0, 20.0), stretch=stretch, min_ppi=128.0)
    problem = pictures.too_coarse((200, 100), wanted, AT)
    assert str(problem) == (
        f"photo.png: it has {ppi} ppi at its size, and at least 128 are wanted; "
        'use one with more pixels, or lower "min_ppi"'
    )
    assert pictures.too_coarse((200, 100), wanted._replace(min_ppi=127.0), AT) is None


# ------------------------------------------------------------ conversion by profiles


def test_greys_stay_black_alone_and_rgb_becomes_ink() -> None:
    wanted = Framing(profile=CMYK_PROFILE)
    grey = Image.new("RGB", (4, 4), (90, 90, 90))
    assert pictures.from_bytes(saved(grey), AT, wanted).picture.space == "DeviceGray"
    found = pictures.from_bytes(saved(Image.new("RGB", (4, 4), (200, 30, 30))), AT, wanted)
    assert found.picture.space == "DeviceCMYK" and found.notes == ()
    cyan, magenta, yellow, _ = (int(part) for part in pixels(found.picture)[0, 0])
    assert cyan < 60 and magenta > 200 and yellow > 180


def test_a_jpeg_is_converted_too() -> None:
    data = saved(Image.new("RGB", (8, 8), (30, 120, 60)), "JPEG")
    assert pictures.from_bytes(data, AT).picture.filter == "DCTDecode"
    made = pictures.from_bytes(data, AT, Framing(profile=CMYK_PROFILE)).picture
    assert made.space == "DeviceCMYK"


def test_a_profile_that_is_no_profile_is_one_clear_line() -> None:
    with pytest.raises(JobError) as caught:
        icc.converted(np.zeros((1, 1, 3), np.uint8), b"nonsense", CMYK_PROFILE, AT)
    assert str(caught.value) == (
        "photo.png: the picture's colour profile cannot be used; convert it to sRGB before"
    )


def test_converted_colours_look_as_they_did() -> None:
    """60 patches of sRGB, converted to ink and judged by colour-science and by the profile's own
    table of colours, read here by ICC.1, 10.10 (lut8Type/lut16Type), not by a colour engine.

    Patches that the inks cannot print are left out: by the profile's own account they are those
    that come back changed. CIEDE2000 below 3 is a difference that one has to look for
    (common practice, no source)."""
    import colour
    from icc_table import lab_of_inks

    steps = (70, 110, 150, 190, 220)
    patches = np.array([(r, g, b) for r in steps for g in steps for b in steps
                        if max(r, g, b) - min(r, g, b) in range(1, 85)], np.uint8)[:90]  # fmt: skip
    ink = icc.converted(patches[:, None, :], None, CMYK_PROFILE, AT)[:, 0, :]
    seen = lab_of_inks(Path(CMYK_PROFILE).read_bytes(), ink / 255.0)
    xyz = colour.sRGB_to_XYZ(patches / 255.0)
    d50, d65 = (colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][i]
                for i in ("D50", "D65"))  # fmt: skip
    adapted = colour.chromatic_adaptation(
        xyz, colour.xy_to_XYZ(d65), colour.xy_to_XYZ(d50), method="Von Kries", transform="Bradford"
    )
    wanted = colour.XYZ_to_Lab(adapted, d50)
    off = colour.delta_E(wanted, seen, method="CIE 2000")
    assert len(patches) >= 50
    assert np.median(off) < 3.0 and (off < 5.0).sum() >= 50


def test_our_profile_for_rgb_is_srgb() -> None:
    """Primaries by IEC 61966-2-1 adapted to D50 (as colour-science has them)."""
    from vardata.output.pdf.standard import srgb_profile

    profile = ImageCms.ImageCmsProfile(io.BytesIO(srgb_profile())).profile
    assert profile.red_primary is not None
    x, y, _ = profile.red_primary[1]
    assert (x, y) == (pytest.approx(0.648, abs=0.003), pytest.approx(0.331, abs=0.003))
