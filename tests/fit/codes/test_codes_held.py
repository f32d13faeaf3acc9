"""Quiet zones, and the records that a code holds: kind, words and remedy."""

from __future__ import annotations

import pytest
from code_fields import EVEN, TEXTS, field, fits, held, mode

from vardata.fit.codes.quiet import STANDARD


@pytest.mark.parametrize(
    ("symbology", "sides"),
    [  # modules left, bottom, right, top; sources in vardata.fit.codes.quiet
        ("qr", (4, 4, 4, 4)),
        ("code128", (10, 0, 10, 0)),
        ("ean13", (11, 0, 7, 0)),
        ("upca", (9, 0, 9, 0)),
        ("code39", (10, 0, 10, 0)),
        ("itf", (10, 0, 10, 0)),
        # The same guide: 7 and 7 modules beside EAN-8.
        ("ean8", (7, 0, 7, 0)),
        # GS1 DataMatrix Guideline: one module on all sides.
        ("datamatrix", (1, 1, 1, 1)),
    ],
)
def test_standard_quiet_zones(symbology: str, sides: tuple[int, ...]) -> None:
    a_field = field(symbology, box=(0, 0, 60, 20))
    fit = fits(TEXTS[symbology], a_field, mode(), EVEN)
    assert [side / fit.module for side in fit.quiet] == pytest.approx(sides)
    # The symbol with its quiet zone is centred.
    assert fit.x - fit.quiet[0] == pytest.approx(60 - fit.x - fit.w - fit.quiet[2])
    assert fit.y - fit.quiet[1] == pytest.approx(20 - fit.y - fit.h - fit.quiet[3])


@pytest.mark.parametrize("symbology", sorted(TEXTS))
def test_quiet_may_be_more_but_not_less(symbology: str) -> None:
    least = max(STANDARD[symbology])
    wide = fits(
        TEXTS[symbology], field(symbology, box=(0, 0, 90, 40), quiet=least + 2), mode(), EVEN
    )
    assert wide.quiet[0] / wide.module == pytest.approx(least + 2)
    assert wide.quiet[2] / wide.module == pytest.approx(least + 2)
    problem = held(TEXTS[symbology], field(symbology, quiet=least - 1), mode(), EVEN)
    assert problem.kind == "code-quiet-zone"
    assert f"of {least - 1} modules is less than the {least} of" in problem.what
    assert problem.remedy == f'set "quiet" to {least} or more, or leave it out'


def test_content_is_refused_with_its_remedy() -> None:
    problem = held("12345", field("itf"), mode(), EVEN)
    assert problem.kind == "code-content"
    assert problem.what == "ITF takes an even number of digits; this number has 5"
    assert held("4006381333932", field("ean13"), mode(), EVEN).kind == "code-content"
    assert held("x" * 3000, field(level="L"), mode(), EVEN).kind == "code-content"


def test_a_code_off_the_right_angles_is_held() -> None:
    assert held("A", field(), mode(), frozenset()).kind == "code-turn"


def test_too_small_says_both_sizes() -> None:
    problem = held("SN-00012345", field(box=(0, 0, 7, 30)), mode(), EVEN)
    # (7 - 0.042333) / 29 = 0.2399; 29 x 0.254 + 0.0423 = 7.4083
    assert problem.what == (
        "the QR code of 21 x 21 modules is too large: the box of 7 x 30 mm gives a module of "
        "0.240 mm, the smallest allowed is 0.254 mm"
    )
    assert problem.remedy == "make the box at least 7.41 x 30 mm, or shorten the text"


def test_bars_need_some_height() -> None:
    problem = held("SN-0042", field("code128", box=(0, 0, 60, 1.5)), mode(), EVEN)
    assert problem.what.endswith("the box of 60 x 1.5 mm leaves no room for bars of 2 mm")
    # 2 mm are 47.2 dots, so 48, and one of play: 49 x 0.042333 = 2.0743
    assert problem.remedy.startswith("make the box at least 60 x 2.08 mm")
    assert "shorten" not in held("400638133393", field("ean13"), mode(), EVEN).remedy


def test_check_digit_and_level_reach_the_encoders() -> None:
    wide = (0, 0, 90, 20)
    assert (
        fits("CODE39", field("code39", box=wide, check_digit=True), mode(), EVEN).text == "CODE39W"
    )
    assert fits("SN-00012345", field(level="H"), mode(), EVEN).columns == 25
