"""Shaping: the glyphs and places that uharfbuzz gives when it is called plainly, which font a
cluster gets, and what cannot be set."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest
from faker import Faker
from fit_judges import BOOK, FILES, box_font, chain, field, grain_font, plainly
from fontTools.ttLib import TTFont

from vardata.fit.block import Block, Breaks
from vardata.fit.clusters import clusters
from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.placing import ShapedLine
from vardata.fit.result import TextFit
from vardata.fit.shaping import Shaper, Unshapable, shaper
from vardata.fit.text import fit_text

NAMES = [path.stem for path in FILES]
Placed = list[tuple[int, float, float]]


def shaped(text: str, faces: Sequence[Face]) -> ShapedLine:
    line = shaper(tuple(faces)).shape(text)
    assert isinstance(line, ShapedLine), line
    return line


def refused(text: str, faces: Sequence[Face]) -> Unshapable:
    line = shaper(tuple(faces)).shape(text)
    assert isinstance(line, Unshapable), line
    return line


def places(line: ShapedLine, book: FontBook = BOOK) -> Placed:
    """(glyph, x, y) in 1/1000 em, with the pen moved as ``marks.GlyphRun`` says."""
    out: Placed = []
    for run in line.runs:
        x, face = run.x, book.face(run.font)
        kerns = run.kerns or (0.0,) * (len(run.glyphs) // 2)
        for index, kern in enumerate(kerns):
            glyph = int.from_bytes(run.glyphs[2 * index : 2 * index + 2], "big")
            out.append((glyph, x, run.y))
            x += face.advance(glyph) - kern
    return out


def plain(text: str, name: str) -> Placed:
    face = chain(name)[0]
    return [(glyph, x * face.scale, y * face.scale) for glyph, x, y, _ in plainly(face.path, text)]


# ---------------------------------------------------------------- as uharfbuzz says


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("locale", ["en_GB", "fr_FR", "pl_PL", "de_AT", "es_MX"])
def test_latin_names(name: str, locale: str) -> None:
    fake = Faker(locale)
    fake.seed_instance(7)
    lines = 0
    for _ in range(60):
        text = fake.name()
        line = shaper(chain(name)).shape(text)
        if isinstance(line, ShapedLine):  # the script font is no friend of Polish
            assert places(line) == plain(text, name)
            advance = sum(way for *_, way in plainly(chain(name)[0].path, text))
            assert line.advance == pytest.approx(advance * chain(name)[0].scale)
            lines += 1
    assert lines > 20


@pytest.mark.parametrize("locale", ["el_GR", "ru_RU", "uk_UA", "bg_BG"])
def test_greek_and_cyrillic_names(locale: str) -> None:
    fake = Faker(locale)
    fake.seed_instance(7)
    for name in ("NotoSans-Regular", "NotoSerif-Regular"):
        for _ in range(60):
            text = fake.name()
            assert places(shaped(text, chain(name))) == plain(text, name)


def test_pairs_are_kerned() -> None:
    for name in ("NotoSans-Regular", "NotoSerif-Regular", "DancingScript-Regular"):
        (run,) = shaped("AVATAR", chain(name)).runs
        assert len(run.kerns) == 6
        assert max(run.kerns) > 0
        assert run.kerns[-1] == 0.0
    (run,) = shaped("AVATAR", chain("NotoSansMono-Regular")).runs
    assert run.kerns == ()


def test_letters_are_joined_where_the_font_has_a_ligature() -> None:
    counts = {
        name: sum(len(run.glyphs) // 2 for run in shaped("office", chain(name)).runs)
        for name in ("NotoSans-Regular", "DancingScript-Regular", "NotoSansMono-Regular")
    }
    assert counts == {
        "NotoSans-Regular": 4, "DancingScript-Regular": 5, "NotoSansMono-Regular": 6,
    }  # fmt: skip


# ---------------------------------------------------------------- accents


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("text", ["Zoë Müller", "François Ñandú", "Åse Jørgensen", "Čapek Śliwa"])
def test_composed_and_decomposed_are_one(name: str, text: str) -> None:
    composed = unicodedata.normalize("NFC", text)
    decomposed = unicodedata.normalize("NFD", text)
    assert composed != decomposed
    one, other = (shaper(chain(name)).shape(form) for form in (composed, decomposed))
    if name == "DancingScript-Regular" and "Č" in text:
        # It has Č and not ś or Ś.
        assert isinstance(one, Unshapable)
        assert isinstance(other, Unshapable)
    else:
        assert one == other


@pytest.mark.parametrize("text", ["Trần Thị Ngọc", "Ἀριστοτέλης ὁ Σταγειρίτης", "Йосип Ґудзь"])
def test_stacked_accents_that_have_letters_of_their_own(text: str) -> None:
    for name in ("NotoSans-Regular", "NotoSerif-Regular"):
        composed, decomposed = (unicodedata.normalize(form, text) for form in ("NFC", "NFD"))
        assert places(shaped(decomposed, chain(name))) == plain(composed, name)


@pytest.mark.parametrize(
    "text",
    [
        "x\u0302",
        "q\u0301\u0323",
        "x\u0302\u0301x",
        "R\u0304\u0308\u0301z",
        "И\u0301ван",
        "Ж\u0308\u0301",
    ],
)
def test_accents_set_by_the_font_stand_where_it_says(text: str) -> None:
    for name in ("NotoSans-Regular", "NotoSerif-Regular", "NotoSansMono-Regular"):
        line = shaped(text, chain(name))
        assert places(line) == plain(text, name)
        # Each height of the baseline is a run of its own, from where its first glyph stands.
        heights = [y for _, _, y in places(line)]
        assert all(any(run.kerns) or run.kerns == () for run in line.runs)
        changes = sum(a != b for a, b in pairwise(heights))
        assert len(line.runs) == changes + 1


def test_ink_counts_the_accents() -> None:
    low = shaped("A", chain("NotoSans-Regular"))
    high = shaped("A\u0308\u0301", chain("NotoSans-Regular"))
    assert low.ink
    assert high.ink
    assert high.ink[3] > low.ink[3] + 300
    assert high.advance == low.advance


# ---------------------------------------------------------------- fonts of another grain


@pytest.mark.parametrize("units", [2048, 768, 4000])
def test_kerns_of_any_grain_have_three_decimals(tmp_path: Path, units: int) -> None:
    book = FontBook({"grain": grain_font(tmp_path / "Grain.ttf", units)})
    for text in ("AVATAR Tomás", "x\u0302\u0301", "Wolfgang"):
        line = shaped(text, book.chain(["grain"]))
        for run in line.runs:
            assert run.kerns == tuple(round(kern, 3) for kern in run.kerns)
        theirs = plainly(tmp_path / "Grain.ttf", text)
        for (glyph, x, y), (their_glyph, their_x, their_y, _) in zip(places(line, book), theirs):
            assert glyph == their_glyph
            assert x == pytest.approx(their_x * 1000 / units, abs=0.001 * len(text))
            assert y == pytest.approx(their_y * 1000 / units)
    assert shaped("Wo", book.chain(["grain"])).runs[0].kerns != ()
    assert shaped("nn", book.chain(["grain"])).runs[0].kerns == ()


# ---------------------------------------------------------------- falling back


def _fonts(line: ShapedLine) -> list[str]:
    return [BOOK.face(run.font).path.stem for run in line.runs]


def test_the_first_font_that_has_a_cluster_sets_it() -> None:
    faces = chain("DancingScript-Regular", "NotoSans-Regular")
    line = shaped("Ada Яна", faces)
    assert _fonts(line) == ["DancingScript-Regular", "NotoSans-Regular"]
    ada = shaped("Ada ", chain("DancingScript-Regular"))
    yana = shaped("Яна", chain("NotoSans-Regular"))
    assert line.runs[0] == ada.runs[0]
    assert line.runs[1] == yana.runs[0]._replace(x=ada.advance)
    assert line.advance == ada.advance + yana.advance


def test_a_space_keeps_to_the_word_before_it() -> None:
    faces = chain("DancingScript-Regular", "NotoSans-Regular")
    assert _fonts(shaped("Яна Яна Ada", faces)) == ["NotoSans-Regular", "DancingScript-Regular"]


def test_a_letter_and_its_accent_are_of_one_font(tmp_path: Path) -> None:
    # The first font has the letter and not the accent.
    box_font(tmp_path / "Plain.ttf", {"q": (500, (0, 0, 500, 500)), "a": (500, (0, 0, 400, 500))})
    sans = FILES[NAMES.index("NotoSans-Regular")]
    book = FontBook({"plain": tmp_path / "Plain.ttf", "sans": sans})
    faces = book.chain(["plain", "sans"])
    line = shaped("aq\u0301a", faces)
    fonts = [book.face(run.font).path.stem for run in line.runs]
    assert fonts[0] == fonts[-1] == "Plain"
    assert set(fonts[1:-1]) == {"NotoSans-Regular"}
    assert refused("aq\u0301", faces[:1]) == Unshapable("missing-glyph", "q\u0301")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("e\u0301a", ["e\u0301", "a"]),
        ("👩\u200d👩\u200d👧x", ["👩\u200d👩\u200d👧", "x"]),
        ("👍🏽x", ["👍🏽", "x"]),
        ("🇬🇧🇫🇷", ["🇬🇧", "🇫🇷"]),
        ("a\ufe0fb", ["a\ufe0f", "b"]),
        ("\u0301a", ["\u0301", "a"]),
        ("นำ", ["นำ"]),
        ("\u1112\u1161\u11ab", ["\u1112\u1161\u11ab"]),
        ("🏴\U000e0067\U000e0062\U000e007fx", ["🏴\U000e0067\U000e0062\U000e007f", "x"]),
        ("", []),
    ],
)
def test_clusters(text: str, parts: list[str]) -> None:
    # By hand after UAX 29, 3.1.1: GB6 to GB9a, GB11, GB12.
    assert list(clusters(text)) == parts


def test_what_needs_no_glyph_needs_none() -> None:
    face = chain("DancingScript-Regular")
    plain = shaped("Ada", face)
    for hidden in "\u200b\u200c\u200d\u200e\u2060\ufe0f\ufeff\u00ad\u034f":
        line = shaped(f"Ad{hidden}a", face)
        assert places(line)[0] == places(plain)[0]
        assert len(places(line)) == 3
        assert line.advance == plain.advance


def test_spaces_and_hyphens_of_other_kinds_borrow_a_glyph() -> None:
    face = chain("DancingScript-Regular")
    assert shaped("a\u00a0b", face).advance == shaped("a b", face).advance
    assert shaped("a\u2009b", face).advance < shaped("a b", face).advance
    assert isinstance(shaper(chain("NotoSans-Regular")).shape("a\u2011b"), ShapedLine)


def test_each_script_is_shaped_by_its_own_rules() -> None:
    face = chain("NotoSans-Regular")
    latin, greek = shaped("Ada ", face), shaped("ΑΥ", face)
    line = shaped("Ada ΑΥ", face)
    assert [run.kerns for run in line.runs] == [run.kerns for run in (*latin.runs, *greek.runs)]
    assert line.advance == latin.advance + greek.advance


# ---------------------------------------------------------------- right to left


@pytest.fixture
def hebrew(tmp_path: Path) -> FontBook:
    letters = {char: (400 + 50 * n, (20, 0, 380 + 50 * n, 600)) for n, char in enumerate("אבגד")}
    marks = dict.fromkeys("()0123456789abc", (200, (50, 0, 150, 600)))
    few = {char: letters[char] for char in "אב"}
    box_font(tmp_path / "Hebrew.ttf", {**letters, **marks, " ": (250, None)})
    box_font(tmp_path / "Few.ttf", {**few, " ": (250, None)})
    return FontBook({"hebrew": tmp_path / "Hebrew.ttf", "few": tmp_path / "Few.ttf"})


def _letters(line: ShapedLine, book: FontBook) -> str:
    out = ""
    for run in line.runs:
        for high, low in zip(run.glyphs[::2], run.glyphs[1::2]):
            out += book.face(run.font).text_of(256 * high + low)
    return out


def test_right_to_left_text_comes_in_visual_order(hebrew: FontBook) -> None:
    line = shaped("אבג דא", hebrew.chain(["hebrew"]))
    assert _letters(line, hebrew) == "אד גבא"
    assert line.runs[0].kerns == ()
    assert line.advance == 400 + 550 + 250 + 500 + 450 + 400


def test_brackets_turn_round(hebrew: FontBook) -> None:
    assert _letters(shaped("(אב)", hebrew.chain(["hebrew"])), hebrew) == "(בא)"


def test_fonts_fall_back_from_the_right(hebrew: FontBook) -> None:
    line = shaped("אגב", hebrew.chain(["few", "hebrew"]))
    assert _letters(line, hebrew) == "בגא"
    assert [run.x for run in line.runs] == [0, 450, 950]


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        # By hand after UAX 9: figures and Latin letters keep their order within Hebrew (W7, I1,
        # I2), overrides turn a word round (X5), isolates stand for themselves (X5b).
        ("אב 42", "42 בא"),
        ("אב ab", "ab בא"),
        ("ab אב", "ab בא"),
        ("אב (ab) ג", "ג (ab) בא"),
        ("a\u202eb1", "a1b"),
        ("ab\u200f", "ab"),
        ("אב\u2066ab\u2069", "abבא"),
    ],
)
def test_text_that_runs_both_ways_is_set_in_order(hebrew: FontBook, text: str, seen: str) -> None:
    assert _letters(shaped(text, hebrew.chain(["hebrew"])), hebrew) == seen


def test_a_line_keeps_the_order_of_its_paragraph(hebrew: FontBook) -> None:
    # The second line alone would run from left to right; in its paragraph it does not (UAX 9, L2).
    letters = hebrew.chain(["hebrew"])
    found = Breaks("אבאבאבאב 42 (ab) 7", shaper(letters), 1200.0).block(2)
    assert isinstance(found, Block)
    assert [_letters(line, hebrew) for line in found.lines] == ["באבאבאבא", "7 (ab) 42"]
    assert _letters(shaped("42 (ab) 7", letters), hebrew) == "42 (ab) 7"


# ---------------------------------------------------------------- what cannot be set


def test_a_character_that_no_font_has() -> None:
    faces = chain("DancingScript-Regular", "NotoSans-Regular")
    assert refused("Ada 日本", faces) == Unshapable("missing-glyph", "日")
    assert refused("Ada\x07", faces) == Unshapable("missing-glyph", "\x07")
    assert refused("\ud800", faces) == Unshapable("missing-glyph", "\ud800")
    assert refused("👩\u200d👧", faces) == Unshapable("missing-glyph", "👩\u200d👧")


def test_a_glyph_that_draws_nothing_is_as_bad_as_none(tmp_path: Path) -> None:
    glyphs: dict[str, tuple[int, Sequence[int] | None]] = {
        "a": (500, (0, 0, 400, 500)), "b": (500, None), " ": (250, None), "\u00a0": (250, None),
    }  # fmt: skip
    book = FontBook({"hollow": box_font(tmp_path / "Hollow.ttf", glyphs)})
    faces = book.chain(["hollow"])
    assert refused("aba", faces) == Unshapable("empty-glyph", "b")
    assert refused("a b", faces) == Unshapable("empty-glyph", "b")
    assert shaped("a a\u00a0a", faces).ink == (0, 0, 1900, 500)


def test_blanks_alone_have_no_ink() -> None:
    line = shaped("  \u00a0", chain("NotoSans-Regular"))
    assert line.ink is None
    assert shaped("", chain("NotoSans-Regular")) == ShapedLine((), 0.0, None, 0)
    assert shaped("\u200b", chain("NotoSans-Regular")).ink is None


# ---------------------------------------------------------------- strips


@pytest.mark.parametrize("name", NAMES)
def test_a_part_cut_from_a_line_is_the_part_shaped_alone(name: str) -> None:
    fake = Faker(["en_GB", "fr_FR"])
    fake.seed_instance(11)
    cut = 0
    for _ in range(150):
        text = f"{fake.name()} {fake.city()}, {fake.name()}"
        one = Shaper(chain(name))
        words, start = [], 0
        for word in text.split(" "):
            words.append((start, start + len(word)))
            start += len(word) + 1
        edges = {edge for span in words for edge in span} - {0, len(text)}
        strip = one.strip(text, edges)
        if strip is None:
            continue
        cut += 1
        lefts, rights = strip.inks(words)
        for first in range(len(words)):
            for last in range(first, len(words)):
                a, b = words[first][0], words[last][1]
                alone = shaped(text[a:b], chain(name))
                assert strip.line(a, b) == alone
                assert alone.ink
                width = max(rights[first : last + 1]) - min(lefts[first : last + 1])
                assert width == pytest.approx(alone.ink[2] - alone.ink[0])
    assert cut > 100


def test_no_strip_where_a_cut_would_show() -> None:
    one = Shaper(chain("NotoSans-Regular"))
    assert one.strip("AVA", {1}) is None  # kerned across the cut
    assert one.strip("ffi", {1}) is None  # a ligature across the cut
    assert one.strip("nn", {1}) is not None
    assert one.strip("日 日", {1, 2}) is None


def test_shaping_forgets_in_time() -> None:
    one = Shaper(chain("NotoSans-Regular"))
    for number in range(9000):
        one.shape(str(number))
    assert len(one._seen) <= 4096


# ---------------------------------------------------------------- features by tag


def substituted(font: str, tag: str, char: str) -> str:
    """The glyph that a single substitution of the font's GSUB puts in place of a character."""
    tables = TTFont(chain(font)[0].path)
    gsub = tables["GSUB"].table
    glyph = tables.getBestCmap()[ord(char)]
    for record in gsub.FeatureList.FeatureRecord:
        if record.FeatureTag == tag:
            for index in record.Feature.LookupListIndex:
                for part in gsub.LookupList.Lookup[index].SubTable:
                    part = getattr(part, "ExtSubTable", part)
                    if glyph in getattr(part, "mapping", {}):
                        return str(part.mapping[glyph])
    raise AssertionError(f"{font} has no {tag} of {char}")


@pytest.mark.parametrize(
    ("tag", "char"), [("smcp", "a"), ("smcp", "ö"), ("sups", "2"), ("zero", "0"), ("onum", "7")]
)
def test_features_are_those_of_the_font(tag: str, char: str) -> None:
    faces = chain("NotoSans-Regular")
    line = shaper(faces, (tag,)).shape(char)
    assert isinstance(line, ShapedLine)
    names = TTFont(faces[0].path).getGlyphOrder()
    found = names[int.from_bytes(line.runs[0].glyphs, "big")]
    assert found == substituted("NotoSans-Regular", tag, char)
    assert shaper(faces).shape(char) != line


def test_features_can_be_switched_off() -> None:
    faces = chain("NotoSans-Regular")
    kerned, plain = shaper(faces).shape("AVAVAV"), shaper(faces, ("-kern",)).shape("AVAVAV")
    assert isinstance(kerned, ShapedLine) and isinstance(plain, ShapedLine)
    assert kerned.advance < plain.advance
    assert not any(plain.runs[0].kerns)


def test_small_capitals_are_fitted_as_they_are_set() -> None:
    faces = chain("NotoSans-Regular")
    one = field(box=(0, 0, 90, 10), features=("smcp",))
    small, plain = fit_text("ada king", one, faces), fit_text("ada king", field(), faces)
    assert isinstance(small, TextFit) and isinstance(plain, TextFit)
    assert small.runs[0].glyphs != plain.runs[0].glyphs
