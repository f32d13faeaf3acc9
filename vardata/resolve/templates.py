"""Field content: a Jinja2 template over the record's columns becomes a plain string.

In: the layout's fields and the safe names of the sheet's columns. Out: for each record one
string a field, or a ``Problem``. Templates run in Jinja2's sandbox; a template of bare names
and text, the usual kind, is compiled to a join that never enters Jinja2.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from vardata.gs1.error import Gs1Error
from vardata.intake.checks.phrases import Phrase
from vardata.intake.record import Record
from vardata.job.layout import BATCH, ORDER
from vardata.job.model import CodeField, Layout, PictureField, Setup, TextField
from vardata.problems import JobError, Problem, Severity, Where
from vardata.resolve import gs1calls
from vardata.resolve.marks import FOREIGN_REMEDY, foreign_mark, reading_marks, styled, without_marks
from vardata.resolve.phrases import phrases
from vardata.resolve.picturename import Render, optional_name
from vardata.resolve.syntax import explain

if TYPE_CHECKING:
    import jinja2

MAX_LENGTH = 4000  # characters: longer than anything that can be printed on an item
SPECIAL = ("piece", "row_number")  # names that every record has; a column of the name wins


class TemplateNames(NamedTuple):
    """Column names that templates use: all of them, and those that end in codes or file names;
    the names of serials that they use; the columns that end in texts; and the phrases in which a
    column stands beside something else."""

    needed: frozenset[str]
    exact: frozenset[str]
    serials: frozenset[str]
    texts: frozenset[str] = frozenset()
    phrases: tuple[Phrase, ...] = ()


def field_template(field: object) -> str | None:
    """The template of a field, or None for a field without content of its own."""
    if isinstance(field, TextField | CodeField):
        return field.text
    if isinstance(field, PictureField):
        return field.file
    return None


def environment_of() -> jinja2.Environment:
    """Jinja2's sandbox, as every template of ours runs in it."""
    from jinja2 import StrictUndefined
    from jinja2.exceptions import SecurityError
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    class Environment(ImmutableSandboxedEnvironment):
        """The sandbox, with multiplication kept from filling the memory."""

        intercepted_binops = frozenset(["*", "**"])

        def call_binop(self, context: object, operator: str, left: object, right: object) -> object:
            texts = isinstance(left, str | list | tuple) or isinstance(right, str | list | tuple)
            if operator == "**" or texts:
                raise SecurityError(f"the operator {operator} is not allowed here")
            return super().call_binop(context, operator, left, right)  # type: ignore[arg-type]

    return Environment(undefined=StrictUndefined, autoescape=False, keep_trailing_newline=False)


def _where(setup: Setup, index: int, field: object) -> Where:
    key = "file" if isinstance(field, PictureField) else "text"
    name = getattr(field, "name", "")
    return Where(file=setup.layout_file.name, key=f"fields[{index}].{key}", field=name)


def _templated(layout: Layout) -> Iterator[tuple[int, object, str]]:
    for index, field in enumerate(layout.fields):
        template = field_template(field)
        if template is not None:
            yield index, field, template


def _groups(layout: Layout) -> Iterator[tuple[int, object, str]]:
    """Templates that name the group of a field's texts, or choose their colour."""
    for index, field in enumerate(layout.fields):
        if isinstance(field, TextField) and field.one_size not in (None, BATCH, ORDER):
            assert field.one_size is not None
            yield index, field, field.one_size
        if isinstance(field, TextField) and field.colour_by:
            yield index, field, field.colour_by


def _unread(
    setup: Setup, index: int, field: object, template: str, what: str, remedy: str
) -> Problem:
    what = f"the template {template!r} cannot be read: {what}"
    return Problem("template", Severity.ERROR, what, remedy, _where(setup, index, field))


def template_names(setup: Setup) -> TemplateNames:
    """Every name that the layout's templates use. Raises ``JobError`` for a bad template."""
    from jinja2 import TemplateSyntaxError, meta

    environment = environment_of()
    needed: set[str] = set()
    exact: set[str] = set()
    texts: set[str] = set()
    others = set(environment.globals) | set(SPECIAL) | setup.job.serials.keys()
    found: list[Phrase] = []
    problems: list[Problem] = []
    for index, field, template in (*_templated(setup.layout), *_groups(setup.layout)):
        try:
            tree = environment.parse(template)
            names = meta.find_undeclared_variables(tree)
        except TemplateSyntaxError as error:
            what, remedy = explain(
                error.message or "it is no template", environment.filters, environment.tests
            )
            problems.append(_unread(setup, index, field, template, what, remedy))
            continue
        if isinstance(field, TextField) and field.styles and template == field.text:
            without_marks(tree)
        if gs1calls.uses(tree):
            names.discard(gs1calls.NAME)
            wrong = gs1calls.unknown(tree)
            if wrong is not None:
                problems.append(_unread(setup, index, field, template, *wrong))
        needed |= names
        if not isinstance(field, TextField):
            exact |= names
        elif template == field.text:
            texts |= names
        if isinstance(field, TextField | CodeField) and template == field.text:
            found += phrases(tree, field.name, others)
    if problems:
        raise JobError(problems)
    serials = frozenset(needed & setup.job.serials.keys())
    return TemplateNames(
        frozenset(needed - others), frozenset(exact - others), serials, frozenset(texts - others),
        tuple(found),
    )  # fmt: skip


def field_columns(setup: Setup) -> dict[str, tuple[str, ...]]:
    """The names that each field's template uses, by the field's name; templates must be good."""
    from jinja2 import meta

    environment = environment_of()
    return {
        getattr(field, "name", ""): tuple(
            sorted(meta.find_undeclared_variables(environment.parse(template)))
        )
        for _, field, template in _templated(setup.layout)
    }


def _plain_parts(environment: jinja2.Environment, template: str) -> list[str | tuple[str]] | None:
    """Text and (name,) parts of a template without logic, or None if it has any."""
    from jinja2 import nodes

    parts: list[str | tuple[str]] = []
    for node in environment.parse(template).body:
        if not isinstance(node, nodes.Output):
            return None
        for child in node.nodes:
            if isinstance(child, nodes.TemplateData):
                parts.append(child.data)
            elif isinstance(child, nodes.Name):
                parts.append((child.name,))
            else:
                return None
    return parts


def _special(name: str) -> Render:
    if name == "piece":
        return lambda values, record: str(record.piece)
    return lambda values, record: str(record.row)


def _joined(pieces: list[str | Render | int]) -> Render:
    def render(values: tuple[str, ...], record: Record) -> str:
        return "".join(
            piece
            if isinstance(piece, str)
            else values[piece]
            if isinstance(piece, int)
            else piece(values, record)
            for piece in pieces
        )

    return render


def _column(index: int) -> Render:
    return lambda values, record: values[index]


def renderer(environment: jinja2.Environment, template: str, names: tuple[str, ...]) -> Render:
    """What makes a record's text of a template that has been read before."""
    parts = _plain_parts(environment, template)
    if parts is None:
        compiled = environment.from_string(environment.parse(template))
        ours = (
            {gs1calls.NAME: gs1calls.FUNCTIONS}
            if gs1calls.uses(environment.parse(template))
            else {}
        )

        def render(values: tuple[str, ...], record: Record) -> str:
            context: dict[str, object] = {"piece": record.piece, "row_number": record.row}
            context.update(zip(names, values))
            context.update(ours)
            out = ""
            for chunk in compiled.generate(context):
                out += chunk
                if len(out) > MAX_LENGTH:
                    break
            return out

        return render
    pieces: list[str | Render | int] = []
    for part in parts:
        if isinstance(part, str):
            pieces.append(part)
        elif part[0] in names:
            pieces.append(names.index(part[0]))
        else:
            pieces.append(_special(part[0]))
    if len(pieces) == 1 and isinstance(pieces[0], int):
        return _column(pieces[0])
    return _joined(pieces)


def _collapse(text: str) -> str:
    """Spaces that an empty column leaves behind; line breaks stay."""
    if "  " not in text and "\n" not in text and text == text.strip(" \t"):
        return text
    lines = (" ".join(line.split(" ")).strip() for line in text.split("\n"))
    kept = [" ".join(word for word in line.split(" ") if word) for line in lines]
    return "\n".join(kept).strip("\n")


def _tidied(field: object) -> Callable[[str], str] | None:
    """What tidies the rendered text of a field."""
    if not isinstance(field, TextField):
        return None
    return styled if field.styles else _collapse


class Resolver:
    """Turns a record into one string a field (None where a field has no content)."""

    def __init__(self, setup: Setup, names: tuple[str, ...]) -> None:
        environment = environment_of()
        self._fields = setup.layout.fields
        self._renders: list[Render | None] = [None] * len(self._fields)
        for index, field, template in _templated(setup.layout):
            make = partial(renderer, template=template, names=names)
            if isinstance(field, TextField) and field.styles:
                marked = reading_marks(environment_of(), tuple(field.styles))
                self._renders[index] = make(marked)
            elif isinstance(field, PictureField) and field.optional:
                self._renders[index] = optional_name(make, environment, template, names)
            else:
                self._renders[index] = make(environment)
        self._tidied = [_tidied(field) for field in self._fields]
        self._steps = tuple(
            (index, render, tidy)
            for index, (render, tidy) in enumerate(zip(self._renders, self._tidied)) if render
        )  # fmt: skip
        self._styled = next((n for n, tidy in enumerate(self._tidied) if tidy is styled), None)
        self._environment, self._columns = environment, setup.job.columns

    def resolve(self, record: Record) -> list[str | None] | Problem:
        """The strings of every field, or the reason why there are none."""
        out: list[str | None] = [None] * len(self._renders)
        values = record.values
        if self._styled is not None and (foreign := foreign_mark(values)):
            what = f"a value holds U+{ord(foreign):04X}, which Unicode keeps for programs"
            return self._held(record, self._styled, what, FOREIGN_REMEDY)
        for index, render, tidy in self._steps:
            try:
                text = render(values, record)
            except Gs1Error as error:
                return self._bad_gs1(record, index, error)
            except Exception as error:  # a template may fail in any way: the record is held
                return self._held(
                    record,
                    index,
                    f"its template fails: {error}",
                    "mend the template or the row's values",
                )
            if len(text) > MAX_LENGTH:
                return self._held(
                    record,
                    index,
                    f"its text is longer than {MAX_LENGTH} characters",
                    "shorten the row's value",
                )
            out[index] = tidy(text) if tidy else text
        return out

    def texts(self, index: int, records: Sequence[Record]) -> Iterator[str]:
        """The strings of one field; of a record whose template fails there is none."""
        render = self._renders[index]
        if render is None:
            return
        for record in records:
            try:
                yield render(record.values, record)
            except Exception:  # said when the record is resolved
                continue

    def _bad_gs1(self, record: Record, index: int, error: Gs1Error) -> Problem:
        """GS1 data that the standard forbids, with the columns that it came from."""
        tree = self._environment.parse(field_template(self._fields[index]) or "")
        headings = []
        for name in gs1calls.handed(tree):
            column = self._columns.get(name, name)
            headings.append(column if isinstance(column, str) else column.heading)
        held = self._held(record, index, error.what, error.remedy)
        where = held.where._replace(column=", ".join(headings))
        return held._replace(kind="code-content", where=where)

    def _held(self, record: Record, index: int, what: str, remedy: str) -> Problem:
        where = Where(row=record.row, record=record.key, field=self._fields[index].name)
        return Problem("template", Severity.HOLD, what, remedy, where)
