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
    records  TEXT NOT NULL,   -- hashes of the order's records, sorted, with spaces between; a
                              -- dash before those that were held, so that nobody saw them
    PRIMARY KEY (job, order_no, at)
) STRICT;
"""


class Approval(NamedTuple):
    """One order as it was approved; ``unseen`` are records that were held, and so not shown."""

    order: str
    who: str
    at: datetime
    layout: str
    records: frozenset[str]
    unseen: frozenset[str] = frozenset()

    @property
    def hashes(self) -> list[str]:
        """All of its records, a dash before those that nobody saw."""
        return sorted((*self.records, *(f"-{one}" for one in self.unseen)))


def approve(path: Path, job: str, approval: Approval) -> None:
    """Records an approval beside earlier ones; the latest counts."""
    with session(path, SCHEMA) as connection:
        connection.execute(
            "INSERT OR REPLACE INTO approval VALUES (?, ?, ?, ?, ?, ?)",
            (job, approval.order, approval.who,
             approval.at.astimezone(UTC).isoformat(timespec="seconds"), approval.layout,
             " ".join(approval.hashes)),
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
            order: _read(order, who, at, layout, records.split())
            for order, who, at, layout, records in rows
        }
    finally:
        memory.close()


def _read(order: str, who: str, at: str, layout: str, hashes: list[str]) -> Approval:
    unseen = frozenset(one[1:] for one in hashes if one.startswith("-"))
    seen = frozenset(one for one in hashes if not one.startswith("-"))
    return Approval(order, who, datetime.fromisoformat(at), layout, seen, unseen)
