"""``vardata new``: a job file from an order sheet, a layout, a jig and a bed."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from vardata.cli.guard import guarded
from vardata.problems import (
    CallError,
    Problem,
    Severity,
    SheetError,
    VardataError,
    Where,
    fail,
)

if TYPE_CHECKING:
    from vardata.job.model import Setup
    from vardata.newblanks import BlankColumn
    from vardata.newjob import Draft, Look

_PATH = click.Path(path_type=Path)
_NONE = "-"


@click.command("new")
@click.argument("job", type=_PATH, metavar="JOB.toml")
@click.option("--sheet", type=_PATH, help="The order sheet.")
@click.option("--worksheet", metavar="NAME", help="A worksheet of it; default: the first.")
@click.option("--layout", metavar="NAME|FILE", help="A shipped layout, or a layout file.")
@click.option("--jig", type=_PATH, help="The jig file.")
@click.option("--bed", type=_PATH, help="The bed file.")
@click.option("--print-mode", metavar="NAME", help="One of the bed's print modes.")
@click.option("--locale", metavar="NAME", help="How the sheet shows numbers and dates: en_GB, de.")
@click.option("--surface", type=click.Choice(["light", "dark", "clear"]), help="Of the blanks.")
@click.option("--column", "columns", multiple=True, metavar="NAME=HEADING",
              help="The heading of a column that the layout uses.")  # fmt: skip
@click.option("--order", metavar="HEADING", help="The column that tells orders apart; - for none.")
@click.option("--quantity", metavar="HEADING", help="The column of quantities; - for none.")
@click.option("--blank", metavar="HEADING", help="The column that chooses the blank; - for none.")
@click.option("--yes", is_flag=True, help="Ask nothing: take what is suggested, or fail.")
@click.option("--debug", is_flag=True, help="Show the traceback of an internal error.")
@guarded
def command(
    job: Path,
    sheet: Path | None,
    worksheet: str | None,
    layout: str | None,
    jig: Path | None,
    bed: Path | None,
    print_mode: str | None,
    locale: str | None,
    surface: str | None,
    columns: tuple[str, ...],
    order: str | None,
    quantity: str | None,
    blank: str | None,
    yes: bool,
    debug: bool,
) -> None:
    """Write a job file that builds, from what is there.

    Looks at the order sheet, the layout and the bed, suggests which column is which, and asks;
    whatever an option says is not asked. The file is only written if it can be built from.
    """
    from vardata.newjob import Draft

    if job.exists():
        raise fail(CallError, "out-exists", "the file is there already", "choose another name",
                   file=str(job))  # fmt: skip
    ask = _Asking(yes or not _at_a_terminal())
    mapped = dict(_pair(pair) for pair in columns)
    sheet = sheet or Path(ask.text("the order sheet", "--sheet"))
    layout = layout or ask.text("the layout: a file, or the name of a shipped one", "--layout")
    jig = jig or Path(ask.text("the jig file", "--jig"))
    bed = bed or Path(ask.text("the bed file", "--bed"))
    mode = print_mode or ask.choice("the print mode", "--print-mode", _modes(bed))
    surface = surface or ask.choice(
        "the surface of the blanks", "--surface", ("dark", "light", "clear"), "dark"
    )
    draft = Draft(
        job, job.stem, layout, jig, bed, mode, sheet, worksheet, locale=locale, surface=surface
    )
    text = _finished(draft, mapped, (order, quantity, blank), ask)
    click.echo(text)
    click.echo(f"{job} is written; next: vardata check {job}")


def _at_a_terminal() -> bool:
    return sys.stdin.isatty()


def _finished(
    draft: Draft, mapped: dict[str, str],
    roles: tuple[str | None, str | None, str | None], ask: _Asking,
) -> str:
    """Writes the job file, first without columns, and takes it away again if it cannot be read.
    ``roles`` are the headings given for order, quantity and blank."""
    from vardata.job.load import load_setup
    from vardata.merge import check_setup
    from vardata.newjob import ORDER, QUANTITY, exact, look, near, other_sheets, role
    from vardata.products import all_names
    from vardata.rows import open_sheet

    order, quantity, blank = roles
    others: tuple[str, ...] = ()
    try:
        _write(draft)
        setup = load_setup(draft.file)
        check_setup(setup)
        names = sorted(all_names(setup).needed)
        found = look(setup, names)
        headings, others = found.headings, found.others
        for name, heading in mapped.items():
            if heading not in headings:
                raise _no_heading(f"--column {name}", heading, headings)
        for name in names:
            if name not in mapped and exact(name, headings) is None:
                what = f"the column for {{{{ {name} }}}}"
                option = f"--column {name}=HEADING"
                mapped[name] = ask.choice(what, option, headings, near(name, headings))
        order = ask.column(
            "the column that tells orders apart", order, headings, role(ORDER, headings)
        )
        quantity = ask.column(
            "the column of quantities", quantity, headings, role(QUANTITY, headings)
        )
        used = {order, quantity, *mapped.values(), *(exact(name, headings) for name in names)}
        blanks = _blanks(setup, found, [h for h in headings if h not in used], blank, ask)
        done = replace(
            draft, header_row=found.header_row, columns=mapped, order=order, quantity=quantity,
            blanks=blanks,
        )  # fmt: skip
        _write(done)
        open_sheet(load_setup(draft.file))
    except BaseException as error:
        draft.file.unlink(missing_ok=True)
        if others and isinstance(error, SheetError):
            note = Problem("other-sheets", Severity.NOTE, "the first worksheet was read",
                           other_sheets(others), Where(file=draft.sheet_file.name))  # fmt: skip
            raise SheetError([*error.problems, note]) from None
        raise
    return done.text()


def _blanks(
    setup: Setup, found: Look, unused: Sequence[str], given: str | None, ask: _Asking
) -> BlankColumn | None:
    """The column that chooses the blank: asked for where one of the unused seems to be that."""
    from vardata.newblanks import blank_column, likely_column

    what = "the column that chooses the blank"
    if given is None:
        likely = likely_column(setup, found.header_row, unused)
        given = ask.column(what, None, unused, likely) if likely else None
    else:
        given = ask.column(what, given, found.headings, None)
    if given is None:
        return None
    column = blank_column(setup, found.header_row, given)
    if not column.values:
        raise fail(CallError, "empty-column", f"{what}: nothing stands below {given!r}",
                   "name another with --blank HEADING, or - for none")  # fmt: skip
    return column


def _write(draft: Draft) -> None:
    try:
        draft.file.write_text(draft.text(), encoding="utf-8")
    except OSError as error:
        raise fail(
            CallError, "cannot-write", f"the file cannot be written ({error.strerror})",
            "choose another place", file=str(draft.file),
        ) from None  # fmt: skip


def _pair(text: str) -> tuple[str, str]:
    name, equals, heading = text.partition("=")
    if not (equals and name.strip() and heading.strip()):
        raise fail(CallError, "bad-column", f"--column {text!r} names no heading",
                   "write it as name=Heading")  # fmt: skip
    return name.strip(), heading.strip()


def _modes(bed: Path) -> Sequence[str]:
    """The print modes of a bed file; none where it cannot be read, which is said later."""
    import tomllib

    try:
        with bed.open("rb") as file:
            return list(tomllib.load(file).get("modes", {}))
    except (OSError, ValueError, AttributeError):
        return ()


def _no_heading(what: str, heading: str, headings: Sequence[str]) -> VardataError:
    from vardata.job.near import choose

    return fail(CallError, "no-column", f"{what}: the sheet has no heading {heading!r}",
                choose(heading, headings))  # fmt: skip


class _Asking:
    """Questions, or what is suggested where nothing is to be asked."""

    def __init__(self, silent: bool) -> None:
        self._silent = silent

    def text(self, what: str, option: str) -> str:
        if self._silent:
            raise fail(CallError, "missing-option", f"{what} is not given", f"add {option}")
        return str(click.prompt(what[0].upper() + what[1:]))

    def choice(
        self, what: str, option: str, allowed: Sequence[str], suggested: str | None = None
    ) -> str:
        """One of ``allowed``, by name or number."""
        if len(allowed) == 1 and suggested is None:
            suggested = allowed[0]
        if self._silent:
            if suggested is None:
                raise fail(
                    CallError, "missing-option", f"{what} is not given",
                    f"add {option}; there is {', '.join(map(repr, allowed)) or 'none'}",
                )  # fmt: skip
            return suggested
        for number, name in enumerate(allowed, 1):
            click.echo(f"  {number}  {name}")
        while True:
            answer = str(click.prompt(what[0].upper() + what[1:], default=suggested))
            if answer in allowed:
                return answer
            if answer.isdecimal() and 1 <= int(answer) <= len(allowed):
                return allowed[int(answer) - 1]
            click.echo(f"{answer!r} is none of them")

    def column(
        self, what: str, given: str | None, headings: Sequence[str], suggested: str | None
    ) -> str | None:
        """A column that need not be there."""
        if given is None:
            given = suggested or _NONE
            if not self._silent:
                given = self.choice(what, "", (*headings, _NONE), given)
        if given == _NONE:
            return None
        if given not in headings:
            raise _no_heading(what, given, headings)
        return given
