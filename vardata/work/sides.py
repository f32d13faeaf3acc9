"""Both sides of a product, fitted as one: a record is printed on both, or held.

In: records. Out: fitted records whose fits are those of side A, then those of side B; what is
wrong with either side holds the record, and all of it is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from vardata.fit.groupsize import GroupSizes
from vardata.intake.record import Record
from vardata.job.model import Setup
from vardata.memo import Memo
from vardata.work.fitted import Fitted, HeldRecord
from vardata.work.pictures import CoarsePicture
from vardata.work.remarks import Remark
from vardata.work.stages import Stages


class BothSides:
    """The stages of a two-sided product."""

    def __init__(self, a: Stages, b: Stages) -> None:
        self.a, self.b = a, b
        self.setup, self.slots = a.setup, a.slots
        self.pictured, self.recases = a.pictured or b.pictured, a.recases or b.recases

    def of(self, side: str) -> Stages:
        """The stages of side A or B."""
        return self.b if side == "B" else self.a

    def recased(self, fitted: Fitted) -> list[str]:
        """As ``Stages.recased``, for both."""
        return self.a.recased(self.a.own(fitted)) + self.b.recased(self.b.own(fitted))

    def remark(self, row: int, fitted: Fitted) -> None:
        """As ``Stages.remark``, for both."""
        self.a.remark(row, self.a.own(fitted))
        self.b.remark(row, self.b.own(fitted))

    def take_remarks(self) -> list[Remark]:
        """As ``Stages.take_remarks``, for both."""
        return self.a.take_remarks() + self.b.take_remarks()

    def take_coarse(self) -> tuple[CoarsePicture, ...]:
        """As ``Stages.take_coarse``, for both."""
        return self.a.take_coarse() + self.b.take_coarse()

    def prepare(
        self, records: Sequence[Record], sizes: GroupSizes | None = None
    ) -> list[Fitted | HeldRecord]:
        """As ``Stages.prepare``, for both."""
        pairs = zip(self.a.prepare(records, sizes), self.b.prepare(records, sizes))
        return [self._together(one, other) for one, other in pairs]

    @staticmethod
    def _together(one: Fitted | HeldRecord, other: Fitted | HeldRecord) -> Fitted | HeldRecord:
        if isinstance(one, HeldRecord):
            also = other.problems if isinstance(other, HeldRecord) else ()
            return one._replace(problems=one.problems + also)
        if isinstance(other, HeldRecord):
            return other
        return one._replace(fits=one.fits + other.fits)

    def groups(self, record: Record) -> dict[int, str]:
        """As ``Stages.groups``; fields of side B are counted after those of side A."""
        behind = self.b.groups(record).items()
        return self.a.groups(record) | {self.b.before + n: name for n, name in behind}


def stages_of(
    setup: Setup, names: tuple[str, ...], product: int = 0, scratch: Path | None = None
) -> Stages | BothSides:
    """The stages of one product; ``scratch`` is shared by the workers of a run."""

    def memo(side: str) -> Memo:
        return Memo(None if scratch is None else scratch / f"glyphs-{product}{side}")

    if setup.side_b is None:
        return Stages(setup, names, product, memo=memo(""))
    before = len(setup.layout.fields)
    return BothSides(
        Stages(setup, names, product, memo=memo("a")),
        Stages(setup.side_b, names, product, before, memo=memo("b")),
    )


def prepared(
    stages: Sequence[Stages | BothSides], records: Sequence[Record],
    sizes: GroupSizes | None = None,
) -> list[Fitted | HeldRecord]:
    """What becomes of each record, of whatever product."""
    if len(stages) == 1:
        return stages[0].prepare(records, sizes)
    found: dict[int, Fitted | HeldRecord] = {}
    for product, one in enumerate(stages):
        places = [at for at, record in enumerate(records) if record.product == product]
        found.update(zip(places, one.prepare([records[at] for at in places], sizes)))
    return [found[at] for at in range(len(records))]
