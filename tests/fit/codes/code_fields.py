"""Fields, print modes and texts for tests of placing codes."""

from __future__ import annotations

from vardata.fit.codes.place import fit_code
from vardata.fit.result import CodeFit
from vardata.job.model import CodeField, PrintMode
from vardata.problems import Problem, Severity

EVEN, ODD, MIXED = frozenset({0, 2}), frozenset({1}), frozenset({0, 1})
TEXTS = {
    "qr": "SN-00012345",
    "code128": "SN-0042",
    "ean13": "400638133393",
    "upca": "03600029145",
    "code39": "SN42",
    "itf": "123456",
    "itf14": "1540014128876",
    "ean8": "9638507",
    "upce": "123456",
    "microqr": "SN-12",
    "rmqr": "SN-00012345",
    "datamatrix": "SN-00012345",
    "datamatrix-rectangular": "SN-00012345",
    "aztec": "SN-00012345",
    "pdf417": "SN-00012345",
    "code93": "SN-0042",
    "codabar": "12345",
    "databar": "0952123454321",
    "databar-limited": "0952123454321",
    "databar-stacked": "0952123454321",
    "databar-stacked-omni": "0952123454321",
    "databar-expanded": "(01)09521234543213(10)ABC123",
    "databar-expanded-stacked": "(01)09521234543213(10)ABC123",
}


def field(symbology: str = "qr", **changes: object) -> CodeField:
    values: dict[str, object] = {"box": (0, 0, 12, 12), "symbology": symbology, **changes}
    return CodeField(type="code", name="code", text="", **values)  # type: ignore[arg-type]


def mode(x: float = 600, y: float = 600) -> PrintMode:
    return PrintMode(dpi=(x, y))


def fits(text: str, a_field: CodeField, a_mode: PrintMode, turns: frozenset[int]) -> CodeFit:
    fit = fit_code(text, a_field, a_mode, turns, ())
    assert isinstance(fit, CodeFit), fit
    return fit


def held(text: str, a_field: CodeField, a_mode: PrintMode, turns: frozenset[int]) -> Problem:
    problem = fit_code(text, a_field, a_mode, turns, ())
    assert isinstance(problem, Problem), problem
    assert problem.severity is Severity.HOLD
    assert problem.value == text
    assert problem.remedy
    assert "\n" not in str(problem)
    return problem
