"""Pages of other PDFs in a bed: what they print, against the same page alone.

The pages are made by reportlab; Ghostscript separates both. A page is placed at its own size on
whole pixels, so its plates on the bed have to be its plates alone.
"""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from bedkit import MIDDLE, WHITE, judge
from bedkit import write as write_file
from pagekit import HERE, MM, H, W, bed_of, made, plates, taken
from reportlab.pdfgen.canvas import Canvas

from vardata.dress.drawing import Picture
from vardata.dress.framing import Framing
from vardata.dress.page import read_page
from vardata.dress.pictures import load_picture
from vardata.marks import BLACK, Image, Item
from vardata.marks import Path as Outline
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.standard import Standard
from vardata.problems import JobError


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_page_prints_on_a_bed_as_it_prints_alone(tmp_path: Path, turn: int) -> None:
    data = made(turn=turn)
    (tmp_path / "alone.pdf").write_bytes(data)
    wide, high = (H, W) if turn % 180 else (W, H)
    alone = plates(tmp_path / "alone.pdf")
    bed = plates(bed_of(tmp_path / "bed.pdf", taken(data), wide * MM, high * MM))
    left, bottom = 288, 144  # pixels at 288 dpi
    for ink, plate in alone.items():
        rows, columns = plate.shape
        whole = bed[ink]
        seen = whole[whole.shape[0] - bottom - rows : whole.shape[0] - bottom,
                     left : left + columns]  # fmt: skip
        assert plate.any() or ink == "Yellow"
        if ink == "Cyan":
            assert plate.max() == pytest.approx(0.6 * 255, abs=1), "the page lost its transparency"
        # Edges on whole pixels may fall to either side; elsewhere at most 1 level.
        off = np.abs(seen.astype(int) - plate) > 1
        assert off.sum() <= 0.004 * plate.size, (ink, int(off.sum()))
    assert {"Emerald", "Magenta", "Cyan", "Black"} <= set(alone)


def test_fonts_and_spot_colours_stay_what_they_are(tmp_path: Path) -> None:
    path = bed_of(tmp_path / "bed.pdf", taken(made()), W * MM, H * MM)
    assert judge("pdftotext", path, "-").split() == ["Fernhollow"]
    assert "yes yes" in " ".join(judge("pdffonts", path).split()), "embedded, and a subset"
    with pikepdf.open(path) as pdf:
        spaces = [o for o in pdf.objects if isinstance(o, pikepdf.Array) and len(o) == 4
                  and o[0] == "/Separation"]  # fmt: skip
    assert "/Emerald" in {str(space[1]) for space in spaces}
    assert "No syntax" in judge("qpdf", "--check", path)


def test_a_page_used_by_many_items_is_stored_once(tmp_path: Path) -> None:
    one = bed_of(tmp_path / "1.pdf", taken(made()), W * MM, H * MM)
    many = bed_of(tmp_path / "48.pdf", taken(made()), W * MM, H * MM, items=48)
    assert many.stat().st_size - one.stat().st_size < 500
    with pikepdf.open(many) as pdf:
        forms = [o for o in pdf.objects if isinstance(o, pikepdf.Stream)
                 and o.get("/Subtype") == "/Form"]  # fmt: skip
    assert len(forms) == 1


def test_the_same_page_gives_the_same_bytes(tmp_path: Path) -> None:
    files = [bed_of(tmp_path / f"{n}.pdf", taken(made()), W * MM, H * MM) for n in (1, 2)]
    assert files[0].read_bytes() == files[1].read_bytes()


def painted(picture: Picture) -> np.ndarray:
    bits = np.unpackbits(np.frombuffer(picture.mask, np.uint8)).astype(bool)
    stride = -(-picture.width // 8) * 8
    return bits.reshape(picture.height, stride)[:, : picture.width]


def test_white_lies_under_what_is_painted(tmp_path: Path) -> None:
    """Two squares that overlap and a disc that is partly transparent, by the areas of geometry."""
    shown = painted(taken(made(), dpi=720.0, size=(W * MM, H * MM)))
    scale = shown.shape[1] / W
    assert scale == pytest.approx(10.0, rel=1e-3)
    squares = shown[:, : int(84 * scale)][int(24 * scale) :]  # below 48 pt, without letters
    want = 48 * 36 + 48 * 24 - 24 * 24
    assert squares.sum() / scale**2 == pytest.approx(want, rel=0.01)
    disc = shown[:, int(84 * scale) :]
    assert disc.sum() / scale**2 == pytest.approx(np.pi * 24**2, rel=0.01)


def test_a_white_ground_is_no_ink(tmp_path: Path) -> None:
    """A page with a white rectangle behind everything, as office programs make it."""
    bare = painted(taken(made()))
    grounded = made(ground=True)
    assert taken(grounded).mask == b"", "by alpha all of it is painted"
    by_ink = painted(taken(grounded, ink=0.02))
    assert (by_ink != bare).mean() < 0.004


def test_the_trim_box_is_what_fills_the_box(tmp_path: Path) -> None:
    data = made(trim=True)
    trim, media = taken(data), taken(data, box="media")
    assert trim.width / trim.height == pytest.approx(120 / 48, rel=2e-3)
    assert media.width / media.height == pytest.approx(2.0, rel=2e-3)


@pytest.mark.parametrize(("anchor", "kept"), [((0.0, 0.5), 0), ((1.0, 0.5), 1)])
def test_a_page_that_covers_its_box_is_cropped(
    anchor: tuple[float, float], kept: int
) -> None:
    picture = taken(made(), aspect=1.0, anchor=anchor)
    assert picture.width == pytest.approx(picture.height, abs=1)
    with pikepdf.open(io.BytesIO(picture.data)) as pdf:
        left = [0.0, W - H][kept]
        assert [float(n) for n in pdf.pages[0].MediaBox] == [left, 0, left + H, H]


# ------------------------------------------------------------ what is refused


def spoiled(spoil: str) -> bytes:
    with pikepdf.open(io.BytesIO(made())) as pdf:
        page = pdf.pages[0].obj
        out = io.BytesIO()
        if spoil == "locked":
            pdf.save(out, encryption=pikepdf.Encryption(user="u", owner="o"))
            return out.getvalue()
        if spoil == "font":
            (sans,) = (key for key in page.Resources.Font if key != "/F1")
            page.Resources.Font[sans] = pdf.make_indirect(pikepdf.Dictionary(
                Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1,
                BaseFont=pikepdf.Name.Helvetica,
            ))  # fmt: skip
        if spoil == "layer":
            group = pdf.make_indirect(
                pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name="Draft")
            )
            pdf.Root.OCProperties = pikepdf.Dictionary(
                OCGs=[group], D=pikepdf.Dictionary(OFF=[group])
            )
            page.Resources.Properties = pikepdf.Dictionary(MC0=group)
        if spoil == "outside":
            form = pdf.make_stream(b"", Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form)
            form.Ref = pikepdf.Dictionary(F="other.pdf", Page=0)
            page.Resources.XObject = pikepdf.Dictionary(X1=form)
            page.Contents = pdf.make_stream(page.Contents.read_bytes() + b"\n/X1 Do")
        pdf.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "page", "line"),
    [
        (b"%PDF-1.4\nnothing", 1, "the PDF is damaged; export it again"),
        (made(), 2, 'the PDF has 1 page, and page 2 is asked for; mend "page"'),
        (spoiled("locked"), 1,
         "the PDF is locked with a password; save it without a password"),
        (spoiled("font"), 1,
         "the font 'Helvetica' is not in the PDF; export it with all fonts embedded"),
        (spoiled("layer"), 1, "the layer 'Draft' is off and would be printed; "
         "take it out of the PDF, or switch it on"),
        (spoiled("outside"), 1, "the PDF takes content from outside itself; "
         "export it with everything embedded"),
    ],
    ids=["damaged", "page", "locked", "font", "layer", "outside"],
)  # fmt: skip
def test_a_page_that_would_not_print_as_it_is_seen_is_refused(
    data: bytes, page: int, line: str
) -> None:
    with pytest.raises(JobError) as caught:
        read_page(data, HERE, Framing(page=page))
    assert str(caught.value) == f"crest.pdf: {line}"


# ------------------------------------------------------------ EPS


EPS = b"""%!PS-Adobe-3.0 EPSF-3.0
%%BoundingBox: 10 20 82 56
0 1 0 0 setcmykcolor 10 20 36 36 rectfill
[/Separation /Emerald /DeviceCMYK {dup 0.8 mul exch 0 exch 0.6 mul 0}] setcolorspace
1 setcolor 46 20 36 36 rectfill
showpage
"""


def test_eps_becomes_a_page_cropped_to_its_box(tmp_path: Path) -> None:
    (tmp_path / "art.eps").write_bytes(EPS)
    picture = load_picture(tmp_path / "art.eps")._replace(key="page")
    assert picture.width / picture.height == pytest.approx(2.0, rel=2e-3)
    found = plates(bed_of(tmp_path / "bed.pdf", picture, 25.4, 12.7), 72)
    inch = slice(-72, -36)
    assert (found["Magenta"][inch, 74:106] == 255).all() and not found["Cyan"].any()
    assert (found["Emerald"][inch, 110:142] == 255).all()


def test_eps_without_ghostscript_is_one_clear_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "art.eps").write_bytes(EPS)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(JobError) as caught:
        load_picture(tmp_path / "art.eps")
    assert str(caught.value) == (
        "art.eps: EPS needs the program Ghostscript, which is not installed; "
        "install it, or save the art as PDF"
    )


def test_eps_that_is_broken_is_one_clear_line(tmp_path: Path) -> None:
    (tmp_path / "art.eps").write_bytes(b"%!PS-Adobe-3.0 EPSF-3.0\nthis is no operator\n")
    with pytest.raises(JobError) as caught:
        load_picture(tmp_path / "art.eps")
    assert str(caught.value) == (
        "art.eps: Ghostscript cannot read the EPS; export it again, or save it as PDF"
    )


def test_white_beside_a_page_stays(tmp_path: Path) -> None:
    """The page is painted first, so nothing in it takes white away."""
    square = (("re", 0.0, 0.0, 60.0, 40.0),)
    marks = (Image(0, BLACK, "page", 5.0, 5.0, 50.0, 25.0, 0.0), Outline(WHITE, 1.0, square))
    write_file(
        tmp_path / "bed.pdf", PageContent(((MIDDLE, Item("r", marks)),), ""),
        pictures={"page": taken(made())}.__getitem__,
    )  # fmt: skip
    found = plates(tmp_path / "bed.pdf")
    assert (found["White"][5:-5, 5:-5] == 255).all() and found["Emerald"].any()


def test_rgb_in_a_page_has_a_meaning_in_pdf_x(tmp_path: Path) -> None:
    """ISO 15930-7 (from memory): no plain RGB under an output intent of inks, unless DefaultRGB
    says what it is; forms within forms have resources of their own."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(W, H), invariant=1)
    canvas.beginForm("inner")
    canvas.setFillColorRGB(0.9, 0.2, 0.1)
    canvas.rect(10, 10, 50, 50, stroke=0, fill=1)
    canvas.endForm()
    canvas.doForm("inner")
    canvas.showPage()
    canvas.save()
    picture = taken(out.getvalue())
    mark = Image(0, BLACK, "page", 5.0, 5.0, 50.0, 25.0, 0.0)
    profile = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc").read_bytes()
    write_file(
        tmp_path / "b.pdf", PageContent(((MIDDLE, Item("r", (mark,))),), ""),
        pictures={"page": picture}.__getitem__, standard=Standard("pdf/x-4", profile, "press"),
    )  # fmt: skip
    with pikepdf.open(tmp_path / "b.pdf") as pdf:
        forms = [o for o in pdf.objects
                 if isinstance(o, pikepdf.Stream) and o.get("/Subtype") == "/Form"]  # fmt: skip
        assert len(forms) == 2
        for form in forms:
            assert form.Resources.ColorSpace.DefaultRGB[0] == "/ICCBased"
    assert "No syntax" in judge("qpdf", "--check", tmp_path / "b.pdf")
    assert plates(tmp_path / "b.pdf", 72)["Magenta"].any()
