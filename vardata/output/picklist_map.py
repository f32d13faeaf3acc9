"""The map of a bed on its pick list: as seen by a person who stands at the machine.

In: a bed's lines, the jig's pockets, a box on the paper. Out: PDF operators: the bed's frame
with its front edge at the bottom, the picture's place, every slot's outline at its true place,
and a tag with its name that keeps off the picture. Pockets that stay empty are dashed. What
does not change from bed to bed is stored once a part.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import INNER, LEFT, SHEET
from vardata.output.picklist_places import MapBox, Place, place_of, turn
from vardata.output.picklist_tags import draw_tags
from vardata.output.picklist_values import BedPaper, Pocket, RunPaper

_SLOT_LINE = 0.5  # points
CAPTION_ABOVE = 11.0
CAPTION_BELOW = 17.0
_ON_THEIR_FACE = (
    "Blanks lie on their face: on the bed each one's outline and print are the mirror image of "
    "this map's"
)
_FACE_ROOM = 13.0  # points, for that line above the caption


def face_room(run: RunPaper) -> float:
    """How much room the line on how blanks lie takes above the map's caption, in points."""
    return _FACE_ROOM if run.face_down else 0.0


def draw_map(paper: Paper, run: RunPaper, bed: BedPaper, box: MapBox) -> tuple[str, str]:
    """The whole map with its captions, where ``/Look<bed>`` stands for the picture; and the
    name of the form that holds what lies on top of the picture."""
    slots = tuple([line.slot for line in bed.lines])  # all beds of a paper lie on one jig
    with_look = bed.look is not None

    def make() -> tuple[str, Sequence[str]]:
        return _upper(paper, run, box, _filled(bed), with_look)

    form = paper.stored(("map", run.side, slots, box, with_look), SHEET, make)
    return "\n".join([*draw_look(bed, box), f"/{form} Do 0 g"]), form


def draw_look(bed: BedPaper, box: MapBox) -> list[str]:
    """The ground of a bed, and its picture on it where it has one."""
    corner = f"{box.x:.2f} {box.y:.2f} {box.width:.2f} {box.height:.2f} re"
    out = [f"0.985 g {corner} f"]
    if bed.look is not None:
        x0, y0, x1, y1 = bed.look.bbox
        sx, sy = box.width / (x1 - x0), box.height / (y1 - y0)
        out.append(
            f"q {corner} W n {sx:.6f} 0 0 {sy:.6f} {box.x - x0 * sx:.4f} {box.y - y0 * sy:.4f} "
            f"cm /{look_name(bed)} Do Q"
        )
    return out


def draw_outlines(paper: Paper, run: RunPaper, bed: BedPaper, box: MapBox) -> tuple[str, str]:
    """The outlines of a bed's items, and the name of the form that they show."""
    outline = _stored_outline(paper, run)
    filled = _filled(bed)
    return f"q {_outlines(box, filled, [], outline)} Q", outline


def _filled(bed: BedPaper) -> list[Place]:
    """The places of items, by their boxes on the bed."""
    lying = [(line.slot, line.box_mm, line.rotation) for line in bed.lines]
    return [
        Place(name, x + w / 2, y + h / 2, w / 2, h / 2, rotation)
        for name, (x, y, w, h), rotation in lying
    ]


def _stored_outline(paper: Paper, run: RunPaper) -> str:
    return paper.stored(("outline", run.side), _about(run.item_mm), lambda: (_outline(run), ()))


def look_name(bed: BedPaper) -> str:
    """What the form of a bed's picture is called."""
    return f"Look{bed.bed}{bed.side}"


def _upper(
    paper: Paper, run: RunPaper, box: MapBox, filled: Sequence[Place], with_look: bool
) -> tuple[str, Sequence[str]]:
    """What lies on top of the picture: frame, outlines, names, captions."""
    names = {place.name for place in filled}
    empty = [pocket for pocket in run.pockets if pocket.name not in names]
    outline = _stored_outline(paper, run)
    out = [_frame(paper, box), _outlines(box, filled, empty, outline), _crosses(run, box, empty)]
    out.append(draw_tags(paper.bold, run, box, filled, with_look))
    out.append(_caption(paper, run, box, empty))
    return "\n".join(part for part in out if part), (outline,)


def _frame(paper: Paper, box: MapBox) -> str:
    middle = box.x + box.width / 2
    return "\n".join(
        (
            f"0.6 G 0.6 w {box.x:.2f} {box.y:.2f} {box.width:.2f} {box.height:.2f} re S",
            f"0 g {box.x - 0.3:.2f} {box.y - 3:.2f} {box.width + 0.6:.2f} 3 re f",
            paper.bold.at_middle(middle, box.y - 13.0, "FRONT EDGE, you stand here", 8.0),
            f"0.35 g {paper.regular.at(box.x, box.y - 12.0, 'origin', 6.5)}",
        )
    )


def _about(item_mm: tuple[float, float]) -> tuple[float, float, float, float]:
    """A box about the item's centre with room for the line."""
    return (-item_mm[0], -item_mm[1], item_mm[0], item_mm[1])


def _outline(run: RunPaper) -> str:
    """The item's outline in mm about its own centre, to be stroked as the page says."""
    dx, dy = run.item_mm[0] / 2, run.item_mm[1] / 2
    out = []
    for command in run.outline:
        name, *rest = command
        numbers = [float(number) for number in rest]
        for i in range(min(len(numbers), 2) if name == "re" else len(numbers)):
            numbers[i] -= dy if i % 2 else dx
        out.append(" ".join([*(f"{number:.3f}" for number in numbers), str(name)]))
    return "\n".join([*out, "S"])


def _outlines(box: MapBox, filled: Sequence[Place], empty: Sequence[Pocket], outline: str) -> str:
    """Every slot's outline; solid where it is filled, dashed where it stays empty."""
    out = [f"0.45 G {_SLOT_LINE / box.scale:.4f} w"]
    out += [_placed(box, place, outline) for place in filled]
    if empty:
        dash = 1.6 / box.scale
        out.append(f"q 0.65 G [{dash:.3f} {dash:.3f}] 0 d")
        out += [_placed(box, pocket, outline) for pocket in empty]
        out.append("Q")
    return "\n".join(out)


def _placed(box: MapBox, place: Place | Pocket, outline: str) -> str:
    c, s = (part * box.scale for part in turn(place.rotation))
    return (
        f"q {c:.4f} {s:.4f} {-s:.4f} {c:.4f} "
        f"{box.x + place.x * box.scale:.2f} {box.y + place.y * box.scale:.2f} cm /{outline} Do Q"
    )


def _crosses(run: RunPaper, box: MapBox, empty: Iterable[Pocket]) -> str:
    """A cross in every blocked pocket."""
    out = []
    for pocket in empty:
        if pocket.blocked:
            place = place_of(pocket, run.item_mm)
            x, y = box.x + place.x * box.scale, box.y + place.y * box.scale
            w, h = place.half_w * box.scale * 0.7, place.half_h * box.scale * 0.7
            out.append(f"{x - w:.2f} {y - h:.2f} m {x + w:.2f} {y + h:.2f} l")
            out.append(f"{x - w:.2f} {y + h:.2f} m {x + w:.2f} {y - h:.2f} l S")
    return "0.65 G 0.6 w\n" + "\n".join(out) if out else ""


def _caption(paper: Paper, run: RunPaper, box: MapBox, empty: Sequence[Pocket]) -> str:
    text = "The bed from above, back at the top"
    if run.side:
        text = f"Side {run.side} as seen from above, back at the top"
    if any(not pocket.blocked for pocket in empty):
        text += "; dashed: stays empty"
    if any(pocket.blocked for pocket in empty):
        text += "; crossed: blocked"
    y = box.y + box.height + 3.5
    out = f"0.35 g {paper.regular.at(box.x, y, text, 7.0)}"
    if run.face_down:
        size = paper.bold.fit_size(_ON_THEIR_FACE, INNER, 10.0, 7.0)
        out += f"\n0 g {paper.bold.at(LEFT, y + CAPTION_ABOVE, _ON_THEIR_FACE, size)}"
    return out
