"""Pictures fill their boxes the right way up, masked by stencils; PDFium and Ghostscript judge."""

from __future__ import annotations

import io

import numpy as np
import pikepdf
import pypdfium2
import pytest
from bedkit import COLOUR, WHITE, ink_box, make_bed, make_layout, page, separations, write
from PIL import Image as Pillow

from vardata.deflated import deflated
from vardata.dress.drawing import Picture
from vardata.marks import BLACK, Image, Placement

SIZE = (50.8, 25.4)
HERE = Placement(25.4, 12.7, 0.0)
RED, GREEN, BLUE, GREY = (255, 0, 0), (0, 255, 0), (0, 0, 255), (128, 128, 128)
PIXELS = np.array([[RED, GREEN, BLUE], [GREY, RED, GREEN]], dtype=np.uint8)


def picture(pixels=PIXELS, space="DeviceRGB", mask=b"", decode=()) -> Picture:
    high, wide = pixels.shape[:2]
    data = deflated(pixels.tobytes())
    return Picture("p", wide, high, space, "FlateDecode", data, decode, mask, ())


def put(path, shown: Picture, *marks) -> None:
    write(path, page(*marks, at=HERE), bed=make_bed(*SIZE), layout=make_layout(*SIZE),
          pictures={"p": shown}.__getitem__)  # fmt: skip


def seen(path) -> np.ndarray:
    """The page at 72 dpi: 144 by 72 dots."""
    return np.asarray(pypdfium2.PdfDocument(path)[0].render(scale=1).to_pil().convert("RGB"))


def at(pixels: np.ndarray, x: float, y: float) -> tuple[int, ...]:
    """The colour at (x, y) mm."""
    return tuple(int(v) for v in pixels[int(72 - y * 72 / 25.4), int(x * 72 / 25.4)])


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_a_picture_stands_upright_in_its_turned_box(tmp_path, turns):
    """Row 0 is on top; the box is turned counter-clockwise about its own centre."""
    put(tmp_path / "p.pdf", picture(), Image(COLOUR, BLACK, "p", 10, 6, 15, 10, 90.0 * turns))
    turned = np.rot90(PIXELS, turns)
    rows, columns = turned.shape[:2]
    w, h = (15, 10) if turns % 2 == 0 else (10, 15)
    left, low = 17.5 - w / 2, 11 - h / 2
    page_seen = seen(tmp_path / "p.pdf")
    for row in range(rows):
        for column in range(columns):
            x = left + (column + 0.5) * w / columns
            y = low + h - (row + 0.5) * h / rows
            assert at(page_seen, x, y) == pytest.approx(tuple(turned[row, column]), abs=3)
    assert at(page_seen, left - 0.6, 11) == (255, 255, 255)


def test_a_mask_lets_the_ground_through(tmp_path):
    """1 is painted. Under it all, the other plates stay: nothing is erased outside the mask."""
    shown = picture(mask=bytes([0b10100000, 0b01000000]))
    put(tmp_path / "p.pdf", shown, Image(COLOUR, BLACK, "p", 10, 6, 15, 10, 0.0))
    page_seen = seen(tmp_path / "p.pdf")
    for row, column, painted in ((0, 0, 1), (0, 1, 0), (0, 2, 1), (1, 0, 0), (1, 1, 1), (1, 2, 0)):
        colour = at(page_seen, 10 + 5 * column + 2.5, 16 - 5 * row - 2.5)
        wanted = tuple(PIXELS[row, column]) if painted else (255, 255, 255)
        assert colour == pytest.approx(wanted, abs=3), (row, column)
    with pikepdf.open(tmp_path / "p.pdf") as pdf:
        images = list(pdf.pages[0].Resources.XObject.values())
        assert images and all("/SMask" not in image for image in images)


@pytest.mark.parametrize("dpi", ["600", "1440x720"])
def test_white_under_a_picture_is_its_mask(tmp_path, dpi):
    """Painted in the tint asked for, and by whole dots where the box lies on dots."""
    shown = picture(mask=bytes([0b10100000, 0b01000000]))
    put(tmp_path / "p.pdf", shown, Image(WHITE, 0.5, "p", 12.7, 6.35, 19.05, 12.7, 0.0))
    white = separations(tmp_path / "p.pdf", dpi)["White"]
    dx, dy = (white.shape[1] // 8, white.shape[0] // 4)  # dots of 6.35 mm
    block = np.repeat(np.repeat(np.array([[1, 0, 1], [0, 1, 0]]), dy, axis=0), dx, axis=1)
    wanted = np.zeros(white.shape, dtype=bool)
    wanted[dy : 3 * dy, 2 * dx : 5 * dx] = block
    assert np.array_equal(white > 0, wanted)
    assert set(np.unique(white)) <= {0, 127, 128}


def test_white_under_an_opaque_picture_is_its_box(tmp_path):
    put(tmp_path / "p.pdf", picture(), Image(WHITE, 1.0, "p", 12.7, 6.35, 19.05, 12.7, 0.0),
        Image(WHITE, 1.0, "p", 40.0, 10.0, 6.0, 2.0, 90.0))  # fmt: skip
    white = separations(tmp_path / "p.pdf", "600")["White"]
    assert np.count_nonzero(white[:, :900]) == 450 * 300
    turned = ink_box(white[:, 900:], 600)
    assert turned == pytest.approx((42 - 38.1, 8.0, 44 - 38.1, 14.0), abs=0.09)


def test_a_jpeg_in_inverted_cmyk_keeps_its_inks(tmp_path):
    """Pillow, as others, stores CMYK turned round; Decode turns it back (8.9.5.2)."""
    inks = np.zeros((16, 16, 4), dtype=np.uint8)
    inks[..., 1] = 204
    buffer = io.BytesIO()
    Pillow.fromarray(inks, "CMYK").save(buffer, "JPEG", quality=95)
    shown = Picture("p", 16, 16, "DeviceCMYK", "DCTDecode", buffer.getvalue(),
                    (1.0, 0.0) * 4, b"", ())  # fmt: skip
    put(tmp_path / "p.pdf", shown, Image(COLOUR, BLACK, "p", 0, 0, *SIZE, 0.0))
    plates = separations(tmp_path / "p.pdf", "72")
    middle = {name: int(ink[36, 72]) for name, ink in plates.items()}
    assert middle["Magenta"] == pytest.approx(204, abs=4)
    assert max(middle[name] for name in ("Cyan", "Yellow", "Black")) <= 4


def test_grey_pictures_print_in_black_only(tmp_path):
    shown = picture(np.full((2, 2), 64, dtype=np.uint8), "DeviceGray")
    put(tmp_path / "p.pdf", shown, Image(COLOUR, BLACK, "p", 0, 0, *SIZE, 0.0))
    plates = separations(tmp_path / "p.pdf", "72")
    assert int(plates["Black"][36, 72]) == pytest.approx(255 - 64, abs=2)
    assert not any(plates[name].any() for name in ("Cyan", "Magenta", "Yellow", "White"))
