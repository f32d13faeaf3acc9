"""What all sheets share: their measures, heads and feet, rules and boxes to tick.

In: a paper's pens, what the run says of itself. Out: PDF operators.
"""

from __future__ import annotations

from collections.abc import Sequence

from vardata.output import picklist_code
from vardata.output.picklist_document import HEIGHT, WIDTH, Box, Paper
from vardata.output.picklist_values import RunPaper

LEFT = 36.0
RIGHT = WIDTH - 36.0
TOP = HEIGHT - 34.0
BOTTOM = 42.0  # the content ends here; the foot stands below
INNER = RIGHT - LEFT
FACT_LABEL, FACT_SIZE, FACT_STEP = 44.0, 9.5, 13.0  # of the lines under a title
GREY = "0.4 g"
BLACK = "0 g"
ZEBRA = "0.945 g"
RULE = "0.6 G 0.5 w"

SHEET: Box = (0.0, 0.0, WIDTH, HEIGHT)


def first_head(paper: Paper, run: RunPaper, kind: str, title: str, of: str, right: float) -> str:
    """The kind of sheet, small, its title, large, and the date, which ends at ``right``."""

    def same() -> str:
        date = run.at.strftime("%Y-%m-%d")
        shown = paper.bold.show(kind.upper(), 7.5)
        return (
            f"{GREY} BT 0.5 Tc {LEFT} {TOP - 8:.2f} Td {shown} 0 Tc ET\n"
            + paper.regular.at_right(right, TOP - 36, date, 11.0)
        )

    after = LEFT + paper.bold.width(title, 26.0) + 7
    return "\n".join(
        (
            paper.once((kind, right), same),
            paper.regular.at(after, TOP - 36, of, 14.0),
            BLACK,
            paper.bold.at(LEFT, TOP - 36, title, 26.0),
        )
    )


def facts(paper: Paper, pairs: Sequence[tuple[str, str]], x: float, y: float, width: float) -> str:
    """Label and value on a line, at most so wide; the value shrinks before it is shortened."""
    out = []
    for label, value in pairs:
        room = width - FACT_LABEL
        size = paper.regular.fit_size(value, room, FACT_SIZE, 6.5)
        shown = paper.regular.shorten(value, size, room)
        out.append(f"{GREY} {paper.regular.at(x, y, label, 8.0)} {BLACK}")
        out.append(paper.regular.at(x + FACT_LABEL, y, shown, size))
        y -= FACT_STEP
    return "\n".join(out)


def foot(
    paper: Paper, run: RunPaper, right: str, note: str = "", kind: str = "pick list"
) -> str:
    """The foot: job and run on the left, a note below, which sheet this is on the right."""

    def same() -> str:
        left = f"vardata {kind}, job {run.job}, run {run.run_named}"
        left = paper.regular.shorten(left, 7.5, INNER - 150)
        return f"{RULE} {LEFT} 33 m {RIGHT:.2f} 33 l S {GREY}\n" + paper.regular.at(
            LEFT, 22.5, left, 7.5
        )

    out = [paper.once("foot", same), paper.regular.at_right(RIGHT, 22.5, right, 7.5)]
    if note:
        out.append(paper.regular.at(LEFT, 13.5, note, 7.0))
    out.append(BLACK)
    return "\n".join(out)


def rule(y: float) -> str:
    """A thin line across the sheet."""
    return f"{RULE} {LEFT} {y:.2f} m {RIGHT:.2f} {y:.2f} l S"


def tick_boxes(places: Sequence[tuple[float, float]], size: float) -> str:
    """Empty squares to be ticked, their lower left corners given."""
    boxes = "\n".join(f"{x:.2f} {y:.2f} {size:g} {size:g} re" for x, y in places)
    return f"0.3 G 0.7 w\n{boxes} S" if places else ""


def code(run: RunPaper, bed: int, size: float) -> str:
    """The sheet's code in the upper right corner, ``size`` points without its quiet zone."""
    drawn = picklist_code.draw(picklist_code.sheet_text(run.run, bed, run.side))
    return f"q {size:g} 0 0 {size:g} {RIGHT - size:.2f} {TOP - size:.2f} cm 0 g\n{drawn}\nQ"
