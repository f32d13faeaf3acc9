"""Inks of placed pages that are called as plates are: exact messages, and what is found."""

from __future__ import annotations

import io
from pathlib import Path

import pikepdf
import pytest
from reportlab.lib.colors import CMYKColorSep
from reportlab.pdfgen.canvas import Canvas

from vardata.dress.art import check_art
from vardata.dress.framing import Framing
from vardata.dress.page_inks import ink_names
from vardata.job.load import load_setup
from vardata.work.pictures import PictureStore

FILES = {
    "job.toml": 'name = "inks"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\n[sheet]\nfile = "rows.csv"\n[columns]\nn = "N"\n',
    "l.toml": 'name = "tag"\nwidth = 40\nheight = 20\n[[art]]\nfile = "crest.pdf"\n'
    "box = [0, 0, 40, 20]\n",
    "j.toml": 'name = "one"\n[[slots]]\nname = "A1"\nx = 25\ny = 15\n',
    "b.toml": 'name = "b"\nwidth = 60\nheight = 40\n[modes.m]\ndpi = [600, 600]\n'
    '[plate_names]\nWhite = "Under"\n',
    "rows.csv": "N\n1\n",
}
MEND = "rename it in the PDF, or the plate under plate_names in the bed file"


def page(*inks: str) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(120, 60), invariant=1)
    for n, ink in enumerate(inks):
        canvas.setFillColor(CMYKColorSep(0.1, 0.2, 0.0, 0.0, spotName=ink))
        canvas.rect(4 + 20 * n, 10, 14, 30, stroke=0, fill=1)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def told(place: Path, data: bytes, output: str = "") -> list[str]:
    for name, text in FILES.items():
        (place / name).write_text(text, encoding="utf-8")
    with (place / "job.toml").open("a", encoding="utf-8") as job:
        job.write(output)
    (place / "crest.pdf").write_bytes(data)
    return [str(problem) for problem in check_art(load_setup(place / "job.toml"))]


def test_an_ink_of_its_own_is_nobodys_business(tmp_path: Path) -> None:
    """White is called Under on this machine: an ink called White is another one."""
    assert told(tmp_path, page("Emerald", "White")) == []


def test_an_ink_that_is_called_as_a_plate_is_told(tmp_path: Path) -> None:
    assert told(tmp_path, page("Under", "Gloss", "Emerald")) == [
        f"crest.pdf: the PDF has an ink called {name!r}, as a plate is called: it prints there as "
        f"it is, without choke or density; {MEND}"
        for name in ("Gloss", "Under")
    ]


def test_a_standard_wants_one_meaning_for_an_ink(tmp_path: Path) -> None:
    output = '[output]\nstandard = "pdf/x-4"\nprofile = "cgats-tr-001"\n'
    assert told(tmp_path, page("Under"), output) == [
        "crest.pdf: the PDF has an ink called 'Under', as a plate is called, and a printing "
        f"standard wants one meaning for it; {MEND}"
    ]


def test_the_ink_of_cut_lines_is_a_plate_as_well(tmp_path: Path) -> None:
    assert told(tmp_path, page("Cut")) == []
    (line,) = told(tmp_path, page("Cut"), "[output]\ncut_lines = true\n")
    assert "an ink called 'Cut', as a plate is called" in line


def test_marks_on_every_plate_are_told(tmp_path: Path) -> None:
    assert told(tmp_path, page("All")) == [
        "crest.pdf: the PDF has marks in the ink All, which prints on every plate, white and gloss "
        "too; see that they lie outside its trim box"
    ]


def test_a_page_that_a_record_names_is_held_under_a_standard(tmp_path: Path) -> None:
    """Its ink is called as a plate is; without a standard it prints."""
    path = tmp_path / "crest.pdf"
    path.write_bytes(page("Emerald", "Under"))
    framing = Framing(size=(40.0, 20.0))
    store = PictureStore((), own_inks=frozenset(("Under", "Gloss")))
    found = store.fault(str(path), framing, "crest", "crest.pdf")
    assert found is not None and str(found) == (
        "the picture 'crest.pdf' cannot be printed: the PDF has an ink called 'Under', as a plate "
        f"is called, and a printing standard wants one meaning for it; {MEND}"
    )
    assert PictureStore(()).fault(str(path), framing, "crest", "crest.pdf") is None


@pytest.mark.parametrize("nested", [False, True])
def test_inks_are_found_in_spaces_of_many_inks_and_below_indexes(nested: bool) -> None:
    """ISO 32000-1, 8.6.6.5 (DeviceN) and 8.6.6.3 (Indexed), in the resources of a form."""
    with pikepdf.open(io.BytesIO(page("Emerald"))) as pdf:
        tint = pikepdf.Dictionary(
            FunctionType=2, Domain=[0, 1], C0=[0, 0, 0, 0], C1=[1, 0, 0, 0], N=1
        )
        many = pikepdf.Array([
            pikepdf.Name.DeviceN, pikepdf.Array([pikepdf.Name.Copper, pikepdf.Name("/Old Rose")]),
            pikepdf.Name.DeviceCMYK, tint,
        ])  # fmt: skip
        if nested:
            many = pikepdf.Array([pikepdf.Name.Indexed, many, 1, pikepdf.String("abcd")])
        pdf.pages[0].obj.Resources.XObject = pikepdf.Dictionary(X1=pdf.make_stream(
            b"", Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form, BBox=[0, 0, 1, 1],
            Resources=pikepdf.Dictionary(ColorSpace=pikepdf.Dictionary(CS1=many)),
        ))  # fmt: skip
        out = io.BytesIO()
        pdf.save(out)
    assert ink_names(out.getvalue()) == {"Emerald", "Copper", "Old Rose"}
