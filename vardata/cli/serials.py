"""``vardata serials``: the counters of a job, its gaps, and what became of each number."""

from __future__ import annotations

import functools
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from vardata.cli.guard import guarded, say_json
from vardata.cli.options import job_argument
from vardata.cli.words import count
from vardata.problems import CallError, fail

if TYPE_CHECKING:
    from vardata.job.model import Setup
    from vardata.ledger.ranges import Stretch
    from vardata.ledger.serials import Serials
    from vardata.register import Texts

_EPILOG = """\b
Exit codes:
  0  done
  2  wrong call: no such serial, run or rule
  4  a file of the job is wrong, or the job has no serials
  5  a file of values cannot be read, or holds what is no serial
  6  the ledger or the register cannot be written
"""


@click.group("serials", epilog=_EPILOG)
@job_argument
@click.pass_context
def command(ctx: click.Context, job: Path) -> None:
    """Show and mend what the ledger knows of a job's serial numbers.

    A number is reserved, then printed, then delivered. Void and unused numbers are gaps: no
    number is ever given to another piece.
    """
    ctx.obj = job


def _on_job(run: Callable[..., int | None]) -> Callable[..., None]:
    """A command that takes the loaded job and the ledger's serials first."""

    def loaded(**options: Any) -> int | None:
        from vardata.job.load import load_setup
        from vardata.ledger.serials import Serials
        from vardata.register import rules_of

        setup = load_setup(click.get_current_context().obj)
        rules_of(setup)
        options.pop("debug")
        return run(setup, Serials(setup.job_file.parent / setup.job.ledger), **options)

    wrapped = functools.wraps(run)(guarded(loaded))
    for option in (
        click.option("--debug", is_flag=True, help="Show the traceback of an internal error."),
        click.option("--json", "as_json", is_flag=True, help="Answer in JSON on standard output."),
    ):
        wrapped = option(wrapped)
    return wrapped


_rule_option = click.option("--rule", metavar="NAME", help="One of the job's serials only.")
_numbers = click.argument("numbers", nargs=-1, required=True, metavar="NUMBER...")


# ---------------------------------------------------------------- looking


@command.command("list")
@_on_job
def list_(setup: Setup, serials: Serials, as_json: bool) -> None:
    """Show each serial of the job: its counter, the next number, the states of the others."""
    from vardata.register import next_text

    with serials.rehearsal() as copy:
        known = {counter.scope: counter for counter in copy.counters()}
    shown: list[dict[str, Any]] = []
    for name, rule in setup.job.serials.items():
        scope = rule.counter(name)
        with serials.rehearsal() as copy:
            if rule.list is not None:
                from vardata.resolve.givenlist import list_values

                copy.offer(scope, list_values(setup, name))
            after = next_text(setup, copy, name)
        states = known[scope].states if scope in known else {}
        shown.append({"rule": name, "counter": scope, "next": after, "states": states})
    if as_json:
        say_json({"done": True, "serials": shown})
        return
    for row in shown:
        states = row["states"]
        told = ", ".join(f"{states[state]} {state}" for state in sorted(states)) or "none given yet"
        after = f"next {row['next']}" if row["next"] is not None else "used up"
        click.echo(f"{row['rule']}: counter {row['counter']!r}, {after}; {told}")


@command.command("gaps")
@_on_job
def gaps(setup: Setup, serials: Serials, as_json: bool) -> None:
    """List numbers that were given and not printed, or are void, with the reason."""
    from vardata.register import Texts, rules_of

    rules = rules_of(setup)
    rows: list[dict[str, object]] = []
    with serials.rehearsal() as copy:
        texts = Texts(copy, rules)
        for scope in dict.fromkeys(rule.counter(name) for name, rule in rules.items()):
            rows += [_gap(texts, scope, stretch) for stretch in copy.gaps(scope)]
    if as_json:
        say_json({"done": True, "gaps": rows})
        return
    for row in rows:
        click.echo(f"{row['serials']} ({row['count']}): {row['why']}")
    if not rows:
        click.echo("no gaps")


def _gap(texts: Texts, scope: str, stretch: Stretch) -> dict[str, object]:
    block = texts.block(stretch.block) if stretch.block else None
    why: str = stretch.state
    if block is not None and stretch.state == "reserved":
        course = "no run has finished" if block.finished is None else "for a remake"
        if block.key.startswith("remake of"):
            course = "for a remake"
        why = f"reserved by job {block.job} on {block.reserved[:10]}, {course}"
    elif block is not None and stretch.state == "unused":
        why = f"unused: held records of job {block.job} on {block.reserved[:10]}"
    return {
        "counter": scope, "serials": texts.ends(scope, stretch), "first": stretch.first,
        "last": stretch.last, "count": stretch.size, "state": stretch.state, "why": why,
    }  # fmt: skip


@command.command("register")
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help="The folder to write it to."
)
@click.option("--replace", is_flag=True, help="Swap an earlier register at --out for this one.")
@_on_job
def register(setup: Setup, serials: Serials, out: Path, replace: bool, as_json: bool) -> None:
    """Write the customer's register, as CSV and as a workbook: each number and its state."""
    from vardata.output.folder import run_folder
    from vardata.register import write_register

    with run_folder(out, replace, "register.csv") as folder, serials.rehearsal() as copy:
        rows = write_register(setup, copy, folder)
    if as_json:
        say_json({"done": True, "folder": str(out), "numbers": rows})
    else:
        click.echo(f"{count(rows, 'number')} -> {out / 'register.csv'}, {out / 'register.xlsx'}")


# ---------------------------------------------------------------- changing


@command.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--rule", metavar="NAME", help="Which of the job's serials; needed if it has more.")
@click.option("--column", metavar="HEADING", help="The column that holds them.")
@click.option("--numbers", is_flag=True, help="The column holds bare numbers.")
@_on_job
def import_(
    setup: Setup, serials: Serials, file: Path, rule: str | None, column: str | None,
    numbers: bool, as_json: bool,
) -> None:
    """Take in numbers that were used elsewhere, so that they are never given.

    FILE is a CSV or a workbook with a row of headings; its cells hold serials as printed.
    """
    from vardata.register import import_file

    if rule is None and len(setup.job.serials) > 1:
        raise fail(
            CallError, "which-rule", "the job has more than one serial",
            f"say which with --rule: {', '.join(setup.job.serials)}",
        )  # fmt: skip
    new, known = import_file(
        setup, serials, rule or next(iter(setup.job.serials)), file, column, numbers
    )
    states = Counter[str]()
    for stretch in known:
        states[stretch.state] += stretch.size
    if as_json:
        say_json({"done": True, "imported": new, "known": dict(states)})
        return
    click.echo(f"{count(new, 'number')} imported")
    for state, size in sorted(states.items()):
        click.echo(f"{size} known already as {state}, left so")


@command.command("void")
@_numbers
@_rule_option
@_on_job
def void(
    setup: Setup, serials: Serials, numbers: tuple[str, ...], rule: str | None, as_json: bool
) -> None:
    """Declare serials void, written as they are printed. This cannot be taken back."""
    from vardata.register import find

    with serials.rehearsal() as copy:
        places = find(setup, copy, numbers, rule)
    scopes = dict.fromkeys(place.scope for place in places)
    changed = sum(
        serials.void(scope, [place.number for place in places if place.scope == scope])
        for scope in scopes
    )
    if as_json:
        say_json({"done": True, "void": changed})
    else:
        click.echo(f"{count(changed, 'number')} void")


@command.command("deliver")
@click.argument("run", metavar="RUN")
@_on_job
def deliver(setup: Setup, serials: Serials, run: str, as_json: bool) -> None:
    """Note that a run went to its customers: its printed numbers are delivered."""
    from vardata.finished import run_id_named
    from vardata.job.near import choose

    run = run_id_named(run)
    with serials.rehearsal() as copy:
        known = copy.runs()
    if run not in known:
        raise fail(
            CallError, "no-run", f"the ledger knows no serials of a run {run!r}",
            choose(run, known, "build the job first"),
        )  # fmt: skip
    done = serials.deliver(run) or 0
    if as_json:
        say_json({"done": True, "delivered": done})
    else:
        click.echo(f"{count(done, 'number')} delivered")


@command.command("confirm-destroyed")
@_numbers
@_rule_option
@_on_job
def confirm_destroyed(
    setup: Setup, serials: Serials, numbers: tuple[str, ...], rule: str | None, as_json: bool
) -> None:
    """Confirm that spoiled pieces exist no more, so that each may be made again as it was.

    Good for one remake of each, and only for serials with remake = "same-when-destroyed".
    """
    from vardata.register import find

    with serials.rehearsal() as copy:
        places = find(setup, copy, numbers, rule)
    for text, place in zip(numbers, places):
        if setup.job.serials[place.rule].remake == "new":
            raise fail(
                CallError, "remake-new", f"{text!r} never comes again: a remake takes a new number",
                f'write remake = "same-when-destroyed" in [serials.{place.rule}] to allow it',
            )  # fmt: skip
        if place.state not in ("printed", "delivered"):
            raise fail(
                CallError, "no-piece",
                f"{text!r} is {place.state}, so no piece of it can be spoiled",
                "look at the number again",
            )  # fmt: skip
    for place in places:
        serials.confirm_destroyed(place.scope, [place.number])
    if as_json:
        say_json({"done": True, "confirmed": len(places)})
    else:
        click.echo(f"{count(len(places), 'piece')} confirmed destroyed")
