"""Which texts share one size: the group that a record's text belongs to, field by field.

In: the layout's fields and the names of the sheet's columns. Out: for each record the name of
its group for each field that has one. A group is the whole batch, the order, or what a template
over the columns says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from vardata.intake.record import Record
from vardata.job.layout import BATCH, ORDER
from vardata.job.model import Layout, Setup, TextField
from vardata.problems import Problem, Severity, Where
from vardata.resolve.templates import environment_of, renderer

Name = Callable[[Record], str]


_FIELDS = 10_000  # more than a layout has


def first_field(product: int) -> int:
    """What a product's fields are counted from where those of all products are told apart."""
    return product * _FIELDS


def counted_sides(part: Setup) -> Iterator[tuple[int, Setup]]:
    """The sides of a product, each with the number of fields before its own."""
    before = 0
    for side in part.sides():
        yield before, side
        before += len(side.layout.fields)


def grouped_fields(layout: Layout) -> Iterator[tuple[int, TextField, str]]:
    """Number, field and group of every field whose texts share one size."""
    for index, field in enumerate(layout.fields):
        if isinstance(field, TextField) and field.one_size is not None:
            yield index, field, field.one_size


class Grouper:
    """Names the groups of records."""

    def __init__(self, setup: Setup, names: tuple[str, ...]) -> None:
        self._fields = [
            (index, field.name, _name(group, names))
            for index, field, group in grouped_fields(setup.layout)
        ]

    def __bool__(self) -> bool:
        return bool(self._fields)

    def groups(self, record: Record) -> dict[int, str] | Problem:
        """The group of each field that has one, by the field's number."""
        found: dict[int, str] = {}
        for index, field, name in self._fields:
            try:
                found[index] = name(record)
            except Exception as error:  # a template may fail in any way: the record is held
                return Problem(
                    "template", Severity.HOLD, f"the template of its group fails: {error}",
                    "mend one_size in the layout or the row's values",
                    Where(row=record.row, record=record.key, field=field),
                )  # fmt: skip
        return found


def _name(group: str, names: tuple[str, ...]) -> Name:
    if group == BATCH:
        return lambda record: ""
    if group == ORDER:
        return lambda record: record.order
    render = renderer(environment_of(), group, names)
    return lambda record: render(record.values, record)
