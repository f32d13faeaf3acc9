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
