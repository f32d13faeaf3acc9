"""Lines put together from words: the same as uharfbuzz gives for the whole text, and only in fonts
in which words know nothing of each other across a space."""

from __future__ import annotations

import random
from itertools import product
from pathlib import Path

import pytest
from faker import Faker
from fit_judges import FILES, box_font, chain, plainly
from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.ttLib import TTFont, newTable
from fontTools.ttLib.tables._k_e_r_n import KernTable_format_0

from vardata.fit.fonts import Face
from vardata.fit.placing import ShapedLine
from vardata.fit.shaping import Shaper, Unshapable
from vardata.fit.wordlines import WordLines
from vardata.fit.wordspace import WordSpace, word_space

NAMES = [path.stem for path in FILES]
LOCALES = ["en_GB", "fr_FR", "pl_PL", "cs_CZ", "tr_TR", "el_GR", "ru_RU", "uk_UA"]
LETTERS = {
    "Latin": "AVTWYLPFfijlrtvwyabeoÀÉÎõüßçřšžłøĲŉŐ.,-'&!?()\"1270/½",
    "Greek": "ΑΔΤΥΨγλρτυςάΐΰΏ.,-1",
    "Cyrillic": "АГТУЛДгтурѓЇїјё.,-1",
}
SYSTEM = "languagesystem DFLT dflt; languagesystem latn dflt;"


def lines_of(face: Face, *features: str) -> WordLines | None:
    return Shaper((face,), features)._words


def as_a_whole(face: Face, text: str) -> ShapedLine | Unshapable:
    """The same text shaped at once, as a text of one word is."""
    return Shaper((face,))._part(face, text, 0.0, 0)


def same_as_a_whole(face: Face, texts: list[str]) -> int:
    """How many of the texts are put together from words; those are as they must be."""
    lines, found = lines_of(face), 0
    assert lines is not None
    for text in texts:
        line = lines.line(text)
        if line is not None:
            assert line == as_a_whole(face, text), text
            found += 1
    return found


def random_texts(letters: str, count: int) -> list[str]:
    """Texts of two to four words of one to five letters."""
    dice = random.Random(letters)
    return [
        " ".join(
            "".join(dice.choices(letters, k=dice.randint(1, 5))) for _ in range(dice.randint(2, 4))
        )
        for _ in range(count)
    ]


# ---------------------------------------------------------------- shipped fonts


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("locale", LOCALES)
def test_names_are_the_same_from_words(name: str, locale: str) -> None:
    fake = Faker(locale)
    fake.seed_instance(11)
    texts = [fake.name() for _ in range(120)]
    face = chain(name)[0]
    has_all = [text for text in texts if face.characters.issuperset(text) and " " in text]
    assert same_as_a_whole(face, texts) == len(has_all)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("script", LETTERS)
def test_letters_in_any_order_are_the_same_from_words(name: str, script: str) -> None:
    face = chain(name)[0]
    letters = "".join(face.characters.intersection(LETTERS[script]))
    texts = random_texts("".join(sorted(letters)), 1500)
    has_letters = any(map(str.isalpha, letters))
    assert (same_as_a_whole(face, texts) > 1000) == has_letters


@pytest.mark.parametrize(
    "text",
    ["a\u0301 b", "A  B", " A B", "A\u00a0B C", "1\u20442 A", "Anna Αθηνά", "12 34", "\u0301a b",
     "co\u00adop a", "a\tb c", "a\nb c", "שלום a", "a\u200db c"],
)  # fmt: skip
def test_other_texts_are_shaped_as_a_whole(text: str) -> None:
    lines = lines_of(chain("NotoSans-Regular")[0])
    assert lines is not None
    assert lines.line(text) is None


# ---------------------------------------------------------------- fonts that mind the space


BOXES = {
    char: (600 + 10 * n, (30, 0, 560 + 10 * n, 700 + n)) for n, char in enumerate("abcdTV")
} | {" ": (250, None)}


@pytest.fixture
def made(tmp_path: Path) -> object:
    """Makes a face of boxes with the features written in the language of feature files."""

    def make(features: str, classes: str = "") -> Face:
        path = box_font(tmp_path / "boxes.ttf", BOXES)
        font = TTFont(path)
        table = f"table GDEF {{ GlyphClassDef {classes}; }} GDEF;" if classes else ""
        source = f"{SYSTEM}\n{table}\n{features}"
        for char in BOXES:
            source = source.replace(f"<{char}>", f"u{ord(char):04X}")
        addOpenTypeFeaturesFromString(font, source.replace("<space>", "u0020"))
        font.save(path)
        return Face(path, 0)

    return make


# So many that a table of classes is smaller than a list of glyphs for each of them.
def of_classes(last: str) -> str:
    ahead = product(("[<a> <b>]", "[<c> <d>]", last), repeat=3)
    rules = (f"sub [<a> <b>]' lookup L {' '.join(one)};" for one in ahead)
    return f"lookup L {{ sub [<a> <b>] by <c>; }} L; feature calt {{ {' '.join(rules)} }} calt;"


APART = {
    "rules of glyphs": "lookup L { sub <a> by <c>; } L; feature calt { sub <a>' lookup L <b>; "
    "sub <a>' lookup L <d> <V>; sub <b> <a>' lookup L; sub <T> <d> <a>' lookup L; } calt;",
    "rules of classes": of_classes("[<T> <V>]"),
    "ligature": "feature liga { sub <a> <b> by <c>; sub <a> <b> <d> by <V>; } liga;",
    "kerns": "feature kern { pos <V> <a> -80; pos [<T> <V>] [<b> <c>] -60; } kern;",
    "positions": "lookup L { pos <a> 50; } L; feature kern { pos <T>' <a>' lookup L <b>; } kern;",
}
KERNED = [
    "feature kern { pos <V> <space> -80; pos <space> <T> -45; pos <a> <V> -20; } kern;",
    "feature kern { pos [<a> <V>] [<space> <b>] -70; pos [<space> <c>] [<T> <a>] -35; } kern;",
]
TOUCHED = {
    "context": "feature calt { sub <a>' <space> <b> by <c>; } calt;",
    "context on the space": "feature calt { sub <a> <space>' <b> by <d>; } calt;",
    "chain of classes": "lookup L { sub <a> by <c>; } L; "
    "feature calt { sub [<a> <b>]' lookup L [<space> <T>]; } calt;",
    "rules of glyphs": APART["rules of glyphs"].replace("<d> <V>;", "<d> <space>;"),
    "rules of classes": of_classes("[<T> <space>]"),
    "ligature": "feature liga { sub <a> <space> <b> by <c>; } liga;",
    "ligature that begins with it": "feature liga { sub <space> <b> by <c>; } liga;",
    "single": "feature ccmp { sub <space> by <c>; } ccmp;",
    "reverse chain": "feature calt { rsub <space> <a>' by <b>; } calt;",
    "position": "feature kern { pos <space> 40; } kern;",
    "kerned in context": "feature kern { pos <a>' -50 <space> <T>; } kern;",
    "both of a pair": "feature kern { pos <V> <0 0 -80 0> <space> <0 0 -10 0>; } kern;",
    "called": "lookup P { pos <b> <space> -50; pos <space> <T> <0 0 5 0>; } P; "
    "lookup Q { pos <space> 10; } Q; feature kern { pos <a>' lookup Q <b>; } kern;",
    "random": "feature rand { sub <a> from [<b> <c>]; } rand;",
}


@pytest.mark.parametrize("how", APART)
def test_words_that_do_not_are_the_same_from_words(made: object, how: str) -> None:
    face = made(APART[how])  # type: ignore[operator]
    assert word_space(face, frozenset()) == WordSpace.APART
    assert same_as_a_whole(face, random_texts("abcdTV", 600)) == 600


def test_rules_come_in_the_formats_that_a_font_may_have(made: object) -> None:
    for how, form in (("rules of glyphs", 1), ("rules of classes", 2), ("chain of classes", 3)):
        face = made(TOUCHED[how])  # type: ignore[operator]
        lookups = TTFont(face.path)["GSUB"].table.LookupList.Lookup
        assert form in {
            getattr(table, "Format", 0) for one in lookups for table in one.SubTable
            if one.LookupType in (5, 6)
        }, how


@pytest.mark.parametrize("features", KERNED)
def test_kerns_with_the_space_are_kept(made: object, features: str) -> None:
    face = made(features)  # type: ignore[operator]
    assert word_space(face, frozenset()) == WordSpace.KERNED
    texts = random_texts("abcdTV", 600)
    assert same_as_a_whole(face, texts) == 600
    kerned = Shaper((face,)).shape("aV Ta")
    assert isinstance(kerned, ShapedLine)
    assert kerned.advance == sum(way for *_, way in plainly(face.path, "aV Ta"))
    assert kerned.advance < sum(BOXES[char][0] for char in "aV Ta")


@pytest.mark.parametrize("how", TOUCHED)
def test_words_that_know_each_other_are_shaped_as_a_whole(made: object, how: str) -> None:
    face = made(TOUCHED[how])  # type: ignore[operator]
    assert word_space(face, frozenset()) == WordSpace.UNKNOWN
    assert lines_of(face) is None
    for text in ("aV Ta", "a b", "ab T"):
        line = Shaper((face,)).shape(text)
        assert isinstance(line, ShapedLine)
        assert line.advance == sum(way for *_, way in plainly(face.path, text))


def test_a_space_that_a_lookup_passes_over_lets_letters_meet(made: object) -> None:
    kern = "feature kern { lookupflag IgnoreLigatures; pos <a> <b> -50; } kern;"
    seen = made(kern, "[<a> <b> <space>], , ,")  # type: ignore[operator]
    assert word_space(seen, frozenset()) == WordSpace.APART
    unseen = made(kern, "[<a> <b>], [<space>], ,")  # type: ignore[operator]
    assert word_space(unseen, frozenset()) == WordSpace.UNKNOWN
    line = Shaper((unseen,)).shape("a b")
    assert isinstance(line, ShapedLine)
    assert line.advance == BOXES["a"][0] + BOXES[" "][0] + BOXES["b"][0] - 50


def test_features_count_when_they_are_asked_for(made: object) -> None:
    face = made("feature ss01 { sub <a> <space>' by <d>; } ss01;")  # type: ignore[operator]
    assert lines_of(face) is not None
    assert lines_of(face, "ss01") is None
    assert lines_of(face, "-ss01") is not None


def test_the_old_table_of_kerns_is_left_to_the_shaper(tmp_path: Path) -> None:
    path = box_font(tmp_path / "boxes.ttf", BOXES)
    font = TTFont(path)
    font["kern"] = table = newTable("kern")
    pairs = KernTable_format_0()
    pairs.kernTable, pairs.coverage = {("u0061", "u0020"): -90}, 1
    table.version, table.kernTables = 0, [pairs]
    font.save(path)
    face = Face(path, 0)
    assert lines_of(face) is None
    line = Shaper((face,)).shape("a b")
    assert isinstance(line, ShapedLine)
    assert line.advance == BOXES["a"][0] + BOXES[" "][0] + BOXES["b"][0] - 90


def test_torn_tables_are_left_to_the_shaper(made: object) -> None:
    face = made(KERNED[0])  # type: ignore[operator]
    font = TTFont(face.path)
    font["GPOS"] = torn = newTable("GPOS")
    torn.data = font.reader["GPOS"][:-9]
    torn.compile = lambda font: torn.data  # type: ignore[method-assign]
    font.save(face.path)
    face = Face(face.path, 0)
    assert lines_of(face) is None
    assert isinstance(Shaper((face,)).shape("a b"), ShapedLine)
