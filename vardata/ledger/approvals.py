"""What customers have approved, order by order.

In: an order, who approved it and when, and hashes of what was shown. Out: the latest approval
of each order of a job. Nothing here knows what the hashes are of.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from vardata.ledger.session import copy_in_memory, session

SCHEMA = """
CREATE TABLE IF NOT EXISTS approval (
    job      TEXT NOT NULL,
    order_no TEXT NOT NULL,
    who      TEXT NOT NULL,
    at       TEXT NOT NULL,   -- UTC, ISO 8601
    layout   TEXT NOT NULL,   -- hash of layout, fonts and art
    records  TEXT NOT NULL,   -- hashes of the order's records, sorted, with spaces between
    PRIMARY KEY (job, order_no, at)
) STRICT;
"""


class Approval(NamedTuple):
    """One order as it was approved."""

    order: str
    who: str
    at: datetime
    layout: str
    records: frozenset[str]


def approve(path: Path, job: str, approval: Approval) -> None:
    """Records an approval beside earlier ones; the latest counts."""
    with session(path, SCHEMA) as connection:
        connection.execute(
            "INSERT OR REPLACE INTO approval VALUES (?, ?, ?, ?, ?, ?)",
            (job, approval.order, approval.who,
             approval.at.astimezone(UTC).isoformat(timespec="seconds"), approval.layout,
             " ".join(sorted(approval.records))),
        )  # fmt: skip


def approvals(path: Path, job: str) -> dict[str, Approval]:
    """The latest approval of each order; the ledger is only read."""
    if not path.exists():
        return {}
    memory = copy_in_memory(path, SCHEMA)
    try:
        rows = memory.execute(
            "SELECT order_no, who, at, layout, records FROM approval WHERE job = ? ORDER BY at",
            (job,),
        )
        return {
            order: Approval(order, who, datetime.fromisoformat(at), layout,
                            frozenset(records.split()))
            for order, who, at, layout, records in rows
        }  # fmt: skip
    finally:
        memory.close()

