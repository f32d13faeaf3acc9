"""Text on arcs and paths: places by hand with letters that are squares, ink by fontTools, plates of
a finished bed by Ghostscript's separations."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from faker import Faker
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont
from PIL import Image
from squarefont import square_font

from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.oncurve import CurveFitter
from vardata.fit.result import TextFit
from vardata.job.layout import Arc
from vardata.job.model import Layout, TextField
from vardata.problems import Problem
from vardata.proofs.guides import guides

FONTS = Path(__file__).resolve().parents[2] / "fonts"
MM = 25.4 / 72


def field(**keys: Any) -> TextField:
    given: dict[str, Any] = {"box": (0, 0, 60, 60), "size": "10pt", "font": "any", **keys}
    return TextField(type="text", name="ring", text="", **given)


@pytest.fixture
def squares(tmp_path: Path) -> tuple[Face, ...]:
    """A font whose letter a is a square of 1 em."""
    return FontBook({"squares": square_font(tmp_path)}).chain(["squares"])


def fitted(text: str, one: TextField, faces: tuple[Face, ...]) -> TextFit:
    found = CurveFitter(one, faces).fit(text)
    assert isinstance(found, TextFit), found
    return found


def feet(fit: TextFit) -> list[tuple[float, float]]:
    """The middle of each square's foot."""
    half = fit.size_pt * MM * fit.squeeze / 2
    return [
        (run.x + half * math.cos(math.radians(turn)), run.y + half * math.sin(math.radians(turn)))
        for run, turn in zip(fit.runs, fit.turns)
    ]


@pytest.mark.parametrize(
    ("at", "side", "ways"),
    [
        # Letters of 10 pt, 3.528 mm, on a radius of 20 mm: 10.107 degrees from one to the next.
        (90, "outside", [100.107, 90, 79.893]),
        (0, "outside", [10.107, 0, -10.107]),
        (270, "inside", [259.893, 270, 280.107]),
    ],
)
def test_letters_stand_on_the_arc(
    squares: tuple[Face, ...], at: float, side: str, ways: list[float]
) -> None:
    arc = Arc(radius=20, at=at, side=side, sweep=180)
    fit = fitted("aaa", field(arc=arc), squares)
    assert (fit.size_pt, fit.squeeze, fit.lines) == (10, 1, 1)
    for (x, y), way, turn in zip(feet(fit), ways, fit.turns):
        assert math.dist((x, y), (30, 30)) == pytest.approx(20, abs=1e-3)
        assert math.degrees(math.atan2(y - 30, x - 30)) == pytest.approx(
            (way + 180) % 360 - 180, abs=0.01
        )
        up = way if side == "outside" else way + 180  # where the letter's head points
        assert (turn + 90 - up) % 360 == pytest.approx(0, abs=0.01) or (
            turn + 90 - up
        ) % 360 == pytest.approx(360, abs=0.01)


def test_a_text_is_fitted_by_the_length_of_the_arc(squares: tuple[Face, ...]) -> None:
    # 90 degrees of 20 mm are 31.416 mm, 8.905 letters of 10 pt; ten letters need 8.75 pt.
    arc = Arc(radius=20, sweep=90)
    assert fitted("a" * 8, field(arc=arc), squares).size_pt == 10
    assert fitted("a" * 10, field(arc=arc), squares).size_pt == 8.75
    tight = fitted("a" * 19, field(arc=arc), squares)
    assert (tight.size_pt, tight.squeeze) == (5, pytest.approx(0.937, abs=1e-3))  # 31.416 / 33.51
    problem = CurveFitter(field(arc=arc), squares).fit("a" * 30)
    assert isinstance(problem, Problem)
    assert str(problem) == (
        f"'{'a' * 30}' needs 47.63 mm at 5 pt squeezed to 90 %, its line is 31.42 mm long; "
        "shorten the text, lengthen the line, or loosen min_size or squeeze in the layout"
    )


def test_a_box_that_is_too_low_makes_letters_smaller(squares: tuple[Face, ...]) -> None:
    arc = Arc(radius=20, sweep=90)
    # The heads of three letters lie on 20 mm and the size: 2.1 mm are left, 6 pt at most.
    fit = fitted("aaa", field(box=(0, 0, 60, 44.2), arc=arc), squares)
    assert fit.ink[3] <= 44.2
    assert fit.size_pt == pytest.approx(5.75, abs=0.26)
    low = CurveFitter(field(box=(0, 0, 60, 42.2), arc=arc), squares).fit("aaa")
    assert isinstance(low, Problem)
    assert str(low) == (
        "'aaa' passes its box of 60 x 42.2 mm at 5 pt squeezed to 90 %; "
        "enlarge the box, or move the line that the text stands on away from its edge"
    )


def test_letters_stand_along_a_path(squares: tuple[Face, ...]) -> None:
    # A line that goes right for 10 mm and then up: 10 pt letters, middles at 1.76 and 5.29 mm ...
    one = field(box=(5, 5, 50, 50), along="M 10 10 L 20 10 L 20 40", align="left")
    fit = fitted("aaaa", one, squares)
    assert fit.turns == (0, 0, 0, 90)
    wide = 10 * MM
    want = [(5 + wide / 2, 5), (5 + wide * 1.5, 5), (5 + wide * 2.5, 5), (15, 5 + wide * 3.5 - 10)]
    for found, place in zip(feet(fit), want):
        assert found == pytest.approx(place, abs=1e-3)


def ink_of(fit: TextFit, book: FontBook) -> tuple[float, float, float, float]:
    """The box of all outlines, turned and placed by fontTools."""
    boxes = []
    for run, turn in zip(fit.runs, fit.turns):
        font = TTFont(book.face(run.font).path, lazy=True)
        glyphs = font.getGlyphSet()
        em = fit.size_pt * MM / font["head"].unitsPerEm
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        pen = BoundsPen(glyphs)
        across = em * fit.squeeze
        matrix = (c * across, s * across, -s * em, c * em, run.x, run.y)
        name = font.getGlyphName(int.from_bytes(run.glyphs, "big"))
        glyphs[name].draw(TransformPen(pen, matrix))
        if pen.bounds:
            boxes.append(pen.bounds)
    x0, y0, x1, y1 = zip(*boxes)
    return min(x0), min(y0), max(x1), max(y1)


@pytest.mark.parametrize("name", ["NotoSerif-Regular", "NotoSans-Bold"])
def test_ink_lies_in_the_box(name: str) -> None:
    book = FontBook({name: FONTS / f"{name}.ttf"})
    fake = Faker(["en_GB", "vi_VN", "el_GR", "pl_PL"])
    fake.seed_instance(8)
    shapes: list[dict[str, Any]] = [
        {"arc": Arc(radius=17, sweep=200)},
        {"arc": Arc(radius=21, at=270, side="inside", sweep=150)},
        {"along": "M 8 20 C 18 40 32 5 42 30"},
    ]
    one = [field(box=(0, 0, 50, 50), size="18pt", squeeze=80, **shape) for shape in shapes]
    fitted_ones = 0
    for number in range(90):
        text = fake.name()
        fit = CurveFitter(one[number % 3], book.chain([name])).fit(text)
        if isinstance(fit, Problem):
            assert fit.kind == "text-too-long"
            continue
        x0, y0, x1, y1 = ink_of(fit, book)
        assert x0 >= 0 and y0 >= 0
        assert x1 <= 50 and y1 <= 50
        assert fit.ink[0] <= x0 + 1e-3 and fit.ink[3] >= y1 - 1e-3
        fitted_ones += 1
    assert fitted_ones > 60


# ---------------------------------------------------------------- a bed

LAYOUT = """\
name = "ring"
width = 50
height = 50
outline = "circle"

[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "art"
choke = 0.1

[[fields]]
type = "text"
name = "reader"
text = "{{ reader }}"
font = "NotoSans-Bold"
box = [1, 1, 48, 48]
size = "20pt"
colour = "black"
arc = { radius = 17, sweep = 220 }
"""
DPI = 600


def test_plates_of_a_bed_show_letters_on_the_arc_with_their_white(tmp_path: Path) -> None:
    files = {
        "layout.toml": LAYOUT,
        "jig.toml": 'name = "j"\n[[slots]]\nname = "A1"\nx = 30\ny = 30\nrotation = 30\n',
        "bed.toml": 'name = "b"\nwidth = 60\nheight = 60\nmodes.fine.dpi = [600, 600]\n',
        "job.toml": 'name = "rings"\nlayout = "layout.toml"\njig = "jig.toml"\nbed = "bed.toml"\n'
                    'print_mode = "fine"\nsheet.file = "r.csv"\n',
        "r.csv": "reader\nOttilie Brandvold\n",
    }  # fmt: skip
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "vardata.cli.main", "build", "job.toml", "-q", "--out", "run"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (bed,) = (tmp_path / "run" / "beds").iterdir()
    subprocess.run(
        ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{DPI}",
         f"-sOutputFile={tmp_path}/p.tif", str(bed)], check=True, capture_output=True,
    )  # fmt: skip
    with Image.open(tmp_path / "p(Black).tif") as one, Image.open(tmp_path / "p(White).tif") as two:
        black, white = np.asarray(one) < 128, np.asarray(two) < 128
    rows, columns = np.nonzero(black)
    mm = 25.4 / DPI
    far = np.hypot(columns * mm - 30, (black.shape[0] - rows) * mm - 30)
    size = 20 * MM
    # Noto Sans Bold: no letter of the name is lower than 0.02 em or higher than 0.78 em.
    assert far.min() > 17 - 0.05 * size
    assert far.max() < 17 + 0.85 * size
    # The middle of the text lies at 90 + 30 degrees: the slot is turned.
    turned = math.degrees(math.atan2((black.shape[0] - rows).mean() * mm - 30,
                                     columns.mean() * mm - 30))  # fmt: skip
    assert turned == pytest.approx(120, abs=3)
    assert not (white & ~black).any()  # choked: white lies within the colour
    assert 0.5 < white.sum() / black.sum() < 0.95


@pytest.mark.parametrize("mirror", [False, True])
def test_the_proof_draws_the_line_that_letters_stand_on(
    squares: tuple[Face, ...], mirror: bool
) -> None:
    one = field(box=(2, 3, 60, 60), arc=Arc(radius=20, at=30, sweep=180), mirror=mirror)
    layout = Layout(name="ring", width=70, height=70, fields=(one,))
    record = SimpleNamespace(fits=(fitted("aaa", one, squares),))
    (line,) = [drawn for drawn in guides(layout, record) if drawn.count(" l") > 50]  # type: ignore[arg-type]
    numbers = [float(word) for word in line.split() if word not in ("m", "l", "S")]
    points = list(zip(numbers[::2], numbers[1::2]))
    assert {round(math.dist(point, (30, 30)), 3) for point in points} == {20}
    middle = points[len(points) // 2]
    at = 180 - 30 if mirror else 30
    assert middle == pytest.approx(
        (30 + 20 * math.cos(math.radians(at)), 30 + 20 * math.sin(math.radians(at))), abs=1e-3
    )


def test_letters_come_closer_on_a_bent_line_too(squares: tuple[Face, ...]) -> None:
    # Nine letters of 10 pt take 31.75 mm; the line is 31.416 mm long: 8.905 letters. Eight gaps
    # have to take 0.095 em: 12 thousandths each, in steps of 5.
    arc = Arc(radius=20, sweep=90)
    one = field(arc=arc, fit=["tracking", "shrink"], tightest=-30)
    fit = fitted("a" * 9, one, squares)
    assert (fit.size_pt, fit.tracking) == (10, -15)
    middles = feet(fit)
    step = math.dist(middles[0], middles[1])
    assert step == pytest.approx(2 * 20 * math.sin(10 * MM * 0.985 / 40), abs=1e-3)
    smaller = fitted("a" * 10, one, squares)  # 30 thousandths are not enough: then smaller
    assert smaller.tracking == -30 and smaller.size_pt == 9
