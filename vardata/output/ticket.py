"""The job ticket: one sheet a bed for the person at the machine.

In: beds with their lines, how the machine is to be set, what is known of the materials. Out: a
part of ``tickets.pdf``. What is the same on every bed is stored once a part.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import (
    BLACK,
    GREY,
    INNER,
    LEFT,
    RIGHT,
    SHEET,
    TOP,
    code,
    first_head,
    foot,
    rule,
    tick_boxes,
)
from vardata.output.picklist_values import BedPaper, RunPaper, named
from vardata.output.slotline import SlotLine, telling

KIND = "Job ticket"
NO_CARD = "no card says how this material is treated: ask before you print on it"
_CODE = 64.0  # points
_START = TOP - 92.0
_STEP, _SIZE, _LABEL = 15.0, 10.0, 96.0
_TICK = 8.0
_MOST_LINES = 4
_MOST_CARDS = 6


class Ticket(NamedTuple):
    """``settings`` are (what, how) in the order in which a person sets them; ``cards`` are the
    same for each blank by its label, empty where nothing is known of it."""

    settings: tuple[tuple[str, str], ...]
    cards: Mapping[str, tuple[tuple[str, str], ...]]


def build_tickets(
    beds: Sequence[BedPaper], runs: Sequence[RunPaper], tickets: Sequence[Ticket]
) -> bytes:
    """The tickets of these beds as a PDF. The same beds give the same bytes. Of two-sided pieces
    there are two runs and tickets, for side A and for side B."""
    paper = Paper(runs[0], f"{KIND}s")
    settings = {run.side: _settings(paper, run, ticket) for run, ticket in zip(runs, tickets)}
    of_side = {run.side: (run, ticket) for run, ticket in zip(runs, tickets)}
    for bed in beds:
        (run, ticket), (form, y) = of_side[bed.side], settings[bed.side]
        out = [
            first_head(paper, run, KIND, f"Bed {named(bed)}", f"of {run.beds}", RIGHT - _CODE - 16),
            _line(paper, "file", bed.file, TOP - 62.0),
            code(run, bed.bed, _CODE),
            f"/{form} Do",
            *_materials(paper, bed, ticket, y),
            foot(paper, run, f"bed {named(bed)}", kind="job ticket"),
        ]
        paper.page(out, [form])
    return paper.finish()


def _settings(paper: Paper, run: RunPaper, ticket: Ticket) -> tuple[str, float]:
    """The form of the settings, and where what follows may start."""
    heights: list[float] = []

    def made() -> tuple[str, Sequence[str]]:
        drawn, y = _box(paper, "Set the machine", ticket.settings, _START, ticks=True)
        heights.append(y)
        return drawn, ()

    return paper.stored(("settings", run.side), SHEET, made), heights[0]


def _materials(paper: Paper, bed: BedPaper, ticket: Ticket, y: float) -> list[str]:
    """What is on the bed: its ends, then a card for each material."""
    out = []
    ends = [("first", bed.lines[0])] if bed.lines else []
    ends += [("last", bed.lines[-1])] if len(bed.lines) > 1 else []
    told = [(f"{which}, {line.slot}", _texts(line)) for which, line in ends]
    drawn, y = _box(paper, "Compare with the print", told, y)
    out.append(drawn)
    counts = Counter(line.blank_label for line in bed.lines)
    for label, count in list(counts.items())[:_MOST_CARDS]:
        card = ticket.cards.get(label) or (("caution", NO_CARD),)
        drawn, y = _box(paper, f"{count} x {label}", card, y)
        out.append(drawn)
    left = len(counts) - _MOST_CARDS
    if left > 0:
        out.append(_line(paper, "", f"and {left} more materials, see the pick list", y))
    return out


def _texts(line: SlotLine) -> str:
    return " / ".join(content for _, content in telling(line.texts, line.codes)) or line.record


def _box(
    paper: Paper, title: str, pairs: Sequence[tuple[str, str]], y: float, *, ticks: bool = False
) -> tuple[str, float]:
    """A titled list from ``y`` downwards, and where the next may start."""
    out = [rule(y + 14), BLACK, paper.bold.at(LEFT, y - 2, paper.bold.shorten(title, 12.0, INNER),
                                              12.0)]  # fmt: skip
    y -= 20
    boxes = []
    for label, text in pairs:
        boxes.append((LEFT, y - 1.0))
        left = LEFT + (_TICK + 6 if ticks else 0.0)
        out.append(f"{GREY} {paper.regular.at(left, y, label, 8.5)} {BLACK}")
        for line in paper.regular.wrap(text, _SIZE, INNER - _LABEL, _MOST_LINES):
            out.append(paper.regular.at(LEFT + _LABEL, y, line, _SIZE))
            y -= _STEP
    if ticks:
        out.append(tick_boxes(boxes, _TICK))
    return "\n".join(out), y - 14


def _line(paper: Paper, label: str, text: str, y: float) -> str:
    size = paper.regular.fit_size(text, INNER - _LABEL - _CODE, 9.5, 6.5)
    label = f"{GREY} {paper.regular.at(LEFT, y, label, 8.0)} {BLACK}"
    return f"{label}\n{paper.regular.at(LEFT + 44.0, y, text, size)}"
