"""The sheets of a bed: head, code, map, and the table of its slots in the order of filling.

In: ``BedPaper``s of a chunk of beds, what the run says of itself. Out: a part of
``picklist.pdf``. The map takes what the table leaves, so few slots make a large map, and the
table flows on to further sheets. Each sheet says its bed and which sheet of it it is, so parts
can be joined in order without knowing of one another.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from vardata.output.picklist_document import Paper
from vardata.output.picklist_map import (
    CAPTION_ABOVE,
    CAPTION_BELOW,
    draw_map,
    face_room,
    look_name,
)
from vardata.output.picklist_pairs import draw_pairs
from vardata.output.picklist_paper import (
    BLACK,
    BOTTOM,
    FACT_LABEL,
    FACT_SIZE,
    FACT_STEP,
    GREY,
    INNER,
    LEFT,
    RIGHT,
    TOP,
    code,
    facts,
    first_head,
    foot,
)
from vardata.output.picklist_places import fit_box, map_height
from vardata.output.picklist_table import HEAD, Table, draw_rows, make_table
from vardata.output.picklist_turn import HEIGHT, draw_turn, turn_words
from vardata.output.picklist_values import BedPaper, RunPaper, named

KIND = "Pick list, slot to order"
_CODE = 64.0  # points, of the code on a first sheet
_CODE_NEXT = 40.0  # and on the following ones
_FIRST_TOP = TOP - 104.0  # where the map's caption starts
_NEXT_TOP = TOP - 50.0
_FETCH_LINES = 16  # more are no help at the bench
_MAP_LEAST = 190.0  # points; below that a table goes to another sheet instead
_SHORTENED = "\u2026 a text that is shortened here stands whole in picklist.xlsx and picklist.csv"


_DO = {"": "fetch", "A": "fetch", "B": "turn"}


class Plan(NamedTuple):
    """How a bed is spread over sheets: the map's height, the first row of each sheet, the end."""

    map_height: float
    starts: tuple[int, ...]


def build_part(
    beds: Sequence[BedPaper], run: RunPaper, behind: RunPaper | None = None
) -> bytes:
    """The sheets of these beds as a PDF. The same beds give the same bytes. ``behind`` is what
    side B of two-sided pieces says and shows.

    Raises ``OutputError`` where a font of the papers cannot be used.
    """
    if not beds:
        raise ValueError("a part of the pick list needs at least one bed")
    first, last = beds[0].bed, beds[-1].bed
    title = f"Bed {first}" if first == last else f"Beds {first} to {last}"
    paper = Paper(run, title)
    front = beds[0]
    for bed in beds:
        _bed(paper, behind if behind is not None and bed.side == "B" else run, bed)
        if behind is not None and bed.side == "B":
            draw_pairs(paper, (run, behind), front, bed)
        front = bed
    return paper.finish()


def _bed(paper: Paper, run: RunPaper, bed: BedPaper) -> None:
    """Draws a bed's sheets."""
    table = make_table(paper, bed.lines)
    fetch = _fetch(paper, run, bed)
    top = _FIRST_TOP - FACT_STEP * (len(fetch) - 1)
    top -= face_room(run) + (HEIGHT if run.side == "B" else 0.0)
    plan = plan_sheets(table.heights, map_height(run, INNER), top)
    note = _SHORTENED if table.shortened else ""
    ends = (*plan.starts[1:], len(table.heights))
    for number, (start, end) in enumerate(zip(plan.starts, ends), 1):
        if number == 1:
            out, forms = _first(paper, run, bed, fetch)
            _map_and_rows(paper, run, bed, table, plan, top, out, forms)
            if bed.look is not None:
                forms.append(paper.picture(look_name(bed), bed.look))
        else:
            out, forms = _next(paper, run, bed, table, start, end)
        sheet = f"bed {named(bed)}, page {number} of {len(plan.starts)}"
        out.append(foot(paper, run, sheet, note))
        paper.page(out, forms)


@lru_cache(maxsize=64)
def plan_sheets(heights: tuple[float, ...], natural: float, top: float) -> Plan:
    """Spreads rows of these heights over sheets, with a map of at most its natural height
    whose caption hangs from ``top`` on the first sheet.

    As few sheets as a map of the least height allows; then the map as large as that number of
    sheets allows.
    """
    room = top - BOTTOM - CAPTION_ABOVE - CAPTION_BELOW
    least = min(_MAP_LEAST, natural)
    following = _NEXT_TOP - BOTTOM - HEAD
    fewest = 1 + len(_flow(heights, _fill(heights, 0, room - least - HEAD), following))
    # The fewest rows on the first sheet that keep that number of sheets.
    head = 0
    used = 0.0
    while head < len(heights) and 1 + len(_flow(heights, head, following)) > fewest:
        used += heights[head]
        head += 1
    height = min(natural, room - (used + HEAD if head else 0.0))
    head = _fill(heights, 0, room - height - HEAD)
    return Plan(height, (0, *_flow(heights, head, following)))


def _fill(heights: Sequence[float], start: int, room: float) -> int:
    """The row after the last that fits a room, from ``start`` on."""
    used = 0.0
    for index in range(start, len(heights)):
        used += heights[index]
        if used > room + 0.01:
            return index
    return len(heights)


def _flow(heights: Sequence[float], start: int, room: float) -> tuple[int, ...]:
    """The first rows of the sheets that the rows from ``start`` on need."""
    starts = []
    while start < len(heights):
        starts.append(start)
        start = max(_fill(heights, start, room), start + 1)
    return tuple(starts)


def _first(
    paper: Paper, run: RunPaper, bed: BedPaper, fetch: Sequence[str]
) -> tuple[list[str], list[str]]:
    """The head of a first sheet: operators, and the forms that they show."""
    half = (INNER - _CODE - 16) / 2
    y = TOP - 54.0

    def same() -> str:
        return "\n".join(
            (
                facts(paper, (("job", run.job), ("run", run.run_named)), LEFT, y, half - 8),
                facts(paper, (("jig", run.jig), ("layout", run.layout)), LEFT + half, y, half),
            )
        )

    below = y - 2 * FACT_STEP
    out = [
        first_head(paper, run, KIND, f"Bed {named(bed)}", f"of {run.beds}", RIGHT - _CODE - 16),
        paper.once(("facts", run.side), same),
        facts(paper, (("bed file", bed.file), (_DO[run.side], "")), LEFT, below, INNER),
    ]
    if run.side == "B":
        drawn_top = below - len(fetch) * FACT_STEP - 2.0
        out.append(draw_turn(paper, run, LEFT + FACT_LABEL, drawn_top))
    for i, line in enumerate(fetch, 1):
        out.append(paper.regular.at(LEFT + FACT_LABEL, below - i * FACT_STEP, line, FACT_SIZE))
    return [*out, code(run, bed.bed, _CODE)], []


def _map_and_rows(
    paper: Paper,
    run: RunPaper,
    bed: BedPaper,
    table: Table,
    plan: Plan,
    top: float,
    out: list[str],
    forms: list[str],
) -> None:
    """Adds the rest of a first sheet, from ``top`` downwards."""
    top -= CAPTION_ABOVE
    box = fit_box(run, LEFT, top, INNER, plan.map_height)
    shown, form = draw_map(paper, run, bed, box)
    out.append(shown)
    forms.append(form)
    end = plan.starts[1] if len(plan.starts) > 1 else len(table.heights)
    if end:
        rows, form = draw_rows(paper, table, 0, end, top - plan.map_height - CAPTION_BELOW)
        out += rows
        forms.append(form)


def _next(
    paper: Paper, run: RunPaper, bed: BedPaper, table: Table, start: int, end: int
) -> tuple[list[str], list[str]]:
    """A following sheet, without its foot: operators, and the forms that they show."""
    title = f"Bed {named(bed)}"
    x = LEFT + paper.bold.width(title, 18.0) + 6
    room = RIGHT - _CODE_NEXT - 12 - LEFT
    names = f"{run.job}, run {run.run_named}, {bed.file}"
    size = paper.regular.fit_size(names, room, 8.5, 6.0)
    rows, grid = draw_rows(paper, table, start, end, _NEXT_TOP)
    out = [
        paper.bold.at(LEFT, TOP - 16, title, 18.0),
        f"{GREY} {paper.regular.at(x, TOP - 16, f'of {run.beds}, continued', 11.0)}",
        paper.regular.at(LEFT, TOP - 32, paper.regular.shorten(names, size, room), size),
        BLACK,
        code(run, bed.bed, _CODE_NEXT),
        *rows,
    ]
    return out, [grid]


def _fetch(paper: Paper, run: RunPaper, bed: BedPaper) -> list[str]:
    """Lines that say what whoever loads this bed brings: "40 black, 24 silver; 64 in all"; of
    side B, how the pieces get there."""
    if run.side == "B" and run.turn is not None:
        words = f"when side A is cured, {turn_words(run.turn, bed.bed)}"
        if run.turn.whole and run.pockets:
            words += f"; slot {run.pockets[0].name} is black in the drawing"
        return paper.regular.wrap(words, FACT_SIZE, INNER - FACT_LABEL, _FETCH_LINES)
    counts = Counter(line.blank_label for line in bed.lines)
    names = {line.slot for line in bed.lines}
    empty = sum(1 for pocket in run.pockets if not pocket.blocked and pocket.name not in names)
    after = f"; {len(bed.lines)} in all" if len(counts) > 1 else ""
    if empty:
        after += f"; {empty} pocket{'s' if empty > 1 else ''} to leave empty"
    told = ", ".join(f"{count} {label}".rstrip() for label, count in counts.items())
    after += "; side A comes first, side B when it is cured" if run.side else ""
    lines = paper.regular.wrap(told + after, FACT_SIZE, INNER - FACT_LABEL, _FETCH_LINES + 1)
    if len(lines) > _FETCH_LINES:
        return [f"{len(counts)} kinds of blank, each told in the table below{after}"]
    return lines
