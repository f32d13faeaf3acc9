"""Codes on dots: every module whole, no edge off by one, in every turn. Judged by Ghostscript."""

from __future__ import annotations

import numpy as np
import pikepdf
import pypdfium2
import pytest
from bedkit import (
    BOOK,
    COLOUR,
    NO_STATICS,
    WHITE,
    judge,
    make_bed,
    make_layout,
    no_pictures,
    page,
    same,
    separations,
    write,
)
from PIL import Image as Pillow

from vardata.marks import BLACK, Cmyk, Item, ModuleGrid, Placement
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.look import LookForms
from vardata.output.pdf.operators import stencil_image


def pattern(rows: int, columns: int, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).random((rows, columns)) < 0.5


def packed(modules: np.ndarray) -> bytes:
    return np.packbits(modules, axis=1).tobytes()


def on_bed(
    modules: np.ndarray, quarters: int, dots: tuple[int, int], corner: tuple[int, int], high: int,
    wide: int,
) -> np.ndarray:  # fmt: skip
    """The bed's dots with the turned symbol, its lower left corner ``corner`` dots in."""
    turned = np.rot90(modules, quarters)
    big = np.repeat(np.repeat(turned, dots[1], axis=0), dots[0], axis=1)
    bed = np.zeros((high, wide), dtype=bool)
    top = high - corner[1] - big.shape[0]
    bed[top : top + big.shape[0], corner[0] : corner[0] + big.shape[1]] = big
    return bed


# Dots per inch, dots of a module in x and y on the bed.
MODES = {"600": ((600, 600), (8, 8)), "1440x720": ((1440, 720), (18, 9)),
         "720": ((720, 720), (9, 9)), "1200x600": ((1200, 600), (11, 6))}  # fmt: skip


@pytest.mark.parametrize("dpi", list(MODES))
@pytest.mark.parametrize("turn", [0, 1, 2, 3])
@pytest.mark.parametrize("item_angle", [0.0, 90.0, 270.0])
def test_every_module_is_whole(tmp_path, dpi, turn, item_angle):
    """Many symbols over a bed of a whole number of dots, so that nothing hides in rounding."""
    (dx, dy), dots = MODES[dpi]
    size = (25.4 * 2, 25.4)
    wide, high = 2 * dx, dy
    bed, layout = make_bed(*size), make_layout(*size)
    net = (turn + round(item_angle / 90)) % 4
    marks, wanted = [], np.zeros((high, wide), dtype=bool)
    for n, (column, row) in enumerate((c, r) for c in range(4) for r in range(2)):
        modules = pattern(11, 14, n)
        corner = (column * dx // 2 + 3 + 5 * n, row * dy // 2 + 2 + 3 * n)
        wanted |= on_bed(modules, net, dots, corner, high, wide)
        w, h = (11, 14) if net % 2 else (14, 11)
        # On the bed the turned box starts at the corner; the item frame is turned back from it.
        left, low = corner[0] * 25.4 / dx, corner[1] * 25.4 / dy
        bw, bh = w * dots[0] * 25.4 / dx, h * dots[1] * 25.4 / dy
        cx, cy = left + bw / 2 - size[0] / 2, low + bh / 2 - size[1] / 2
        for _ in range(round(item_angle / 90)):
            cx, cy = cy, -cx
        gw, gh = (bh, bw) if net % 2 else (bw, bh)
        marks.append(ModuleGrid(COLOUR, BLACK, 14, 11, packed(modules),
                                cx + size[0] / 2 - gw / 2, cy + size[1] / 2 - gh / 2, gw, gh,
                                turn))  # fmt: skip
    at = Placement(size[0] / 2, size[1] / 2, item_angle)
    write(tmp_path / "c.pdf", page(*marks, at=at), bed=bed, layout=layout)
    ink = separations(tmp_path / "c.pdf", dpi)["Black"]
    assert ink.shape == (high, wide)
    assert set(np.unique(ink)) == {0, 255}
    assert np.array_equal(ink > 0, wanted)


def test_one_row_of_bars_on_the_white_plate(tmp_path):
    """A linear code is one row; bars stretch over the whole height."""
    modules = pattern(1, 67, 5)
    dot = 25.4 / 600
    size = (25.4 * 2, 25.4)
    grid = ModuleGrid(WHITE, 1.0, 67, 1, packed(modules), 100 * dot, 50 * dot, 67 * 7 * dot,
                      211 * dot, 0)  # fmt: skip
    write(tmp_path / "c.pdf", page(grid, at=Placement(25.4, 12.7, 0.0)), bed=make_bed(*size),
          layout=make_layout(*size))  # fmt: skip
    ink = separations(tmp_path / "c.pdf", "600")["White"]
    wanted = np.zeros((600, 1200), dtype=bool)
    wanted[600 - 50 - 211 : 600 - 50, 100 : 100 + 67 * 7] = np.repeat(modules[0], 7)
    assert np.array_equal(ink > 0, wanted)


def test_a_ground_on_dots_has_no_row_too_many(tmp_path):
    """A light ground ends on dots; a renderer that paints every touched dot must not add one."""
    from vardata.marks import Path

    size = (25.4 * 2, 25.4)
    for dpi, (dx, dy) in (("600", (600, 600)), ("1440x720", (1440, 720))):
        marks, wanted = [], np.zeros((dy, 2 * dx), dtype=bool)
        for n in range(12):
            x, y, w, h = 7 + n * dx // 7, 5 + n * dy // 17, dx // 9 + n, dy // 5 + 3 * n
            wanted[dy - y - h : dy - y, x : x + w] = True
            box = ("re", x * 25.4 / dx, y * 25.4 / dy, w * 25.4 / dx, h * 25.4 / dy)
            marks.append(Path(WHITE, 1.0, (box,)))
        path = tmp_path / f"g{dpi}.pdf"
        write(path, page(*marks, at=Placement(25.4, 12.7, 0.0)), bed=make_bed(*size),
              layout=make_layout(*size))  # fmt: skip
        assert np.array_equal(separations(path, dpi)["White"] > 0, wanted), dpi


@pytest.mark.parametrize("bits", [b"\xf0EI\x0f", b"\0\x80", b"\n\xff", b"\x20\x20", b"\xff"])
def test_data_that_could_mislead_a_reader_is_still_drawn(tmp_path, bits):
    """EI within the data, white space before it: the same dots in every renderer."""
    modules = np.unpackbits(np.frombuffer(bits, dtype=np.uint8))[None, :].astype(bool)
    n = modules.shape[1]
    size = (n * 25.4 / 72 * 4, 25.4 / 72 * 12)
    grid = ModuleGrid(COLOUR, BLACK, n, 1, bits, 0.0, 0.0, *size, 0)
    write(tmp_path / "c.pdf", page(grid, at=Placement(size[0] / 2, size[1] / 2, 0.0)),
          bed=make_bed(*size), layout=make_layout(*size))  # fmt: skip

    judge("gs", "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=pnggray", "-r72",
          f"-sOutputFile={tmp_path}/gs.png", tmp_path / "c.pdf")  # fmt: skip
    judge("pdftoppm", "-r", "72", "-gray", "-png", "-singlefile", tmp_path / "c.pdf",
          tmp_path / "poppler")  # fmt: skip
    judge("mutool", "draw", "-q", "-r", "72", "-o", tmp_path / "mupdf.png", tmp_path / "c.pdf")
    pypdfium2.PdfDocument(tmp_path / "c.pdf")[0].render(scale=1).to_pil().save(
        tmp_path / "pdfium.png"
    )
    for name in ("gs", "poppler", "mupdf", "pdfium"):
        grey = np.asarray(Pillow.open(tmp_path / f"{name}.png").convert("L"))
        assert np.array_equal(grey[6, 2::4] < 128, modules[0]), name
    assert b"EI" not in stencil_image(n, 1, bits)[:-2].partition(b"ID ")[2]


def bed_of_codes(many: int = 40) -> PageContent:
    """Items of 6 mm, 8 in a row, each with a code of its own in black and one in red."""
    items = []
    for n in range(many):
        marks = tuple(
            ModuleGrid(COLOUR, paint, 21, 21, packed(pattern(21, 21, 2 * n + turn)), x, 1.0, 2.0,
                       2.0, turn)
            for turn, (x, paint) in enumerate(((0.5, BLACK), (3.0, Cmyk(0.0, 1.0, 1.0, 0.0))))
        )  # fmt: skip
        at = Placement(4.0 + 6.5 * (n % 8), 4.0 + 6.5 * (n // 8), 0.0)
        items.append((at, Item(f"s!{n}#1", marks)))
    return PageContent(tuple(items), "")


def test_many_codes_are_a_form_and_look_as_few_do(tmp_path, monkeypatch):
    """In Ghostscript's separation and in three viewers; each paint is a form."""
    from vardata.output.pdf import content

    settings = {"bed": make_bed(56.0, 36.0), "layout": make_layout(6.0, 6.0)}
    write(tmp_path / "forms.pdf", bed_of_codes(), **settings)
    monkeypatch.setattr(content, "_MANY", 1_000_000)
    write(tmp_path / "inline.pdf", bed_of_codes(), **settings)
    with pikepdf.open(tmp_path / "forms.pdf") as pdf:
        assert len(pdf.pages[0].Resources.XObject) == 2
    plates = [separations(tmp_path / f"{name}.pdf", "600") for name in ("forms", "inline")]
    same(*plates, "Black", "Magenta", "Yellow")
    for name in ("forms", "inline"):
        path = tmp_path / f"{name}.pdf"
        judge("pdftoppm", "-r", "300", "-png", "-singlefile", path, tmp_path / f"poppler-{name}")
        judge("mutool", "draw", "-q", "-r", "300", "-o", tmp_path / f"mupdf-{name}.png", path)
        sheet = pypdfium2.PdfDocument(path)[0]
        sheet.render(scale=300 / 72).to_pil().save(tmp_path / f"pdfium-{name}.png")
    for viewer in ("poppler", "mupdf", "pdfium"):
        forms, inline = (
            np.asarray(Pillow.open(tmp_path / f"{viewer}-{name}.png").convert("RGB"))
            for name in ("forms", "inline")
        )
        assert np.ptp(forms) > 200
        assert np.array_equal(forms, inline), viewer


def test_codes_of_a_bed_and_of_its_picture_are_the_same_bytes(tmp_path):
    """They are most of the bytes, and are squeezed once for both files."""
    bed, layout, content = make_bed(56.0, 36.0), make_layout(6.0, 6.0), bed_of_codes()
    write(tmp_path / "bed.pdf", content, bed=bed, layout=layout)
    forms = LookForms(bed=bed, layout=layout, statics=NO_STATICS, book=BOOK, pictures=no_pictures,
                      substrate=lambda item: "#202020", outline=(("re", 0.0, 0.0, 6.0, 6.0),))
    forms.add(content)
    streams = {body.stream for body in forms.objects().values()}
    with pikepdf.open(tmp_path / "bed.pdf") as pdf:
        for form in pdf.pages[0].Resources.XObject.values():
            assert b"stream\n%b\nendstream" % form.read_raw_bytes() in streams
