"""One worker: a function that does any task of a run. Made once in each process."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from vardata.intake.record import unpacked
from vardata.job.model import Setup


def make_worker(
    setup: Setup, names: tuple[str, ...], scratch: Path, number: int
) -> Callable[[Any], Any]:
    """The function for tasks: a chunk of records, packed, is fitted, beds and orders are made.

    ``scratch`` is shared by all workers of the run; ``number`` tells them apart.
    """
    from vardata.work.fitting import FitWork
    from vardata.work.sides import BothSides, stages_of

    stages = tuple(stages_of(part, names, at, scratch) for at, part in enumerate(setup.parts()))
    fit = FitWork(stages, scratch, number)
    made: dict[str | int, Any] = {}

    def beds(product: int) -> Any:
        if product not in made:
            from vardata.work.beds import BedWork

            both = stages[product]
            if isinstance(both, BothSides):
                made[product] = BedWork(both.a, scratch, BedWork(both.b, scratch))
            else:
                made[product] = BedWork(both, scratch)
        return made[product]

    def orders() -> Any:
        if "orders" not in made:
            from vardata.work.orders import OrderWork

            made["orders"] = OrderWork(stages, scratch)
        return made["orders"]

    def grouping() -> Any:
        if "grouping" not in made:
            from vardata.work.grouping import MeasureWork, RecordReader

            made["grouping"] = MeasureWork(stages, scratch, number), RecordReader(scratch)
        return made["grouping"]

    def work(task: Any) -> Any:
        if isinstance(task, bytes):
            return fit(unpacked(task))
        if hasattr(task, "records"):
            return grouping()[0](task)
        if hasattr(task, "sizes"):
            reader = grouping()[1]
            return fit(reader.records(task), reader.sizes(task))
        return (orders() if hasattr(task, "orders") else beds(task.product))(task)

    return work
