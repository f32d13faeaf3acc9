"""Pictures for eyes: the colours a person should see, in every viewer; forms for other papers."""

from __future__ import annotations

import io
import re
import zlib

import numpy as np
import pypdfium2
import pytest
from bedkit import (
    BOLD,
    BOOK,
    COLOUR,
    GLOSS,
    NO_STATICS,
    SANS,
    SCRIPT,
    WHITE,
    judge,
    make_bed,
    make_layout,
    no_pictures,
    page,
    plate,
    run,
)  # fmt: skip
from PIL import Image as Pillow

from vardata.dress.drawing import Picture
from vardata.job.model import Layout
from vardata.marks import BLACK, Cmyk, Item, ModuleGrid, Path, Placement, Ref, Statics
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.look import LookForms, write_look_file
from vardata.output.pdf.view import View
from vardata.problems import OutputError

OUTLINE = (("re", 0.0, 0.0, 20.0, 10.0),)
LAYOUT = make_layout(20.0, 10.0)
BED = make_bed(50.0, 24.0)
DARK, LIGHT = "#202020", "#f0f0f0"
# Squares of 4 mm in a row: colour on white, colour alone, white alone, gloss alone.
SQUARES = {"both": 1.0, "colour": 6.0, "white": 11.0, "gloss": 16.0}
MARKS = (
    Path(COLOUR, Cmyk(0.0, 1.0, 1.0, 0.0), (("re", 1.0, 3.0, 4.0, 4.0),)),
    Path(COLOUR, Cmyk(0.0, 1.0, 1.0, 0.0), (("re", 6.0, 3.0, 4.0, 4.0),)),
    Path(WHITE, 1.0, (("re", 0.5, 2.5, 5.0, 5.0),)),
    Path(WHITE, 1.0, (("re", 11.0, 3.0, 4.0, 4.0),)),
    Path(GLOSS, 1.0, (("re", 16.0, 3.0, 10.0, 4.0),)),  # passes the outline by 6 mm
)
SUBSTRATES = {"dark": DARK, "light": LIGHT, "rust": "#904030"}
CONTENT = PageContent(
    ((Placement(12.0, 12.0, 0.0), Item("dark", MARKS)),
     (Placement(38.0, 12.0, 180.0), Item("light", MARKS))),
    "two",
)  # fmt: skip


def settings(**changed):
    base = {
        "bed": BED,
        "layout": LAYOUT,
        "statics": NO_STATICS,
        "book": BOOK,
        "pictures": no_pictures,
        "substrate": lambda item: SUBSTRATES[item.record],
        "outline": OUTLINE,
    }
    return {**base, **changed}


def pictures(path, folder) -> dict[str, np.ndarray]:
    """The first page at 10 dots a mm, near enough, in four renderers."""
    judge("gs", "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=png16m", "-r254",
          "-dLastPage=1", f"-sOutputFile={folder}/gs.png", path)  # fmt: skip
    judge("pdftoppm", "-r", "254", "-png", "-singlefile", path, folder / "poppler")
    judge("mutool", "draw", "-q", "-r", "254", "-o", folder / "mupdf.png", path, "1")
    pypdfium2.PdfDocument(path)[0].render(scale=254 / 72).to_pil().save(folder / "pdfium.png")
    return {
        name: np.asarray(Pillow.open(folder / f"{name}.png").convert("RGB")).astype(int)
        for name in ("gs", "poppler", "mupdf", "pdfium")
    }


def colour_of(pixels: np.ndarray, item: str, square: str) -> np.ndarray:
    """The colour in the middle of an item's square."""
    x, y = SQUARES[square] + 2.0 - 10.0, 0.0
    bx, by = (12.0 + x, 12.0 + y) if item == "dark" else (38.0 - x, 12.0 - y)
    return pixels[round((24.0 - by) * 10), round(bx * 10)]


def look(tmp_path, **changed):
    path = tmp_path / "look.pdf"
    write_look_file(path, **settings(pages=[CONTENT], **changed))
    judge("qpdf", "--check", path)
    return pictures(path, tmp_path)


def test_all_plates_as_they_will_be_seen(tmp_path):
    """Red over white is red; red on a dark blank is nearly lost; white is white."""
    for name, pixels in look(tmp_path).items():
        for item, ground in (("dark", 0x20), ("light", 0xF0)):
            red = colour_of(pixels, item, "both")
            assert red[0] > 200 and red[1] < 80 and red[2] < 80, name
            assert tuple(colour_of(pixels, item, "white")) == pytest.approx((255,) * 3, abs=1)
            bare = colour_of(pixels, item, "colour")
            assert bare[0] <= ground and bare[1] < 80, (name, item)
        assert colour_of(pixels, "dark", "colour")[0] < 40
        assert colour_of(pixels, "dark", "gloss").min() > 0x20 + 8  # a sheen lightens the dark
        assert colour_of(pixels, "light", "gloss").max() < 0xF0 - 8  # and darkens the light
        assert tuple(pixels[5, 5]) == pytest.approx((0xE6,) * 3, abs=1)  # around the items


def test_ink_beyond_the_outline_is_not_shown(tmp_path):
    """A bleed falls beside the item; the picture shows the item as it comes off the jig."""
    for name, pixels in look(tmp_path).items():
        assert tuple(pixels[120, 240]) == pytest.approx((0xE6,) * 3, abs=1), name


def test_without_sheen_gloss_is_not_shown(tmp_path):
    for name, pixels in look(tmp_path, with_gloss_sheen=False).items():
        assert tuple(colour_of(pixels, "dark", "gloss")) == pytest.approx((0x20,) * 3, abs=1), name


def with_white(**changed) -> Layout:
    """The layout with a changed white plate, and a second plate of the process inks behind it."""
    plates = tuple(
        found.model_copy(update=changed) if found.role == "white" else found
        for found in LAYOUT.plates
    )
    return LAYOUT.model_copy(update={"plates": plates})


@pytest.mark.parametrize(
    ("density", "passes", "covers"), [(50, 1, 0.5), (50, 2, 0.75), (20, 1, 0.2)]
)
def test_white_of_less_density_covers_as_much_less(tmp_path, density, passes, covers):
    """Half of the ink shows half of the blank; what is printed twice covers what is left."""
    layout = with_white(density=density, passes=passes)
    for name, pixels in look(tmp_path, layout=layout).items():
        for item, ground in (("dark", 0x20), ("light", 0xF0)):
            want = ground + (255 - ground) * covers
            seen = tuple(colour_of(pixels, item, "white"))
            assert seen == pytest.approx((want,) * 3, abs=2), (name, item)


def test_light_from_behind_is_dimmed_by_white_and_filtered_by_colour(tmp_path):
    """Full white lets 35 % through (our estimate), shown as its power of 1/2.2; on a screen colour
    alone is brighter than colour over white, and gloss is not to be seen."""
    for density, passes in ((100, 1), (50, 1), (100, 2)):
        share = (1 - density / 100 * 0.65) ** passes
        layout = with_white(density=density, passes=passes)
        for name, pixels in look(tmp_path, layout=layout, lit=True).items():
            want = 0xF0 * share ** (1 / 2.2)
            assert tuple(colour_of(pixels, "light", "white")) == pytest.approx((want,) * 3, abs=2)
            alone, over = (colour_of(pixels, "light", square) for square in ("colour", "both"))
            assert over[0] == pytest.approx(alone[0] * share ** (1 / 2.2), abs=3), name
            assert tuple(colour_of(pixels, "light", "gloss")) == pytest.approx((0xF0,) * 3, abs=1)


def test_light_from_behind_shows_both_colours_of_a_sandwich(tmp_path):
    """In daylight white hides what lies behind it; lit, both filter the light."""
    plates = (plate("Back", "colour"), plate("White", "white"), plate("Front", "colour"))
    plates = (plates[0], plates[1].model_copy(update={"cover": "art"}), plates[2])
    layout = make_layout(20.0, 10.0, plates=plates)
    square = (("re", 1.0, 3.0, 4.0, 4.0),)
    marks = (Path(0, Cmyk(1.0, 0.0, 0.0, 0.0), square), Path(1, 1.0, square),
             Path(2, Cmyk(0.0, 0.0, 1.0, 0.0), square))  # fmt: skip
    content = PageContent(((Placement(12.0, 12.0, 0.0), Item("light", marks)),), "")
    shown = {}
    for lit in (False, True):
        path = tmp_path / f"{lit}.pdf"
        write_look_file(path, **settings(pages=[content], layout=layout, lit=lit))
        shown[lit] = colour_of(pictures(path, tmp_path)["pdfium"], "dark", "both")
    assert shown[False][0] > 230 and shown[False][2] < 80  # yellow
    assert shown[True][0] < 60 and shown[True][1] > 60 and shown[True][2] < 90  # green


def test_a_photo_lies_under_the_item_in_its_own_sense(tmp_path):
    """Four quarters of a photo, on an item upright and on one turned by half; cut to the outline,
    under white and filtered by colour."""
    quarters = np.array([[[200, 40, 40], [40, 160, 40]], [[40, 40, 200], [180, 180, 60]]], np.uint8)
    data = zlib.compress(np.repeat(np.repeat(quarters, 8, 0), 8, 1).tobytes())
    photo = Picture("photo", 16, 16, "DeviceRGB", "FlateDecode", data, (), b"", ())
    path = tmp_path / "p.pdf"
    marks = (Path(WHITE, 1.0, (("re", 11.0, 3.0, 4.0, 4.0),)),)
    content = PageContent(tuple(
        (Placement(x, 12.0, angle), Item("dark", marks))
        for x, angle in ((12.0, 0.0), (38.0, 180.0))
    ), "")  # fmt: skip
    write_look_file(path, **settings(
        pages=[content], photo=lambda item: "photo", pictures={"photo": photo}.__getitem__,
    ))  # fmt: skip
    for name, pixels in pictures(path, tmp_path).items():
        # Top left, top right, bottom left, bottom right of the item's box, in item mm.
        for (x, y), want in zip(((2, 9), (18, 9), (2, 1), (18, 1)), quarters.reshape(4, 3)):
            for at in ((2 + x, 7 + y), (48 - x, 17 - y)):
                seen = pixels[round((24.0 - at[1]) * 10), round(at[0] * 10)]
                assert tuple(seen) == pytest.approx(tuple(want), abs=3), (name, x, y)
        assert tuple(colour_of(pixels, "dark", "white")) == pytest.approx((255,) * 3, abs=1)
        assert tuple(pixels[120, 235]) == pytest.approx((0xE6,) * 3, abs=1)  # between the items


def test_white_on_its_own_is_white_on_the_substrate(tmp_path):
    for name, pixels in look(tmp_path, plates={WHITE}).items():
        assert tuple(colour_of(pixels, "dark", "both")) == pytest.approx((255,) * 3, abs=1), name
        assert tuple(colour_of(pixels, "dark", "gloss")) == pytest.approx((0x20,) * 3, abs=1)
        assert tuple(colour_of(pixels, "light", "colour")) == pytest.approx((0xF0,) * 3, abs=1)


def test_gloss_on_its_own_is_grey_on_paper(tmp_path):
    for name, pixels in look(tmp_path, plates={GLOSS}).items():
        grey = colour_of(pixels, "dark", "gloss")
        assert grey.min() > 150 and grey.max() < 210 and np.ptp(grey) < 24, name
        assert tuple(colour_of(pixels, "dark", "both")) == pytest.approx((255,) * 3, abs=1)


def test_colour_on_its_own_is_colour_on_paper(tmp_path):
    for name, pixels in look(tmp_path, plates={COLOUR}).items():
        for square in ("both", "colour"):
            red = colour_of(pixels, "dark", square)
            assert red[0] > 200 and red[1] < 80, name
        assert tuple(colour_of(pixels, "dark", "white")) == pytest.approx((255,) * 3, abs=1)


def test_a_layout_without_white_is_shown_on_its_blank(tmp_path):
    layout = make_layout(20.0, 10.0, plates=(plate("Colour", "colour"), plate("Gloss", "gloss")))
    marks = tuple(mark for mark in MARKS if mark.plate == COLOUR)
    content = PageContent(((Placement(12.0, 12.0, 0.0), Item("light", marks)),), "")
    write_look_file(tmp_path / "l.pdf", **settings(pages=[content], layout=layout))
    for name, pixels in pictures(tmp_path / "l.pdf", tmp_path).items():
        at = colour_of(pixels, "dark", "white")
        assert tuple(at) == pytest.approx((0xF0,) * 3, abs=1), name


def test_a_later_mark_takes_white_away_where_it_has_no_tint(tmp_path):
    """Within a plate marks cover each other, tint 0 leaving the blank: as on the press."""
    marks = (
        Path(WHITE, 1.0, (("re", 2.0, 2.0, 16.0, 6.0),)),
        Path(WHITE, 0.0, (("re", 11.0, 3.0, 4.0, 4.0),)),
        Path(GLOSS, 1.0, (("re", 0.0, 0.0, 20.0, 10.0),)),
        Path(GLOSS, 0.0, (("re", 16.0, 3.0, 4.0, 4.0),)),
        Path(WHITE, 0.0, (("re", 16.0, 3.0, 4.0, 4.0),)),
    )
    content = PageContent(((Placement(12.0, 12.0, 0.0), Item("rust", marks)),), "")
    write_look_file(tmp_path / "l.pdf", **settings(pages=[content]))
    for name, pixels in pictures(tmp_path / "l.pdf", tmp_path).items():
        assert colour_of(pixels, "dark", "colour").min() > 200, name  # white under gloss
        glossy, bare = (colour_of(pixels, "dark", square) for square in ("white", "gloss"))
        assert tuple(bare) == pytest.approx((0x90, 0x40, 0x30), abs=1), name
        assert tuple(glossy) == pytest.approx((0x90, 0x40, 0x30), abs=16), name
        assert glossy[2] > bare[2] + 3, name


def test_a_choke_is_shown_where_white_is_alone(tmp_path):
    """Beside colour it would eat thin letters, a screen's dots being coarser than the choke."""
    mark = run("I", font=BOLD, size=20.0, at=(5.0, 2.0), on=WHITE, choke=0.3)
    content = PageContent(((Placement(12.0, 12.0, 0.0), Item("dark", (mark,))),), "")
    widths = {}
    for shown in (None, {WHITE}):
        path = tmp_path / "l.pdf"
        write_look_file(path, **settings(pages=[content], plates=shown))
        pixels = pictures(path, tmp_path)["pdfium"]
        middle = pixels[round((24 - 11.5) * 10), :150].max(axis=1)
        widths[shown is None] = np.count_nonzero(middle[50:] > 128)
    assert widths[True] - widths[False] == pytest.approx(6, abs=2)


def test_pictures_are_the_same_bytes_each_time():
    one, two = io.BytesIO(), io.BytesIO()
    for buffer in (one, two):
        write_look_file(buffer, **settings(pages=[CONTENT, CONTENT]))
    assert one.getvalue() == two.getvalue()


def test_a_disk_that_refuses_is_one_clear_line(tmp_path):
    with pytest.raises(OutputError, match=r"l\.pdf: the picture of a bed cannot be written"):
        write_look_file(tmp_path / "no" / "l.pdf", **settings(pages=[CONTENT]))


# ------------------------------------------------------------ forms


def beds() -> list[PageContent]:
    """Three beds, each with letters that the others do not have, and art in common."""
    found = []
    for text in ("Quiz", "Fjord", "Ambex"):
        marks = (
            Ref(COLOUR, "art"),
            run(text, font=SCRIPT, at=(2, 3), paint=Cmyk(1.0, 0.4, 0.0, 0.0)),
            run(text, font=SANS, at=(11, 6), size=6.0),
            ModuleGrid(COLOUR, BLACK, 8, 2, b"\xaa\x55", 11.0, 1.0, 4.0, 2.0, 0),
        )
        found.append(PageContent(((Placement(12.0, 12.0, 0.0), Item("light", marks)),), text))
    return found


ART = Statics({"art": (Path(COLOUR, Cmyk(0, 0, 1, 0), (("re", 17.0, 6.0, 2.0, 2.0),)),)})


def document(forms: LookForms, added: list[int]) -> bytes:
    """A file of its own, by hand: a page for each picture."""
    objects = {n: body.head + body.stream for n, body in forms.objects().items()}
    free = max(objects) + 1
    box = b"[%b]" % b" ".join(b"%g" % corner for corner in forms.bbox)
    kids = []
    for form in added:
        drawn, page, free = free, free + 1, free + 2
        objects[drawn] = b"<</Length 8>>stream\n/Look Do\nendstream"
        objects[page] = (
            b"<</Type/Page/Parent %%d 0 R/MediaBox%b/Contents %d 0 R"
            b"/Resources<</XObject<</Look %d 0 R>>>>>>" % (box, drawn, form)
        )
        kids.append(page)
    for page in kids:
        objects[page] = objects[page] % free
    listed = b" ".join(b"%d 0 R" % page for page in kids)
    objects[free] = b"<</Type/Pages/Count %d/Kids[%b]>>" % (len(kids), listed)
    objects[free + 1] = b"<</Type/Catalog/Pages %d 0 R>>" % free
    out, places = b"%PDF-1.7\n", {}
    for number, body in objects.items():
        places[number] = len(out)
        out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    table = b"".join(
        b"%010d 00000 n \n" % places[n] if n in places else b"0000000000 65535 f \n"
        for n in range(free + 2)
    )
    end = b"trailer\n<</Size %d/Root %d 0 R>>\nstartxref\n%d\n%%%%EOF\n"
    return out + b"xref\n0 %d\n" % (free + 2) + table + end % (free + 2, free + 1, len(out))


def test_forms_of_many_beds_share_their_fonts(tmp_path):
    """Put into another document, page by page, they look as the pictures' own file does."""
    forms = LookForms(**settings(statics=ART), view=View())
    added = [forms.add(content) for content in beds()]
    (tmp_path / "paper.pdf").write_bytes(document(forms, added))
    write_look_file(tmp_path / "own.pdf", **settings(pages=beds(), statics=ART, background=""))
    judge("qpdf", "--check", tmp_path / "paper.pdf")
    fonts = judge("pdffonts", tmp_path / "paper.pdf").splitlines()[2:]
    assert len(fonts) == 2
    assert judge("pdftotext", "-raw", tmp_path / "paper.pdf", "-").split() == [
        "Quiz", "Quiz", "Fjord", "Fjord", "Ambex", "Ambex"
    ]  # fmt: skip
    paper, own = (pypdfium2.PdfDocument(tmp_path / f"{n}.pdf") for n in ("paper", "own"))
    assert len(paper) == len(own) == 3
    for one, other in zip(paper, own):
        left, right = (
            np.asarray(sheet.render(scale=2).to_pil().convert("RGB")).astype(int)
            for sheet in (one, other)
        )
        assert np.ptp(right) > 200
        assert np.abs(left - right).max() <= 24  # the page's size is rounded otherwise


def test_forms_serve_more_than_one_document():
    """A pick list is made in parts; each part takes the objects into its own document."""
    forms = LookForms(**settings(statics=ART))
    form = forms.add(beds()[0])
    bodies = dict(forms.objects())
    assert {b"/ExtGState", b"/XObject"} <= set(re.findall(rb"/\w+", bodies[form].head))
    assert forms.objects() == bodies


def test_a_bed_that_comes_too_late_is_refused():
    forms = LookForms(**settings(statics=ART))
    forms.add(beds()[0])
    forms.objects()
    with pytest.raises(RuntimeError, match="after the pictures' objects"):
        forms.add(beds()[1])


def test_an_empty_bed_is_only_background(tmp_path):
    write_look_file(tmp_path / "e.pdf", **settings(pages=[page().at(())]))
    pixels = pictures(tmp_path / "e.pdf", tmp_path)["poppler"]
    assert np.unique(pixels[2:-2, 2:-2]).tolist() == [0xE6]


def test_full_beds_differ_in_their_plates_only():
    """Outlines and blanks of beds that are filled alike are written once and squeezed once; the
    picture of a bed with another blank is another one."""
    forms = LookForms(**settings(statics=ART))
    one, other = (forms.add(content) for content in beds()[:2])
    dark = PageContent(((Placement(12.0, 12.0, 0.0), Item("dark", ())),), "")
    third = forms.add(dark)
    bodies = forms.objects()
    assert bodies[one].stream is not None and bodies[one].stream == bodies[other].stream
    assert bodies[one].head != bodies[other].head
    assert bodies[third].stream != bodies[one].stream
