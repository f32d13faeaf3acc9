"""Texts in several styles: shaping against uharfbuzz called plainly, outlines against fontTools,
plates against Ghostscript's separations and PDFium."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
import uharfbuzz as hb
from faker import Faker
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from PIL import Image
from stylejob import PX, box, built, called, made, seen, separations, slots

from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.result import TextFit
from vardata.fit.stylebook import style_settings
from vardata.fit.styled import StyledFitter
from vardata.fit.text import TextFitter
from vardata.job.model import Layout, TextField
from vardata.problems import JobError
from vardata.resolve.marks import styled
from vardata.resolve.templates import _collapse

FONTS = Path(__file__).resolve().parents[2] / "fonts"
NAMES = ("NotoSans-Regular", "NotoSans-Bold", "NotoSerif-Regular", "DancingScript-Regular",
         "NotoSansHebrew-Regular")  # fmt: skip
MM = 25.4 / 72
MARKS = {"": "\ufdd0", "a": "\ufdd1", "b": "\ufdd2"}


def fitter(styles: dict[str, Any], **keys: Any) -> tuple[StyledFitter, FontBook, TextField]:
    given: dict[str, Any] = {"box": (0, 0, 50, 12), "size": "20pt", "font": NAMES[0], **keys}
    field = TextField(type="text", name="n", text="", styles=styles, **given)
    layout = Layout(name="x", width=60, height=20, fields=(field,), fallback=NAMES[4])
    book = FontBook({name: next(FONTS.glob(f"{name}.*")) for name in NAMES})
    return StyledFitter(field, style_settings(layout, field, book)), book, field


def marked(text: str) -> Any:
    """Letters with styles, from a text with <a>, <b> and </> for their marks."""
    for name, mark in MARKS.items():
        text = text.replace(f"<{name or '/'}>", mark)
    return styled(text)


def fitted(one: StyledFitter, text: str) -> TextFit:
    found = one.fit(marked(text))
    assert isinstance(found, TextFit), found
    return found


def advances(name: str, text: str, features: dict[str, bool] | None = None) -> list[Any]:
    """(glyph, advance in em) by uharfbuzz."""
    font = hb.Font(hb.Face(next(FONTS.glob(f"{name}.*")).read_bytes()))
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(font, buffer, features)
    return [(info.codepoint, place.x_advance / font.face.upem)
            for info, place in zip(buffer.glyph_infos, buffer.glyph_positions)]  # fmt: skip


def ink_of(name: str, letter: str) -> tuple[float, float, float, float]:
    """The box of a letter's outline in em, by fontTools."""
    font = TTFont(next(FONTS.glob(f"{name}.*")))
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(letter)]].draw(pen)
    return tuple(part / font["head"].unitsPerEm for part in pen.bounds)  # type: ignore[return-value]


# ---------------------------------------------------------------- shaping


def test_each_style_is_shaped_with_its_own_font() -> None:
    one, book, _ = fitter({"a": {"font": NAMES[1]}, "b": {"font": NAMES[3], "scale": 50}})
    fit = fitted(one, "<a>Ada</> Vold<b> fj</>")
    assert (fit.text, type(fit.text), fit.styles) == ("Ada Vold fj", str, (1, 0, 2))
    pen = fit.runs[0].x
    for run, name, text, scale in zip(
        fit.runs, (NAMES[1], NAMES[0], NAMES[3]), ("Ada", " Vold", " fj"), (1, 1, 0.5)
    ):
        judged = advances(name, text)
        assert book.face(run.font).path.stem == name
        assert run.glyphs == b"".join(glyph.to_bytes(2, "big") for glyph, _ in judged)
        assert run.x == pytest.approx(pen, abs=2e-3)
        pen += sum(advance for _, advance in judged) * scale * fit.size_pt * MM


def test_styles_that_change_nothing_leave_texts_as_they_are() -> None:
    one, book, field = fitter({"a": {}, "b": {}}, lines=3)
    plain = TextFitter(field, book.sized_chain((NAMES[0], NAMES[4]), "cap-height"))
    for text, with_marks in (
        ("Ottilie Brandvold", "<a>Ottilie</> Brandvold"),
        ("משה Ottilie כהן", "<a>משה</> <b>Ottilie</> כהן"),
        ("Ottilie משה (12) כהן and Co.", "<a>Ottilie</> משה (12) <b>כהן</> and Co."),
        ("a line\nof its own, and a long one behind it", "a <b>line\nof its</> own, and a long one "
         "behind it"),
    ):  # fmt: skip
        fit, other = fitted(one, with_marks), plain.fit(text)
        assert isinstance(other, TextFit)
        assert letters(fit, book) == letters(other, book)  # in the order in which they are seen
        assert (fit.size_pt, fit.squeeze, fit.lines) == (other.size_pt, other.squeeze, other.lines)
        # Between scripts a space may come from either's font.
        assert fit.ink == pytest.approx(other.ink, abs=0.2 if "ה" in text else 0.01)


def letters(fit: TextFit, book: FontBook) -> list[tuple[str, bytes]]:
    """Font and glyph of each letter that has ink."""
    return [
        (book.face(run.font).path.stem, glyph)
        for run in fit.runs
        for glyph in (run.glyphs[at : at + 2] for at in range(0, len(run.glyphs), 2))
        if book.face(run.font).extents(int.from_bytes(glyph, "big"))
    ]


def test_the_same_letters_may_be_styled_otherwise() -> None:
    one, _, _ = fitter({"a": {"font": NAMES[1]}})
    assert fitted(one, "<a>Ada</> Vold").runs != fitted(one, "Ada <a>Vold</>").runs


def test_a_long_text_shrinks_as_a_whole() -> None:
    one, book, _ = fitter({"a": {"scale": 60, "rise": 20}}, squeeze=80)
    text = "Maximiliane<a> the extraordinarily Great</>"
    fit = fitted(one, text)
    assert fit.size_pt < 20 and fit.squeeze <= 1
    large, small = fit.runs
    units = book.face(large.font).units_per_em, book.face(small.font).units_per_em
    assert units[0] / units[1] == pytest.approx(0.6, abs=1e-3)
    assert small.y - large.y == pytest.approx(0.2 * fit.size_pt * MM, abs=1e-3)


def test_spaces_that_nothing_fills_are_taken_out_across_styles() -> None:
    for text in ("  Ada  Vold ", "Ada \n Vold", " \nAda\n\n", "a  b c", ""):
        for at in range(len(text) + 1):
            assert styled(text[:at] + MARKS["a"] + text[at:]) == _collapse(text)


# ---------------------------------------------------------------- forms of letters


def test_superior_figures_are_those_of_the_font() -> None:
    one, _, _ = fitter({"a": {"form": "superior"}, "b": {"form": "small-caps"}})
    fit = fitted(one, "E=mc<a>23</> <b>Abc</>")
    glyphs = [run.glyphs for run in fit.runs]
    for got, text, tag in ((glyphs[1], "23", "sups"), (glyphs[3], "Abc", "smcp")):
        judged = [glyph for glyph, _ in advances(NAMES[0], text, {tag: True})]
        assert judged != [glyph for glyph, _ in advances(NAMES[0], text)]
        assert got == b"".join(glyph.to_bytes(2, "big") for glyph in judged)


@pytest.mark.parametrize("name", [NAMES[2], NAMES[3]])
def test_superior_letters_are_made_as_the_font_says(name: str) -> None:
    font = TTFont(next(FONTS.glob(f"{name}.*")))
    em, table = font["head"].unitsPerEm, font["OS/2"]
    size, height = table.ySuperscriptYSize / em, table.ySuperscriptYOffset / em
    one, _, _ = fitter({"a": {"form": "superior", "synthetic": True}}, font=name)
    fit = fitted(one, "1<a>k</>")
    base, mark = fit.runs
    _, _, right, high = ink_of(name, "k")
    unit = fit.size_pt * MM
    assert mark.y - base.y == pytest.approx(height * unit, abs=2e-3)
    assert fit.ink[2] == pytest.approx(mark.x + right * size * unit, abs=0.01)
    assert fit.ink[3] == pytest.approx(
        max(base.y + ink_of(name, "1")[3] * unit, mark.y + high * size * unit), abs=0.01
    )


def test_small_capitals_are_made_as_high_as_small_letters() -> None:
    one, book, _ = fitter({"a": {"form": "small-caps", "synthetic": True}}, font=NAMES[3])
    fit = fitted(one, "<a>Ab</>")
    large, small = fit.runs
    face = book.face(large.font)
    units = face.units_per_em / book.face(small.font).units_per_em
    assert units == pytest.approx(face.x_height / face.cap_height, abs=2e-3)
    capital = advances(NAMES[3], "B")[0][0]
    assert small.glyphs == capital.to_bytes(2, "big")


def test_letters_that_a_font_has_not_so_hold_the_record(tmp_path: Path) -> None:
    field = 'text = "[s]{{ first }}[/s]"\nfont = "DancingScript-Regular"\nsize = "20pt"\n'
    for form, what in (
        ("superior", "no superior for 'O' in DancingScript-Regular"),
        ("ordinal", "no ordinal mark for 'Ottilie' in DancingScript-Regular"),
        ("small-caps", "no small capital for 't' in DancingScript-Regular"),
    ):
        run = built(tmp_path, f'{field}styles.s.form = "{form}"', code=3)
        held = (run / "held.csv").read_text("utf-8")
        assert what in held
        remedy = "write synthetic = true in the style, take a font that has it, or change the text"
        assert remedy in held


# ---------------------------------------------------------------- beds


def test_styles_print_in_their_colours_with_white_under_all(tmp_path: Path) -> None:
    field = (
        'text = "[red]{{ first }}[/] {{ last }}"\nfont = "NotoSans-Bold"\nsize = "20pt"\n'
        'colour = "black"\n[fields.styles.red]\ncolour = [0, 100, 0, 0]\n'
    )
    run = built(tmp_path, field)
    (text,) = slots(run)[0]["texts"]
    assert text["text"] == "Ottilie Brandvold"
    plates = separations(run)
    red, black, white = plates["Magenta"], plates["Black"], plates["White"]
    assert box(red)[2] < box(black)[0]
    assert not (white & ~(red | black)).any()
    assert (white & red).any() and (white & black).any()
    pdf = pypdfium2.PdfDocument(next((run / "beds").iterdir()))
    shown = pdf[0].get_textpage().get_text_range().split()
    assert shown[:2] == ["Ottilie", "Brandvold"]


def test_a_decorated_text_keeps_the_colours_of_its_styles(tmp_path: Path) -> None:
    field = (
        'text = "[red]{{ first }}[/] {{ last }}"\nfont = "NotoSans-Bold"\nsize = "20pt"\n'
        'outline = { width = 0.3, colour = [0, 0, 100, 0] }\n'
        '[fields.styles.red]\ncolour = [0, 100, 0, 0]\n'
    )
    plates = separations(built(tmp_path, field))
    red, black, yellow = plates["Magenta"], plates["Black"], plates["Yellow"]
    assert box(red)[2] < box(black)[0]
    assert box(yellow)[0] < box(red)[0] and box(yellow)[2] > box(black)[2]
    assert not (plates["White"] & ~(red | black | yellow)).any()


@pytest.mark.parametrize("name", [NAMES[0], NAMES[3]])
def test_smaller_letters_are_embedded_smaller(tmp_path: Path, name: str) -> None:
    """TrueType and CFF outlines, by two renderers: the letter B at 12 pt of 24."""
    field = (
        f'text = "[s]B[/s]"\nfont = "{name}"\nsize = "24pt"\ncolour = "black"\n'
        "white = false\nstyles.s.scale = 50\n"
    )
    run = built(tmp_path, field)
    left, low, right, high = ink_of(name, "B")
    em = 12 * MM
    wanted = ((right - left) * em, (high - low) * em)
    x0, y0, x1, y1 = box(separations(run)["Black"])
    assert (x1 - x0, y1 - y0) == pytest.approx(wanted, abs=2.1 / PX)
    x0, y0, x1, y1 = box((seen(run, 0, 600) < 128).any(axis=2))
    assert (x1 - x0, y1 - y0) == pytest.approx(wanted, abs=2.1 / PX)


def test_ink_of_styled_texts_lies_in_the_box(tmp_path: Path) -> None:
    field = (
        'text = "[a]{{ first }}[/] {{ last }}[b] and family 1[o]st[/o]"\n'.replace("[o]st[/o]", "")
        .replace("family 1", "family[/b] 1[o]st[/o]")
        + 'font = "NotoSans-Regular"\nsize = "40pt"\nmin_size = "6pt"\nlines = 2\n'
        "[fields.styles]\n"
        'a = { font = "NotoSerif-Regular", scale = 130 }\n'
        'b = { font = "DancingScript-Regular", scale = 60, rise = -20, colour = "#c00000" }\n'
        'o = { form = "superior", synthetic = true, rise = 10 }\n'
    )
    fake = Faker(["en_GB", "vi_VN", "he_IL", "pl_PL", "ar_SA"])
    fake.seed_instance(5)
    rows = "".join(f"{fake.first_name()},{fake.last_name()}\n" for _ in range(16))
    run = built(tmp_path, field, rows=f"first,last\n{rows}")
    filled = 0.0
    for bed in range(len(slots(run))):
        x0, y0, x1, y1 = box((seen(run, bed, 600) < 250).any(axis=2))
        one = 1.0 / PX
        assert x0 >= 2 - one and y0 >= 2 - one and x1 <= 58 + one and y1 <= 18 + one
        filled = max(filled, x1 - x0)
    assert filled > 54


def test_white_under_a_styled_text_has_the_density_of_its_field(tmp_path: Path) -> None:
    field = """text = "[red]A[/] B"
font = "NotoSans-Bold"
size = "20pt"
colour = "black"
white_density = 50
[fields.styles.red]
colour = [0, 100, 0, 0]
"""
    run = built(tmp_path, field)
    separations(run)
    with Image.open(run.parent / "plates-0" / "p(White).tif") as plate:
        levels = set(np.unique(np.asarray(plate)).tolist())
    assert levels in ({127, 255}, {128, 255})  # half, and none


def test_styled_texts_of_a_group_share_one_size(tmp_path: Path) -> None:
    field = (
        'text = "[a]{{ first }}[/] {{ last }}"\nfont = "NotoSans-Regular"\nsize = "40pt"\n'
        'min_size = "6pt"\none_size = "batch"\n[fields.styles]\na = { scale = 60 }\n'
    )
    run = built(tmp_path, field, rows="first,last\nAda,Vold\nMaximiliane,Brandvold-Ravnkilde\n")
    sizes = [(slot["texts"][0]["size_pt"], slot["texts"][0]["squeeze"]) for slot in slots(run)]
    assert sizes[0] == sizes[1]


# ---------------------------------------------------------------- what a record brings


STYLED = 'text = "[b]{{ first }}[/b] {{ last }}"\nfont = "NotoSans-Regular"\nsize = "20pt"\n' \
    'styles.b.colour = [0, 100, 0, 0]\n'  # fmt: skip


def test_a_record_brings_no_marks(tmp_path: Path) -> None:
    rows = "first,last\n[/b]A,[b]X[/b]\n"
    run = built(tmp_path, STYLED, rows=rows)
    assert slots(run)[0]["texts"][0]["text"] == "[/b]A [b]X[/b]"
    plates = separations(run)
    # The gap between both columns is where red ends and black begins: the marks changed nothing.
    assert box(plates["Magenta"])[2] < box(plates["Black"])[0]
    red, black = (box(plates[name])[2] - box(plates[name])[0] for name in ("Magenta", "Black"))
    wide = [sum(way for _, way in advances(NAMES[0], text)) for text in ("[/b]A", "[b]X[/b]")]
    assert red / black == pytest.approx(wide[0] / wide[1], rel=0.05)


def test_a_record_with_a_noncharacter_is_held(tmp_path: Path) -> None:
    run = built(tmp_path, STYLED, rows="first,last\nA,\ufdd1X\nB,Y\n", code=3)
    held = (run / "held.csv").read_text("utf-8")
    assert len(slots(run)) == 1
    assert "U+FDD1" in held


def test_templates_with_conditions_keep_their_marks(tmp_path: Path) -> None:
    field = STYLED.replace(
        "[b]{{ first }}[/b] {{ last }}",
        "{% if last %}[b]{{ first|upper }}[/b], {% endif %}{{ '[b]' }}[[{{ last }}]",
    )
    run = built(tmp_path, field, rows="first,last\nAda,Vold\n")
    assert slots(run)[0]["texts"][0]["text"] == "ADA, [b][Vold]"


@pytest.mark.parametrize(
    ("text", "more", "line"),
    [
        ("[bold]x[/bold][b]y[/b]", "",
         "text, field 'guest': there is no style for the mark '[bold]'; "),
        ("[b]{{ first }}", "",
         "text, field 'guest': the style 'b' is not ended; write '[/b]' after it"),
        ("x[/b] [b]y[/b]", "", "text, field 'guest': the mark '[/b]' ends a style that was not "
         "begun; write '[b]' before it"),
        ("[b]x[b]y[/b]", "", "text, field 'guest': the style 'b' begins within the style 'b'; "
         "end that with '[/b]' first"),
        ("x", "", "text, field 'guest': the style 'b' is of no use without a mark; "
         "write '[b] ... [/b]' in the text"),
        ("[b]x[/b]", 'case = "title"', "case, field 'guest': a text with styles takes no case; "
         "take one of the two away"),
        ("[b]x[/b]", "styles.b.synthetic = true", "styles.b.synthetic, field 'guest': synthetic is "
         "of no use without form; write form too, or take it away"),
        ("[b]x[/b]", 'styles.b.font = "Nowhere"', "styles.b.font, field 'guest': unknown font "
         "'Nowhere'; "),
        ("[b]x[/b]", 'styles.b.colour = "White"', "fields.guest.styles.b.colour: the colour of a "
         "style is of process inks, and so is the field's own; "
         "write it as a name such as blue, as #rrggbb or as [c, m, y, k]"),
    ],
)  # fmt: skip
def test_marks_that_cannot_be(tmp_path: Path, text: str, more: str, line: str) -> None:
    field = f'text = "{text}"\nfont = "NotoSans-Regular"\nsize = "20pt"\n{more}\n'
    if "styles.b" not in more:
        field += "styles.b.scale = 50\n"
    job = made(tmp_path, field)
    done = called(job, "build", "-q", "--out", str(tmp_path / "run"))
    assert done.returncode == 4, done.stderr
    assert line in done.stderr


def test_the_same_input_gives_the_same_bytes_for_any_number_of_workers(tmp_path: Path) -> None:
    field = STYLED + 'styles.b.font = "DancingScript-Regular"\nstyles.b.scale = 70\n'
    beds = []
    for name, workers in (("one", "1"), ("two", "2")):
        (tmp_path / name).mkdir()
        rows = "first,last\n" + "Ada,Vold\nOttilie,Brandvold\nJory,Ravn\n" * 4
        job, run = made(tmp_path / name, field, rows=rows), tmp_path / name / "run"
        done = called(job, "build", "-q", "--workers", workers, "--at", "2026-03-01T10:00:00Z",
                      "--out", str(run))  # fmt: skip
        assert done.returncode == 0, done.stderr
        beds.append([path.read_bytes() for path in sorted((run / "beds").iterdir())])
    assert beds[0] == beds[1]
    assert np.array_equal(seen(tmp_path / "one" / "run"), seen(tmp_path / "two" / "run"))


def test_a_styled_run_is_read_back_and_printed_again(tmp_path: Path) -> None:
    field = STYLED + "outline = { width = 0.2, colour = [0, 0, 100, 0] }\nstyles.b.scale = 70\n"
    run = built(tmp_path, field)
    done = called(run, "readback")
    assert done.returncode == 0, done.stderr
    assert "1 text" in done.stdout
    again = called(tmp_path / "job.toml", "remake", str(run), "--slot", "1/A1",
                   "--out", str(tmp_path / "again"))  # fmt: skip
    assert again.returncode == 0, again.stderr
    assert slots(tmp_path / "again")[0]["texts"] == slots(run)[0]["texts"]


@pytest.mark.parametrize(("words", "found"), [("", False), ("Dr ", True)])
def test_marks_beside_an_empty_value_are_no_words(
    tmp_path: Path, words: str, found: bool
) -> None:
    field = STYLED.replace("[b]{{ first }}[/b] {{ last }}", f"[b]{words}{{{{ last }}}}[/b]")
    job = made(tmp_path, field, rows="first,last\nAda,\n")
    assert ("half-phrase" in called(job, "check").stdout) == found


def test_fonts_of_styles_are_no_fallback_fonts_on_a_proof(tmp_path: Path) -> None:
    shown = []
    for more in ("", 'font = "NotoSerif-Regular"'):
        field = STYLED + f'[fields.styles.o]\nscale = 60\n{more}\n'
        field = field.replace("{{ last }}", "[o]{{ last }}[/o]")
        job, proof = made(tmp_path, field), tmp_path / f"proof-{len(shown)}.pdf"
        done = called(job, "proof", "-q", "--out", str(proof))
        assert done.returncode == 0, done.stderr
        pages = pypdfium2.PdfDocument(proof)
        shown.append("".join(page.get_textpage().get_text_range() for page in pages))
    assert "Ottilie" in shown[1] or "guest" in shown[1]
    assert not any("fallback font" in text for text in shown)


def test_a_font_keyed_by_cids_has_one_size_within_a_text(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Face, "keyed_by_cids", property(lambda face: face.is_cff))
    with pytest.raises(JobError) as caught:
        fitter({"a": {"font": NAMES[3], "scale": 50}})
    assert str(caught.value.problems[0]) == (
        "'DancingScript-Regular.otf' is a CFF font keyed by CIDs: within a text its letters have "
        "one size; use a TrueType font for this style, or take scale away"
    )
    one, book, _ = fitter({"a": {"font": [NAMES[1], NAMES[3]], "scale": 50}})
    assert {book.face(run.font).path.stem for run in fitted(one, "<a>Ada</>").runs} == {NAMES[1]}
