"""Sizes of codes by their use, against published size guides."""

from __future__ import annotations

import pytest
from code_fields import EVEN, fits, held, mode

from vardata.fit.codes.place import fit_code
from vardata.job.applications import SIZES
from vardata.job.model import CodeField
from vardata.job.symbologies import SYMBOLOGIES
from vardata.problems import Problem

EAN = "4006381333931"


def retail(box: tuple[float, float], symbology: str = "ean13", **more: object) -> CodeField:
    return CodeField(
        type="code", name="c", text="", symbology=symbology, box=(0, 0, *box),
        application="retail", **more,
    )  # type: ignore[arg-type]  # fmt: skip


@pytest.mark.parametrize(
    ("symbology", "text", "modules", "high"),
    # GS1 Sweden's size guide: 113 modules with quiet zones are 37.29 mm at 0.330 mm, bars 22.85;
    # EAN-8 81 modules, 26.73 mm and 18.23 mm (the same guide; 7 + 67 + 7 modules).
    [
        ("ean13", EAN, 113, 22.85),
        ("ean8", "96385074", 81, 18.23),
        ("upca", "036000291452", 113, 22.85),
    ],
)
def test_nominal_retail_sizes(symbology: str, text: str, modules: int, high: float) -> None:
    dpi = 25.4 / 0.033  # ten dots a module of 0.330 mm
    box = (modules * 0.330 + 0.04, high + 0.04)
    fit = fits(text, retail(box, symbology), mode(dpi, dpi), EVEN)
    assert fit.module == pytest.approx(0.330, abs=1e-6)
    assert fit.w + fit.quiet[0] + fit.quiet[2] == pytest.approx(modules * 0.330, abs=1e-4)
    assert fit.h == pytest.approx(high, abs=0.05)
    # The same box one mm lower has bars that are too low for its width.
    problem = fit_code(text, retail((box[0], high - 1), symbology), mode(dpi, dpi), EVEN, ())
    assert isinstance(problem, Problem) and problem.kind == "code-height"


def test_modules_keep_between_80_and_200_percent() -> None:
    # 0.264 to 0.660 mm: 7 dots of 600 dpi are 0.296, 15 are 0.635, 16 would be 0.677.
    assert fits(EAN, retail((120, 80)), mode(), EVEN).module == pytest.approx(15 * 25.4 / 600)
    problem = held(EAN, retail((32, 22)), mode(), EVEN)
    assert problem.kind == "code-too-small"
    assert "gives a module of 0.283 mm, the smallest allowed is 0.296 mm" in problem.what
    problem = held(EAN, retail((60, 40), module=0.25), mode(), EVEN)
    assert problem.remedy == 'raise "module" to 0.297 mm for retail'


def test_bars_that_are_too_low() -> None:
    # 0.381 mm by 22.85 / 0.330 is 26.38 mm; 19.94 mm would do for 0.288 mm, but 7 dots are 0.296.
    problem = held(EAN, retail((45, 20)), mode(), EVEN)
    assert f"{problem.what}; {problem.remedy}" == (
        "bars of 19.94 mm are lower than the 26.38 mm that EAN-13 with a module of 0.381 mm needs "
        "for retail; make the box 26.45 mm high"
    )
    problem = held(EAN, retail((45, 22)), mode(), EVEN)
    assert problem.remedy == 'make the box 26.46 mm high, or set "module" to 0.297 mm'
    assert fits(EAN, retail((45, 22), module=0.297), mode(), EVEN)
    assert fits(EAN, retail((45, 26.46)), mode(), EVEN)


def test_cartons() -> None:
    # GS1 size guide: ITF-14 and GS1-128 of 0.495 to 1.016 mm with bars of 31.75 mm.
    field = CodeField(
        type="code", name="c", text="", symbology="itf14", box=(0, 0, 142, 32),
        application="distribution",
    )  # type: ignore[call-arg]  # fmt: skip
    fit = fits("15400141288763", field, mode(), EVEN)
    assert 0.495 <= fit.module <= 1.016 and fit.h >= 31.65
    low = field.model_copy(update={"box": (0, 0, 142, 31)})
    assert held("15400141288763", low, mode(), EVEN).kind == "code-height"


def test_without_an_application_nothing_is_asked() -> None:
    field = CodeField(type="code", name="c", text="", symbology="ean13", box=(0, 0, 45, 8))
    assert fits(EAN, field, mode(), EVEN).h < 8


def test_the_table_names_symbologies_that_there_are() -> None:
    for sizes in SIZES.values():
        assert set(sizes) <= set(SYMBOLOGIES)
        assert all(0.1 < size.least < size.most <= 1.5 for size in sizes.values())
