"""The sheets by order, in a worker: orders and the places of their records in, pages out."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache, partial
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias

from vardata.impose.bags import Bag, bags_of
from vardata.job.model import AnyField, CodeField, TextField
from vardata.output.picklist_orders import build_orders
from vardata.output.picklist_values import Piece
from vardata.output.slotline import telling
from vardata.output.tables import csv_rows
from vardata.work.fitting import FittedReader
from vardata.work.papers import paper_fonts, run_paper
from vardata.work.plan import Place, RunPlan
from vardata.work.sides import BothSides
from vardata.work.stages import Stages

# Where a piece lies (its bed, the slot by its place in filling order, its product), and where its
# record lies in the spools. Plain, as there is one for each record and it goes between processes.
OrderPiece: TypeAlias = tuple[int, int, int, Place]


class OrderTask(NamedTuple):
    """Orders in the order of the sheets: their names and pieces."""

    plan: RunPlan
    part: int  # from 1
    orders: tuple[tuple[str, tuple[OrderPiece, ...]], ...]
    bag: int | None = None  # so many pieces go into one bag
    held: tuple[tuple[str, str], ...] = ()  # orders of which rows are held, and what to say of it


class OrdersDone(NamedTuple):
    """A part of the pick list, and the rows of ``bags.csv`` of its orders."""

    paper: Path
    bags: bytes


BAG_HEADINGS = (
    "order", "bag", "bags", "pieces", "from piece", "to piece", "from bed", "from slot",
    "from text", "to bed", "to slot", "to text",
)  # fmt: skip


def _bag_row(order: str, bag: Bag, pieces: Sequence[Piece]) -> list[str]:
    """A row of ``bags.csv``: the bag, its first and its last piece."""
    numbers = (bag.number, bag.bags, len(pieces), bag.first, bag.last)
    ends = [(str(bed), slot, text) for bed, slot, text in (pieces[0], pieces[-1])]
    return [order, *map(str, numbers), *ends[0], *ends[1]]


class TellingFields(NamedTuple):
    """Fields that a packer can match a piece by, by their places in the layout. Of texts, the best
    come first: those that differ from record to record."""

    texts: tuple[int, ...]
    codes: tuple[int, ...]


def telling_fields(fields: Sequence[AnyField]) -> TellingFields:
    """The telling ones of all fields."""
    texts = [
        ("{" not in field.text, at) for at, field in enumerate(fields)
        if isinstance(field, TextField)
    ]  # fmt: skip
    codes = [at for at, field in enumerate(fields) if isinstance(field, CodeField)]
    return TellingFields(tuple(at for _, at in sorted(texts)), tuple(codes))


class OrderWork:
    """Makes parts of the pick list's second half."""

    def __init__(self, stages: Sequence[Stages | BothSides], scratch: Path) -> None:
        self._stages = stages
        self._reader = FittedReader(scratch)
        sides = (side for part in stages for side in part.setup.sides())
        self._fonts = paper_fonts(sides)  # an order has them all
        self._run_paper = lru_cache(maxsize=1)(partial(run_paper, stages[0].setup))
        self._slot_names = [[slot.name for slot in part.slots] for part in stages]
        self._telling = [
            telling_fields([field for side in part.setup.sides() for field in side.layout.fields])
            for part in stages
        ]

    def __call__(self, task: OrderTask) -> OrdersDone:
        chunk: list[tuple[str, list[Piece]]] = []
        rows: list[list[str]] = []
        held = dict(task.held)
        for order, placed in task.orders:
            pieces = []
            for bed, slot, product, place in placed:
                text = self._text(self._reader.contents(*place), product)
                pieces.append((bed, self._slot_names[product][slot], text))
            if task.bag is None or not pieces:
                chunk.append((order, pieces))
                continue
            for bag in bags_of(len(pieces), task.bag):
                inside = pieces[bag.first - 1 : bag.last]
                told = f", bag {bag.number} of {bag.bags} ({bag.first}–{bag.last})"
                name = order + told if bag.bags > 1 else order
                if order in held and bag.number == bag.bags:  # it is told with the last bag
                    held[name] = held[order]
                chunk.append((name, inside))
                rows.append(_bag_row(order, bag, inside))
        paper = task.plan.scratch / f"orders-{task.part:07d}.pdf"
        run = self._run_paper(task.plan)._replace(fonts=self._fonts)
        if any(part.setup.side for part in self._stages):
            run = run._replace(side="A")
        paper.write_bytes(build_orders(chunk, run, task.part, held))
        return OrdersDone(paper, csv_rows(rows) if rows else b"")

    def _text(self, contents: Sequence[Any], product: int) -> str:
        """The best text, with the code that tells pieces of the same text apart; after the
        product's name where there are several."""
        best, telling_codes = self._telling[product]
        texts = [("", contents[at]) for at in best if contents[at] is not None]
        codes = [("", contents[at]) for at in telling_codes if contents[at] is not None]
        shown = telling(tuple(texts[:1]), tuple(codes))
        told = shown[0][1] if len(shown) == 1 else " / ".join([one for _, one in shown[:2] if one])
        if len(self._stages) == 1:
            return told
        return ": ".join(filter(None, (self._stages[product].setup.layout.name, told)))
