"""How much ink pictures and placed pages have: sums by hand, and littlecms on its own for RGB."""

from __future__ import annotations

import io
from pathlib import Path

import pikepdf
import pytest
from PIL import Image, ImageCms
from reportlab.lib.colors import CMYKColor, Color
from reportlab.pdfgen.canvas import Canvas

from vardata.dress import page_ink, pictures
from vardata.dress.framing import Framing
from vardata.job.shipped import profiles
from vardata.problems import Where

AT = Where("art.pdf")
PROFILE = str(next(iter(profiles().values())))
BROWN = (70, 30, 20)


def inks_of(rgb: tuple[int, int, int]) -> float:
    """Percent of ink for an sRGB colour, by littlecms called as the trade does for pictures."""
    made = ImageCms.profileToProfile(
        Image.new("RGB", (1, 1), rgb), ImageCms.createProfile("sRGB"), PROFILE,
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC, outputMode="CMYK",
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )  # fmt: skip
    pixel = made.getpixel((0, 0))
    assert isinstance(pixel, tuple)
    return sum(pixel) / 2.55


def page(draw: object) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(72, 72), invariant=1)
    draw(canvas)  # type: ignore[operator]
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def found(data: bytes, profile: str = "") -> page_ink.PageInk:
    return page_ink.heaviest(data, profile, AT)


def test_a_colour_of_inks_counts_by_its_sum() -> None:
    def draw(canvas: Canvas) -> None:
        canvas.setFillColor(CMYKColor(0.9, 0.8, 0.7, 0.2))
        canvas.rect(0, 0, 9, 9, stroke=0, fill=1)
        canvas.setStrokeColor(CMYKColor(0.5, 0.5, 1, 0.9))
        canvas.line(0, 0, 9, 9)

    assert found(page(draw)) == (pytest.approx(290), False)


def test_rgb_counts_as_the_profile_makes_it() -> None:
    def draw(canvas: Canvas) -> None:
        canvas.setFillColor(Color(*(part / 255 for part in BROWN)))
        canvas.rect(0, 0, 9, 9, stroke=0, fill=1)

    assert found(page(draw)) == (0.0, True)
    ink = found(page(draw), PROFILE)
    assert not ink.unjudged and ink.heaviest == pytest.approx(inks_of(BROWN), abs=2)
    assert ink.heaviest > 200


def test_greys_are_black_alone() -> None:
    def draw(canvas: Canvas) -> None:
        canvas.setFillGray(0.2)
        canvas.rect(0, 0, 9, 9, stroke=0, fill=1)
        canvas.setFillColor(Color(0.1, 0.1, 0.1))
        canvas.rect(9, 9, 9, 9, stroke=0, fill=1)

    assert found(page(draw)) == (pytest.approx(80), False)


@pytest.mark.parametrize("mode", ["CMYK", "RGB"])
def test_pictures_of_a_page_count_by_their_heaviest_pixel(mode: str) -> None:
    light = (10, 10, 10, 10) if mode == "CMYK" else (230, 230, 230)
    image = Image.new(mode, (30, 30), light)
    image.putpixel((29, 29), (204, 153, 255, 51) if mode == "CMYK" else BROWN)
    data = io.BytesIO()
    image.save(data, "TIFF")

    def draw(canvas: Canvas) -> None:
        from reportlab.lib.utils import ImageReader

        canvas.drawImage(ImageReader(data), 0, 0, 30, 30)

    want = 260 if mode == "CMYK" else inks_of(BROWN)
    assert found(page(draw), PROFILE).heaviest == pytest.approx(want, abs=2)


def test_forms_patterns_and_blends_are_looked_into() -> None:
    """Operators by hand: a form in a form, a tiling pattern, an axial shading."""
    pdf = pikepdf.new()
    sh = pikepdf.Dictionary(
        ShadingType=2, ColorSpace=pikepdf.Name.DeviceCMYK, Coords=[0, 0, 9, 0],
        Function=pikepdf.Dictionary(
            FunctionType=2, Domain=[0, 1], C0=[0, 0, 0, 0], C1=[1, 0.6, 0.4, 0.3], N=1
        ),
    )  # fmt: skip
    inner = pdf.make_stream(b".9 .9 .3 0 k 0 0 9 9 re f")
    form = {"/Type": pikepdf.Name.XObject, "/Subtype": pikepdf.Name.Form, "/BBox": [0, 0, 9, 9]}
    inner.update(form)
    outer = pdf.make_stream(b"/In Do")
    outer.update({
        **form, "/Resources": pikepdf.Dictionary(XObject=pikepdf.Dictionary(In=inner)),
    })  # fmt: skip
    for resources, want in (
        (pikepdf.Dictionary(Shading=pikepdf.Dictionary(S=sh)), 230),
        (pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=outer)), 210),
        (pikepdf.Dictionary(Pattern=pikepdf.Dictionary(
            P=pikepdf.Dictionary(PatternType=2, Shading=sh))), 230),
    ):  # fmt: skip
        made = pikepdf.new()
        made.add_blank_page(page_size=(72, 72))
        made.pages[0].obj.Resources = made.copy_foreign(pdf.make_indirect(resources))
        out = io.BytesIO()
        made.save(out)
        assert found(out.getvalue()).heaviest == pytest.approx(want)


def test_chosen_colour_spaces_count_where_they_are_of_process_inks() -> None:
    made = pikepdf.new()
    made.add_blank_page(page_size=(72, 72))
    spot = pikepdf.Array([
        pikepdf.Name.Separation, pikepdf.Name("/Copper"), pikepdf.Name.DeviceCMYK,
        pikepdf.Dictionary(FunctionType=2, Domain=[0, 1], C0=[0, 0, 0, 0], C1=[1, 1, 1, 1], N=1),
    ])  # fmt: skip
    table = bytes((0, 0, 0, 0, 255, 255, 0, 51))
    indexed = pikepdf.Array(
        [pikepdf.Name.Indexed, pikepdf.Name.DeviceCMYK, 1, pikepdf.String(table)]
    )
    made.pages[0].obj.Resources = pikepdf.Dictionary(
        ColorSpace=pikepdf.Dictionary(S=spot, I=indexed)
    )
    for content, want in (
        (b"/S cs 1 scn 0 0 9 9 re f", 0),
        (b"/DeviceCMYK cs 1 .5 0 .2 sc 0 0 9 9 re f", 170),
        (b"/DeviceCMYK CS 1 .5 0 .1 SCN 0 0 9 9 re S", 160),
        (b"/I cs 1 sc 0 0 9 9 re f", 220),
    ):
        made.pages[0].obj.Contents = made.make_stream(content)
        out = io.BytesIO()
        made.save(out)
        assert found(out.getvalue()).heaviest == pytest.approx(want), content


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_kept_rgb_is_judged_by_the_profile(kind: str) -> None:
    out = io.BytesIO()
    Image.new("RGB", (32, 32), BROWN).save(out, kind, quality=100)
    where = Where("photo." + kind.lower())
    read = pictures.from_bytes(out.getvalue(), where, Framing(limited=True, judged_by=PROFILE))
    assert read.picture.space == "DeviceRGB" and not read.notes
    assert read.picture.heaviest == pytest.approx(inks_of(BROWN), abs=4)
    read = pictures.from_bytes(out.getvalue(), where, Framing(limited=True))
    assert [str(note) for note in read.notes] == [
        f"photo.{kind.lower()}: nobody knows how much ink the RGB of this picture becomes, so no "
        'ink limit is kept; name the "profile" of the machine under [output], or convert it to '
        "its inks"
    ]
    assert pictures.from_bytes(out.getvalue(), where, Framing()).notes == ()


def test_pictures_within_a_drawing_are_judged_too() -> None:
    from base64 import b64encode

    from vardata.dress import svg

    out = io.BytesIO()
    Image.new("RGB", (32, 32), BROWN).save(out, "PNG")
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><image width="9" height="9" '
        f'href="data:image/png;base64,{b64encode(out.getvalue()).decode()}"/></svg>'
    )
    art = svg.read(text.encode(), "a.svg", (), Framing(limited=True, judged_by=PROFILE))
    (leaf,) = (leaf for leaf in art.plain.leaves.values() if leaf.picture is not None)
    assert leaf.picture is not None and leaf.picture.space == "DeviceRGB"
    assert leaf.picture.heaviest == pytest.approx(inks_of(BROWN), abs=2)
    art = svg.read(text.encode(), "a.svg", (), Framing(profile=PROFILE))
    assert [leaf.picture.space for leaf in art.plain.leaves.values() if leaf.picture] == [
        "DeviceCMYK"
    ]


def test_a_page_is_read_with_its_ink(tmp_path: Path) -> None:
    def draw(canvas: Canvas) -> None:
        canvas.setFillColor(CMYKColor(1, 1, 0.5, 0.5))
        canvas.rect(0, 0, 9, 9, stroke=0, fill=1)
        canvas.setFillColor(Color(0.9, 0.1, 0.1))
        canvas.rect(20, 20, 9, 9, stroke=0, fill=1)

    (tmp_path / "a.pdf").write_bytes(page(draw))
    read = pictures.read_picture(tmp_path / "a.pdf", Framing(limited=True))
    assert read.picture.heaviest == pytest.approx(300)
    assert [str(note) for note in read.notes] == [
        "a.pdf: nobody knows how much ink the RGB of this page becomes, so no ink limit is kept; "
        'name the "profile" of the machine under [output], or convert it to its inks'
    ]
