"""Every variant of a bed file: five programs open it, and its objects are those of the model.

Standards, pages, surfaces and cut lines, on a bed with texts of both kinds of font, a picture
in RGB, gradients, gloss, and a page of another program with a font, a spot colour, transparency and
streams in LZW. Where a fact is not in the model it is ISO 15930-7 (PDF/X-4), ISO 16612-2 (PDF/VT-1)
or ISO 19593-1, from memory.
"""

from __future__ import annotations

import io
import itertools
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from bedkit import GLOSS, SANS, SCRIPT, WHITE, judge, make_bed, make_layout, run
from bedkit import write as write_file
from pagekit import H, W, made, taken
from pdf_model import MODEL, faults, names
from test_pdf_standard import PHOTO

from vardata.job import shipped
from vardata.job.model import Output, Plate
from vardata.marks import BLACK, Blend, Cmyk, Image, Item, Placement, Shaded, Step
from vardata.marks import Path as Outline
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.standard import Standard

PROFILE = shipped.profiles()["cgats-tr-001"].read_bytes()
VARIANTS = [
    variant
    for variant in itertools.product(
        ("plain", "pdf/x-4", "pdf/vt-1"), ("together", "apart"), ("first", "second"),
        (False, True),
    )
    # All for PDF/X-4; of the others each pair of pages, surface and cut lines is there.
    if variant[3] == ((variant[1] == "apart") != (variant[2] == "second"))
    or variant[0] == "pdf/x-4"
]  # fmt: skip
VARIANTS += [(wanted, "apart", "both", True) for wanted in ("plain", "pdf/x-4", "pdf/vt-1")]
STEPS = (
    Step(0.0, 0.4, Cmyk(0.0, 0.2, 0.9, 0.0), Cmyk(0.0, 0.9, 0.8, 0.1)),
    Step(0.4, 1.0, Cmyk(0.0, 0.9, 0.8, 0.1), Cmyk(0.9, 0.4, 0.1, 0.2)),
)
BAND = (("re", 2.0, 20.0, 18.0, 8.0),)
SQUARE = (("re", 2.0, 2.0, 20.0, 10.0),)
PLATES = (
    Plate(name="Colour", role="colour"), Plate(name="White", role="white", cover="art"),
    Plate(name="Gloss", role="gloss", cover="art"),
)  # fmt: skip
SANDWICH = (
    PLATES[0], PLATES[1].model_copy(update={"cover": "flood"}), Plate(name="Back", role="colour"),
)  # fmt: skip


def in_lzw(data: bytes) -> bytes:
    """The page with its content squeezed by LZW (ISO 32000-1, 7.4.4), as old programs do: codes of
    9 bits, a clear-table mark before the table could need longer ones."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        page = pdf.pages[0]
        page.contents_coalesce()
        content = page.obj.Contents.read_bytes()
        codes = []
        for n, byte in enumerate(content):
            if n % 200 == 0:
                codes.append(256)
            codes.append(byte)
        codes.append(257)
        bits = "".join(f"{code:09b}" for code in codes)
        bits += "0" * (-len(bits) % 8)
        raw = int(bits, 2).to_bytes(len(bits) // 8, "big")
        page.obj.Contents = pdf.make_stream(b"")
        page.obj.Contents.write(raw, filter=pikepdf.Name.LZWDecode)
        out = io.BytesIO()
        pdf.save(out, stream_decode_level=pikepdf.StreamDecodeLevel.none, compress_streams=False)
    assert b"/LZWDecode" in out.getvalue()
    return out.getvalue()


PAGE = taken(in_lzw(made()))


def written(path: Path, wanted: str, pages: str, surface: str, cut: bool) -> Path:
    marks = (
        Image(0, BLACK, "page", 26.0, 1.0, 2 * H / W * 10, 10.0, 0.0),
        Image(0, BLACK, "photo", 2.0, 14.0, 8.0, 4.0, 0.0),
        Outline(0, BLACK, SQUARE, 0.0, 0.0, 0.0, False, 0.4),
        Shaded(0, Blend((0.0, 0.0, 1.0, 0.0), (8.0, 0.0, 0.0, 8.0, 2.0, 20.0), STEPS), BAND),
        Shaded(0, Blend((0.5, 0.5, 0.0, 0.5, 0.5, 0.5), (8.0, 0.0, 0.0, 8.0, 12.0, 20.0),
                        (Step(0.0, 1.0, *STEPS[0][2:]),)), BAND),
        run("Fern", at=(12.0, 14.0), font=SANS), run("hollow", at=(24.0, 14.0), font=SCRIPT),
        Outline(WHITE, 1.0, SQUARE), run("Fern", at=(12.0, 14.0), on=WHITE, choke=0.05),
        Outline(GLOSS, 0.5, SQUARE),
    )  # fmt: skip
    layout = make_layout(50.0, 30.0, plates=PLATES, surface=surface)
    behind: tuple[tuple[Placement, Item], ...] = ()
    if surface == "both":  # the gloss plate's place is that of a second plate of the process inks
        layout = make_layout(50.0, 30.0, plates=SANDWICH, surface=surface)
        marks = tuple(mark for mark in marks if mark[0] != GLOSS)
        back = Item("Sheet1!2#1", (Outline(2, Cmyk(0.1, 0.8, 0.0, 0.0), SQUARE),))
        behind = ((Placement(30.0, 20.0, 0.0), back),)
    front = (Placement(30.0, 20.0, 0.0), Item("Sheet1!2#1", marks))
    content = PageContent((front,), "", behind)
    standard = None if wanted == "plain" else Standard(wanted, PROFILE, "CGATS TR 001")
    write_file(
        path, content, layout=layout, bed=make_bed(plate_names={"White": "W 1"}),
        output=Output(pages=pages, cut_lines=cut), standard=standard,
        pictures={"page": PAGE, "photo": PHOTO}.__getitem__,
    )  # fmt: skip
    return path


@pytest.fixture(params=VARIANTS, ids=lambda v: "-".join(map(str, v)).replace("/", ""))
def variant(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Path, tuple]:
    return written(tmp_path / "bed.pdf", *request.param), request.param


def test_five_programs_open_it_and_its_objects_are_known(variant: tuple[Path, tuple]) -> None:
    path, (wanted, pages, surface, cut) = variant
    assert "No syntax or stream encoding errors found" in judge("qpdf", "--check", path)
    judge(
        "gs", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-q", "-sDEVICE=png16m", "-r40",
        "-dPDFSTOPONERROR", f"-sOutputFile={path.parent}/gs-%d.png", path,
    )  # fmt: skip
    judge("pdftoppm", "-r", "40", "-png", path, path.parent / "poppler")
    judge("mutool", "draw", "-q", "-r", "40", "-o", path.parent / "mupdf-%d.png", path)
    count = (3 + cut) if pages == "apart" else 1
    document = pypdfium2.PdfDocument(path)
    assert len(document) == count
    for sheet in document:
        assert np.asarray(sheet.render(scale=0.5).to_pil().convert("L")).min() < 255
    with pikepdf.open(path) as pdf:
        found = faults(pdf)
        assert not found, "\n".join(found)
        own = {"Gloss"} if surface != "both" else set()
        assert set(names(pdf)) == {"W 1", "Emerald"} | own | ({"Cut"} if cut else set())
        if wanted != "plain":
            _keeps_pdf_x_4(pdf)
    assert b"LZW" not in path.read_bytes()


def _keeps_pdf_x_4(pdf: pikepdf.Pdf) -> None:
    """ISO 15930-7: what may not be there, and what has to be, on every bed."""
    assert pdf.pdf_version == "1.6"
    (intent,) = pdf.Root.OutputIntents
    assert intent.DestOutputProfile.read_bytes() == PROFILE
    for found in pdf.objects:
        if not isinstance(found, pikepdf.Dictionary | pikepdf.Stream):
            continue
        keys = set(found.keys())
        assert not keys & {"/AA", "/OpenAction", "/Annots", "/EF", "/TR", "/TR2", "/HT", "/OPI"}
        if found.get("/Type") == "/FontDescriptor":
            assert keys & {"/FontFile", "/FontFile2", "/FontFile3"}
        if found.get("/Type") == "/Font" and found.get("/Subtype") in ("/Type1", "/TrueType"):
            assert "/FontDescriptor" in keys, found.get("/BaseFont")


def test_the_model_finds_faults() -> None:
    """What it must not pass: an unknown key, a missing one, a wrong type, a wrong value."""
    pdf = pikepdf.new()
    pdf.add_blank_page()
    pdf.Root.OutputIntents = pikepdf.Array([pikepdf.Dictionary(S=pikepdf.Name.GTS_PDFX, Inof="x")])
    pdf.Root.OCProperties = pikepdf.Dictionary(
        OCGs=[pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=pikepdf.Name.White)],
        D=pikepdf.Dictionary(),
    )
    pdf.pages[0].obj.TrimBox = pikepdf.Array([0, 0, 10])
    found = faults(pdf)
    for line in (
        "trailer/Root/OutputIntents[0] (OutputIntent): /Inof is not known",
        "trailer/Root/OutputIntents[0] (OutputIntent): /OutputConditionIdentifier is missing",
        "trailer/Root/Pages/Kids[0]/TrimBox: pikepdf.Array([ 0, 0, 10 ]) is not of type R",
        "trailer (Trailer): /ID is missing",
    ):
        assert line in found, found
    assert any("/OCGs[0]/Name" in line for line in found)
    assert all(MODEL.values())
