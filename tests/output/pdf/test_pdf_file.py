"""The bed file as foreign readers see it: whole, in size, with its fonts, texts and layers."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from bedkit import (
    BOLD,
    COLOUR,
    GLOSS,
    INFO,
    SCRIPT,
    WHITE,
    judge,
    make_bed,
    make_layout,
    page,
    plate,
    run,
    write,
)  # fmt: skip

from vardata.deflated import deflated
from vardata.dress.drawing import Picture
from vardata.job.model import Output
from vardata.marks import BLACK, Cmyk, Image, ModuleGrid, Placement, Ref, Statics
from vardata.marks import Path as Outline
from vardata.output.pdf.bed import DocInfo
from vardata.output.pdf.bedload import PageContent

RING = (
    ("m", 10.0, 0.0), ("c", 15.5, 0.0, 20.0, 4.5, 20.0, 10.0),
    ("c", 20.0, 15.5, 15.5, 20.0, 10.0, 20.0), ("l", 0.0, 10.0), ("h",),
)  # fmt: skip
PHOTO = Picture(
    "photo", 2, 2, "DeviceRGB", "FlateDecode", deflated(bytes(range(12))), (), b"\x80\x40", ()
)
CYAN = Cmyk(1, 0, 0, 0)
ART = (Outline(COLOUR, CYAN, RING), Outline(WHITE, 1.0, RING), run("Æ", at=(1, 1)))
STATICS = Statics({"art": ART})


def everything() -> PageContent:
    """A mark of every kind on every plate it may lie on."""
    marks = (
        Ref(COLOUR, "art"), Ref(WHITE, "art"), Ref(GLOSS, "art"),
        run("Zażółć gęślą", at=(5, 30)),
        run("Ambrosia & Wolfe", font=SCRIPT, at=(5, 22), squeeze=0.93),
        run("Ambrosia & Wolfe", font=SCRIPT, at=(5, 22), squeeze=0.93, on=WHITE, choke=0.05),
        run("AVATAR (1\\2)", font=BOLD, at=(40, 5), angle=90.0),
        ModuleGrid(COLOUR, BLACK, 9, 2, b"\xaa\x80\x55\x00", 30.0, 5.0, 9.0, 4.0, 1),
        ModuleGrid(COLOUR, BLACK, 32, 1, b"xEI ", 30.0, 1.0, 16.0, 1.0, 0),  # ends data, if read so
        ModuleGrid(COLOUR, BLACK, 16, 1, b"\0 ", 30.0, 1.0, 16.0, 1.0, 0),
        Image(COLOUR, BLACK, "photo", 45.0, 25.0, 10.0, 8.0, 30.0),
        Image(WHITE, 1.0, "photo", 45.0, 25.0, 10.0, 8.0, 30.0),
        Outline(GLOSS, 0.5, RING, 40.0, 10.0, 15.0, True, 0.4),
    )  # fmt: skip
    return page(*marks, title="all")


@dataclass
class Written:
    path: Path
    facts: object


@pytest.fixture(params=["together", "apart"])
def written(request, tmp_path) -> Written:
    path = tmp_path / "bed.pdf"
    facts = write(
        path,
        everything(),
        bed=make_bed(anchor_marks=True),
        output=Output(pages=request.param),
        statics=STATICS,
        pictures={"photo": PHOTO}.__getitem__,
    )
    return Written(path, facts)


def test_qpdf_finds_no_fault(written):
    assert "No syntax or stream encoding errors found" in judge("qpdf", "--check", written.path)


def test_the_size_told_is_the_size_on_disk(written):
    assert written.facts.size == written.path.stat().st_size


def test_four_renderers_take_it_without_complaint(written, tmp_path):
    """Ghostscript, poppler, MuPDF and PDFium: none may warn, each must paint something."""
    judge(
        "gs", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-q", "-sDEVICE=png16m", "-r40",
        "-dPDFSTOPONERROR", f"-sOutputFile={tmp_path}/gs-%d.png", written.path,
    )  # fmt: skip
    judge("pdftoppm", "-r", "40", "-png", written.path, tmp_path / "poppler")
    judge("mutool", "draw", "-q", "-r", "40", "-o", tmp_path / "mupdf-%d.png", written.path)
    from PIL import Image as Pillow

    pictures = [path for path in tmp_path.iterdir() if path.suffix == ".png"]
    document = pypdfium2.PdfDocument(written.path)
    assert len(pictures) == 3 * len(document)
    for path in pictures:
        assert np.asarray(Pillow.open(path).convert("L")).min() < 255, path.name
    for sheet in document:
        assert np.asarray(sheet.render(scale=0.5).to_pil().convert("L")).min() < 255


def test_every_font_is_embedded_as_a_subset(written):
    lines = judge("pdffonts", written.path).splitlines()[2:]
    assert [line.split()[0].partition("+")[2] for line in lines] == [
        "NotoSans-Regular", "DancingScript", "NotoSans-Bold",
    ]  # fmt: skip
    for line in lines:
        assert line.split()[-5:-2] == ["yes", "yes", "yes"], line  # embedded, subset, to Unicode
    assert any("CID Type 0C" in line for line in lines)  # the script is a CFF font


def test_the_texts_can_be_read_again(written):
    text = " ".join(judge("pdftotext", "-raw", written.path, "-").split())
    for wanted in ("Zażółć gęślą", "Ambrosia & Wolfe", "AVATAR (1\\2)", "Æ"):
        assert wanted in text


def test_the_same_input_gives_the_same_bytes(tmp_path):
    for name in ("one", "two"):
        write(tmp_path / name, everything(), statics=STATICS, pictures={"photo": PHOTO}.__getitem__)
    assert (tmp_path / "one").read_bytes() == (tmp_path / "two").read_bytes()


def test_another_text_gives_another_identity(tmp_path):
    """ISO 32000-1, 14.4: the identifier tells files apart."""
    identities = set()
    for text in ("one", "two"):
        write(tmp_path / text, page(run(text)))
        with pikepdf.open(tmp_path / text) as pdf:
            identities.add(bytes(pdf.trailer.ID[0]))
    assert {len(identity) for identity in identities} == {16}
    assert len(identities) == 2


def test_boxes_are_the_bed_exactly(tmp_path):
    """Points are 1/72 inch (ISO 32000-1, 8.3.2.3), an inch is 25.4 mm."""
    write(tmp_path / "b.pdf", page(run("x")), bed=make_bed(329.3, 482.7))
    with pikepdf.open(tmp_path / "b.pdf") as pdf:
        for box in (pdf.pages[0].MediaBox, pdf.pages[0].TrimBox):
            assert [float(number) * 25.4 / 72 for number in box] == pytest.approx(
                [0, 0, 329.3, 482.7], abs=1e-5
            )


def test_the_header_says_1_6_and_binary(tmp_path):
    write(tmp_path / "b.pdf", page(run("x")))
    head = (tmp_path / "b.pdf").read_bytes()[:15]
    assert head.startswith(b"%PDF-1.6\n%") and all(byte > 127 for byte in head[10:14])


def test_layers_carry_the_machines_names_and_are_on(tmp_path):
    """ISO 32000-1, 8.11.4: all groups listed, none off, in the order they are laid down."""
    bed = make_bed(plate_names={"White": "Undercoat (weiß)", "Gloss": "Clear/Varnish #2"})
    write(tmp_path / "b.pdf", everything(), bed=bed, statics=STATICS,
          pictures={"photo": PHOTO}.__getitem__)  # fmt: skip
    with pikepdf.open(tmp_path / "b.pdf") as pdf:
        layers = pdf.Root.OCProperties
        names = ["Colour", "Undercoat (weiß)", "Clear/Varnish #2"]
        assert [str(group.Name) for group in layers.OCGs] == names
        laid = ["Undercoat (weiß)", "Colour", "Clear/Varnish #2"]
        assert [str(group.Name) for group in layers.D.Order] == laid
        assert "/OFF" not in layers.D and layers.D.get("/BaseState", "/ON") == "/ON"
        spaces = pdf.pages[0].Resources.ColorSpace
        inks = {str(space[1]) for space in spaces.values()}
        assert inks == {"/Undercoat (weiß)", "/Clear/Varnish #2"}
        assert all(len(name) > 2 for name in spaces)  # one-letter names lost a plate once


def test_the_file_says_what_it_is(tmp_path):
    info = DocInfo("Tags “Ålesund” bed 3 of 9", "r-77", INFO.at, (3,))
    write(tmp_path / "b.pdf", page(run("x")), info=info)
    with pikepdf.open(tmp_path / "b.pdf") as pdf:
        assert str(pdf.docinfo.Title) == "Tags “Ålesund” bed 3 of 9"
        assert str(pdf.docinfo.Subject) == "run r-77, bed 3"
        assert str(pdf.docinfo.CreationDate) == "D:20250304120000+00'00'"


def test_apart_gives_each_plate_a_page_in_the_stated_order(tmp_path):
    facts = write(
        tmp_path / "b.pdf",
        everything(),
        everything(),
        output=Output(pages="apart", page_order=("White", "Colour")),
        statics=STATICS,
        pictures={"photo": PHOTO}.__getitem__,
        info=INFO._replace(beds=(1, 2)),
    )
    assert facts.pages == (
        {"White": 1, "Colour": 2, "Gloss": 3},
        {"White": 4, "Colour": 5, "Gloss": 6},
    )
    with pikepdf.open(tmp_path / "b.pdf") as pdf:
        boxes = {tuple(map(float, sheet.MediaBox)) for sheet in pdf.pages}
        layers = [
            [str(op.operands[1]) for op in pikepdf.parse_content_stream(sheet)
             if str(op.operator) == "BDC"]
            for sheet in pdf.pages
        ]  # fmt: skip
    assert len(boxes) == 1
    assert layers == [["/Layer2"], ["/Layer1"], ["/Layer3"]] * 2


def test_together_gives_each_bed_one_page(tmp_path):
    facts = write(tmp_path / "b.pdf", page(run("one")), page(run("two")))
    assert facts.pages == (
        {"Colour": 1, "White": 1, "Gloss": 1},
        {"Colour": 2, "White": 2, "Gloss": 2},
    )
    text = judge("pdftotext", "-raw", tmp_path / "b.pdf", "-")
    assert text.split() == ["one", "two"]


def test_two_plates_of_the_process_inks_are_written_apart(tmp_path):
    """On one page they would become one plate, whatever the job asks for."""
    layout = make_layout(
        plates=(plate("Under", "colour"), plate("White", "white"), plate("Over", "colour"))
    )
    marks = (run("under", on=0), run("over", on=2, paint=BLACK))
    facts = write(tmp_path / "b.pdf", page(*marks), layout=layout, output=Output(pages="together"))
    assert facts.pages == ({"Under": 1, "White": 2, "Over": 3},)
    assert judge("pdftotext", "-raw", tmp_path / "b.pdf", "-").split() == ["under", "over"]


def test_what_is_shared_is_stored_once(tmp_path):
    """Two hundred items with the same art and picture: one form a plate, one image."""
    places = tuple(Placement(10.0 + i % 20, 10.0 + i // 20, 0.0) for i in range(200))
    item = everything().placements[0][1]
    write(
        tmp_path / "b.pdf",
        PageContent(tuple((place, item) for place in places), ""),
        statics=STATICS,
        pictures={"photo": PHOTO}.__getitem__,
    )
    with pikepdf.open(tmp_path / "b.pdf") as pdf:
        kinds = [
            str(obj.get("/Subtype")) for obj in pdf.objects
            if isinstance(obj, pikepdf.Stream) and not obj.read_bytes().endswith(b"EI\nQ")
        ]  # codes have forms of their own
    assert kinds.count("/Form") == 2  # the art has no gloss
    assert kinds.count("/Image") == 2  # the picture, and its stencil for mask and white


def test_an_empty_bed_is_still_a_page(tmp_path):
    facts = write(tmp_path / "b.pdf", PageContent((), ""))
    assert facts.pages == ({"Colour": 1, "White": 1, "Gloss": 1},)
    assert "No syntax" in judge("qpdf", "--check", tmp_path / "b.pdf")


def test_a_disk_that_refuses_is_told_to_whoever_keeps_the_folder(tmp_path):
    """The run's folder has one line for all its files (see the tests of the engine)."""
    with pytest.raises(FileNotFoundError):
        write(tmp_path / "nowhere" / "b.pdf", page(run("x")))


def test_the_file_is_read_by_a_strict_reader(written):
    """pikepdf opens without recovery and finds every stream decodable."""
    with pikepdf.open(io.BytesIO(written.path.read_bytes()), attempt_recovery=False) as pdf:
        for thing in pdf.objects:
            if isinstance(thing, pikepdf.Stream) and thing.get("/Filter") == "/FlateDecode":
                thing.read_bytes()
        assert pdf.get_warnings() == []
