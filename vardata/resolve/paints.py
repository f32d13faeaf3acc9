"""Which colour of its field's table a record's text gets, by a value of the record.

In: the layout's fields and the names of the sheet's columns. Out: for each record the number of
the colour for each field that has a table, counted from 1 in the table's order; 0 is the field's
own colour, for a value that is empty.
"""

from __future__ import annotations

from collections.abc import Iterator

from vardata.intake.record import Record
from vardata.job.model import Layout, Setup, TextField
from vardata.problems import Problem, Severity, Where
from vardata.resolve.picturename import Render
from vardata.resolve.templates import environment_of, renderer

_SHOWN = 12  # values of a table that are named in a message


def painted_fields(layout: Layout) -> Iterator[tuple[int, TextField]]:
    """Number and field of every text that is painted by a value."""
    for index, field in enumerate(layout.fields):
        if isinstance(field, TextField) and field.colours:
            yield index, field


def folded(value: str) -> str:
    """A value as it is looked up: without regard to case and white space at its ends."""
    return " ".join(value.split()).casefold()


class Painter:
    """Chooses colours for records."""

    def __init__(self, setup: Setup, names: tuple[str, ...]) -> None:
        self._fields: list[tuple[int, TextField, Render, dict[str, int]]] = []
        for index, field in painted_fields(setup.layout):
            table = {folded(value): number for number, value in enumerate(field.colours, 1)}
            render = renderer(environment_of(), field.colour_by, names)
            self._fields.append((index, field, render, table))

    def __bool__(self) -> bool:
        return bool(self._fields)

    def paints(self, record: Record) -> dict[int, int] | Problem:
        """The colour of each field that has a table, by the field's number."""
        found: dict[int, int] = {}
        for index, field, render, table in self._fields:
            where = Where(row=record.row, record=record.key, field=field.name)
            try:
                value = render(record.values, record)
            except Exception as error:  # a template may fail in any way: the record is held
                return Problem("template", Severity.HOLD, f"the template of its colour fails: "
                               f"{error}", "mend colour_by in the layout or the row's values",
                               where)  # fmt: skip
            number = table.get(folded(value)) if value.strip() else 0
            if number is None:
                named = list(field.colours)
                more = f" and {len(named) - _SHOWN} more" if len(named) > _SHOWN else ""
                what = f"there is no colour for {value.strip()!r}"
                remedy = f"mend the value, or add it to colours: {', '.join(named[:_SHOWN])}{more}"
                return Problem("no-colour", Severity.HOLD, what, remedy, where, value)
            found[index] = number
        return found
