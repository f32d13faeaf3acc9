"""Modules drawn narrower, dot by dot; numpy's own minimum over windows is the judge."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vardata.dress.code import Snapped
from vardata.dress.reduced import reduced, square_parts, thinned
from vardata.fit.result import CodeFit
from vardata.job.model import PrintMode
from vardata.job.reduction import Off, dots_off
from vardata.marks import ModuleGrid


def code(modules: np.ndarray) -> CodeFit:
    rows, columns = modules.shape
    bits = np.packbits(modules.astype(np.uint8), axis=1).tobytes()
    return CodeFit("x", columns, rows, bits, 1.0, 0, 0, columns, rows, (0, 0, 0, 0), None)


def place(modules: np.ndarray, dots: tuple[int, int]) -> Snapped:
    rows, columns = modules.shape
    box = (0.0, 0.0, float(columns), float(rows))
    return Snapped(box, 0, (0, 0, columns, rows), (0, 0), dots)


def dots_of(mark: ModuleGrid) -> np.ndarray:
    packed = np.frombuffer(mark.bits, np.uint8).reshape(mark.rows, -1)
    return np.unpackbits(packed, axis=1)[:, : mark.columns].astype(bool)


def lost(dots: np.ndarray, left: int, bottom: int, right: int, top: int) -> np.ndarray:
    """Each dot stays if all within its window are dark; outside the symbol nothing is."""
    padded = np.pad(dots, ((top, bottom), (left, right)))
    windows = np.lib.stride_tricks.sliding_window_view(padded, (top + bottom + 1, left + right + 1))
    return windows.all(axis=(2, 3))


MODULES = st.tuples(st.integers(1, 9), st.integers(1, 40)).flatmap(
    lambda size: st.lists(
        st.lists(st.booleans(), min_size=size[1], max_size=size[1]),
        min_size=size[0], max_size=size[0],
    ).map(np.array)
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(MODULES, st.tuples(st.integers(2, 9), st.integers(2, 9)), st.data())
def test_every_side_loses_its_dots(
    modules: np.ndarray, dots: tuple[int, int], data: st.DataObject
) -> None:
    off = Off(data.draw(st.integers(0, dots[0] // 2)), data.draw(st.integers(0, dots[1] // 2)))
    assert sum(off.sides[::2]) == off.across and sum(off.sides[1::2]) == off.upwards
    assert 0 <= off.sides[0] - off.sides[2] <= 1 and 0 <= off.sides[3] - off.sides[1] <= 1
    whole = modules.repeat(dots[1], axis=0).repeat(dots[0], axis=1)
    mark = reduced(0, 1.0, code(modules), place(modules, dots), off)
    if off == (0, 0):
        assert (mark.columns, mark.rows) == modules.shape[::-1]
        return
    found = dots_of(mark)
    if off.upwards == 0:  # rows of whole modules say the same
        found = found.repeat(whole.shape[0] // len(found), axis=0)
    assert (found == lost(whole, *off.sides)).all()


@settings(max_examples=60, deadline=None)
@given(MODULES, st.integers(6, 9), st.integers(0, 3), st.integers(1, 4))
def test_white_under_it_stays_inside_its_ink(
    modules: np.ndarray, dots: int, across: int, choke: int
) -> None:
    off = Off(across, across)
    at = place(modules, (dots, dots))
    mark, least = thinned(1, code(modules), at, choke * 0.1, 0.1, off)
    depth = min(choke, (dots - across - 1) // 2)
    assert least == pytest.approx(depth * 0.1)
    ink = lost(modules.repeat(dots, axis=0).repeat(dots, axis=1), *off.sides)
    if depth == 0:
        return
    assert (dots_of(mark) & ~lost(ink, depth, 0, depth, 0)).sum() == 0
    assert (dots_of(mark) & ~lost(ink, 0, depth, 0, depth)).sum() == 0
    # A module that stands alone keeps a dot of white.
    alone = np.zeros((3, 3), bool)
    alone[1, 1] = True
    kept, _ = thinned(1, code(alone), place(alone, (dots, dots)), choke * 0.1, 0.1, off)
    assert dots_of(kept).any()


def test_a_round_module_by_hand() -> None:
    alone = np.zeros((7 + 7 + 7, 21), bool)
    alone[10, 10] = True
    drawn = dots_of(
        reduced(0, 1.0, code(alone), place(alone, (6, 6)), Off(0, 0), square_parts("qr", 21, 21))
    )
    # Dots whose middles lie within 3 dots of the module's middle: 0.5 and 2.5 do, 1.5 and 2.5 do
    # (2.92), 2.5 and 2.5 do not (3.54).
    assert ["".join("#" if dot else "." for dot in row) for row in drawn[60:66, 60:66]] == [
        ".####.", "######", "######", "######", "######", ".####.",
    ]  # fmt: skip
    assert drawn.sum() == 32
    # Two dots narrower: a disc of 4 dots in the middle.
    drawn = dots_of(
        reduced(0, 1.0, code(alone), place(alone, (6, 6)), Off(2, 2), square_parts("qr", 21, 21))
    )
    assert ["".join("#" if dot else "." for dot in row) for row in drawn[60:66, 60:66]] == [
        "......", "..##..", ".####.", ".####.", "..##..", "......",
    ]  # fmt: skip


@pytest.mark.parametrize(("symbology", "count"), [("qr", 3 * 49), ("datamatrix", 21 + 20)])
def test_parts_that_stay_square(symbology: str, count: int) -> None:
    dark = np.ones((21, 21), bool)
    parts = square_parts(symbology, 21, 21)
    assert sum(row.bit_count() for row in parts) == count
    drawn = dots_of(reduced(0, 1.0, code(dark), place(dark, (6, 6)), Off(0, 0), parts))
    cells = drawn.reshape(21, 6, 21, 6).sum(axis=(1, 3))
    assert (cells == 36).sum() == count and (cells == 32).sum() == 441 - count
    finder = cells[:7, :7] if symbology == "qr" else cells[-1:]
    assert (finder == 36).all()


def test_dots_by_hand() -> None:
    # 0.07 mm is 1.98 dots of 720 dpi and 3.97 of 1440
    mode = PrintMode(dpi=(1440, 720))
    assert dots_off(0.07, mode, 0, True) == (4, 2)
    assert dots_off(0.07, mode, 3, True) == (2, 4)
    assert dots_off(0.07, mode, 1, False) == (2, 0)
    assert Off(3, 1).sides == (2, 0, 1, 1)
