"""Codes on the bed's dots: edges, zones, grounds, and white without a ground.

Expected places are worked out here by plain rotation of points; ZXing reads what is rendered.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from plateprint import Mask, of_plate, rendered
from platework import (
    BOLD,
    HERE,
    code_field,
    dressed,
    dresser,
    packed,
    plates,
    qr,
    shape_field,
    text,
    text_field,
)
from scipy import ndimage

from vardata.dress.code import Snapper
from vardata.dress.reduced import thinned
from vardata.fit.result import CodeFit
from vardata.job import model
from vardata.job.symbologies import SYMBOLOGIES
from vardata.marks import ModuleGrid, Path, Placement
from vardata.problems import JobError

LAYOUT = model.Layout(name="t", width=40, height=20)
DPI = (600.0, 600.0)


def linear(bars: str, module: float, height: float, x: float, y: float) -> CodeFit:
    bits = packed(bar == "1" for bar in bars)
    quiet = (10 * module, 0.0, 10 * module, 0.0)
    return CodeFit("x", len(bars), 1, bits, module, x, y, len(bars) * module, height, quiet, None)


def turned(x: float, y: float, angle: float) -> tuple[float, float]:
    a = math.radians(angle)
    return x * math.cos(a) - y * math.sin(a), x * math.sin(a) + y * math.cos(a)


def on_bed(mark: ModuleGrid, placement: Placement) -> list[tuple[float, float]]:
    """The corners of a grid on the bed, from the definitions in marks."""
    corners = []
    for dx in (-mark.w / 2, mark.w / 2):
        for dy in (-mark.h / 2, mark.h / 2):
            px, py = turned(dx, dy, 90 * mark.turn)
            px, py = mark.x + mark.w / 2 + px - 20, mark.y + mark.h / 2 + py - 10
            bx, by = turned(px, py, placement.angle)
            corners.append((placement.cx + bx, placement.cy + by))
    return corners


placements = st.builds(
    Placement, st.floats(20, 280), st.floats(20, 280), st.sampled_from([0.0, 90.0, 180.0, 270.0])
)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    placements,
    st.sampled_from([0.0, 90.0, 180.0, 270.0, -90.0, 360.0]),
    st.sampled_from([(600.0, 600.0), (720.0, 1440.0), (1200.0, 600.0), (635.0, 635.0)]),
    st.floats(2.0, 3.0),
    st.floats(2.0, 3.0),
    st.booleans(),
)
def test_every_module_edge_lies_on_a_dot(
    placement: Placement, rotation: float, dpi: tuple[float, float], x: float, y: float, bars: bool
) -> None:
    dot = 25.4 / min(dpi)  # a whole number of dots along both axes in all of these modes
    fit = linear("1011001", 8 * dot, 5.003, x, y) if bars else qr("A1", 8 * dot, x, y)
    field = code_field("c", (10, 4, 16, 14), rotation=rotation)
    made = dresser([field], dpi=dpi)
    item = dressed(made, fit, placement=placement)
    (grid,) = [m for m in item.spread() if isinstance(m, ModuleGrid)]
    assert (grid.columns, grid.rows, grid.bits) == (fit.columns, fit.rows, fit.bits)
    for bx, by in on_bed(grid, placement):
        for value, per_inch in ((bx, dpi[0]), (by, dpi[1])):
            dots = value * per_inch / 25.4
            assert abs(dots - round(dots)) * 25.4 / per_inch < 1e-9
    assert grid.w / grid.columns == pytest.approx(8 * dot, abs=1e-9)
    # Its lower left corner on the bed went to the nearest dot.
    there = [turned(x_, y_, rotation) for x_ in (fit.x - 8, fit.x - 8 + fit.w)
             for y_ in (fit.y - 7, fit.y - 7 + fit.h)]  # fmt: skip
    wished = [turned(18 - 20 + px, 11 - 10 + py, placement.angle) for px, py in there]
    for axis, centre in enumerate((placement.cx, placement.cy)):
        was = centre + min(point[axis] for point in wished)
        now = min(point[axis] for point in on_bed(grid, placement))
        assert abs(now - was) <= 25.4 / dpi[axis] / 2 + 1e-9
    # Bars may also change their length by half a dot.
    bx, by = turned(fit.x + fit.w / 2 - 8, fit.y + fit.h / 2 - 7, rotation)
    centre = (grid.x + grid.w / 2, grid.y + grid.h / 2)
    assert math.dist(centre, (18 + bx, 11 + by)) < math.hypot(25.4 / dpi[0], 25.4 / dpi[1])


@settings(max_examples=60, deadline=None, derandomize=True)
@given(placements, st.sampled_from([0.0, 90.0, 180.0, 270.0]))
def test_the_ground_covers_the_quiet_zone_in_whole_dots(
    placement: Placement, rotation: float
) -> None:
    module = 10 * 25.4 / 600
    fit = qr("A1", module, 2.513, 3.217)
    field = code_field("c", (10, 4, 16, 14), rotation=rotation)
    item = dressed(dresser([field]), fit, placement=placement)
    (grid,) = [m for m in item.spread() if isinstance(m, ModuleGrid)]
    (ground,) = [m for m in item.spread() if isinstance(m, Path) and m.plate == 1]
    ((kind, gx, gy, gw, gh),) = ground.commands
    assert kind == "re" and ground.paint == 1.0
    assert isinstance(gx, float) and isinstance(gy, float)
    assert isinstance(gw, float) and isinstance(gh, float)
    quiet = 4 * module
    assert gx <= grid.x - quiet + 1e-9 and gx + gw >= grid.x + grid.w + quiet - 1e-9
    assert gy <= grid.y - quiet + 1e-9 and gy + gh >= grid.y + grid.h + quiet - 1e-9
    assert gw < grid.w + 2 * quiet + 2 * 25.4 / 600
    for x, y in ((gx, gy), (gx + gw, gy + gh)):
        bx, by = turned(x - 20, y - 10, placement.angle)
        for value in (placement.cx + bx, placement.cy + by):
            dots = value * 600 / 25.4
            assert abs(dots - round(dots)) < 1e-7


def test_the_ground_takes_in_the_human_readable_line() -> None:
    line = text(BOLD, "12345", 6, 1, 0.5)
    fit = qr("A1", 0.254, 4, 4, line)
    item = dressed(dresser([code_field("c", (10, 2, 16, 16))]), fit)
    (ground,) = [m for m in item.spread() if isinstance(m, Path) and m.plate == 1]
    x, y = ground.commands[0][1:3]
    assert float(x) <= 10 + line.ink[0] + 0.03
    # Half a mm of ground shows below the line where the box has it: here it ends first.
    assert 0 < line.ink[1] < 0.55
    assert float(y) == pytest.approx(2, abs=0.05)
    higher = qr("A1", 0.254, 4, 4, text(BOLD, "12345", 6, 1, 1.5))
    assert higher.line is not None
    item_ = dressed(dresser([code_field("c", (10, 2, 16, 16))]), higher)
    (above,) = [m for m in item_.spread() if isinstance(m, Path) and m.plate == 1]
    low = float(above.commands[0][2])
    assert low == pytest.approx(2 + higher.line.ink[1] - 0.5, abs=0.05)
    # The line moves with the symbol and needs no white of its own.
    assert [m.plate for m in item.spread() if m not in (ground,)] == [0, 0]


@pytest.mark.parametrize("rotation", [0.0, 90.0, 180.0, 270.0])
def test_rendered_codes_read(rotation: float) -> None:
    made = dresser([code_field("c", (12, 2, 16, 16), rotation=rotation)], plates=plates("art"))
    item = dressed(made, qr("HELLO WORLD", 9 * 25.4 / 600, 4, 4))
    dark, ground = (rendered(of_plate(made, item, p), dpi=600) for p in (0, 1))
    seen = np.where(dark, 0, np.where(ground, 255, 90)).astype(np.uint8)[::-1]
    # Judge: ZXing. The quiet zone is checked apart, because it reads codes without one.
    (found,) = zxingcpp.read_barcodes(np.ascontiguousarray(seen))
    assert found.text == "HELLO WORLD" and found.format == zxingcpp.BarcodeFormat.QRCode
    rows, columns = np.nonzero(dark)
    quiet = 4 * 9
    zone = ground[
        rows.min() - quiet : rows.max() + quiet, columns.min() - quiet : columns.max() + quiet
    ]
    assert zone.all()


# ------------------------------------------------------------ grounds


@pytest.mark.parametrize(
    ("surface", "white", "wish", "expected"),
    [
        ("dark", "layout", "auto", True),
        ("clear", "layout", "auto", True),
        ("light", "layout", "auto", False),
        ("light", "none", "auto", False),
        ("light", "layout", "always", True),
        ("dark", "layout", "never", False),
        ("dark", "flood", "auto", True),
    ],
)
def test_a_ground_where_the_blank_is_dark_or_clear(
    surface: str, white: str, wish: str, expected: bool
) -> None:
    blank = model.Blank.model_validate({"surface": surface, "white": white})
    field = code_field("c", (10, 2, 16, 16), ground=wish, white=False)
    made = dresser([field], blanks={"b": blank})
    refused = made.check("b", [qr("A", 0.254, 4, 4)])
    # Black on a dark blank with no ground cannot be seen.
    assert (refused and refused.kind) == ("code-contrast" if wish == "never" else None)
    item = dressed(made, qr("A", 0.254, 4, 4), blank="b")
    grounds = [m for m in item.spread() if m.plate == 1 and isinstance(m, Path)]
    assert bool(grounds) == expected


@pytest.mark.parametrize(
    ("blank", "names"),
    [
        (model.Blank(surface="dark", white="none"), "Colour White Gloss"),
        (model.Blank(surface="clear", white="none"), "Colour White Gloss"),
        (model.Blank(surface="dark"), "Colour Gloss"),
    ],
)
def test_without_white_a_code_on_a_dark_blank_is_held(blank: model.Blank, names: str) -> None:
    chosen = tuple(p for p in plates() if p.name in names.split())
    made = dresser([code_field("c", (10, 2, 16, 16))], blanks={"b": blank}, plates=chosen)
    problem = made.check("b", [qr("A", 0.254, 4, 4)])
    assert problem is not None and problem.kind == "no-ground" and problem.where.field == "c"
    assert "\n" not in str(problem) and problem.severity == "hold" and problem.remedy
    assert made.check("b", [None]) is None  # an optional code that is empty


def test_a_ground_goes_on_every_white_plate_that_covers_anything() -> None:
    chosen = (
        *plates(),
        model.Plate(name="White 2", role="white", cover="flood"),
        model.Plate(name="White 3", role="white"),
    )
    made = dresser([code_field("c", (10, 2, 16, 16))], plates=chosen)
    item = dressed(made, qr("A", 0.254, 4, 4))
    assert sorted({m.plate for m in item.spread() if isinstance(m, Path)}) == [1, 3]


def test_a_ground_takes_out_the_colour_below_it() -> None:
    panel = shape_field("panel", (5, 0, 30, 20), shape="rectangle", fill="red")
    made = dresser([panel, code_field("c", (12, 2, 16, 16))])
    item = dressed(made, None, qr("A", 0.254, 4, 4))
    colour = rendered(of_plate(made, item, 0), dpi=600)
    only_code = dresser([code_field("c", (12, 2, 16, 16))])
    code = rendered(of_plate(only_code, dressed(only_code, qr("A", 0.254, 4, 4)), 0), dpi=600)
    ground = rendered([m for m in item.spread() if isinstance(m, Path) and m.plate == 1], dpi=600)
    assert (colour[ground] == code[ground]).all()


def test_a_code_in_white_ink_has_no_ground_and_prints_in_white() -> None:
    made = dresser([code_field("c", (10, 2, 16, 16), colour="White")])
    item = dressed(made, qr("A", 0.254, 4, 4))
    (grid,) = item.spread()
    assert isinstance(grid, ModuleGrid) and grid.plate == 1 and grid.paint == 1.0
    with pytest.raises(JobError, match="white ink on a white ground"):
        dresser([code_field("c", (10, 2, 16, 16), colour="white", ground="always")])


# Which standards allow light on dark: ISO/IEC 18004, 16022, 23941 and 24778 do, those of bars
# and of stacked bars do not (from memory).
REVERSIBLE = {"qr", "microqr", "rmqr", "datamatrix", "datamatrix-rectangular", "aztec"}


@pytest.mark.parametrize("symbology", SYMBOLOGIES)
def test_light_on_dark_is_held_where_the_standard_does_not_allow_it(symbology: str) -> None:
    field = code_field("c", (10, 2, 16, 16), symbology=symbology, colour="White")
    problem = dresser([field]).check("b", [qr("A", 0.254, 4, 4)])
    if symbology in REVERSIBLE:
        assert problem is None
    else:
        assert problem is not None and problem.severity == "hold"
        assert str(problem) == (
            f"field 'c': the {SYMBOLOGIES[symbology].name} in white ink is light on dark, which "
            'scanners need not read; take "colour" away: a code is black, with a white ground '
            "where the blank is dark"
        )


def test_a_white_code_on_a_light_blank_is_held() -> None:
    field = code_field("c", (10, 2, 16, 16), colour="White")
    made = dresser([field], blanks={"w": model.Blank(label="enamel", surface="light")})
    assert str(made.check("w", [qr("A", 0.254, 4, 4)])) == (
        "field 'c': a code in white ink does not show on this blank (enamel); take \"colour\" "
        "away: a code is black, with a white ground where the blank is dark"
    )
    steel = model.Blank(label="steel", surface="light")  # alike, but said by its own name
    both = dresser([field], blanks={"w": model.Blank(label="enamel", surface="light"), "s": steel})
    assert "(steel)" in str(both.check("s", [qr("A", 0.254, 4, 4)]))
    # On a panel of colour it shows as bare white material.
    panel = shape_field("panel", (5, 0, 30, 20), shape="rectangle", fill="red")
    made = dresser([panel, field], blanks={"w": model.Blank(surface="light")})
    assert made.check("w", [None, qr("A", 0.254, 4, 4)]) is None


def test_a_code_off_the_quarter_turns_is_refused() -> None:
    with pytest.raises(JobError, match="leaves the dots"):
        dresser([code_field("c", (10, 2, 16, 16), rotation=45)])


# ------------------------------------------------------------ white without a ground


def cells(mark: ModuleGrid) -> Mask:
    stride = (mark.columns + 7) // 8
    data = np.frombuffer(mark.bits, np.uint8).reshape(mark.rows, stride)
    return np.asarray(np.unpackbits(data, axis=1)[:, : mark.columns].astype(bool))


@pytest.mark.parametrize("depth", [1, 2, 3, 4])
def test_modules_are_choked_by_a_disc_of_dots(depth: int) -> None:
    dot = 25.4 / 600
    fit = qr("HELLO", 10 * dot, 2, 2)
    at = Snapper(code_field("c", (10, 2, 16, 16)), LAYOUT, model.PrintMode(dpi=DPI)).snap(fit, HERE)
    mark, least = thinned(1, fit, at, depth * dot, dot)
    assert least == pytest.approx(depth * dot)
    modules = cells(ModuleGrid(0, 1.0, fit.columns, fit.rows, fit.bits, *at.box, at.turn))
    dots = np.kron(modules, np.ones((10, 10), dtype=bool))
    y, x = np.ogrid[-depth : depth + 1, -depth : depth + 1]
    # Judge: scipy's erosion by the same disc.
    expected = ndimage.binary_erosion(np.pad(dots, depth), x * x + y * y <= depth * depth)
    assert (cells(mark) == expected[depth:-depth, depth:-depth]).all()


def test_bars_are_choked_on_their_sides_and_ends() -> None:
    dot = 25.4 / 600
    fit = linear("1101001", 6 * dot, 120 * dot, 2, 2)
    at = Snapper(code_field("c", (10, 2, 16, 16)), LAYOUT, model.PrintMode(dpi=DPI)).snap(fit, HERE)
    mark, least = thinned(1, fit, at, 2 * dot, dot)
    assert least == pytest.approx(2 * dot)
    row = "".join("1" if bit else "0" for bit in cells(mark)[0])
    assert row == "001111111100000000" + "001100" + "0" * 12 + "001100"
    assert mark.h == pytest.approx(at.box[3] - 4 * dot)
    assert mark.y == pytest.approx(at.box[1] + 2 * dot)


def test_a_module_always_keeps_a_dot_of_white_and_it_is_told() -> None:
    light = {"l": model.Blank(surface="light")}
    made = dresser([code_field("c", (10, 2, 16, 16))], blanks=light, plates=plates(choke=0.2))
    item = dressed(made, qr("A", 6 * 25.4 / 600, 4, 4), blank="l")
    (white,) = of_plate(made, item, 1)
    assert isinstance(white, ModuleGrid)
    assert cells(white).any()
    ((note, _),) = made.reports.items()
    assert note.kind == "choke-reduced" and note.where.field == "c"


def test_white_under_a_code_can_be_turned_off() -> None:
    light = {"l": model.Blank(surface="light")}
    made = dresser([code_field("c", (10, 2, 16, 16), white=False)], blanks=light)
    assert of_plate(made, dressed(made, qr("A", 0.254, 4, 4), blank="l"), 1) == []


def test_a_code_with_a_line_and_no_ground_has_white_under_both() -> None:
    light = {"l": model.Blank(surface="light")}
    made = dresser([code_field("c", (10, 2, 16, 16))], blanks=light)
    fit = qr("A", 0.508, 3, 4, text(BOLD, "12345", 9, 2, 0.5))
    kinds = [type(m).__name__ for m in of_plate(made, dressed(made, fit, blank="l"), 1)]
    assert kinds == ["GlyphRun", "ModuleGrid"]


def test_text_near_the_code_is_not_in_its_way() -> None:
    made = dresser([text_field("t", (1, 2, 12, 8)), code_field("c", (14, 2, 16, 16))])
    item = dressed(made, text(BOLD, "Ab", 14, 1, 2), qr("A", 0.254, 4, 4))
    assert [type(m).__name__ for m in of_plate(made, item, 1)] == ["GlyphRun", "Path"]
