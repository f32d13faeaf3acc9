"""What a plate may wish for: inverse gloss, patterns, things of some colours, texts' own white.

Plates are rendered by PDFium; areas are those of geometry.
"""

from __future__ import annotations

from pathlib import Path as File

import pytest
from plateprint import of_plate, rendered
from platework import BOLD, book, code_field, dressed, dresser, qr, shape_field, text, text_field

from vardata.dress.dresser import Dresser
from vardata.job import model
from vardata.marks import GlyphRun, Item
from vardata.problems import JobError

DPI = 600
PX = DPI / 25.4
WORD = text(BOLD, "Ab", 18, 1, 2)


def plates(*more: dict[str, object]) -> tuple[model.Plate, ...]:
    return tuple(
        model.Plate.model_validate(plate) for plate in ({"name": "Colour", "role": "colour"}, *more)
    )


def gloss(**wish: object) -> tuple[model.Plate, ...]:
    return plates(
        {"name": "White", "role": "white", "cover": "none"},
        {"name": "Gloss", "role": "gloss", **wish},
    )


def area(made: Dresser, item: Item, plate: int = 2) -> float:
    return float(rendered(of_plate(made, item, plate), dpi=DPI).sum() / PX**2)


# ------------------------------------------------------------ gloss


def test_an_inverse_is_the_flood_without_what_asks_for_gloss() -> None:
    """Matt letters and a matt panel of 10 x 4 mm on a glossy item of 40 x 20 mm."""
    fields = [shape_field("p", (25, 2, 10, 4), shape="rectangle", fill="red", gloss=True),
              shape_field("q", (25, 12, 10, 4), shape="rectangle", fill="red"),
              text_field("a", (1, 10, 20, 9), gloss=True)]  # fmt: skip
    bare = dresser(fields, plates=gloss(cover="fields"))
    letters = area(bare, dressed(bare, None, None, WORD)) - 40
    made = dresser(fields, plates=gloss(cover="inverse"))
    assert area(made, dressed(made, None, None, None)) == pytest.approx(800 - 40, rel=0.003)
    shown = area(made, dressed(made, None, None, WORD))
    assert shown == pytest.approx(800 - 40 - letters, rel=0.003) and letters > 10


def test_an_inverse_keeps_off_codes_too() -> None:
    fields = [text_field("a", (1, 10, 10, 9), gloss=True), code_field("c", (12, 2, 16, 16))]
    made = dresser(fields, plates=plates(
        {"name": "White", "role": "white", "cover": "art"},
        {"name": "Gloss", "role": "gloss", "cover": "inverse"},
    ))  # fmt: skip
    item = dressed(made, None, qr("A", 0.254, 4, 4))
    side = (21 + 8) * 0.254
    assert area(made, item) == pytest.approx(800 - side**2, rel=0.01)


def test_gloss_over_some_colours_of_the_art_only() -> None:
    fields = [shape_field("p", (1, 1, 10, 4), shape="rectangle", fill="red"),
              shape_field("q", (1, 8, 6, 5), shape="rectangle", fill="#0000ff"),
              text_field("a", (20, 10, 18, 9), colour="red")]  # fmt: skip
    made = dresser(fields, plates=gloss(cover="art", colours=("#0000ff",)))
    assert area(made, dressed(made, None, None, WORD)) == pytest.approx(30, rel=0.01)
    red = dresser(fields, plates=gloss(cover="art", colours=("red",)))
    letters = area(red, dressed(red, None, None, WORD)) - 40
    assert letters > 10, "the letters of that colour as well"


TILE = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2">
<rect x="1" y="0.5" width="2" height="1" fill="#000"/></svg>"""


def patterned(tmp_path: File, svg: str = TILE, size: float = 4.0, **wish: object) -> Dresser:
    (tmp_path / "tile.svg").write_text(svg, encoding="utf-8")
    layout = model.Layout(
        name="tag", width=40, height=20,
        plates=gloss(pattern="tile.svg", pattern_size=size, **wish),
        fields=(text_field("a", (1, 4, 38, 12), gloss=True),),
    )  # fmt: skip
    mode = model.PrintMode(dpi=(600, 600))
    return Dresser(
        model.Setup(
            job=model.Job(name="j", layout="l", jig="j", bed="b", print_mode="m",
                          sheet=model.Sheet(file="s.csv"), blanks={"dark": model.Blank()}),
            layout=layout, jig=model.Jig(name="j"),
            bed=model.Bed(name="b", width=300, height=300, modes={"m": mode}), mode=mode,
            sheet_file=File("s.csv"), job_file=File("job.toml"), layout_file=File("tag.toml"),
            files={"tile.svg": tmp_path / "tile.svg"},
        ),
        book(), (),
    )  # fmt: skip


def test_a_pattern_breaks_a_flood_into_its_tiles(tmp_path: File) -> None:
    """Tiles of 4 x 2 mm, a quarter of each inked: 10 x 10 of them, 2 mm2 each."""
    made = patterned(tmp_path, cover="flood")
    assert area(made, dressed(made, None)) == pytest.approx(200, rel=0.01)


def test_a_pattern_breaks_a_records_text_too(tmp_path: File) -> None:
    made = patterned(tmp_path, size=1.0, cover="fields")
    item = dressed(made, text(BOLD, "HHHH", 30, 1, 2))
    plain = dresser([text_field("a", (1, 4, 38, 12), gloss=True)], plates=gloss(cover="fields"))
    whole = area(plain, dressed(plain, text(BOLD, "HHHH", 30, 1, 2)))
    assert area(made, item) == pytest.approx(whole / 4, rel=0.05)


def test_a_pattern_of_too_many_tiles_is_refused(tmp_path: File) -> None:
    with pytest.raises(JobError) as caught:
        patterned(tmp_path, size=0.1, cover="flood")
    assert str(caught.value) == (
        'tile.svg: the gloss pattern has 186524 tiles on an item; raise "pattern_size": '
        "at most 20000 are drawn"
    )


def test_an_empty_tile_is_refused(tmp_path: File) -> None:
    empty = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2"/>'
    with pytest.raises(JobError) as caught:
        patterned(tmp_path, empty, cover="flood")
    assert str(caught.value) == (
        "tile.svg: the tile of the gloss pattern shows nothing; draw filled shapes in it"
    )


# ------------------------------------------------------------ white


def whites(*wishes: dict[str, object]) -> tuple[model.Plate, ...]:
    return plates(*(
        {"name": f"White {n}", "role": "white", "cover": "art", "choke": 0.0, **wish}
        for n, wish in enumerate(wishes, 1)
    ))  # fmt: skip


FIELDS = [
    shape_field("p", (22, 2, 10, 4), shape="rectangle", fill="red"),
    text_field("a", (1, 8, 20, 9), colour="#c0392b"),
    code_field("c", (24, 8, 11, 11)),
]


def test_texts_may_have_a_white_of_their_own() -> None:
    made = dresser(FIELDS, plates=whites({"under": "texts", "choke": 0.05}, {"under": "rest"}))
    item = dressed(made, None, WORD, qr("A", 0.254, 1.8, 1.8))
    text_marks = of_plate(made, item, 1)
    assert text_marks and all(isinstance(mark, GlyphRun) for mark in text_marks)
    side = (21 + 8) * 0.254
    assert area(made, item, 2) == pytest.approx(40 + side**2, rel=0.015)


def test_white_under_named_colours_only() -> None:
    """White highlights: the letters' colour is named, the panel's is not; a code keeps the
    ground that the white for everything gives it."""
    made = dresser(FIELDS, plates=whites({"colours": ("#c0392b",)}, {"cover": "none"}))
    item = dressed(made, None, WORD, None)
    plain = dresser([FIELDS[1]], plates=whites({}))
    assert area(made, item, 1) == pytest.approx(area(plain, dressed(plain, WORD), 1), rel=0.001)
    assert of_plate(made, item, 2) == []


def test_without_wishes_white_lies_under_all() -> None:
    made = dresser(FIELDS[:2], plates=whites({}))
    letters = dresser([FIELDS[1]], plates=whites({}))
    want = 40 + area(letters, dressed(letters, WORD), 1)
    assert area(made, dressed(made, None, WORD), 1) == pytest.approx(want, rel=0.01)
