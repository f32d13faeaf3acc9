"""The digits of an EAN or UPC and its longer guard bars: where the standard's figures have them.

Sources: ISO/IEC 15420, 4.3 (modules of guards and digits; from memory) and its figures of UPC-A
and of add-ons, GS1 General Specifications, 5.2.5 (space over the digits, size and place of the
outer digits of UPC; secondary); EAN-13 of nominal size is 37.29 by 25.93 mm, 22.85 mm of it bars
(a GS1 member's size guide; the whole height from memory).
"""

from __future__ import annotations

import marshal
from pathlib import Path

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from vardata.fit.codes.place import fit_code
from vardata.fit.fonts import Face
from vardata.fit.packing import Packer, Unpacker
from vardata.fit.result import CodeFit, TextFit
from vardata.job.model import CodeField, PrintMode
from vardata.problems import Problem

FONTS = Path(__file__).resolve().parents[3] / "fonts"
MODE = PrintMode(dpi=(720, 720))
DOT = 25.4 / 720
MM_PER_PT = 25.4 / 72
Spans = dict[str, tuple[float, float]]


def font_file(name: str) -> Path:
    (path,) = FONTS.glob(f"{name}.[to]tf")
    return path


def coded(symbology: str, text: str, font: str = "NotoSansMono-Regular", **more: object) -> object:
    given: dict[str, object] = {"box": (3, 4, 60, 30), "module": 0.33, **more}
    field = CodeField(
        type="code", name="c", text="", symbology=symbology, text_line=True, text_font=font, **given
    )  # type: ignore[arg-type]
    faces = (Face(font_file(font), 0),)
    return fit_code(text, field, MODE, frozenset(range(4)), faces)


def fitted(symbology: str, text: str, **more: object) -> tuple[CodeFit, TextFit]:
    fit = coded(symbology, text, **more)  # type: ignore[arg-type]
    assert isinstance(fit, CodeFit), fit
    assert fit.line is not None
    return fit, fit.line


def ink_of(fit: CodeFit, line: TextFit, font: str) -> dict[str, tuple[float, ...]]:
    """The ink of each part in modules from the symbol's lower left corner, by fontTools; fonts
    that kern no digits."""
    opened = TTFont(font_file(font))
    glyphs, names, em = opened.getGlyphSet(), opened.getGlyphOrder(), opened["head"].unitsPerEm
    scale = line.size_pt * line.squeeze * MM_PER_PT / em
    found = {}
    for word, run in zip(line.text.split(), line.runs, strict=True):
        numbers = [int.from_bytes(run.glyphs[at : at + 2]) for at in range(0, len(run.glyphs), 2)]
        assert len(numbers) == len(word)
        pen, boxes = run.x, []
        for number in numbers:
            drawn = BoundsPen(glyphs)
            glyphs[names[number]].draw(drawn)
            x0, y0, x1, y1 = drawn.bounds
            boxes.append(
                (pen + x0 * scale, run.y + y0 * scale, pen + x1 * scale, run.y + y1 * scale)
            )
            pen += glyphs[names[number]].width * scale
        lefts, lows, rights, highs = zip(*boxes)
        ink = (min(lefts) - fit.x, min(lows) - fit.y, max(rights) - fit.x, max(highs) - fit.y)
        found[word] = tuple(side / fit.module for side in ink)
    return found


NUMBERS: list[tuple[str, str, Spans, Spans]] = [
    ("ean13", "400638133393", {"4": (-11, -4), "006381": (3, 45), "333931": (50, 92)}, {}),
    ("ean8", "9638507", {"9638": (3, 31), "5074": (36, 64)}, {}),
    ("upca", "03600029145", {"36000": (10, 45), "29145": (50, 85)},
     {"0": (-9, -5), "2": (100, 104)}),
    ("upce", "425261", {"425261": (3, 45)}, {"0": (-9, -5), "4": (54, 58)}),
]  # fmt: skip


@pytest.mark.parametrize(
    "font", ["NotoSansMono-Regular", "NotoSans-Bold", "NotoSerif-Regular", "DancingScript-Regular"]
)
@pytest.mark.parametrize(("symbology", "text", "inner", "outer"), NUMBERS)
def test_digits_stand_between_and_beside_the_guard_bars(
    symbology: str, text: str, inner: Spans, outer: Spans, font: str
) -> None:
    fit, line = fitted(symbology, text, font=font)
    assert line.text.split() == list(inner)
    ink = ink_of(fit, line, font)
    if outer:
        assert fit.ends is not None
        assert fit.ends.text.split() == list(outer)
        assert fit.ends.size_pt < line.size_pt
        ink |= ink_of(fit, fit.ends, font)
    for word, (start, end) in (inner | outer).items():
        left, low, right, high = ink[word]
        assert start < left < right < end, word
        assert high < -0.5, word  # half a module at the least stays free under the bars
        assert low * fit.module + fit.y > 0, word  # in the box
        if word in inner and start > 0:
            assert left - start > 0.25 and end - right > 0.25
    tops = [ink[word][3] for word in inner]
    assert max(tops) < -0.9  # normally one module


@pytest.mark.parametrize(("symbology", "text", "inner", "outer"), NUMBERS)
def test_digits_are_as_high_as_the_figures_draw_them(
    symbology: str, text: str, inner: Spans, outer: Spans
) -> None:
    fit, line = fitted(symbology, text)
    ink = ink_of(fit, line, "NotoSansMono-Regular")
    highest = max(high - low for _, low, _, high in ink.values())
    # 25.93 - 22.85 mm at 0.33 mm a module, less one module of space: 8.3 modules.
    assert highest == pytest.approx((25.93 - 22.85) / 0.33 - 1, abs=0.3)


def test_an_ean_of_nominal_size_needs_the_nominal_height_and_light_below() -> None:
    """22.85 mm of bars and digits of 3.08 mm; 3/4 of a module and half a dot more each way."""
    fit, _ = fitted("ean13", "400638133393", box=(0, 0, 60, 25.93 + 0.75 * 0.33 + DOT))
    assert fit.module == pytest.approx(9 * DOT)
    assert fit.h == pytest.approx(22.85, abs=0.15)


@pytest.mark.parametrize(("symbology", "text", "inner", "outer"), NUMBERS)
def test_guard_bars_go_on_for_five_modules_and_no_other_bar(
    symbology: str, text: str, inner: Spans, outer: Spans
) -> None:
    """Bars that have no digits below them are longer: what is left between the halves."""
    fit, _ = fitted(symbology, text)
    assert fit.below is not None and fit.above is None
    bits, beyond = fit.below
    assert beyond == pytest.approx(5 * fit.module, abs=DOT / 2)
    assert beyond / DOT == pytest.approx(round(beyond / DOT))
    below = f"{int.from_bytes(bits):b}".zfill(len(bits) * 8)[: fit.columns]
    bars = f"{int.from_bytes(fit.bits):b}".zfill(len(bits) * 8)[: fit.columns]
    halves = [span for span in inner.values() if span[0] >= 0]
    for column, (bar, longer) in enumerate(zip(bars, below)):
        under_digits = any(start <= column < end for start, end in halves)
        assert longer == ("0" if under_digits else bar), column


@pytest.mark.parametrize(
    ("symbology", "text", "own", "bars"),
    [("ean13", "978316148410+12345", 95, 47), ("upca", "03600029145+12", 95, 20),
     ("upce", "425261+12", 51, 20)],
)  # fmt: skip
def test_the_digits_of_an_add_on_stand_above_its_bars(
    symbology: str, text: str, own: int, bars: int
) -> None:
    """The bars of an add-on are as many modules as facts of the standard say (5.2.2.5; from
    memory), and they end where the guard bars do."""
    fit, line = fitted(symbology, text)
    digits = text.partition("+")[2]
    left, low, right, high = ink_of(fit, line, "NotoSansMono-Regular")[digits]
    assert fit.columns - bars < left < right < fit.columns
    top = fit.h / fit.module  # of the bars that all have in common
    assert fit.below is not None and fit.above is not None
    assert top + 0.5 < low < high < top + fit.above[1] / fit.module
    shown = {
        name: f"{int.from_bytes(band[0]):b}".zfill(len(band[0]) * 8)[: fit.columns]
        for name, band in (("below", fit.below), ("above", fit.above))
    }
    modules = f"{int.from_bytes(fit.bits):b}".zfill(len(fit.bits) * 8)[: fit.columns]
    assert shown["above"] == modules[:own] + "0" * (fit.columns - own)
    assert shown["below"][own:] == modules[own:]
    if fit.ends is not None:  # the last digit of UPC keeps off both
        *_, last = fit.ends.text.split()
        _, _, end, _ = ink_of(fit, fit.ends, "NotoSansMono-Regular")[last]
        assert end < fit.columns - bars - 1


def test_level_bars_keep_their_digits_and_lose_their_length() -> None:
    fit, line = fitted("ean13", "400638133393", guard_bars="level")
    assert (fit.below, fit.above) == (None, None)
    assert line == fitted("ean13", "400638133393")[1]


def test_a_stated_size_is_kept_and_the_bars_end_above_it() -> None:
    fit, line = fitted("ean13", "400638133393", text_size="6pt")
    assert line.size_pt == 6
    tops = [high for *_, high in ink_of(fit, line, "NotoSansMono-Regular").values()]
    assert -1.3 < max(tops) < -0.9
    tall, _ = fitted("ean13", "400638133393")
    assert fit.h > tall.h


def test_a_wide_low_box_gets_the_module_that_leaves_room_for_bars() -> None:
    """Digits and guard bars grow with the module: the largest that lets 2 mm of bars stand."""
    fit, _ = fitted("ean13", "400638133393", box=(0, 0, 100, 6.0), module=None)
    assert fit.h >= 2.0
    larger = fit.module + DOT
    # The next module's digits and their spaces, some 10 modules, leave less.
    assert 6.0 - DOT - 10 * larger < 2.0


def test_the_held_message_counts_digits_and_guard_bars() -> None:
    """A box of the size in the message is enough, a hundredth of a mm less is not."""
    problem = coded("ean13", "400638133393", box=(0, 0, 20, 3))
    assert isinstance(problem, Problem)
    assert problem.kind == "code-too-small"
    # 0.2822 mm are 8 dots: 95 + 18 modules and a dot of play are 31.93 mm; 2.011 mm of bars,
    # 10.01 modules of digits and spaces, a dot of play.
    assert problem.what == (
        "the EAN-13 of 95 modules is too large: the box of 20 x 3 mm leaves no room for bars of "
        "2 mm"
    )
    assert problem.remedy == "make the box at least 31.93 x 4.88 mm"
    enough = (0, 0, 31.93, 4.88)
    assert isinstance(coded("ean13", "400638133393", box=enough), CodeFit)
    assert isinstance(coded("ean13", "400638133393", box=(0, 0, 31.93, 4.87)), Problem)
    assert isinstance(coded("ean13", "400638133393", box=(0, 0, 31.92, 4.88)), Problem)


def test_the_height_of_the_bars_of_a_use_is_without_the_guard_bars() -> None:
    problem = coded("ean13", "400638133393", box=(0, 0, 40, 20), application="retail")
    assert isinstance(problem, Problem)
    assert problem.kind == "code-height"
    assert isinstance(
        coded("ean13", "400638133393", box=(0, 0, 40, 26.2), application="retail"), CodeFit
    )


@pytest.mark.parametrize("text", ["03600029145", "03600029145+12"])
def test_a_fit_comes_back_whole_from_where_it_waits(text: str) -> None:
    fit, _ = fitted("upca", text)
    assert fit.ends is not None
    assert Unpacker().unpacked(marshal.loads(marshal.dumps(Packer().packed([fit])))) == (fit,)
