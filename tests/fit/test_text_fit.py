"""The order of fitting, places and messages, reckoned by hand with a font of squares.

Each letter of the font is a square of 1 em, without space between letters, so that n letters
at s pt are n x s pt wide and s pt high."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from fit_judges import BOOK, MM, box_font, chain, ink_of
from fit_judges import field as any_field

from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.placing import ShapedLine
from vardata.fit.result import TextFit
from vardata.fit.text import fit_text
from vardata.job.model import TextField
from vardata.problems import Problem, Severity

SPARE = 0.002  # mm: what rounding of positions may take, and more


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> FontBook:
    square = (1000, (0, 0, 1000, 1000))
    glyphs: dict[str, tuple[int, tuple[int, ...] | None]] = dict.fromkeys("abcdefgh-", square)
    glyphs |= {" ": (1000, None), "\u00a0": (1000, None)}
    glyphs["j"] = (500, (-300, -200, 900, 1200))  # a swash on all sides
    glyphs["."] = (300, (100, 0, 200, 100))
    path = tmp_path_factory.mktemp("fonts") / "Squares.ttf"
    return FontBook({"squares": box_font(path, glyphs)})


@pytest.fixture
def squares(book: FontBook) -> tuple[Face, ...]:
    return book.chain(["squares"])


def field(width: float, height: float, **keys: object) -> TextField:
    """A field whose box is so many points wide and high, with letters of 10 pt."""
    box = (5, 5, width * MM + SPARE, height * MM + SPARE)
    return any_field(**{"box": box, "size": "10pt", **keys})


def fits(text: str, field: TextField, faces: tuple[Face, ...]) -> TextFit:
    fit = fit_text(text, field, faces)
    assert isinstance(fit, TextFit), fit
    return fit


def held(text: str, field: TextField, faces: tuple[Face, ...]) -> Problem:
    problem = fit_text(text, field, faces)
    assert isinstance(problem, Problem), problem
    assert problem.severity is Severity.HOLD
    return problem


# ---------------------------------------------------------------- the order of fitting


@pytest.mark.parametrize(
    ("text", "keys", "size", "squeeze", "lines"),
    [
        # The box is 60 x 30 pt; the wanted size 10 pt; the defaults are steps of 0.25 pt, shrink
        # to 75 %, min_size 5 pt, squeeze to 90 %.
        ("aaaaaa", {}, 10, 1, 1),  # 60 pt: as wanted
        ("aaaaaaa", {}, 8.5, 1, 1),  # 60 / 7 = 8.57
        ("aaaaaaaa", {}, 7.5, 1, 1),  # 60 / 8: the 75 %
        ("aaaa aaaa", {}, 6.5, 1, 1),  # 60 / 9 = 6.67, no second line allowed
        ("aaaa aaaa", {"lines": 2}, 10, 1, 2),  # 40 x 22 pt
        ("aaaaa aa", {"lines": 2}, 7.5, 1, 1),  # shrinking goes before breaking
        ("aaaaa aaa", {"lines": 2}, 10, 1, 2),
        ("aaaaaaa aa", {"lines": 2}, 8.5, 1, 2),  # two lines, and 60 / 7
        ("aa aa aa aa aa", {"lines": 4}, 7.5, 1, 2),  # (aa aa aa, 8 em); three would be 8.75
        ("aaaaaaaaa aa", {"lines": 2}, 6.5, 1, 2),  # below 75 %: the largest on any lines
        ("aaaaaaaaaaaa", {"lines": 2}, 5, 1, 1),  # 60 / 12, nowhere to break
        ("aaaaaaaaaaaaa", {}, 5, 0.923, 1),  # 60 / 65 = 0.92308
        ("aaaaaaaaaaaaa", {"squeeze": 92.305}, 5, 0.92305, 1),  # the limit as it is written
        ("aaaaaaaaaaaaa", {"squeeze": 95}, None, None, None),
        ("aaaaaaaaaaaaaa", {}, None, None, None),  # 60 / 70 = 0.857
        ("aaaaaaaaaaaaaa", {"squeeze": 80}, 5, 0.857, 1),
        ("aaaaaaaaaaaaaa", {"min_size": "4pt"}, 4.25, 1, 1),  # 60 / 14 = 4.29
        ("aaaaaaa", {"size_step": "2pt"}, 8, 1, 1),
        ("aaaaaaa", {"size_step": "3pt"}, 7, 1, 1),  # 7 is below 75 %, so a later step
        ("aaaaaaa", {"size_step": "7pt"}, 10, None, None),  # 10, then 3: below min_size
        ("aaaaaaa", {"min_size": "9.9pt", "shrink_to": 100, "squeeze": 80}, 10, 0.857, 1),
        ("aaaaaaa", {"min_size": "20pt", "squeeze": 80}, 10, 0.857, 1),
        # Other orders, and steps left out.
        ("aaaaaaa", {"fit": ()}, None, None, None),
        ("aaa aaa", {"fit": ("lines",), "lines": 2}, 10, 1, 2),
        ("aaa aaa", {"fit": ("lines", "shrink"), "lines": 2}, 10, 1, 2),
        ("aaaaaaaaa", {"fit": ("shrink", "squeeze")}, None, None, None),  # 60 / 67.5 = 0.889
        ("aaaaaaaaa", {"fit": ("shrink", "squeeze"), "squeeze": 88}, 7.5, 0.888, 1),
        ("aaaaaaa", {"fit": ("squeeze", "shrink"), "squeeze": 80}, 10, 0.857, 1),
        ("aaaaaaaa", {"fit": ("squeeze", "shrink"), "squeeze": 80}, 9.25, 0.81, 1),  # 60 / 74
        ("aaaaaaaa", {"fit": ("squeeze", "shrink"), "squeeze": 100}, 7.5, 1, 1),
        ("aaaa aaaa", {"fit": ("smaller", "lines"), "lines": 2}, 6.5, 1, 1),
        ("aaaa aaaa", {"fit": ("squeeze", "lines"), "lines": 2}, 10, 1, 2),
        ("aaaa aaa aaa", {"fit": ("shrink", "squeeze", "lines"), "lines": 2}, 8.5, 1, 2),
        ("aaaaaaaaa", {"fit": ("shrink", "squeeze", "smaller")}, 7.25, 0.919, 1),  # 60 / 65.25
        # Six gaps of 1/20 em: 7.3 em; five words' letters closer by up to a tenth of an em.
        ("aaaaaaa", {"tracking": 50, "size_step": "0.1pt"}, 8.2, 1, 1),  # 60 / 7.3 = 8.22
        ("aaaaaaa", {"fit": ("tracking",), "tightest": -170}, 10, 1, 1),  # 7 - 6 x 0.17 = 5.98
        ("aaaaaaa", {"fit": ("tracking",), "tightest": -165}, None, None, None),  # 6.01 em
        ("aaaaaaa", {"fit": ("tracking", "squeeze"), "tightest": -100}, 10, 0.937, 1),  # 6.4 em
        ("aaaaaaa", {"fit": ("shrink", "tracking")}, 8.5, 1, 1),
    ],
)  # fmt: skip
def test_the_order_of_fitting(
    squares: tuple[Face, ...], text: str, keys: dict[str, object],
    size: float | None, squeeze: float | None, lines: int | None,
) -> None:  # fmt: skip
    fit = fit_text(text, field(60, 30, **keys), squares)
    if squeeze is None:
        assert isinstance(fit, Problem)
        assert fit.kind == "text-too-long"
    else:
        assert isinstance(fit, TextFit), fit
        assert (fit.size_pt, fit.lines) == (size, lines)
        assert fit.squeeze == pytest.approx(squeeze, abs=1e-9)


@pytest.mark.parametrize(
    ("lines", "height", "leading", "size"),
    [
        # Two lines are (1 + leading) x size high.
        (2, 22, 1.2, 10), (2, 21.9, 1.2, 9.75), (2, 20, 1, 10), (2, 15.4, 1.2, 7),
        (3, 34, 1.2, 10), (3, 25.5, 1.2, 7.5), (3, 22, 0.6, 10),
    ],
)  # fmt: skip
def test_the_box_is_high_enough_for_all_lines(
    squares: tuple[Face, ...], lines: int, height: float, leading: float, size: float
) -> None:
    text = " ".join(["abcdef"] * lines)
    fit = fits(text, field(60, height, lines=lines, leading=leading), squares)
    assert (fit.lines, fit.size_pt) == (lines, size)
    bases = [run.y for run in fit.runs]
    steps = [above - below for above, below in pairwise(bases)]
    assert steps == pytest.approx([leading * size * MM] * (lines - 1), abs=2e-4)


def test_a_low_box_shrinks_too(squares: tuple[Face, ...]) -> None:
    assert fits("a", field(60, 8.3), squares).size_pt == 8.25
    assert held("a", field(60, 4.9), squares).kind == "text-too-long"


def test_letters_come_no_closer_than_they_must(squares: tuple[Face, ...]) -> None:
    one = field(60, 30, fit=("shrink", "tracking"), shrink_to=90, tightest=-100)
    fit = fits("aaaaaaa", one, squares)
    # 60 pt at 9 pt are 6.667 em: six gaps must give 0.333 em, 55.6 thousandths each.
    assert (fit.size_pt, fit.tracking) == (9, -60)
    assert fits("aaaaaa", one, squares).tracking == 0


def test_ink_is_where_spread_letters_stand(squares: tuple[Face, ...]) -> None:
    from vardata.fit.shaping import shaper
    from vardata.fit.tracking import TrackedShaper

    line = TrackedShaper(shaper(squares), squares, 100.0).shape("ab .")
    assert isinstance(line, ShapedLine)
    # Advances 1000, 1000, 1000, 300 and three gaps of 100; the dot's ink ends at its 200.
    assert line.advance == 3600
    assert line.ink == (0, 0, 3500, 1000)
    assert [run.kerns for run in line.runs] == [(-100.0, -100.0, -100.0, 0.0)]


def test_letters_that_join_are_not_torn_apart() -> None:
    faces = chain("NotoSansDevanagari-Regular", "NotoNaskhArabic-Regular", "NotoSans-Regular")
    one = any_field(box=(0, 0, 90, 20), size="20pt", tracking=100)
    for text in ("शर्मा", "محمد"):
        wide = fits(text, one, faces)
        plain = fits(text, any_field(box=(0, 0, 90, 20), size="20pt"), faces)
        assert wide.runs == plain.runs
    assert fits("Ada", one, faces).runs != fits("Ada", any_field(
        box=(0, 0, 90, 20), size="20pt"), faces).runs  # fmt: skip


def test_swashes_count(squares: tuple[Face, ...]) -> None:
    # "aj": ink from 0 to 1.9 em, from -0.2 to 1.2 em; "ja": from -0.3 to 1.5 em.
    assert fits("aj", field(19, 14), squares).size_pt == 10
    assert fits("aj", field(18.9, 14), squares).size_pt == 9.75
    assert fits("aj", field(19, 13.9), squares).size_pt == 9.75
    assert fits("ja", field(18, 14), squares).size_pt == 10
    assert fits("j", field(12, 14), squares).size_pt == 10
    # ".j": the swash begins left of the full point.
    assert fits(".j", field(12, 14), squares).size_pt == 10
    assert fits(".j", field(11.9, 14), squares).size_pt == 9.75


def test_the_lines_are_balanced(squares: tuple[Face, ...]) -> None:
    def texts(text: str, **keys: object) -> list[int]:
        return [len(run.glyphs) // 2 for run in fits(text, field(60, 60, **keys), squares).runs]

    assert texts("aa bb cc dd", lines=2) == [5, 5]
    assert texts("aa bb aa bb aa", lines=2) == [8, 5]  # equals: the longer line first
    assert texts("aaaa-bbbb", lines=2) == [5, 4]
    assert texts("aaaaa\u00a0b c", lines=2) == [7, 1]


def test_breaks_of_the_text_itself_stay(squares: tuple[Face, ...]) -> None:
    fit = fits("ab\ncd", field(60, 30, lines=2), squares)
    assert (fit.lines, len(fit.runs), fit.size_pt) == (2, 2, 10)
    for end in ("\r\n", "\r", "\x0b", "\x0c", "\x85", "\u2028", "\u2029", "  \n\t"):
        other = fits(f" ab{end}cd ", field(60, 30, lines=2), squares)
        assert other._replace(text=fit.text) == fit
        assert other.text == f" ab{end}cd "
    assert fits("\nab\n\n", field(60, 30), squares).lines == 1
    gap = fits("ab\n\ncd", field(60, 34, lines=3), squares)
    assert gap.lines == 3
    assert gap.runs[0].y - gap.runs[1].y == pytest.approx(24 * MM, abs=2e-4)
    assert fits("ab\ncd", field(60, 30, lines=2, fit=()), squares).lines == 2
    problem = held("ab\ncd\nef", field(60, 60, lines=2), squares)
    assert str(problem) == (
        "'ab\\ncd\\nef' has 3 lines of its own, the field takes 2 lines; "
        "take line breaks out of the text, or allow more lines in the layout"
    )


def test_spaces_at_an_edge_are_nothing(squares: tuple[Face, ...]) -> None:
    for by in ("ink", "metrics"):
        for align in ("left", "centre", "right"):
            one = field(60, 30, align=align, align_by=by)
            plain, spaced = fits("ab", one, squares), fits(" \tab \u00a0", one, squares)
            assert spaced._replace(text="ab") == plain
            two = field(30, 30, align=align, align_by=by, lines=2)
            assert [run.x for run in fits("abc  def", two, squares).runs] == pytest.approx(
                [run.x for run in fits("abc def", two, squares).runs]
            )


# ---------------------------------------------------------------- places


@pytest.mark.parametrize(
    ("align", "by", "x"),
    [
        # "ja" at 10 pt in 60 pt: ink from -3 to 15 pt, advance 15 pt.
        ("left", "ink", 3), ("centre", "ink", 24), ("right", "ink", 45),
        # By metrics, on the left the swash would leave the box: it is pushed in.
        ("left", "metrics", 3), ("centre", "metrics", 22.5), ("right", "metrics", 45),
    ],
)  # fmt: skip
def test_across(squares: tuple[Face, ...], align: str, by: str, x: float) -> None:
    fit = fits("ja", field(60, 30, align=align, align_by=by), squares)
    assert fit.runs[0].x == pytest.approx(x * MM, abs=SPARE)
    # "aj" has ink from 0 to 19 pt and 15 pt of advance: on the right it is pushed in.
    right = fits("aj", field(60, 30, align="right", align_by="metrics"), squares)
    assert right.runs[0].x == pytest.approx((60 - 19) * MM, abs=SPARE)


@pytest.mark.parametrize(
    ("valign", "by", "y"),
    [
        # "." at 10 pt in 30 pt: ink from 0 to 1 pt; the font's heights are 8 and -2 pt.
        ("bottom", "ink", 0), ("middle", "ink", 14.5), ("top", "ink", 29),
        ("bottom", "metrics", 2), ("middle", "metrics", 12), ("top", "metrics", 22),
    ],
)  # fmt: skip
def test_up_and_down(squares: tuple[Face, ...], valign: str, by: str, y: float) -> None:
    fit = fits(".", field(60, 30, valign=valign, align_by=by), squares)
    assert fit.runs[0].y == pytest.approx(y * MM, abs=SPARE)


def test_two_lines_by_metrics(squares: tuple[Face, ...]) -> None:
    # The block is 8 + 12 + 2 pt high.
    for valign, y in (("bottom", 14), ("middle", 18), ("top", 22)):
        fit = fits(". .\n.", field(60, 30, valign=valign, align_by="metrics", lines=2), squares)
        assert [run.y for run in fit.runs] == pytest.approx([y * MM, (y - 12) * MM], abs=2 * SPARE)


def test_metrics_never_push_ink_out(squares: tuple[Face, ...]) -> None:
    # "j" rises to 12 pt and falls to -2 pt; the font says 8 and -2.
    for valign, y in (("top", 2), ("bottom", 2), ("middle", 2)):
        fit = fits("j", field(60, 14, valign=valign, align_by="metrics"), squares)
        assert fit.runs[0].y == pytest.approx(y * MM, abs=SPARE)


def test_each_line_is_aligned(squares: tuple[Face, ...]) -> None:
    one = field(60, 30, lines=2, align="right")
    assert [run.x for run in fits("ab\nabcd", one, squares).runs] == pytest.approx(
        [40 * MM, 20 * MM], abs=SPARE
    )


def test_squeezed_letters_are_placed_narrow(squares: tuple[Face, ...], book: FontBook) -> None:
    fit = fits("jaaaaaaaaaaaj", field(60, 30, align="left"), squares)
    assert fit.squeeze < 1
    # -0.3 em of the first letter, at 5 pt.
    assert fit.runs[0].x == pytest.approx(1.5 * fit.squeeze * MM, abs=SPARE)
    assert ink_of(fit, book) == pytest.approx(fit.ink, abs=2e-4)
    assert fit.ink[2] == pytest.approx(60 * MM, abs=0.06)


def test_places_are_round(squares: tuple[Face, ...]) -> None:
    for run in fits("ab cd", field(33, 33.333, lines=2, size="9.7pt"), squares).runs:
        assert (run.x, run.y) == (round(run.x, 4), round(run.y, 4))


# ---------------------------------------------------------------- what holds a record


def test_too_long_says_what_it_would_take(squares: tuple[Face, ...]) -> None:
    box = (0, 0, 20, 10)
    problem = held("a" * 20, any_field(box=box, size="10pt"), squares)
    # 20 letters at 5 pt and 90 %: 90 pt = 31.75 mm; 5 pt = 1.764 mm; and 0.0016 mm to spare.
    assert str(problem) == (
        "'aaaaaaaaaaaaaaaaaaaa' needs 31.76 x 1.77 mm at 5 pt squeezed to 90 %, "
        "the box is 20 x 10 mm; "
        "shorten the text, enlarge the box, or loosen min_size, squeeze or lines in the layout"
    )
    wide = any_field(box=(0, 0, 31.76, 1.77), size="10pt")
    assert fits("a" * 20, wide, squares).squeeze == pytest.approx(0.9)
    two = held("a" * 30 + " " + "b" * 50, any_field(box=box, size="10pt", lines=2), squares)
    # 50 letters at 5 pt and 90 %: 225 pt = 79.375 mm; 5 x 2.2 pt = 3.881 mm
    assert "needs 79.38 x 3.89 mm at 5 pt squeezed to 90 % on 2 lines," in str(two)
    assert "'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa bbbbbb...' needs" in str(two)
    assert two.value == "a" * 30 + " " + "b" * 50
    stiff = any_field(box=box, size="10pt", squeeze=100, min_size="10pt")
    assert "needs 70.56 x 3.53 mm at 10 pt, the box" in str(held("a" * 20, stiff, squares))


def test_the_nearest_miss_is_told(squares: tuple[Face, ...]) -> None:
    low = any_field(box=(0, 0, 20, 1), size="10pt", lines=3)
    assert "at 5 pt squeezed to 90 %, the box is 20 x 1 mm" in str(held("ab cd ef", low, squares))


def test_missing_glyphs_are_named() -> None:
    faces = chain("DancingScript-Regular", "NotoSans-Regular")
    problem = held("Ada 日本", any_field(), faces)
    assert problem.kind == "missing-glyph"
    assert problem.value == "日"
    assert str(problem) == (
        "no font has '日' (U+65E5 CJK UNIFIED IDEOGRAPH-65E5); "
        "asked: DancingScript-Regular, NotoSans-Regular; "
        "add a font that has it to the field's fonts, or change the text"
    )
    lone = held("Ada\x07", any_field(), faces)
    assert "'\\x07' (U+0007 no name)" in str(lone)
    accent = held("e\u20dd", any_field(), chain("DancingScript-Regular"))
    assert "(U+20DD COMBINING ENCLOSING CIRCLE)" in str(accent)
    many = held("日\u20dd\u20de", any_field(), faces)
    assert str(many).count("U+") == 3


def test_two_halves_in_two_fonts_are_both_named(book: FontBook, tmp_path: Path) -> None:
    accent = box_font(tmp_path / "Accent.ttf", {"\u0301": (0, (-200, 600, -100, 700))})
    faces = (*book.chain(["squares"]), *FontBook({"accent": accent}).chain(["accent"]))
    problem = held("a\u0301", any_field(), faces)
    assert "(U+0061 LATIN SMALL LETTER A, U+0301 COMBINING ACUTE ACCENT)" in str(problem)


@pytest.mark.parametrize(
    ("text", "fonts"),
    [
        ("Zoë Ada", ["DancingScript-Regular"]),
        ("Zoe\u0308 \t\u00a0Ada\u200d", ["DancingScript-Regular"]),  # composed, hidden, spaces
        ("Tha\u0309o\tAda\u200d", ["NotoSans-Regular"]),
        ("Яна\r\nAda", ["NotoSans-Regular"]),
        ("Ada \ue0ff", ["missing-glyph"]),
    ],
)
def test_one_font_sets_a_text_that_it_has(text: str, fonts: list[str]) -> None:
    faces = chain("DancingScript-Regular", "NotoSans-Regular")
    found = fit_text(text, any_field(lines=2), faces)
    if isinstance(found, Problem):
        assert [found.kind] == fonts
    else:
        assert sorted({BOOK.face(run.font).path.stem for run in found.runs}) == fonts


def test_fonts_are_mixed_only_where_none_has_all(tmp_path: Path) -> None:
    path = box_font(tmp_path / "One.ttf", {"Я": (1000, (0, 0, 1000, 700))})
    book = FontBook({"a": chain("DancingScript-Regular")[0].path, "b": path})
    one = any_field()
    assert [run.font for run in fits("Ada Я", one, book.chain(["a", "b"])).runs] == [0, 1]
    assert [run.font for run in fits("ЯЯ", one, book.chain(["a", "b"])).runs] == [1]
    assert [run.font for run in fits("Ada", one, book.chain(["b", "a"])).runs] == [0]


def test_nothing_to_see_is_held() -> None:
    for text in (" ", "\u00a0", "\u200b\u200d", "\n \n", "\t"):
        problem = held(text, any_field(), chain("NotoSans-Regular"))
        assert problem.kind == "no-ink"
        assert str(problem).endswith(
            "has no visible character; fill the cell with a text that can be seen"
        )


@pytest.mark.parametrize("box", [(0, 0, 0.001, 10), (0, 0, 10, 0.001), (0, 0, 1e-300, 1e-300)])
def test_a_box_of_nothing_takes_nothing(box: tuple[float, ...]) -> None:
    assert held("Ada", any_field(box=box), chain("NotoSans-Regular")).kind == "text-too-long"


@pytest.mark.parametrize("step", ["1e-30pt", "0.0001pt", "1e30pt"])
def test_odd_steps_end_well(squares: tuple[Face, ...], step: str) -> None:
    one = field(60, 30).model_copy(update={"size_step": float(step[:-2])})
    fit = fits("aaaaaaa", one, squares) if step != "1e30pt" else None
    assert fit is None or fit.size_pt == pytest.approx(60 / 7, abs=0.002)
    assert fits("aa", one, squares).size_pt == 10


@pytest.mark.parametrize(
    "text", ["a" * 32767, "a " * 16000 + "a", "a-" * 16000, "\n" * 30000 + "a"]
)
def test_the_longest_cell_is_held_or_set(squares: tuple[Face, ...], text: str) -> None:
    # 32,767 characters: the most that a cell of a workbook holds.
    found = fit_text(text, field(60, 30, lines=6), squares)
    assert isinstance(found, Problem) != text.endswith("\na")


# ---------------------------------------------------------------- repeating


def test_fields_do_not_get_mixed_up(squares: tuple[Face, ...]) -> None:
    for width in range(10, 70):
        one = field(width, 30, squeeze=50, min_size="1pt")  # forgotten at once: ids come again
        assert fits("aaaaaaa", one, squares).ink[2] <= width * MM + SPARE


def test_many_texts_are_forgotten_in_time(squares: tuple[Face, ...]) -> None:
    one = field(60, 30)
    first = fits("abc", one, squares)
    for number in range(5000):
        text = format(number, "b").replace("0", "a").replace("1", "b")
        fit_text(text, one, squares)
    assert fits("abc", one, squares) == first
