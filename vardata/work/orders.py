"""The sheets by order, in a worker: orders and the places of their records in, pages out."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from vardata.fit.result import CodeFit, FieldFit, TextFit
from vardata.job.model import CodeField, Layout, TextField
from vardata.output.picklist_orders import build_orders
from vardata.output.picklist_values import Piece
from vardata.output.slotline import telling
from vardata.work.fitting import FittedReader
from vardata.work.papers import run_paper
from vardata.work.plan import Place, RunPlan
from vardata.work.stages import Stages


class OrderTask(NamedTuple):
    """Orders in the order of the sheets: name, position of the first piece, places of all."""

    plan: RunPlan
    part: int  # from 1
    orders: tuple[tuple[str, int, tuple[Place, ...]], ...]


def telling_fields(layout: Layout) -> tuple[int, ...]:
    """Fields that a packer can match a piece by, best first: texts that differ from record to
    record, then codes, then any text."""
    ranks = []
    for index, field in enumerate(layout.fields):
        if isinstance(field, TextField):
            ranks.append((0 if "{" in field.text else 2, index))
        elif isinstance(field, CodeField):
            ranks.append((1, index))
    return tuple(index for _, index in sorted(ranks))


class OrderWork:
    """Makes parts of the pick list's second half."""

    def __init__(self, stages: Stages, scratch: Path) -> None:
        self._stages = stages
        self._reader = FittedReader(scratch)
        self._telling = telling_fields(stages.setup.layout)

    def __call__(self, task: OrderTask) -> Path:
        slots = self._stages.slots
        chunk: list[tuple[str, list[Piece]]] = []
        for order, start, places in task.orders:
            pieces = []
            for position, place in enumerate(places, start):
                bed, index = divmod(position, len(slots))
                text = self._text(self._reader.get(*place).fits)
                pieces.append((bed + 1, slots[index].name, text))
            chunk.append((order, pieces))
        paper = task.plan.scratch / f"orders-{task.part:07d}.pdf"
        paper.write_bytes(build_orders(chunk, run_paper(self._stages.setup, task.plan), task.part))
        return paper

    def _text(self, fits: tuple[FieldFit, ...]) -> str:
        """The best text, with the code that tells pieces of the same text apart."""
        texts: list[tuple[str, str]] = []
        codes: list[tuple[str, str]] = []
        for index in self._telling:
            fit = fits[index]
            if isinstance(fit, TextFit):
                texts.append(("", fit.text))
            elif isinstance(fit, CodeFit):
                codes.append(("", fit.text))
        shown = telling(tuple(texts[:1]), tuple(codes))
        return " / ".join(text for _, text in shown[:2] if text)
