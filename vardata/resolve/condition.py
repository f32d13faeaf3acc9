"""The conditions that choose a product: templates over a row's columns that say True or False.

In: the job's products, the safe names of the sheet's columns. Out: for each condition a function
of a record, and the columns that conditions use. Serials do not exist yet where a product is
chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, TypeAlias

from vardata.intake.record import Record
from vardata.problems import JobError, Problem, Severity, Where
from vardata.resolve.syntax import explain
from vardata.resolve.templates import SPECIAL, environment_of, renderer

if TYPE_CHECKING:
    from vardata.job.model import Setup

Condition: TypeAlias = Callable[[Record], "bool | Problem"]
_ANSWERS = {"True": True, "False": False, "": False}


def _conditions(setup: Setup) -> Iterator[tuple[str, str]]:
    for name, product in setup.job.products.items():
        if product.condition is not None:
            yield name, product.condition


def condition_names(setup: Setup) -> frozenset[str]:
    """The columns that conditions use. Raises ``JobError`` for one that is no template."""
    from jinja2 import TemplateSyntaxError, meta

    environment = environment_of()
    found: set[str] = set()
    problems = []
    for name, template in _conditions(setup):
        try:
            found |= meta.find_undeclared_variables(environment.parse(template))
        except TemplateSyntaxError as error:
            what, remedy = explain(
                error.message or "it is no template", environment.filters, environment.tests
            )
            what = f"the condition {template!r} cannot be read: {what}"
            where = Where(file=setup.job_file.name, key=f"products.{name}.when")
            problems.append(Problem("template", Severity.ERROR, what, remedy, where))
    if problems:
        raise JobError(problems)
    return frozenset(found - set(environment.globals) - set(SPECIAL))


def condition(setup: Setup, product: str, names: tuple[str, ...]) -> Condition:
    """Whether a record is of a product, by that product's condition."""
    template = setup.job.products[product].condition or ""
    render = renderer(environment_of(), template, names)

    def holds(record: Record) -> bool | Problem:
        try:
            text = render(record.values, record).strip()
        except Exception as error:  # a template may fail in any way: the record is held
            return _fault(product, f"fails: {error}")
        answer = _ANSWERS.get(text)
        return _fault(product, f"says {text[:40]!r}") if answer is None else answer

    return holds


def _fault(product: str, what: str) -> Problem:
    return Problem(
        "condition", Severity.HOLD, f"the condition of product {product!r} {what}",
        "let it say True or False, as a comparison does",
    )
