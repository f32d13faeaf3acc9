"""Codes in their boxes: whole dots, the largest module, and the box that a message asks for."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from code_fields import EVEN, MIXED, ODD, TEXTS, field, fits, held, mode
from code_judges import package_rows, rows_of
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from vardata.fit.codes import dots, modules
from vardata.fit.codes.place import fit_code
from vardata.fit.codes.symbol import Symbol
from vardata.fit.result import CodeFit
from vardata.problems import Problem

# ---------------------------------------------------------------- dots by hand


@pytest.mark.parametrize(
    ("x", "y", "both_ways", "odd_bars"),
    [
        (600, 600, Fraction(254, 6000), Fraction(254, 6000)),
        # 2 dots by 1: 25.4 / 720
        (1440, 720, Fraction(254, 7200), Fraction(254, 7200)),
        # 127 : 144, so 127 dots by 144: 5.08 mm
        (635, 720, Fraction(508, 100), Fraction(254, 7200)),
        # 5 : 6
        (600, 720, Fraction(254, 1200), Fraction(254, 7200)),
    ],
)
def test_steps_by_hand(x: float, y: float, both_ways: Fraction, odd_bars: Fraction) -> None:
    assert dots.step((x, y), EVEN, upright=False) == Fraction(254, 10) / Fraction(x)
    assert dots.step((x, y), ODD, upright=False) == odd_bars
    assert dots.step((x, y), MIXED, upright=False) == both_ways
    assert dots.step((x, y), MIXED, upright=True) == both_ways


def test_a_qr_code_at_600_by_600() -> None:
    # 21 modules (version 1) and 4 on either side are 29; 12 mm less one dot of 0.042333 mm
    # hold 11.957667 / 29 = 0.412333 mm: 9 dots of 0.042333 mm, 0.381 mm.
    fit = fits("SN-00012345", field(), mode(), EVEN)
    assert (fit.columns, fit.rows) == (21, 21)
    assert fit.module == pytest.approx(0.381, abs=1e-12)
    assert fit.w == fit.h == pytest.approx(21 * 0.381)
    assert fit.x == fit.y == pytest.approx((12 - 21 * 0.381) / 2)
    assert fit.quiet == pytest.approx((1.524,) * 4)
    assert fit.line is None
    drawn = Symbol(fit.columns, fit.rows, fit.bits, fit.text)
    assert rows_of(drawn) == package_rows("SN-00012345", "M")


def test_a_qr_code_at_1440_by_720() -> None:
    # 25.4 / 720 = 0.035278 mm steps: (12 - 0.035278) / 29 = 0.412577 mm, 11 steps: 0.388056 mm.
    fit = fits("SN-00012345", field(), mode(1440, 720), EVEN)
    assert fit.module == pytest.approx(11 * 25.4 / 720, abs=1e-12)


@pytest.mark.parametrize(
    ("side", "turns", "dots_x", "dots_y"),
    [
        # Dots of 0.04 and 0.035278 mm. A box of 12 mm has room for 0.412 mm: 10 dots across and
        # 11 up (0.400 by 0.388 mm, 3.0 % off square) or, within 90 % of that, 9 by 10 (0.360 by
        # 0.353 mm, 2.0 %).
        (12, EVEN, 9, 10),
        (12, ODD, 10, 9),
        # Room for 0.309 mm: 7 by 8 dots, 0.280 by 0.282 mm, 0.8 % off square.
        (9, EVEN, 7, 8),
        (9, ODD, 8, 7),
        # Room for 5.082 mm: 127 by 144 dots are 5.08 mm each way, a square.
        (147.42, EVEN, 127, 144),
    ],
)
def test_a_qr_code_at_635_by_720(
    side: float, turns: frozenset[int], dots_x: int, dots_y: int
) -> None:
    fit = fits("SN-00012345", field(box=(0, 0, side, side)), mode(635, 720), turns)
    across, upwards = (25.4 / 635, 25.4 / 720) if turns == EVEN else (25.4 / 720, 25.4 / 635)
    assert fit.module == pytest.approx(dots_x * across, abs=1e-12)
    assert fit.w == pytest.approx(21 * dots_x * across)
    assert fit.h == pytest.approx(21 * dots_y * upwards)
    assert fit.quiet == pytest.approx((4 * dots_x * across, 4 * dots_y * upwards) * 2)
    assert nonuniformity(fit) <= 0.06


def test_a_qr_code_that_lies_both_ways() -> None:
    # 9 mm at 635 x 720 dpi, 7 by 8 dots of the bed: 0.280 by 0.282 mm, whichever way it lies;
    # room is kept for the larger side.
    fit = fits("SN-00012345", field(box=(0, 0, 9, 9)), mode(635, 720), MIXED)
    assert (fit.w, fit.h) == pytest.approx((21 * 7 * 25.4 / 635, 21 * 8 * 25.4 / 720))
    assert fit.quiet == pytest.approx((4 * 8 * 25.4 / 720,) * 4)
    assert fit.x == fit.y == pytest.approx((9 - 21 * 8 * 25.4 / 720) / 2)


def test_a_module_on_coarse_dots_waits_for_a_square() -> None:
    # 100 by 130 dpi, 0.254 by 0.195385 mm: one dot across is 1.3 up, and neither 1 nor 2 come
    # within 6 % of a square. 3 by 4 dots do (0.762 by 0.782 mm, 2.5 %).
    problem = held("SN-00012345", field(), mode(100, 130), EVEN)
    assert problem.what == (
        "the QR code of 21 x 21 modules is too large: the box of 12 x 12 mm gives a module of "
        "0.405 mm, the smallest allowed is 0.782 mm (whole dots at 100 x 130 dpi come in steps "
        "of 0.254 mm)"
    )
    assert problem.remedy.startswith("make the box at least 22.36 x 22.86 mm")
    fit = fits("SN-00012345", field(box=(0, 0, 22.36, 22.86)), mode(100, 130), EVEN)
    assert (fit.w, fit.h) == pytest.approx((21 * 3 * 25.4 / 100, 21 * 4 * 25.4 / 130))


def nonuniformity(fit: CodeFit) -> float:
    """Axial nonuniformity of ISO/IEC 15415 (from memory); 6 % is the limit of its grade 4."""
    x, y = fit.w / fit.columns, fit.h / fit.rows
    return abs(x - y) / ((x + y) / 2)


@settings(max_examples=200, deadline=None)
@given(
    st.tuples(st.integers(100, 1500), st.integers(100, 1500)),
    st.tuples(st.floats(0.1, 1.5), st.floats(0.1, 1.5)),
)
def test_the_module_is_the_best_of_all(dpi: tuple[int, int], limits: tuple[float, float]) -> None:
    """Against every module there is, tried one by one."""
    pitch = tuple(Fraction(254, 10 * part) for part in dpi)
    room = tuple(map(Fraction, limits))
    least = Fraction(1, 4)
    every = [
        (x * pitch[0], y * pitch[1])
        for x in range(1, int(room[0] / pitch[0]) + 1)
        for y in range(1, int(room[1] / pitch[1]) + 1)
    ]
    allowed = [
        (x, y) for x, y in every if min(x, y) >= least and abs(x - y) / (x + y) <= Fraction(3, 100)
    ]
    best = max(map(min, allowed), default=Fraction(0))
    found = modules.largest((pitch[0], pitch[1]), (room[0], room[1]), least)
    if not allowed:
        assert found is None
        return
    assert found in allowed
    assert min(found) >= best * Fraction(9, 10)
    near = [pair for pair in allowed if min(pair) >= best * Fraction(9, 10)]
    assert modules.nonuniformity(found) == min(map(modules.nonuniformity, near))


@pytest.mark.parametrize(
    ("turns", "pitch"), [(EVEN, 25.4 / 635), (ODD, 25.4 / 720), (frozenset({3}), 25.4 / 720)]
)
def test_a_linear_code_needs_whole_dots_along_its_own_axis_only(
    turns: frozenset[int], pitch: float
) -> None:
    # Code 128 "SN-0042" is start, 3 characters, change, 2 pairs, check and stop: 101 modules,
    # 121 with quiet zones. 40 mm less a dot hold 0.330 mm a module.
    fit = fits("SN-0042", field("code128", box=(0, 0, 40, 10)), mode(635, 720), turns)
    assert fit.columns == 101
    count = int((40 - pitch) / 121 / pitch)
    assert count in (8, 9)
    assert fit.module == pytest.approx(count * pitch, abs=1e-12)
    other = 25.4 / 720 if turns == EVEN else 25.4 / 635
    assert fit.h / other == pytest.approx(round(fit.h / other), abs=1e-9)
    assert 10 - 2 * other < fit.h <= 10 - other + 1e-9


def test_a_linear_code_that_lies_both_ways_needs_both() -> None:
    problem = held("SN-0042", field("code128", box=(0, 0, 40, 10)), mode(635, 720), MIXED)
    assert "5.080 mm" in problem.what
    fit = fits("SN-0042", field("code128", box=(0, 0, 40, 10)), mode(600, 300), MIXED)
    assert fit.module == pytest.approx(3 * 25.4 / 300, abs=1e-12)


def test_module_is_the_largest_allowed() -> None:
    # 0.3 mm is 7.09 dots of 600 dpi: 7 dots. 0.254 mm is 6 dots exactly.
    assert fits("A", field(module=0.3), mode(), EVEN).module == pytest.approx(7 * 25.4 / 600)
    assert fits("A", field(module=0.254), mode(), EVEN).module == pytest.approx(0.254)
    assert fits("A", field(module="6pt"), mode(), EVEN).module == pytest.approx(0.381)
    inch = field(box=(0, 0, "0.5in", "0.5in"), module="0.01in", min_module="0.01in")
    assert fits("A", inch, mode(), EVEN).module == pytest.approx(0.254)


def test_a_module_below_the_smallest() -> None:
    problem = held("A", field(module=0.2), mode(), EVEN)
    assert problem.kind == "code-too-small"
    # 0.25 mm is 5.9 dots, so 6.
    assert problem.what == "the module of 0.2 mm is below the smallest one allowed, 0.254 mm"
    assert problem.remedy == 'raise "module" to 0.254 mm, or lower "min_module" (0.25 mm)'
    # It lies between two whole dots: 0.25 is allowed, but 5 dots are less and 6 are more.
    assert held("A", field(module=0.25), mode(), EVEN).kind == "code-too-small"
    assert fits("A", field(module=0.254), mode(), EVEN)


@pytest.mark.parametrize("dpi", [(600, 600), (1440, 720), (720, 720), (604.8, 604.8)])
def test_the_module_that_a_message_asks_for_is_enough(dpi: tuple[float, float]) -> None:
    problem = held("A", field(module=0.1), mode(*dpi), EVEN)
    match = re.search(r'raise "module" to ([\d.]+) mm', problem.remedy)
    assert match, problem
    assert fits("A", field(module=float(match[1])), mode(*dpi), EVEN).module >= 0.25


def test_a_reduction_leaves_half_a_module() -> None:
    # 12 mm at 600 dpi: 9 dots a module. 0.17 mm is 4.02 dots, 0.2 mm is 4.7, so 5.
    kept = fit_code("SN-00012345", field(), mode(), EVEN, (), (0.17,))
    assert kept == fits("SN-00012345", field(), mode(), EVEN)
    problem = fit_code("SN-00012345", field(), mode(), EVEN, (), (0.1, 0.2))
    assert isinstance(problem, Problem)
    assert (problem.kind, problem.value) == ("code-reduction", "SN-00012345")
    assert f"{problem.what}; {problem.remedy}" == (
        "a reduction of 0.2 mm takes 5 of the 9 dots of a module, more than half; make the module "
        "at least 0.423 mm, or reduce by less"
    )


# ---------------------------------------------------------------- dots as a law


BOXES = st.tuples(st.floats(2, 80), st.floats(2, 80))
DPI = st.sampled_from([(600, 600), (1440, 720), (635, 720), (720, 1440), (604.8, 600), (300, 1200)])
TURNS = st.frozensets(st.integers(0, 3), min_size=1)
SYMBOLOGY = st.sampled_from(sorted(TEXTS))


@settings(max_examples=250, deadline=None)
@given(SYMBOLOGY, BOXES, DPI, TURNS, st.floats(0, 1), st.floats(0, 1), st.data())
def test_every_edge_lands_on_a_dot(
    symbology: str,
    box: tuple[float, float],
    dpi: tuple[float, float],
    turns: frozenset[int],
    at_x: float,
    at_y: float,
    data: st.DataObject,
) -> None:
    """Lay the box anywhere on the bed, turned, move the symbol to the nearest dot: its edges
    are whole dots and neither it nor its quiet zone leaves the box."""
    w, h = (round(side, 3) for side in box)
    a_field = field(symbology, box=(0, 0, w, h), min_module=0.05)
    fit = fit_code(TEXTS[symbology], a_field, mode(*dpi), turns, ())
    assume(isinstance(fit, CodeFit))
    assert isinstance(fit, CodeFit)
    assert fit.module >= 0.05 - 1e-9
    assert fit.w == pytest.approx(fit.columns * fit.module)
    if symbology == "qr":
        assert nonuniformity(fit) <= 0.06 + 1e-9
        assert fit.h / fit.rows >= 0.05 - 1e-9
    turn = data.draw(st.sampled_from(sorted(turns)))
    left, bottom, right, top = fit.quiet
    wide, high = fit.w, fit.h
    if fit.rows > 1 and turn % 2 and len({t % 2 for t in turns}) == 2:
        # A 2D code that lies both ways has the size of its even turns; its sides change places.
        wide, high = fit.columns * fit.h / fit.rows, fit.rows * fit.w / fit.columns
    # Along the field's x axis, then its y axis: the bed's axis that it meets at this turn.
    for axis, origin, place, size, side, parts, before, after in (
        (0, at_x, fit.x, wide, w, fit.columns, left, right),
        (1, at_y, fit.y, high, h, fit.rows, bottom, top),
    ):
        pitch = 25.4 / dpi[(turn + axis) % 2]
        shift = round((origin + place) / pitch) * pitch - (origin + place)
        assert abs(shift) <= pitch / 2 + 1e-9
        edges = (origin + place + shift + np.linspace(0, size, parts + 1)) / pitch
        assert abs(edges - edges.round()).max() < 1e-6
        assert place + shift - before >= -1e-6
        assert place + shift + size + after <= side + 1e-6


@settings(max_examples=200, deadline=None)
@given(SYMBOLOGY, BOXES, DPI, TURNS, st.sampled_from([0.2, 0.25, 0.33]), st.booleans())
def test_the_box_that_a_message_asks_for_is_enough(
    symbology: str,
    box: tuple[float, float],
    dpi: tuple[float, float],
    turns: frozenset[int],
    least: float,
    modest: bool,
) -> None:
    w, h = (round(side, 3) for side in box)
    wanted = {"min_module": least, "module": 6.0 if modest else None}
    problem = fit_code(
        TEXTS[symbology], field(symbology, box=(0, 0, w, h), **wanted), mode(*dpi), turns, ()
    )
    assume(isinstance(problem, Problem))
    assert isinstance(problem, Problem)
    match = re.search(r"make the box at least ([\d.]+) x ([\d.]+) mm", problem.remedy)
    assert match, problem
    needed = (0, 0, float(match[1]), float(match[2]))
    assert needed[2] >= round(w, 6) - 1e-5 * w
    assert needed[3] >= round(h, 6) - 1e-5 * h
    fits(TEXTS[symbology], field(symbology, box=needed, **wanted), mode(*dpi), turns)


@settings(max_examples=100, deadline=None)
@given(SYMBOLOGY, st.floats(8, 80), TURNS)
def test_no_larger_module_would_fit(symbology: str, side: float, turns: frozenset[int]) -> None:
    side = round(side, 2)
    fit = fit_code(TEXTS[symbology], field(symbology, box=(0, 0, side, side)), mode(), turns, ())
    assume(isinstance(fit, CodeFit))
    assert isinstance(fit, CodeFit)
    dot = 25.4 / 600
    total = fit.columns + (fit.quiet[0] + fit.quiet[2]) / fit.module
    if fit.rows > 1:
        total = max(total, fit.rows + (fit.quiet[1] + fit.quiet[3]) / fit.module)
    assert total * (fit.module + dot) > side - dot - 1e-6


def test_larger_boxes_never_give_smaller_modules() -> None:
    sizes = [fits("SN-1", field(box=(0, 0, 9 + i / 7, 40)), mode(), EVEN).module for i in range(70)]
    assert all(a <= b for a, b in pairwise(sizes))
    assert sizes[-1] > sizes[0]
