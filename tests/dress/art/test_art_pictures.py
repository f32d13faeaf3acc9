"""PNG and JPEG files as pictures of a PDF. Pillow writes the files; PDFium and Ghostscript, who
read the result, are the judges of what a PDF shows."""

from __future__ import annotations

import io
import subprocess
import zlib
from pathlib import Path

import numpy as np
import pytest
from art_judges import AT, photo, picture_pdf, saved, seen, shown
from PIL import Image

from vardata.dress import pictures
from vardata.dress.framing import Framing
from vardata.problems import Severity

# ------------------------------------------------------------ what a PDF shows


def test_a_png_is_shown_as_it_is() -> None:
    found = pictures.from_bytes(saved(photo()), AT)
    assert (found.picture.space, found.picture.filter, found.notes) == (
        "DeviceRGB",
        "FlateDecode",
        (),
    )
    assert np.abs(shown(found.picture) - np.asarray(photo()).astype(int)).max() <= 1


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"quality": 40}])
def test_a_jpeg_goes_through_unchanged(options: dict) -> None:
    data = saved(photo(), "JPEG", **options)
    picture = pictures.from_bytes(data, AT).picture
    assert (picture.data, picture.filter, picture.space) == (data, "DCTDecode", "DeviceRGB")
    judge = np.asarray(Image.open(io.BytesIO(data))).astype(int)
    assert np.abs(shown(picture) - judge).max() <= 4  # decoders round differently


def test_a_grey_jpeg_stays_grey() -> None:
    picture = pictures.from_bytes(saved(photo("L"), "JPEG"), AT).picture
    assert (picture.space, picture.filter) == ("DeviceGray", "DCTDecode")


@pytest.mark.parametrize(
    ("ink", "channel"), [((255, 0, 0, 0), 0), ((0, 255, 0, 0), 1), ((0, 0, 255, 0), 2)]
)
def test_cmyk_is_not_inverted(ink: tuple[int, ...], channel: int) -> None:
    """Full cyan hides red and nothing else; Adobe's JPEGs hold it as 0."""
    data = saved(Image.new("CMYK", (16, 16), ink), "JPEG", quality=95)
    picture = pictures.from_bytes(data, AT).picture
    assert (picture.space, picture.filter, picture.data) == ("DeviceCMYK", "DCTDecode", data)
    assert picture.decode == (1, 0) * 4
    centre = shown(picture)[8, 8]
    assert centre[channel] < 120 < min(np.delete(centre, channel)), centre
    paper = pictures.from_bytes(saved(Image.new("CMYK", (16, 16)), "JPEG"), AT).picture
    assert shown(paper)[8, 8].min() > 250


def test_cmyk_pixels_separate_into_their_inks(tmp_path: Path) -> None:
    """Ghostscript's separations: 40 % magenta and 60 % black, by either way into the PDF."""
    image = Image.new("CMYK", (32, 16), (0, 102, 0, 153))
    data = saved(image, "JPEG", quality=100)
    for crop in (False, True):
        picture = pictures.from_bytes(data, AT, Framing(1.0 if crop else None)).picture
        assert picture.filter == ("FlateDecode" if crop else "DCTDecode")
        page, plate = tmp_path / "p.pdf", tmp_path / "p.tif"
        page.write_bytes(picture_pdf(picture))
        command = ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", "-r72"]
        subprocess.run([*command, f"-sOutputFile={plate}", str(page)], check=True, timeout=60)
        ink = {
            name: 255 - int(np.asarray(Image.open(f"{plate.with_suffix('')}({name}).tif"))[8, 8])
            for name in ("Cyan", "Magenta", "Yellow", "Black")
        }
        assert ink == pytest.approx({"Cyan": 0, "Magenta": 102, "Yellow": 0, "Black": 153}, abs=3)


# EXIF 2.3, 4.6.4 A: where the 0th row and the 0th column of the file lie in the picture.
TURNED = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],  # row 0 top, column 0 right
    3: lambda a: a[::-1, ::-1],  # bottom, right
    4: lambda a: a[::-1, :],  # bottom, left
    5: lambda a: a.transpose(1, 0, 2),  # left, top
    6: lambda a: a[:, ::-1].transpose(1, 0, 2),  # right, top
    7: lambda a: a[::-1, ::-1].transpose(1, 0, 2),  # right, bottom
    8: lambda a: a[::-1, :].transpose(1, 0, 2),  # left, bottom
}


@pytest.mark.parametrize("tag", TURNED)
@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_pictures_are_turned_upright(tag: int, kind: str) -> None:
    upright = np.asarray(photo())
    stored = Image.fromarray(np.ascontiguousarray(TURNED[tag](upright)))
    exif = Image.Exif()
    exif[0x0112] = tag
    options = {"quality": 100, "subsampling": 0} if kind == "JPEG" else {}
    picture = pictures.from_bytes(saved(stored, kind, exif=exif, **options), AT).picture
    assert (picture.width, picture.height) == (48, 32)
    assert np.abs(np.asarray(seen(picture)).astype(int) - upright).max() <= 6
    assert picture.filter == ("DCTDecode" if kind == "JPEG" and tag == 1 else "FlateDecode")


def test_cover_crops_the_middle() -> None:
    picture = pictures.from_bytes(saved(photo()), AT, Framing(1.0)).picture
    assert (picture.width, picture.height) == (32, 32)
    assert (np.asarray(seen(picture)) == np.asarray(photo())[:, 8:40]).all()
    wide = pictures.from_bytes(saved(photo()), AT, Framing(1000.0)).picture
    assert (wide.width, wide.height) == (48, 1)


def test_a_jpeg_of_the_right_shape_is_not_unpacked() -> None:
    data = saved(photo(), "JPEG")
    assert pictures.from_bytes(data, AT, Framing(1.5)).picture.data == data


# ------------------------------------------------------------ kinds of pixels


def test_rgb_that_is_grey_is_printed_with_black_alone() -> None:
    picture = pictures.from_bytes(saved(photo("L").convert("RGB")), AT).picture
    assert picture.space == "DeviceGray"
    assert (np.asarray(seen(picture).convert("L")) == np.asarray(photo("L"))).all()


def test_sixteen_bits_become_eight() -> None:
    deep = Image.fromarray(np.array([[0, 257, 32896, 65535]] * 2, dtype=np.uint16))
    picture = pictures.from_bytes(saved(deep), AT).picture
    assert (picture.space, list(zlib.decompress(picture.data)[:4])) == (
        "DeviceGray",
        [0, 1, 128, 255],
    )


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA"])
def test_every_png_kind_is_read(mode: str) -> None:
    picture = pictures.from_bytes(saved(photo(mode)), AT).picture
    judge = np.asarray(photo(mode).convert("RGB")).astype(int)
    assert np.abs(shown(picture) - judge).max() <= 1


def test_a_clear_palette_entry_is_not_painted() -> None:
    image = Image.new("P", (10, 4))
    image.putpalette([200, 0, 0, 0, 0, 200])
    image.paste(1, (0, 0, 5, 4))
    picture = pictures.from_bytes(saved(image, transparency=0), AT).picture
    page = shown(picture)
    assert page[1, 2] == pytest.approx((0, 0, 200), abs=1)
    assert tuple(page[1, 8]) == (255, 255, 255)
    assert picture.mask == bytes([0b11111000, 0] * 4)


# ------------------------------------------------------------ alpha


def with_alpha(alpha: np.ndarray) -> bytes:
    image = photo("RGBA", (alpha.shape[1], alpha.shape[0]))
    image.putalpha(Image.fromarray(alpha.astype(np.uint8)))
    return saved(image)


def test_alpha_becomes_a_stencil_at_one_half() -> None:
    alpha = np.full((20, 40), 255)
    alpha[:, 10:20], alpha[:, 20:30], alpha[:, 30:] = 128, 127, 0
    picture, (note,) = pictures.from_bytes(with_alpha(alpha), AT)
    page = shown(picture)
    assert (page[:, 20:] == 255).all(), "what is less than half there is not painted"
    # Painted in full, not mixed with the white page.
    assert np.abs(page[:, :20] - np.asarray(photo("RGB", (40, 20))).astype(int)[:, :20]).max() <= 1
    assert str(note) == (
        "photo.png: 400 pixels (66.7% of what shows) are partly transparent; those of 50 % and "
        "more are printed in full, the others not at all; give the picture hard edges if that "
        "does not do"
    )
    assert (note.kind, note.severity, note.value) == ("picture-soft", Severity.WARNING, "400")
    corners = {command[1:] for command in picture.coverage}
    assert corners == {(0, 1), (0, 0), (0.5, 0), (0.5, 1), ()}


def test_smooth_edges_are_only_noted() -> None:
    alpha = np.full((40, 40), 255)
    alpha[:, 0], alpha[:, 1] = 0, 90
    _, (note,) = pictures.from_bytes(with_alpha(alpha), AT)
    assert (note.kind, note.severity) == ("picture-soft", Severity.NOTE)


def test_full_alpha_is_none_at_all() -> None:
    picture, notes = pictures.from_bytes(with_alpha(np.full((9, 9), 255)), AT)
    assert (picture.mask, notes, picture.coverage) == (b"", (), (("re", 0, 0, 1, 1),))


def test_nothing_to_see() -> None:
    picture, (note,) = pictures.from_bytes(with_alpha(np.zeros((9, 9))), AT)
    assert (picture.coverage, picture.mask) == ((), bytes(18))
    assert (
        str(note) == "photo.png: the picture is wholly transparent; check that it is the right file"
    )


def test_noise_is_told() -> None:
    noise = np.random.default_rng(5).integers(0, 2, (700, 700)) * 255
    picture, (note,) = pictures.from_bytes(with_alpha(noise), AT)
    assert str(note) == (
        "photo.png: the picture's transparency is noise; white and gloss follow it only within 2 "
        "pixels; clean its edges"
    )
    assert len(picture.mask) == 700 * 88


# ------------------------------------------------------------ keys, sizes, places


def test_the_key_is_of_what_is_stored() -> None:
    one, same = (pictures.from_bytes(saved(photo()), AT).picture.key for _ in range(2))
    other = pictures.from_bytes(saved(photo().rotate(180)), AT).picture.key
    again = pictures.from_bytes(saved(photo(), compress_level=1), AT).picture.key
    assert one == same == again != other


def test_pixels_per_inch() -> None:
    picture = pictures.from_bytes(saved(photo(size=(300, 100))), AT).picture
    assert pictures.effective_ppi(picture, 25.4, 25.4) == pytest.approx(100)
    assert pictures.coarse(picture, 25.4, 16.9) is None
    assert str(pictures.coarse(picture, 50.8, 25.4, AT)) == (
        "photo.png: the picture has 100 ppi at 50.8 x 25.4 mm, so its pixels show; "
        "use one of 600 x 300 pixels (300 ppi)"
    )


def test_places() -> None:
    picture = pictures.from_bytes(saved(photo()), AT).picture  # 3 : 2
    assert pictures.place(picture, (10, 20, 30, 30), "contain", 15)[1:6] == (10, 25, 30, 20, 15)
    assert pictures.place(picture, (0, 0, 60, 20), "contain")[1:6] == (15, 0, 30, 20, 0)
    assert pictures.place(picture, (1, 2, 60, 20), "stretch")[1:6] == (1, 2, 60, 20, 0)
    assert pictures.place(picture, (1, 2, 60, 20), "cover")[1:6] == (1, 2, 60, 20, 0)


# ------------------------------------------------------------ what phones and programs write


def test_pictures_behind_the_first_are_left_out() -> None:
    """Phones append previews and films to a JPEG (multi-picture files)."""
    out = io.BytesIO()
    photo().save(out, "MPO", save_all=True, append_images=[photo().rotate(180)])
    picture = pictures.from_bytes(out.getvalue(), AT).picture
    assert picture.data.endswith(b"\xff\xd9") and len(picture.data) < 0.7 * len(out.getvalue())
    assert (np.asarray(seen(picture)) == np.asarray(Image.open(io.BytesIO(out.getvalue())))).all()
    jpeg = saved(photo(), "JPEG")
    assert pictures.from_bytes(jpeg + b"film" * 99, AT).picture.data == jpeg


def test_rgb_jpegs_that_only_their_names_betray_are_unpacked() -> None:
    """ISO 32000-1, table 13: without an Adobe marker a PDF reader takes three parts for YCbCr;
    libjpeg looks at the names of the parts, too, and finds R, G and B."""
    marked = saved(photo(), "JPEG", keep_rgb=True, quality=95)
    assert pictures.from_bytes(marked, AT).picture.filter == "DCTDecode"
    at = marked.index(b"Adobe") - 4
    picture = pictures.from_bytes(marked[:at] + marked[at + 16 :], AT).picture
    assert picture.filter == "FlateDecode"
    for data in (picture, pictures.from_bytes(marked, AT).picture):
        assert np.abs(shown(data) - np.asarray(photo()).astype(int)).max() <= 12


def test_profiles_are_noted() -> None:
    from PIL import ImageCms

    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("XYZ")).tobytes()
    assert pictures.from_bytes(saved(photo(), icc_profile=srgb), AT).notes == ()
    (note,) = pictures.from_bytes(saved(photo(), icc_profile=lab), AT).notes
    assert str(note) == (
        "photo.png: the picture's colour profile is not used; convert it to sRGB before"
    )
    assert note.severity is Severity.NOTE
