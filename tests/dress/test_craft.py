"""Craft checks: widths by letters whose strokes are known, edges by arithmetic."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from jobkit import JobBench
from shapely.geometry import Point, Polygon, box

from vardata.dress.widths import apart, narrowest, thinnest


@pytest.mark.parametrize(
    ("shape", "width"),
    [
        (box(0, 0, 80, 700), 80),
        (box(0, 0, 700, 55), 55),
        (Point(0, 0).buffer(100, quad_segs=64), 200),
        # An H of stems 90 wide with a bar of 40; a ring of 60.
        (box(0, 0, 90, 700).union(box(300, 0, 390, 700)).union(box(0, 330, 390, 370)), 40),
        (Point(0, 0).buffer(300, quad_segs=64).difference(Point(0, 0).buffer(240)), 60),
        # Two blocks that a hairline joins; a brush's stroke of 60 with a sharp end.
        (box(0, 0, 200, 500).union(box(300, 0, 500, 500)).union(box(200, 250, 300, 254)), 4),
        (box(0, 0, 200, 500).union(box(300, 0, 500, 500)).union(box(200, 250, 300, 280)), 30),
        (Polygon([(0, 0), (400, 0), (700, 30), (400, 60), (0, 60)]), 60),
        (Polygon(), 0),
    ],
)
def test_the_thinnest_part_is_found(shape: Any, width: float) -> None:
    assert thinnest(shape) == pytest.approx(width, rel=0.03)


def test_corners_are_not_thin() -> None:
    # A triangle is as thin as you like in its tips: what counts is its body.
    assert thinnest(Polygon([(0, 0), (600, 0), (300, 520)])) > 150


RING = Point(0, 0).buffer(300, quad_segs=64).difference(Point(0, 0).buffer(240, quad_segs=64))


def arch(gap: float) -> Any:
    """Two stems of 90 so far apart, 500 high, joined at the top."""
    return box(0, 0, 90, 500).union(box(90 + gap, 0, 180 + gap, 500)).union(
        box(0, 410, 180 + gap, 500)
    )


def wedge(degrees: float) -> Any:
    """Two strokes that open upwards from a point by an angle."""
    t = math.tan(math.radians(degrees / 2))
    foot = -90 / math.sin(math.radians(degrees / 2))
    return Polygon([(0, 0), (500 * t, 500), (500 * t + 90, 500), (0, foot),
                    (-500 * t - 90, 500), (-500 * t, 500)])  # fmt: skip


@pytest.mark.parametrize("mouth", [20, 60, 120, 200])
def test_the_mouth_of_an_open_counter_is_measured(mouth: float) -> None:
    assert narrowest(RING.difference(box(0, -mouth / 2, 400, mouth / 2))) == pytest.approx(
        mouth, rel=0.01
    )


@pytest.mark.parametrize("gap", [20, 60, 150, 250])
def test_the_channel_of_an_arch_is_measured(gap: float) -> None:
    assert narrowest(arch(gap)) == pytest.approx(gap, rel=0.01)
    # With feet that come towards each other, the way between them is what closes first.
    feet = arch(gap).union(box(90, 0, 90 + gap / 4, 60))
    assert narrowest(feet) == pytest.approx(gap * 0.75, rel=0.01)


def test_the_channels_between_arms_are_measured() -> None:
    arms = (box(0, y, 400, y + 90) for y in (0, 280, 610))
    shape = box(0, 0, 90, 700)
    for arm in arms:
        shape = shape.union(arm)
    assert narrowest(shape) == pytest.approx(190, rel=0.01)


@pytest.mark.parametrize("degrees", [20, 30, 45, 60])
def test_a_notch_that_tapers_is_no_counter(degrees: float) -> None:
    assert narrowest(wedge(degrees)) == math.inf


def test_a_closed_counter_is_as_wide_as_its_largest_disc() -> None:
    assert narrowest(RING) == pytest.approx(480, rel=0.01)
    # A triangle of equal sides of 600: its incircle's radius is the side / (2 root 3).
    corners = [(0, 0), (600, 0), (300, 300 * math.sqrt(3))]
    framed = box(-100, -100, 700, 700).difference(Polygon(corners))
    assert narrowest(framed) == pytest.approx(600 / math.sqrt(3), rel=0.01)
    assert narrowest(box(0, 0, 100, 700)) == math.inf


def test_the_distance_of_parts_is_measured() -> None:
    assert apart(box(0, 0, 90, 500).union(box(0, 540, 90, 630))) == pytest.approx(40)
    assert apart(RING) == math.inf


# ---------------------------------------------------------------- a job

LAYOUT = """\
name = "tag"
width = 40
height = 20
safe = 2

[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "art"
choke = 0.05

[craft]
CRAFT

[[fields]]
type = "text"
name = "reader"
text = "{{ reader }}"
font = "Bars.ttf"
box = [BOX]
size = "10pt"
fit = []
align = "left"
colour = "COLOUR"
"""
PT = 25.4 / 72


def bars(path: Path) -> None:
    """I: a stem of 100; O: a square ring of 100 round a counter of 60 by 300; C: the same, open on
    the right by 40; i: a stem with a dot 50 above it; x: 500 high."""
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder([".notdef", "I", "O", "C", "i", "x"])
    builder.setupCharacterMap({ord(char): char for char in "IOCix"})

    def drawn(*rings: list[tuple[int, int]]) -> Any:
        pen = TTGlyphPen(None)
        for first, *others in rings:
            pen.moveTo(first)
            for point in others:
                pen.lineTo(point)
            pen.closePath()
        return pen.glyph()

    stem = [(100, 0), (100, 700), (200, 700), (200, 0)]
    outer = [(50, 0), (50, 500), (310, 500), (310, 0)]
    inner = [(150, 100), (210, 100), (210, 400), (150, 400)]
    right = [(50, 0), (50, 500), (310, 500), (310, 270), (210, 270), (210, 400), (150, 400),
             (150, 100), (210, 100), (210, 230), (310, 230), (310, 0)]  # fmt: skip
    dot = [(100, 550), (100, 650), (200, 650), (200, 550)]
    low = [(100, 0), (100, 500), (200, 500), (200, 0)]
    small = [(100, 0), (100, 500), (300, 500), (300, 0)]
    builder.setupGlyf({".notdef": TTGlyphPen(None).glyph(), "I": drawn(stem),
                       "O": drawn(outer, inner), "C": drawn(right),
                       "i": drawn(low, dot), "x": drawn(small)})  # fmt: skip
    builder.setupHorizontalMetrics({".notdef": (500, 0), "I": (300, 100), "O": (360, 50),
                                    "C": (360, 50), "i": (300, 100), "x": (400, 100)})  # fmt: skip
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Bars", "psName": "Bars"})
    builder.setupOS2()
    builder.setupPost()
    builder.save(path)


# Strokes of 100 at 10 pt are 0.353 mm, the counter of 60 is 0.212 mm, the mouth of 40 0.141 mm, the
# dot is 0.176 mm off, x is 1.76 mm high.
CASES = [
    ("min_stroke = 0.34", "I", "black", "5, 5, 30, 10", ""),
    ("min_stroke = 0.36", "I", "black", "5, 5, 30, 10",
     "the thinnest stroke is 0.35_ mm at 10 pt, the least that prints is 0.36 mm"),
    ("min_stroke = 0.36", "I", "White", "5, 5, 30, 10", ""),
    ("min_knockout = 0.36", "I", "White", "5, 5, 30, 10",
     "the thinnest knocked-out stroke is 0.35_ mm at 10 pt, the least that prints is 0.36 mm"),
    ("min_white = 0.24", "I", "black", "5, 5, 30, 10", ""),
    ("min_white = 0.26", "I", "black", "5, 5, 30, 10",
     "the white under the thinnest stroke is 0.25_ mm at 10 pt after its choke, the least that "
     "prints is 0.26 mm"),
    ("min_counter = 0.2", "IO", "black", "5, 5, 30, 10", ""),
    ("min_counter = 0.22", "I", "black", "5, 5, 30, 10", ""),
    ("min_counter = 0.22", "IO", "black", "5, 5, 30, 10",
     "the smallest counter is 0.21_ mm wide at 10 pt, the least that stays open is 0.22 mm"),
    ("min_counter = 0.13", "C", "black", "5, 5, 30, 10", ""),
    ("min_counter = 0.15", "C", "black", "5, 5, 30, 10",
     "the smallest counter is 0.14_ mm wide at 10 pt, the least that stays open is 0.15 mm"),
    ("min_stroke = 0.15", "C", "black", "5, 5, 30, 10", ""),
    ("min_stroke = 0.15", "C", "White", "5, 5, 30, 10",
     "the colour in the smallest counter is 0.14_ mm wide at 10 pt, the least that prints is "
     "0.15 mm"),
    ("min_gap = 0.17", "iC", "black", "5, 5, 30, 10", ""),
    ("min_gap = 0.18", "iC", "black", "5, 5, 30, 10",
     "the parts of a letter (accent, dot) are 0.17_ mm apart at 10 pt, the least that stays open "
     "is 0.18 mm"),
    ("min_x_height = 1.75", "I", "black", "5, 5, 30, 10", ""),
    ("min_x_height = 1.8", "I", "black", "5, 5, 30, 10",
     "small letters are 1.76 mm high at 10 pt, the least is 1.8 mm"),
    ("keep_safe = true", "I", "black", "2.1, 5, 30, 10", ""),
    ("keep_safe = true", "I", "black", "1.5, 5, 30, 10",
     "its ink comes to 1.50 mm from the edge of the item, past the safe edge at 2 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("craft", "text", "colour", "place", "what"), CASES)
def test_what_is_too_fine_is_held(
    tmp_path: Path, craft: str, text: str, colour: str, place: str, what: str
) -> None:
    layout = LAYOUT.replace("CRAFT", craft).replace("BOX", place).replace("COLOUR", colour)
    files = {
        "layout.toml": layout,
        "jig.toml": 'name = "j"\n[[slots]]\nname = "A1"\nx = 30\ny = 20\n',
        "bed.toml": 'name = "b"\nwidth = 80\nheight = 60\nmodes.fine.dpi = [720, 720]\n',
        "job.toml": 'name = "t"\nlayout = "layout.toml"\njig = "jig.toml"\nbed = "bed.toml"\n'
                    'print_mode = "fine"\nsheet.file = "r.csv"\n',
        "r.csv": f"reader\n{text}\n",
    }  # fmt: skip
    bars(tmp_path / "Bars.ttf")
    done = JobBench(tmp_path, files).call("check", "job.toml", "--workers", "1")
    told = done.out + done.err
    assert done.code == (3 if what else 0), told
    before, _, after = what.partition("_")  # the last figure is as near as widths are found
    assert before in told and after in told
