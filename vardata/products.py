"""Mixed jobs: which product each record is, by a column's value or by a condition.

In: an intake (compared with earlier runs or not) and the job's products. Out: the same records,
each with its product and, where the product names one, its blank; a record that is no product,
or several, as a held row. A job without products never comes here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from vardata.intake.blankmatch import fold_value
from vardata.intake.checks.phrases import Phrase
from vardata.intake.record import HeldRow, Record
from vardata.job.near import choose
from vardata.judged import Judged
from vardata.problems import CallError, Problem, Severity, Where, fail
from vardata.resolve.condition import Condition, condition, condition_names
from vardata.resolve.templates import TemplateNames, template_names

if TYPE_CHECKING:
    from vardata.earlier import Compared
    from vardata.intake import Intake
    from vardata.job.model import Product, Setup

_CACHE = 10_000


def product_number(setup: Setup, name: str | None) -> int | None:
    """The place of the product that --product names; None where it names none.

    Raises ``CallError``.
    """
    if name is None:
        return None
    names = [part.layout.name for part in setup.products]
    if not names:
        what = "the job has no products, so --product names none"
        raise fail(CallError, "no-product", what, "leave it out")
    if name not in names:
        raise fail(
            CallError, "no-product", f"the job has no product {name!r}", choose(name, names)
        )
    return names.index(name)


def all_names(setup: Setup) -> TemplateNames:
    """The names that the templates of all products use, and the conditions that choose them.

    Raises ``JobError`` for a bad template.
    """
    found = [template_names(part) for part in setup.all_sides()]
    asked = condition_names(setup)
    return TemplateNames(
        frozenset().union(asked, *(names.needed for names in found)),
        frozenset().union(*(names.exact for names in found)),
        frozenset().union(*(names.serials for names in found)),
        frozenset().union(*(names.texts for names in found)),
        _phrases_of_all(found),
    )


def _phrases_of_all(found: Sequence[TemplateNames]) -> tuple[Phrase, ...]:
    """The phrases that all products have: cells may be empty where a row is another product."""
    return tuple(
        phrase for phrase in found[0].phrases
        if all(phrase.columns in (p.columns for p in names.phrases) for names in found)
    )  # fmt: skip


def written_values(name: str, product: Product) -> tuple[str, ...]:
    """The values of the product column that choose a product; its name alone by default."""
    if product.condition is not None:
        return ()
    when = (product.when,) if isinstance(product.when, str) else product.when
    return when or (name,)


class Sorted(Judged):
    """An intake whose records know their product. Read it as often as wanted."""

    def __init__(self, setup: Setup, intake: Intake, rows: Compared | None) -> None:
        super().__init__(rows or intake)
        self._setup, self._intake = setup, intake
        self.names = intake.names
        self._plan = intake.plan
        self._place = intake.plan.product
        self.sheet, self.headings = intake.sheet, intake.headings
        products = setup.job.products
        self._names = tuple(products)
        self._blanks = [product.blank for product in products.values()]
        self._values = {
            fold_value(value): at
            for at, (name, product) in enumerate(products.items())
            for value in written_values(name, product)
        }
        self._conditions: list[tuple[int, Condition]] = [
            (at, condition(setup, name, intake.names))
            for at, (name, product) in enumerate(products.items())
            if product.condition is not None
        ]
        self._known: dict[str, int | None] = {}

    def _judge(self, record: Record) -> Record | Problem:
        found = self._product(record)
        if isinstance(found, Problem):
            return found
        blank = self._blanks[found]
        return record._replace(product=found, blank=record.blank if blank is None else blank)

    def _product(self, record: Record) -> int | Problem:
        """Its place among the products, or why it is none of them."""
        matches: list[int] = []
        value = ""
        if self._place is not None:
            value = record.values[self._place]
            if value not in self._known:
                if len(self._known) >= _CACHE:
                    self._known.clear()
                self._known[value] = self._values.get(fold_value(value))
            one = self._known[value]
            matches += [] if one is None else [one]
        for at, holds in self._conditions:
            answer = holds(record)
            if isinstance(answer, Problem):
                return answer
            matches += [at] if answer else []
        if len(matches) == 1:
            return matches[0]
        return self._nothing(value) if not matches else self._several(sorted(matches), value)

    def _nothing(self, value: str) -> Problem:
        if self._place is None:
            what = "no product's condition holds for this row"
            return self._problem("no-product", what, "widen a condition, or mend the row")
        what = f"there is no product {value!r}" if value.strip() else "the product is empty"
        shown = [written_values(*item)[:1] for item in self._setup.job.products.items()]
        remedy = f"write one of {', '.join(word for words in shown for word in words)}"
        return self._problem("no-product", what, remedy, value)

    def _several(self, matches: Sequence[int], value: str) -> Problem:
        names = " and ".join(repr(self._names[at]) for at in matches)
        what = f"the row is of several products: {names}"
        return self._problem("two-products", what, "let when tell them apart", value)

    def _problem(self, kind: str, what: str, remedy: str, value: str = "") -> Problem:
        column = "" if self._place is None else self._plan.label(self._place)
        return Problem(kind, Severity.HOLD, what, remedy, Where(column=column), value)

    def _held(self, record: Record, problem: Problem) -> HeldRow:
        where = problem.where._replace(sheet=self.sheet, row=record.row)
        place = record.key.rpartition("#")[0]
        problems = (problem._replace(where=where),)
        return HeldRow(record.row, place, record.order, record.values, problems)
