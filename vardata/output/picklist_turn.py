"""How two-sided pieces are turned, in words and as a small drawing on the sheet of side B.

In: a ``RunPaper`` of side B. Out: sentences for the bench and the ticket, and PDF operators: on
the left side A with the axis dashed, an arrow, on the right side B. A turned jig is drawn with
all its pockets, the first of them black, so that one sees where it goes.
"""

from __future__ import annotations

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import BLACK
from vardata.output.picklist_places import turn as cos_sin
from vardata.output.picklist_values import Pocket, RunPaper, Turn

HEIGHT = 64.0  # points of a drawing
_ARROW, _LETTER = 34.0, 13.0
_SWAPPED = {"vertical": "left and right", "horizontal": "top and bottom"}
_JIG_SWAPPED = {"vertical": "left and right", "horizontal": "front and back"}


def turn_words(turn: Turn, bed: int | None = None) -> str:
    """What to do between side A and side B, of one bed or of any."""
    of = f" of bed {bed} A" if bed is not None else ""
    if turn.whole:
        start = "the left" if turn.axis == "vertical" else "the front"
        runs = "from front to back" if turn.axis == "vertical" else "from left to right"
        return (
            f"turn the whole jig{of} over with its pieces, about an axis {runs}, {turn.line:g} mm "
            f"from {start} of the bed: {_JIG_SWAPPED[turn.axis]} change places"
        )
    into = f"into the same slot of the jig {turn.other_jig}" if turn.other_jig else (
        "back into its own slot"
    )  # fmt: skip
    return (
        f"turn each piece{of} about its own {turn.axis} axis, so that its {_SWAPPED[turn.axis]} "
        f"change places, and put it {into}"
    )


def draw_turn(paper: Paper, run: RunPaper, x: float, top: float) -> str:
    """The drawing, which hangs from ``top`` and starts at ``x``; empty without a turn."""
    if run.turn is None:
        return ""
    size = run.bed_mm if run.turn.whole else run.item_mm
    scale = min((HEIGHT - 14.0) / size[1], 150.0 / size[0])
    w, h = size[0] * scale, size[1] * scale
    x, y = x + _LETTER, top - HEIGHT + (HEIGHT - h) / 2
    second = x + w + _ARROW + _LETTER
    out = ["q 0.35 G 0.7 w"]
    for side, left in (("A", x), ("B", second)):
        drawn = _jig(run, run.turn, side) if run.turn.whole else _piece(run, side)
        out.append(f"q {scale:.5f} 0 0 {scale:.5f} {left:.2f} {y:.2f} cm {drawn} Q")
    out += [_axis(run, x, y, w, h, scale), _arrow(x + w + 6, y + h / 2), "Q", BLACK]
    for side, left in (("A", x), ("B", second)):
        out.append(paper.bold.at(left - _LETTER, y + h / 2 - 4.0, side, 11.0))
    return "\n".join(out)


def _axis(run: RunPaper, x: float, y: float, w: float, h: float, scale: float) -> str:
    """The axis, dashed, through side A."""
    assert run.turn is not None
    if run.turn.axis == "vertical":
        at = x + (run.turn.line * scale if run.turn.whole else w / 2)
        ends = f"{at:.2f} {y - 4:.2f} m {at:.2f} {y + h + 2:.2f} l"
    else:
        at = y + (run.turn.line * scale if run.turn.whole else h / 2)
        ends = f"{x - 5:.2f} {at:.2f} m {x + w + 5:.2f} {at:.2f} l"
    return f"q [3 2] 0 d 0 G {ends} S Q"


def _arrow(x: float, y: float) -> str:
    """An arrow that bends over, pointing to the right."""
    return (
        f"q 0 G 1.1 w {x:.2f} {y:.2f} m {x + 5:.2f} {y + 12:.2f} {x + 15:.2f} {y + 12:.2f} "
        f"{x + 20:.2f} {y + 1:.2f} c S 0 g {x + 21.5:.2f} {y - 3:.2f} m {x + 16:.2f} {y + 2:.2f} l "
        f"{x + 23:.2f} {y + 4:.2f} l f Q"
    )


def _piece(run: RunPaper, side: str) -> str:
    """The outline of a piece, in mm, with a mark that is in another corner after the turn."""
    assert run.turn is not None
    w, h = run.item_mm
    mirrored = side == "B"
    flip = f"-1 0 0 1 {w:g} 0 cm" if run.turn.axis == "vertical" else f"1 0 0 -1 0 {h:g} cm"
    # ``run`` is that of side B: its outline, seen upright, is that of side A from behind.
    outline = "\n".join(
        " ".join([*(f"{number:.3f}" for number in command[1:]), str(command[0])])
        for command in run.outline
    )
    book = f"-1 0 0 1 {w:g} 0 cm" if run.turn.book else f"1 0 0 -1 0 {h:g} cm"
    line = 0.7 * max(w, h) / 120
    dot = min(w, h) / 9
    mark = f"0 g {w * 0.24 - dot:.3f} {h * 0.68 - dot:.3f} {2 * dot:.3f} {2 * dot:.3f} re f"
    return f"{line:.4f} w q {flip if mirrored else ''} q {book} {outline} S Q {mark} Q"


def _jig(run: RunPaper, turn: Turn, side: str) -> str:
    """The bed with all pockets, in mm; the first is black."""
    w, h = run.bed_mm
    out = [f"{w / 200:.3f} w 0 0 {w:g} {h:g} re S"]
    for number, pocket in enumerate(run.pockets):
        x, y = (pocket.x, pocket.y) if side == "B" else _before(turn, pocket)
        c, s = map(abs, cos_sin(pocket.rotation))
        half_w = (c * run.item_mm[0] + s * run.item_mm[1]) / 2
        half_h = (s * run.item_mm[0] + c * run.item_mm[1]) / 2
        paint = "f" if number == 0 else "S"
        out.append(
            f"{x - half_w:.2f} {y - half_h:.2f} {2 * half_w:.2f} {2 * half_h:.2f} re {paint}"
        )
    return "0 g " + "\n".join(out)


def _before(turn: Turn, pocket: Pocket) -> tuple[float, float]:
    """Where a pocket of side B lay on side A: a mirror undoes itself."""
    if turn.axis == "vertical":
        return 2 * turn.line - pocket.x, pocket.y
    return pocket.x, 2 * turn.line - pocket.y
