"""Stage 2 as a run wants it: the order sheet's rows, compared with earlier runs where the job
says how rows are told apart, and sorted into products in a mixed job.

Rows that changed since their order was approved come held.

In: a setup, a person's decisions. Out: ``Rows``, open for the time of a block.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, NamedTuple

from vardata.approved import approved
from vardata.earlier import Compared, Decisions
from vardata.intake import Intake, open_intake
from vardata.job.model import Setup
from vardata.problems import CallError, fail
from vardata.products import Sorted, all_names

if TYPE_CHECKING:
    import sqlite3
    from pathlib import Path

    from vardata.gather import Gathered
    from vardata.grouping import Grouping
    from vardata.numbering import RecordSource
    from vardata.precedence import Precedence
    from vardata.report import Earlier


class Rows(NamedTuple):
    """``source`` gives the records; ``known`` is there where rows are compared."""

    source: RecordSource
    known: Compared | None
    supplement: bool = False  # the sheet is one of rows that were held before

    def earlier(self) -> Earlier | None:
        """How the rows stand to earlier runs, after a reading."""
        return None if self.known is None else self.known.counts()

    def placed(
        self, slots: Path, found: Gathered, run_id: str, grouping: Grouping | None
    ) -> Callable[[sqlite3.Connection], None]:
        """The record of slots is written: what the run is to add to the ledger beside itself."""
        known = self.known
        if known is not None:
            known.place(slots, (row.row for row in found.aside.held()))

        def write(connection: sqlite3.Connection) -> None:
            if known is not None:
                known.write(connection, run_id)
            if grouping is not None:
                grouping.write(connection, run_id)

        return write


def ledger_file(setup: Setup) -> Path:
    """Where a job's ledger is."""
    return setup.job_file.parent / setup.job.ledger


def open_sheet(setup: Setup, *, thorough: bool = False, expecting: bool = True) -> Intake:
    """The order sheet with the columns that the job needs. Raises ``SheetError``, ``JobError``."""
    names = all_names(setup)
    return open_intake(
        setup, names.exact, names.needed, names.texts, names.phrases,
        thorough=thorough, expecting=expecting,
    )  # fmt: skip


def all_rows(setup: Setup, *, expecting: bool = True) -> RecordSource:
    """All rows, whatever earlier runs built."""
    intake = open_sheet(setup, expecting=expecting)
    return _dressed(setup, intake, None)


def precedence_of(source: RecordSource) -> Precedence | None:
    """What keeps the order of work of these rows; None in a job that has none."""
    from vardata.precedence import Precedence, Ranked

    return Precedence(source.plan.sort) if isinstance(source, Ranked) else None


def _dressed(
    setup: Setup, intake: Intake, known: Compared | None, approvals: bool = False
) -> RecordSource:
    """The rows with products in a mixed job, and with ranks in one with an order of work. With
    ``approvals``, rows that are not as they were approved come held."""
    source: RecordSource = Sorted(setup, intake, known) if setup.products else known or intake
    if approvals:
        source = approved(setup, source, ledger_file(setup))
    if setup.job.work is None:
        return source
    from vardata.precedence import Ranked

    return Ranked(setup, intake.plan, source)


@contextmanager
def opened(
    setup: Setup, decisions: Decisions | None, sheet: Intake | None = None
) -> Iterator[Rows]:
    """The rows that are still to be built; of ``sheet``, where it is open already."""
    intake = sheet or open_sheet(setup)
    names = all_names(setup)
    columns = sorted(names.needed | names.exact)
    with compared(setup, intake, ledger_file(setup), columns, decisions or Decisions()) as known:
        source = _dressed(setup, intake, known, approvals=True)
        yield Rows(source, known, intake.supplement)


@contextmanager
def compared(
    setup: Setup, intake: Intake, ledger: Path, columns: Sequence[str], decisions: Decisions
) -> Iterator[Compared | None]:
    """The intake compared with earlier runs; None where the job names no line column.

    Raises ``OutputError``, and ``CallError`` for decisions that have nothing to decide on.
    """
    if setup.job.records.line is None:
        if decisions != Decisions():
            raise fail(
                CallError,
                "no-line-column",
                "without a line column no row is compared with earlier runs",
                'name the column with "line" under [records]',
                file=setup.job_file.name,
            )
        yield None
        return
    from vardata.ledger.lines import Lines

    try:
        lines = Lines(ledger, setup.job.name, decisions.again)
    except KeyError:
        raise fail(
            CallError,
            "no-run",
            f"the ledger knows no run {decisions.again!r} with lines",
            "the id of a run stands in its run.json and in the names of its beds",
            file=str(ledger),
        ) from None
    with lines:
        yield Compared(setup, intake, lines, columns, decisions)
