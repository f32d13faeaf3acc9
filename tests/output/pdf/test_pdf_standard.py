"""PDF/X-4 and PDF/VT-1: the structures that the standards ask for, one test each.

ISO 32000-1 is named by clause. Requirements of ISO 15930-7 (PDF/X-4), ISO 16612-2 (PDF/VT-1)
and ISO 19593-1 are from memory and from the open model of PDF objects, without clause numbers:
no open validator of them is known; one of PDF objects is written in Java, and ``pdf_model`` has
its facts. qpdf, through pikepdf, reads the files. The profile is the CMYK profile that Ghostscript
brings; every variant with the one that ships is in ``test_pdf_matrix``.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
import zlib
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from bedkit import (
    GLOSS,
    INFO,
    MIDDLE,
    SANS,
    WHITE,
    judge,
    make_bed,
    make_layout,
    page,
    shaped,
)
from bedkit import write as write_file
from PIL import Image as Pillow

from vardata.dress.drawing import Picture
from vardata.job.model import Output
from vardata.marks import BLACK, Cmyk, GlyphRun, Image, Item, Placement
from vardata.marks import Path as Outline
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.standard import Standard

PROFILE = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
SQUARE = (("re", 5.0, 5.0, 20.0, 10.0),)
RED_BLUE = zlib.compress(bytes((255, 0, 0, 0, 0, 255)))
PHOTO = Picture("photo", 2, 1, "DeviceRGB", "FlateDecode", RED_BLUE, (), b"", SQUARE)
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
NAMES = {
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
    "pdfvtid": "http://www.npes.org/pdfvt/ns/id/",
}


def bed_load(*records: str) -> PageContent:
    ids, kerns = shaped(SANS, "Fern")
    marks = (
        Outline(0, Cmyk(0.2, 0.5, 0.0, 0.1), SQUARE),
        GlyphRun(0, BLACK, SANS, 12.0, 30.0, 20.0, 0.0, 1.0, ids, kerns),
        Image(0, BLACK, "photo", 30.0, 5.0, 8.0, 4.0, 0.0),
        Outline(WHITE, 1.0, SQUARE),
        Outline(GLOSS, 0.5, SQUARE),
    )
    return PageContent(tuple((MIDDLE, Item(record, marks)) for record in records), "")


def written(
    path: Path, wanted: str = "pdf/x-4", pages: str = "together", cut: bool = False
) -> Path:
    write_file(
        path, bed_load("Sheet1!2#1"), bed_load("Sheet1!3#1", "Sheet1!4#1"),
        output=Output(pages=pages, cut_lines=cut), pictures={"photo": PHOTO}.__getitem__,
        info=INFO._replace(title="Tags <1> & more", beds=(7, 8)),
        standard=Standard(wanted, PROFILE.read_bytes(), "FOGRA39"),
    )  # fmt: skip
    return path


@pytest.fixture(scope="module")
def x4(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("x4") / "bed.pdf")


@pytest.fixture(scope="module")
def vt1(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("vt1") / "bed.pdf", "pdf/vt-1", "apart")


def xmp(pdf: pikepdf.Pdf) -> ET.Element:
    return ET.fromstring(pdf.Root.Metadata.read_raw_bytes())


def said(pdf: pikepdf.Pdf, name: str) -> str | None:
    prefix, local = name.split(":")
    found = xmp(pdf).find(f".//{{{NAMES[prefix]}}}{local}")
    return None if found is None else (found.text or "")


# ------------------------------------------------------------ PDF/X-4


def test_version_is_not_above_1_6(x4: Path) -> None:
    """ISO 15930-7 builds on PDF 1.6."""
    assert x4.read_bytes()[:8] == b"%PDF-1.6"


def test_the_file_says_that_it_is_binary_and_ends_as_it_should(x4: Path) -> None:
    """ISO 32000-1, 7.5.2: a comment of four bytes above 127 in the second line; 7.5.5: the last
    line ends the file, nothing behind it."""
    data = x4.read_bytes()
    second = data.split(b"\n", 2)[1]
    assert second.startswith(b"%") and len(second) >= 5 and min(second[1:5]) > 127
    assert data.rstrip(b"\r\n").endswith(b"%%EOF")


def test_inks_of_one_name_are_one_space(x4: Path) -> None:
    """ISO 15930-7 (from memory): spaces of the same name have the same alternate and tint."""
    with pikepdf.open(x4) as pdf:
        names = [str(o[1]) for o in pdf.objects if isinstance(o, pikepdf.Array)
                 and len(o) == 4 and o[0] == "/Separation"]  # fmt: skip
    assert sorted(names) == ["/Gloss", "/White"]


def test_one_output_intent_with_an_embedded_output_profile_of_four_inks(x4: Path) -> None:
    """ISO 32000-1, 14.11.5; ISO 15930-7: GTS_PDFX, exactly one, its profile embedded; ICC.1
    header: class prtr at 12, space CMYK at 16, and 4 components stated."""
    with pikepdf.open(x4) as pdf:
        (intent,) = pdf.Root.OutputIntents
        assert intent.S == "/GTS_PDFX" and str(intent.OutputConditionIdentifier) == "FOGRA39"
        profile = intent.DestOutputProfile
        data = profile.read_bytes()
        assert (profile.N, data[12:16], data[16:20]) == (4, b"prtr", b"CMYK")
        assert data == PROFILE.read_bytes()


def test_metadata_names_the_standard_and_the_document(x4: Path) -> None:
    """ISO 15930-7: pdfxid:GTS_PDFXVersion and the XMP properties of a document of its own."""
    with pikepdf.open(x4) as pdf:
        meta = pdf.Root.Metadata
        assert (meta.Type, meta.Subtype) == ("/Metadata", "/XML") and "/Filter" not in meta
        assert said(pdf, "pdfxid:GTS_PDFXVersion") == "PDF/X-4"
        assert said(pdf, "xmpMM:RenditionClass") == "default"
        assert said(pdf, "xmpMM:VersionID") == "1"
        assert (said(pdf, "xmpMM:DocumentID") or "").startswith("uuid:")
        assert said(pdf, "pdfvtid:GTS_PDFVTVersion") is None


def test_metadata_and_information_say_the_same(x4: Path) -> None:
    """ISO 15930-7: title, dates and trapping stand in both and agree."""
    with pikepdf.open(x4) as pdf:
        title = xmp(pdf).find(f".//{{{NAMES['dc']}}}title/{RDF}Alt/{RDF}li")
        assert title is not None and title.text == str(pdf.docinfo.Title) == "Tags <1> & more"
        for name, key in (("xmp:CreateDate", "CreationDate"), ("xmp:ModifyDate", "ModDate")):
            stamp = "".join(c for c in (said(pdf, name) or "")[:19] if c.isdigit())
            assert str(pdf.docinfo[f"/{key}"])[2:16] == stamp
        assert pdf.docinfo.Trapped == "/False" and said(pdf, "pdf:Trapped") == "False"


def test_poppler_takes_it_for_pdf_x_4(x4: Path) -> None:
    assert "PDF subtype:    PDF/X-4" in judge("pdfinfo", x4)


def test_page_boxes_lie_in_each_other(x4: Path) -> None:
    """ISO 32000-1, 14.11.2; ISO 15930-7: TrimBox or ArtBox, not both; trim in bleed in media."""
    with pikepdf.open(x4) as pdf:
        for sheet in pdf.pages:
            assert "/TrimBox" in sheet.obj and "/ArtBox" not in sheet.obj
            trim, bleed, media = (
                [float(n) for n in sheet.obj[key]] for key in ("/TrimBox", "/BleedBox", "/MediaBox")
            )
            for inner, outer in ((trim, bleed), (bleed, media)):
                assert inner[0] >= outer[0] and inner[1] >= outer[1]
                assert inner[2] <= outer[2] and inner[3] <= outer[3]


def test_the_trailer_has_an_identifier_and_no_encryption(x4: Path) -> None:
    """ISO 32000-1, 14.4."""
    with pikepdf.open(x4) as pdf:
        assert len(pdf.trailer.ID) == 2 and "/Encrypt" not in pdf.trailer


def test_every_font_is_embedded(x4: Path) -> None:
    """ISO 32000-1, 9.9."""
    with pikepdf.open(x4) as pdf:
        told = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary)
                and o.get("/Type") == "/FontDescriptor"]  # fmt: skip
        assert told
        assert all("/FontFile2" in o or "/FontFile3" in o for o in told)


def test_rgb_has_a_meaning(x4: Path) -> None:
    """ISO 32000-1, 8.6.5.6; ISO 15930-7: DeviceRGB only where DefaultRGB says what it is, as
    the output intent is CMYK."""
    with pikepdf.open(x4) as pdf:
        assert any(
            isinstance(o, pikepdf.Stream) and o.get("/ColorSpace") == "/DeviceRGB"
            for o in pdf.objects
        ), "no picture in RGB: nothing is tested"
        space = pdf.pages[0].Resources.ColorSpace.DefaultRGB
        data = space[1].read_bytes()
        assert space[0] == "/ICCBased" and space[1].N == 3 and data[16:20] == b"RGB "


def test_nothing_forbidden_is_in_it(x4: Path) -> None:
    """ISO 15930-7: no actions, scripts, annotations, PostScript, LZW, external files, transfer
    curves or halftones."""
    with pikepdf.open(x4) as pdf:
        for found in pdf.objects:
            if not isinstance(found, pikepdf.Dictionary | pikepdf.Stream):
                continue
            keys = set(found.keys())
            assert not keys & {
                "/AA", "/OpenAction", "/JavaScript", "/JS", "/Annots", "/AcroForm", "/F", "/EF",
                "/TR", "/TR2", "/HT", "/PS", "/Alternates", "/OPI",
            }
            assert found.get("/Subtype") != "/PS"
            assert "LZW" not in str(found.get("/Filter", ""))


def test_the_layers_configuration_has_a_name_and_lists_all(x4: Path) -> None:
    """ISO 32000-1, 8.11.4.3; ISO 15930-7: a configuration is named, and nothing changes it."""
    with pikepdf.open(x4) as pdf:
        layers = pdf.Root.OCProperties
        assert str(layers.D.Name) == "Plates" and "/AS" not in layers.D
        groups = {group.objgen for group in layers.OCGs}
        assert {group.objgen for group in layers.D.Order} == groups and "/Configs" not in layers


# ------------------------------------------------------------ processing steps, cut lines


def test_layers_tell_their_processing_steps(tmp_path: Path) -> None:
    """ISO 19593-1: a layer's GTS_Metadata, with a type where the group is Structural."""
    with pikepdf.open(written(tmp_path / "b.pdf", cut=True)) as pdf:
        steps = {
            str(group.Name): {k: str(v) for k, v in group.get("/GTS_Metadata", {}).items()}
            for group in pdf.Root.OCProperties.OCGs
        }
    assert steps == {
        "Colour": {},
        "White": {"/GTS_ProcStepsGroup": "/White"},
        "Gloss": {"/GTS_ProcStepsGroup": "/Varnish"},
        "Cut": {"/GTS_ProcStepsGroup": "/Structural", "/GTS_ProcStepsType": "/Cutting"},
    }


@pytest.mark.parametrize("pages", ["together", "apart"])
def test_cut_lines_are_an_ink_of_their_own_along_the_outline(tmp_path: Path, pages: str) -> None:
    """The item fills the bed of 60 x 40 mm but for 5 mm: its outline and nothing else."""
    path = tmp_path / "b.pdf"
    at = Placement(30.0, 20.0, 90.0)
    facts = write_file(
        path, PageContent(((at, Item("r", (Outline(0, BLACK, SQUARE),))),), ""),
        layout=make_layout(30.0, 50.0), output=Output(pages=pages, cut_lines=True),
        bed=make_bed(plate_names={"Cut": "Knife"}),
    )  # fmt: skip
    number = facts.pages[0]["Cut"]
    assert number == (1 if pages == "together" else 4)
    judge("gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", "-r254",
          f"-dFirstPage={number}", f"-dLastPage={number}",
          f"-sOutputFile={tmp_path}/p.tif", path)  # fmt: skip
    ink = 255 - np.asarray(Pillow.open(tmp_path / "p(Knife).tif"))
    rows, columns = np.nonzero(ink)
    # Turned by a quarter: 50 x 30 mm about (30, 20) at 10 dots a mm, and half the line's width.
    assert abs(columns.min() - 49.5) <= 1 and abs(columns.max() - 550) <= 1
    assert abs(rows.min() - 49.5) <= 1 and abs(rows.max() - 350) <= 1
    assert not ink[60:340, 60:540].any()
    black = (255 - np.asarray(Pillow.open(tmp_path / "p(Black).tif"))).any()
    assert black == (pages == "together"), "a page of cut lines has nothing else"


def test_layers_of_processing_steps_paint_in_their_own_ink_alone(tmp_path: Path) -> None:
    """ISO 19593-1 (from memory): what a step's layer holds is painted in that step's ink. The
    operators of colour in a layer (ISO 32000-1, 8.6.8) are those of separations."""
    process = {"k", "K", "rg", "RG", "g", "G", "sh"}
    with pikepdf.open(written(tmp_path / "b.pdf", cut=True)) as pdf:
        sheet = pdf.pages[0]
        inside, seen = "", dict[str, set[str]]()
        spaces = dict[str, set[str]]()
        for step in pikepdf.parse_content_stream(sheet):
            operator = str(step.operator)
            if operator == "BDC":
                inside = str(sheet.Resources.Properties[str(step.operands[1])].Name)
            elif operator == "EMC":
                inside = ""
            elif operator in ("cs", "CS"):
                space = sheet.Resources.ColorSpace[str(step.operands[0])]
                spaces.setdefault(inside, set()).add(str(space[1]).lstrip("/"))
            seen.setdefault(inside, set()).add(operator)
    for layer in ("White", "Gloss", "Cut"):
        assert spaces[layer] == {layer} and not seen[layer] & process, layer
    assert seen["Colour"] & process


def test_a_plain_file_has_none_of_it(tmp_path: Path) -> None:
    write_file(tmp_path / "b.pdf", page(Outline(WHITE, 1.0, SQUARE)))
    data = (tmp_path / "b.pdf").read_bytes()
    with pikepdf.open(tmp_path / "b.pdf") as pdf:
        assert not {"/OutputIntents", "/Metadata", "/DPartRoot"} & set(pdf.Root.keys())
        assert "/BleedBox" not in pdf.pages[0].obj and "/GTS_PDFXVersion" not in pdf.docinfo
        assert all("/GTS_Metadata" not in group for group in pdf.Root.OCProperties.OCGs)
    assert b"ICCBased" not in data


# ------------------------------------------------------------ PDF/VT-1


def test_metadata_names_pdf_vt_1_beside_pdf_x_4(vt1: Path) -> None:
    """ISO 16612-2: PDF/VT-1 is PDF/X-4 with its own version and date."""
    with pikepdf.open(vt1) as pdf:
        assert said(pdf, "pdfxid:GTS_PDFXVersion") == "PDF/X-4"
        assert said(pdf, "pdfvtid:GTS_PDFVTVersion") == "PDF/VT-1"
        assert said(pdf, "pdfvtid:GTS_PDFVTModDate") == said(pdf, "xmp:ModifyDate")


def test_each_bed_is_a_document_part_that_lists_its_records(vt1: Path) -> None:
    """ISO 16612-2: DPartRoot, its nodes named by level, each leaf with the range of its pages,
    and each page with its leaf."""
    with pikepdf.open(vt1) as pdf:
        root = pdf.Root.DPartRoot
        assert [str(name) for name in root.NodeNameList] == ["/Run", "/Bed"]
        assert root.RecordLevel == 1
        top = root.DPartRootNode
        assert top.is_indirect and top.Parent.objgen == root.objgen
        (leaves,) = top.DParts
        places = {sheet.obj.objgen: number for number, sheet in enumerate(pdf.pages)}
        found = []
        for leaf in leaves:
            assert leaf.Parent.objgen == top.objgen and "/DParts" not in leaf
            first, last = places[leaf.Start.objgen], places[leaf.End.objgen]
            for number in range(first, last + 1):
                assert pdf.pages[number].obj.DPart.objgen == leaf.objgen
            found.append((int(leaf.DPM.Bed), [str(r) for r in leaf.DPM.Records], first, last))
    assert found == [(7, ["Sheet1!2#1"], 0, 2), (8, ["Sheet1!3#1", "Sheet1!4#1"], 3, 5)]


# ------------------------------------------------------------ both


@pytest.mark.parametrize("wanted", ["pdf/x-4", "pdf/vt-1"])
def test_five_programs_open_it_without_complaint(tmp_path: Path, wanted: str) -> None:
    path = written(tmp_path / "b.pdf", wanted, cut=True)
    assert "No syntax or stream encoding errors found" in judge("qpdf", "--check", path)
    judge(
        "gs", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-q", "-sDEVICE=png16m", "-r40",
        "-dPDFSTOPONERROR", f"-sOutputFile={tmp_path}/gs-%d.png", path,
    )  # fmt: skip
    judge("pdftoppm", "-r", "40", "-png", path, tmp_path / "poppler")
    judge("mutool", "draw", "-q", "-r", "40", "-o", tmp_path / "mupdf-%d.png", path)
    document = pypdfium2.PdfDocument(path)
    assert len(document) == 2
    for sheet in document:
        assert np.asarray(sheet.render(scale=0.5).to_pil().convert("L")).min() < 255


def test_the_same_input_gives_the_same_bytes(tmp_path: Path) -> None:
    one, other = written(tmp_path / "1.pdf", "pdf/vt-1"), written(tmp_path / "2.pdf", "pdf/vt-1")
    assert one.read_bytes() == other.read_bytes()


def test_plates_are_those_of_a_plain_file(tmp_path: Path) -> None:
    """The structure around it changes nothing that is printed: text, outlines, white, gloss."""
    ids, kerns = shaped(SANS, "Fern")
    load = page(
        Outline(0, Cmyk(0.2, 0.5, 0.0, 0.1), SQUARE),
        GlyphRun(0, BLACK, SANS, 12.0, 30.0, 20.0, 0.0, 1.0, ids, kerns),
        Outline(WHITE, 1.0, SQUARE), Outline(GLOSS, 0.5, SQUARE),
    )  # fmt: skip
    asked = Standard("pdf/x-4", PROFILE.read_bytes(), "FOGRA39")
    found = []
    for name, standard in (("plain", None), ("x4", asked)):
        path = tmp_path / f"{name}.pdf"
        write_file(path, load, standard=standard)
        judge("gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", "-r300",
              f"-sOutputFile={tmp_path}/{name}.tif", path)  # fmt: skip
        inks = ("Cyan", "Magenta", "Yellow", "Black", "White", "Gloss")
        found.append([np.asarray(Pillow.open(tmp_path / f"{name}({ink}).tif")) for ink in inks])
    for plain, other in zip(*found, strict=True):
        assert np.array_equal(plain, other)
