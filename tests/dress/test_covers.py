"""Covers of white plates, mixed blanks, white ink, pictures."""

from __future__ import annotations

import numpy as np
import pytest
from plateprint import of_plate, rendered
from platework import (
    BOLD,
    SANS,
    SCRIPT,
    code_field,
    dressed,
    dresser,
    plates,
    qr,
    shape_field,
    text,
    text_field,
)
from scipy import ndimage
from whitework import DPI, PANEL, PIXEL, PX, agrees, art, depth, plate, rect

from vardata.dress.drawing import Picture
from vardata.dress.framing import Framing
from vardata.fit.result import PictureFit
from vardata.job import model
from vardata.marks import GlyphRun, Image, Path, Placement, Ref
from vardata.problems import JobError

# ------------------------------------------------------------ covers


def test_a_flood_fills_the_outline_and_its_bleed() -> None:
    made = dresser([text_field("t", (1, 5, 38, 10))], [art(rect(5, 5, 4, 4))],
                   plates=plates("flood", bleed=-1), outline="rounded", corner=3)  # fmt: skip
    item = dressed(made, text(SANS, "Text", 20, 1, 2))
    assert [m for m in item.spread() if m.plate == 1] == [Ref(1, "p1-flood")]
    area = plate(made, item, 1).sum() / PX**2
    assert area == pytest.approx(38 * 18 - (4 - np.pi) * 4, rel=0.002)


def test_a_knockout_overlaps_the_colour_by_the_choke() -> None:
    over = text_field("w", (1, 0, 38, 5), colour="White")
    choke = 0.2
    chosen = plates("knockout", choke=choke)
    made = dresser([PANEL, text_field("t", (1, 5, 38, 10)), over], plates=chosen)
    item = dressed(made, None, text(SCRIPT, "Ofelia Zi", 30, 2, 2), text(BOLD, "white", 10, 1, 1))
    ink, white = plate(made, item, 0), plate(made, item, 1)
    alone = rendered([m for m in of_plate(made, item, 1) if isinstance(m, GlyphRun)], dpi=DPI)
    deep = depth(ink & ~alone)
    inside = np.ones_like(white)
    inside[:3], inside[-3:], inside[:, :3], inside[:, -3:] = (False,) * 4
    bare = ~white & inside
    # Bare only deeper in colour than the choke, and all of it there.
    assert not ndimage.binary_opening(bare & (deep < choke - PIXEL)).any()
    full = (deep > choke + PIXEL) & inside
    assert not ndimage.binary_opening(full & white).any()
    assert not (bare & ndimage.binary_erosion(alone)).any()


def test_a_knockout_leaves_codes_whole() -> None:
    light = {"l": model.Blank(surface="light")}
    made = dresser([code_field("c", (10, 2, 16, 16))], plates=plates("knockout"), blanks=light)
    item = dressed(made, qr("A", 0.508, 3, 3), blank="l")
    assert [m for m in item.spread() if m.plate == 1] == [Ref(1, "p1-knockout")]
    assert plate(made, item, 1).mean() > 0.99


def test_cover_none_prints_white_ink_only() -> None:
    fields = [text_field("a", (1, 10, 38, 9)), text_field("b", (1, 1, 38, 8), colour="White")]
    made = dresser(fields, [art(rect(5, 5, 4, 4)), art(rect(25, 5, 4, 4, None))],
                   plates=plates("none"))  # fmt: skip
    item = dressed(made, text(BOLD, "colour", 18, 1, 2), text(BOLD, "white", 18, 1, 2))
    ref, run = [m for m in item.spread() if m.plate == 1]
    assert isinstance(ref, Ref) and isinstance(run, GlyphRun) and run.choke == 0
    assert made.statics().refs[ref.key] == (Path(1, 1.0, (("re", 25, 5, 4, 4),)),)


def test_two_white_plates_have_chokes_of_their_own() -> None:
    chosen = (*plates(choke=0.1), model.Plate(name="Under", role="white", cover="art", choke=0.3))
    made = dresser([text_field("t", (1, 5, 38, 10))], plates=chosen)
    item = dressed(made, text(BOLD, "HIH", 40, 1, 2))
    chokes = {m.plate: m.choke for m in item.spread() if isinstance(m, GlyphRun) and m.choke}
    assert chokes == {1: 0.1, 3: 0.3}


# ------------------------------------------------------------ blanks


BLANKS = {
    "black tag": model.Blank(surface="dark"),
    "keyring": model.Blank(surface="clear", white="flood"),
    "white medal": model.Blank(surface="light", white="none"),
    "silver": model.Blank(surface="light", white="knockout"),
}


def test_each_blank_has_its_own_white() -> None:
    made = dresser([text_field("t", (1, 5, 20, 10)), code_field("c", (22, 2, 16, 16))],
                   [art(rect(1, 1, 5, 3))], blanks=BLANKS)  # fmt: skip
    fits = (text(BOLD, "Ab", 20, 1, 2), qr("A", 0.254, 4, 4))
    keys, areas = {}, {}
    for blank in BLANKS:
        item = dressed(made, *fits, blank=blank)
        keys[blank] = [m.key for m in item.spread() if isinstance(m, Ref) and m.plate == 1]
        areas[blank] = plate(made, item, 1).sum() / PX**2
        assert plate(made, item, 0).any()
    assert keys == {
        "black tag": ["p1-art"],
        "keyring": ["p1-flood"],
        "white medal": [],
        "silver": ["p1-knockout"],
    }
    assert areas["white medal"] == 0
    assert areas["keyring"] == pytest.approx(800, rel=0.002)
    assert set(made.statics().refs) == {"p0-art", "p1-art", "p1-flood", "p1-knockout"}


def test_white_ink_is_held_on_a_blank_that_takes_none() -> None:
    fields = [text_field("t", (1, 5, 38, 10), colour="White")]
    made = dresser(fields, blanks=BLANKS)
    fit = text(BOLD, "Ab", 20, 1, 2)
    problem = made.check("white medal", [fit])
    assert problem is not None and problem.kind == "no-white" and "white medal" not in problem.kind
    assert made.check("black tag", [fit]) is None
    # Amid colour the bare material shows the text.
    amid = dresser([shape_field("p", (0, 0, 40, 20), shape="rectangle", fill="red"), *fields],
                   blanks=BLANKS)  # fmt: skip
    assert amid.check("white medal", [None, fit]) is None
    item = dressed(amid, None, fit, blank="white medal")
    assert not plate(amid, item, 1).any()
    assert plate(amid, item, 0).sum() / PX**2 < 799


def test_ink_without_a_plate_is_refused() -> None:
    colour, white, gloss = plates()
    with pytest.raises(JobError, match='role "white"'):
        dresser(art=[art(rect(1, 1, 5, 5, None))], plates=(colour, gloss))
    with pytest.raises(JobError, match='role "colour"'):
        dresser([text_field("t", (1, 1, 5, 5))], plates=(white, gloss))
    with pytest.raises(JobError, match="colour"):
        dresser([text_field("t", (1, 1, 5, 5), colour="sky-blue-pink")])
    assert dresser([text_field("t", (1, 1, 5, 5), colour="White")], plates=(white,))


# ------------------------------------------------------------ pictures


def picture(coverage: tuple[tuple[str | float, ...], ...]) -> Picture:
    return Picture("key", 40, 20, "DeviceGray", "FlateDecode", b"", (), b"", coverage)


def test_pictures_have_white_along_their_true_edge() -> None:
    field = model.PictureField(type="picture", name="p", file="x", box=(4, 2, 16, 16), rotation=90)
    made = dresser([field])
    disc = picture((("m", 0.5, 0.0), ("l", 1.0, 0.5), ("l", 0.5, 1.0), ("l", 0.0, 0.5), ("h",)))
    asked: list[tuple[str, float | None]] = []

    def find(path: str, framing: Framing, /) -> Picture:
        asked.append((path, framing.aspect))
        return disc

    item = made.dress("k", "dark", [PictureFit("/p.png")], Placement(50, 50, 0), find)
    image, white = item.spread()
    # Contained in 16 by 16: 16 by 8, centred, then a quarter turn.
    assert image == Image(0, image.paint, "key", 4, 6, 16, 8, 90)
    assert isinstance(white, Path)
    turned = (("m", 12, 2), ("l", 16, 10), ("l", 12, 18), ("l", 8, 10), ("h",))
    rhombus = rendered([Path(0, 1.0, turned)], dpi=DPI)
    agrees(rendered([white], dpi=DPI), rhombus)
    assert asked == [("/p.png", None)]


def test_pictures_that_cover_their_box_are_asked_for_cropped() -> None:
    field = model.PictureField(type="picture", name="p", file="x", box=(4, 2, 16, 8), fit="cover")
    asked: list[float | None] = []

    def find(path: str, framing: Framing, /) -> Picture:
        asked.append(framing.aspect)
        return picture((("re", 0, 0, 1, 1),))

    item = dresser([field]).dress("k", "dark", [PictureFit("/p")], Placement(50, 50, 0), find)
    image, white = item.spread()
    assert asked == [2.0] and image[3:8] == (4, 2, 16, 8, 0)
    assert rendered([white], dpi=DPI).sum() / PX**2 == pytest.approx(15.8 * 7.8, rel=0.01)
