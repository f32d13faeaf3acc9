"""What a placed page leaves behind: fonts that show nothing, comments; and fonts that are missing.

ISO 32000-1 is named by clause. The pages are made by reportlab and changed by pikepdf.
"""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from bedkit import judge
from pagekit import HERE, MM, H, W, bed_of, made, plates, taken

from vardata.dress.framing import Framing
from vardata.dress.page import read_page
from vardata.problems import JobError


def changed(change) -> bytes:
    """The page with something done to it."""
    with pikepdf.open(io.BytesIO(made())) as pdf:
        change(pdf, pdf.pages[0].obj)
        out = io.BytesIO()
        pdf.save(out)
    return out.getvalue()


def missing_font(pdf: pikepdf.Pdf, name: str = "Courier") -> pikepdf.Object:
    return pdf.make_indirect(pikepdf.Dictionary(
        Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name("/" + name),
    ))  # fmt: skip


def fonts_of(data: bytes) -> set[str]:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        return {str(o.BaseFont) for o in pdf.objects
                if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/Font"}  # fmt: skip


def test_a_font_that_shows_nothing_goes_and_the_page_stays_as_it_was(tmp_path: Path) -> None:
    """Programs name a font at the start of each page that they never use; reportlab does, too.
    A standard wants every font embedded that a file names (ISO 15930-7, from memory)."""
    def idle_in_a_form(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
        fonts = pikepdf.Dictionary(F9=missing_font(pdf))
        page.Resources.XObject = pikepdf.Dictionary(X1=pdf.make_stream(
            b"BT /F9 12 Tf ET 0 0 1 0 k 120 12 12 12 re f", Type=pikepdf.Name.XObject,
            Subtype=pikepdf.Name.Form, BBox=[0, 0, W, H], Resources=pikepdf.Dictionary(Font=fonts),
        ))  # fmt: skip
        page.Contents = pdf.make_stream(page.Contents.read_bytes() + b"\n/X1 Do")

    data = changed(idle_in_a_form)
    assert {"/Helvetica", "/Courier"} <= fonts_of(data)
    picture = taken(data)
    kept = fonts_of(picture.data)
    assert not kept & {"/Helvetica", "/Courier"} and len(kept) == 1
    path = bed_of(tmp_path / "bed.pdf", picture, W * MM, H * MM)
    listed = [line.split() for line in judge("pdffonts", path).splitlines()[2:]]
    assert listed and all("yes" in line[-5:-4] for line in listed)  # column "emb"
    (tmp_path / "alone.pdf").write_bytes(data)
    (tmp_path / "placed.pdf").write_bytes(picture.data)
    for ink, plate in plates(tmp_path / "alone.pdf").items():
        assert np.array_equal(plate, plates(tmp_path / "placed.pdf")[ink]), ink


def shows_after_restore(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    (sans,) = (key for key in page.Resources.Font if key != "/F1")
    page.Resources.Font["/F8"] = missing_font(pdf)
    text = b"\nBT /F8 9 Tf q %b 9 Tf Q (A) Tj ET" % sans.encode()
    page.Contents = pdf.make_stream(page.Contents.read_bytes() + text)


def shows_in_the_callers_font(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    page.Resources.Font["/F8"] = missing_font(pdf)
    page.Resources.XObject = pikepdf.Dictionary(X1=pdf.make_stream(
        b"BT (A) Tj ET", Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form, BBox=[0, 0, W, H],
        Resources=pikepdf.Dictionary(),
    ))  # fmt: skip
    content = page.Contents.read_bytes() + b"\nBT /F8 9 Tf ET /X1 Do"
    page.Contents = pdf.make_stream(content.replace(b"/F1 12 Tf", b""))


def shared_by_two_forms(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    shared = pdf.make_indirect(
        pikepdf.Dictionary(Font=pikepdf.Dictionary(F8=missing_font(pdf)))
    )
    forms = {
        f"/X{n}": pdf.make_stream(text, Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form,
                                  BBox=[0, 0, W, H], Resources=shared)
        for n, text in enumerate((b"q Q", b"BT /F8 9 Tf (A) Tj ET"))
    }  # fmt: skip
    page.Resources.XObject = pikepdf.Dictionary(forms)
    page.Contents = pdf.make_stream(page.Contents.read_bytes() + b"\n/X0 Do /X1 Do")


def chosen_by_a_graphics_state(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    state = pikepdf.Dictionary(Font=[missing_font(pdf), 9])
    page.Resources.ExtGState["/GSF"] = state
    page.Contents = pdf.make_stream(page.Contents.read_bytes() + b"\n/GSF gs BT (A) Tj ET")


@pytest.mark.parametrize(
    "change",
    [shows_after_restore, shows_in_the_callers_font, shared_by_two_forms,
     chosen_by_a_graphics_state],
)  # fmt: skip
def test_a_missing_font_is_found_wherever_it_is_chosen(change) -> None:
    with pytest.raises(JobError) as caught:
        taken(changed(change))
    assert str(caught.value) == (
        "crest.pdf: the font 'Courier' is not in the PDF; export it with all fonts embedded"
    )


def with_state(**entries: pikepdf.Object) -> bytes:
    def change(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
        page.Resources.ExtGState["/GSX"] = pikepdf.Dictionary(entries)
        page.Contents = pdf.make_stream(b"/GSX gs\n" + page.Contents.read_bytes())

    return changed(change)


def curve() -> pikepdf.Object:
    return pikepdf.Dictionary(FunctionType=2, Domain=[0, 1], C0=[0], C1=[1], N=2)


def test_a_transfer_curve_is_refused() -> None:
    """ISO 15930-7 (from memory): none in PDF/X-4."""
    for key in ("TR", "TR2"):
        with pytest.raises(JobError) as caught:
            taken(with_state(**{f"/{key}": curve()}))
        assert str(caught.value) == (
            "crest.pdf: the PDF changes its tones by a transfer curve; export it without"
        )


def test_a_halftone_goes_and_so_do_curves_that_change_nothing() -> None:
    halftone = pikepdf.Dictionary(
        HalftoneType=1, Frequency=60, Angle=45, SpotFunction=pikepdf.Name.Round
    )
    picture = taken(with_state(**{
        "/HT": halftone, "/TR": pikepdf.Name.Identity, "/TR2": pikepdf.Name.Default,
        "/OP": True,
    }))  # fmt: skip
    with pikepdf.open(io.BytesIO(picture.data)) as pdf:
        (state,) = (o for o in pdf.pages[0].Resources.ExtGState.values() if "/OP" in o)
        assert set(state.keys()) == {"/OP"}


def commented(*flags: int) -> bytes:
    def change(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
        seen = pdf.make_stream(b"1 0 0 0 k 0 0 20 20 re f", Type=pikepdf.Name.XObject,
                               Subtype=pikepdf.Name.Form, BBox=[0, 0, 20, 20])  # fmt: skip
        page.Annots = pikepdf.Array([
            pikepdf.Dictionary(Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Stamp, F=flag,
                               Rect=[60, 20, 80, 40], AP=pikepdf.Dictionary(N=seen))
            for flag in flags
        ])  # fmt: skip

    return changed(change)


@pytest.mark.parametrize(
    ("flags", "lines"),
    [
        ((4,), ["crest.pdf: a comment or form field that a viewer would print is left out; "
                "flatten the PDF to have what they show"]),
        ((4, 4 + 64), ["crest.pdf: 2 comments or form fields that a viewer would print are left "
                       "out; flatten the PDF to have what they show"]),
        ((0, 2 + 4), []),  # for the screen alone, hidden
    ],
)  # fmt: skip
def test_comments_are_left_out_and_told_if_they_would_print(
    flags: tuple[int, ...], lines: list[str]
) -> None:
    found = read_page(commented(*flags), HERE, Framing())
    assert [str(note) for note in found.notes] == lines
    with pikepdf.open(io.BytesIO(found.picture.data)) as pdf:
        assert "/Annots" not in pdf.pages[0].obj
