"""What an approval of an order means: hashes of the rows that its proof shows, and of its layout.

In: a setup, an order, who approved it. Out: its mark, and an entry in the ledger. Rows that are
held are on no proof, so nobody has approved them.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from datetime import datetime
from typing import NamedTuple

from vardata.approved import RecordHash, layout_hash
from vardata.gather import Gathered
from vardata.intake.record import HeldRow, Record
from vardata.job.model import Setup
from vardata.ledger.approvals import Approval, approvals, approve
from vardata.merge import gathered
from vardata.numbering import RecordSource
from vardata.output.picklist_orders import natural_key
from vardata.personal import personal_of
from vardata.problems import CallError, Problem, VardataError, fail
from vardata.rows import all_rows, ledger_file


class Approvable(NamedTuple):
    """An order as it would be approved now; ``mark`` is what its proof shows of it. ``held`` rows
    of it are not shown, with their reasons in ``problems``."""

    approval: Approval
    mark: str
    held: int
    problems: tuple[Problem, ...]


def approval_of(
    setup: Setup, source: RecordSource, found: Gathered, order: str, who: str, at: datetime
) -> Approvable:
    """Hashes of an order's rows that can be printed, and of the layout. ``found`` is what became
    of the records of ``source``."""
    digest = RecordHash(setup, source.names)
    shown: set[str] = set()
    unseen: set[str] = set()
    rows: set[int] = set()
    held_at, place = set(found.held_at), -1
    for row in source:
        if isinstance(row, Record):
            place += 1
            if row.order == order and place in held_at:
                rows.add(row.row)
                unseen.add(digest(row))
            elif row.order == order:
                shown.add(digest(row))
        elif isinstance(row, HeldRow) and row.order == order:
            rows.add(row.row)
    seen = frozenset(shown - unseen)
    layout = layout_hash(setup)
    mark = hashlib.sha256(" ".join([layout, *sorted(seen)]).encode()).hexdigest()[:12]
    reasons = (p for one in found.aside.held() if one.row in rows for p in one.problems)
    personal = personal_of(setup, source.names, source.headings)
    approval = Approval(order, who, at, layout, seen, frozenset(unseen))
    return Approvable(approval, mark, len(rows), personal.all_masked(reasons))


def order_held(order: str) -> VardataError:
    """What a proof and an approval say of an order of which no row can be printed."""
    return fail(CallError, "order-held", f"every row of order {order!r} is held: nothing of it "
                "can be shown or approved", "see vardata check")  # fmt: skip


class Standing(NamedTuple):
    """An approval of the ledger, and how many of the order's records are not as it has them."""

    approval: Approval
    records: int
    changed: int
    layout_changed: bool


def standings(setup: Setup) -> list[Standing]:
    """All orders that were approved, by name, with what became of them in the order sheet."""
    known = approvals(ledger_file(setup), setup.job.name)
    if not known:
        return []
    source = all_rows(setup, expecting=False)
    digest, layout = RecordHash(setup, source.names), layout_hash(setup)
    records, changed = Counter[str](), Counter[str]()
    for row in source:
        approval = known.get(row.order) if isinstance(row, Record) else None
        if approval is not None and isinstance(row, Record):
            records[row.order] += 1
            changed[row.order] += digest(row) not in approval.records
    return [
        Standing(known[order], records[order], changed[order], known[order].layout != layout)
        for order in sorted(known, key=natural_key)
    ]  # fmt: skip


def approve_order(
    setup: Setup, order: str, who: str, mark: str | None, at: datetime,
    workers: int | None = None,
) -> Approvable:
    """Notes in the ledger that ``who`` approved the order as its proof shows it now.

    Raises ``CallError`` for an order that is not there or has nothing to show, for nobody's
    name, and where ``mark`` is of another state of the order: then what was approved is not what
    would be printed.
    """
    if not who.strip():
        raise fail(CallError, "nobody", "--by names nobody",
                   "say who approved the order: --by NAME")  # fmt: skip
    with gathered(setup, workers=workers) as (source, looked_at, _):
        found = approval_of(setup, source, looked_at, order, who, at)
    if not found.approval.records and found.held:
        raise order_held(order)
    if not found.approval.records:
        raise fail(CallError, "no-order", f"the order sheet has no order {order!r}",
                   "see the order column of the sheet")  # fmt: skip
    if mark is not None and mark != found.mark:
        what = f"order {order!r} is not as the proof {mark} shows it any more (now {found.mark})"
        raise fail(CallError, "other-proof", what, "make a new proof and have it approved")
    approve(ledger_file(setup), setup.job.name, found.approval)
    return found
