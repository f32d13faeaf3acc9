"""Small runs of one EAN or UPC with its digits, and how a test looks at one slot of them.

Sources: ISO/IEC 15420, 4.3 (modules; from memory) and GS1 General Specifications, 5.2 (guard bars
5 modules longer, from memory; half a module free over the digits, outer digits in the quiet
zones; secondary).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest
from run_kit import AT, DONE, Run, build
from run_pages import MM, Box, Pixels, part

BOX = (3.0, 4.0, 52.0, 28.0)  # of the field on an item of 58 by 36 mm
TURNS = (0, 90, 180, 270)
OBLONG, SQUARE = (1440, 720), (720, 720)


class Kind(NamedTuple):
    """A number, its modules, which of them are longer below, and where digits may stand."""

    text: str
    columns: int
    quiet: tuple[int, int]
    longer: tuple[tuple[int, int], ...]
    digits: tuple[tuple[int, int], ...]
    zbar: str  # what it calls the symbol
    addon: int = 0  # its first module
    read: str = ""  # what zxing-cpp reads, if more than the number


KINDS = {
    "ean13": Kind("4006381333931", 95, (11, 7), ((0, 3), (45, 50), (92, 95)),
                  ((-11, 0), (3, 45), (50, 92)), "EAN-13"),
    "ean8": Kind("96385074", 67, (7, 7), ((0, 3), (31, 36), (64, 67)), ((3, 31), (36, 64)),
                 "EAN-8"),
    "upca": Kind("036000291452", 95, (9, 9), ((0, 10), (45, 50), (85, 95)),
                 ((-9, 0), (10, 45), (50, 85), (95, 104)), "UPC-A"),
    "upce": Kind("01234565", 51, (9, 7), ((0, 3), (45, 51)), ((-9, 0), (3, 45), (51, 58)),
                 "UPC-E", read="0012345000065"),
    "ean13+5": Kind("9783161484100+12345", 149, (11, 7),
                    ((0, 3), (45, 50), (92, 95), (102, 149)), ((-11, 0), (3, 45), (50, 92)),
                    "EAN-13", addon=102),
}  # fmt: skip

LAYOUT = """
name = "tag"
width = 58
height = 36
[[plates]]
name = "Colour"
role = "colour"
[[plates]]
name = "White"
role = "white"
cover = "%s"
choke = 0.05
[[fields]]
type = "code"
name = "code"
text = "{{ number }}"
symbology = "%s"
box = [3, 4, 52, 28]
text_line = true
%s
"""
JOB = """
name = "shop"
layout = "layout.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
blank = "%s"
[sheet]
file = "rows.csv"
[blanks.black]
surface = "dark"
[blanks.paper]
surface = "light"
"""
# A bed of 5 inches, where all edges of dots are round numbers: elsewhere Ghostscript 10.00 may
# give a picture that lies on its head one row of dots too many.
SLOT = '[[slots]]\nname = "A%d"\nx = %g\ny = %g\nrotation = %d\n'


def built(
    home: Path, kind: str, dpi: tuple[int, int], blank: str, *, cover: str = "art", more: str = "",
    mode: str = "", turned: int = 0,
) -> Run:  # fmt: skip
    """``turned``: the field is turned, on a square item."""
    home.mkdir()
    symbology = kind.partition("+")[0]
    slots = [
        SLOT % (turn, 32 + 63 * (at % 2), 32 + 63 * (at // 2), turn)
        for at, turn in enumerate(TURNS)
    ]
    layout = LAYOUT % (cover, symbology, more)
    if turned:
        layout = layout.replace("height = 36", "height = 58").replace("[3, 4,", "[3, 15,")
        layout += f"rotation = {turned}\n"
    files = {
        "job.toml": JOB % blank,
        "layout.toml": layout,
        "jig.toml": 'name = "j"\n' + "".join(slots),
        "bed.toml": 'name = "b"\nwidth = 127\nheight = 127\n[modes.fine]\n'
        f"dpi = [{dpi[0]}, {dpi[1]}]\n{mode}",
        "rows.csv": "number\n" + f"{KINDS[kind].text}\n" * len(TURNS),
    }
    for name, text in files.items():
        (home / name).write_text(text, encoding="utf-8")
    run = build(home, home.parent / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    return run


class Seen(NamedTuple):
    """One slot, upright: its plates at the job's dots, the code's box in them, a module."""

    plates: dict[str, Pixels]
    left: int
    top: int
    wide: int
    high: int
    across: int  # dots of a module
    tail: int  # dots of the longer bars, 5 modules as nearly as dots allow

    def columns(self, span: tuple[int, int]) -> slice:
        return slice(self.left + span[0] * self.across, self.left + span[1] * self.across)

    @property
    def bottom(self) -> int:
        return self.top + self.high


def seen(
    found: dict[str, Pixels], slot: dict[str, Any], dpi: tuple[int, int], turned: int = 0
) -> Seen:
    code, turn = slot["codes"][0], (round(slot["rotation_deg"]) + turned) % 360
    box: Box = tuple(slot["box_mm"])  # type: ignore[assignment]
    x, y, w, h = code["box_mm"]
    dots = (dpi[0] / MM, dpi[1] / MM)
    # How far the code's edges are from the item's, in dots, left, bottom, right, top of the bed.
    item = [
        int(np.ceil(box[0] * dots[0] - 1e-6)), int(np.ceil(box[1] * dots[1] - 1e-6)),
        int(np.floor((box[0] + box[2]) * dots[0] + 1e-6)),
        int(np.floor((box[1] + box[3]) * dots[1] + 1e-6)),
    ]  # fmt: skip
    edges = [x * dots[0], y * dots[1], (x + w) * dots[0], (y + h) * dots[1]]
    whole = [round(edge) for edge in edges]
    assert edges == pytest.approx(whole, abs=0.01), "box_mm is on whole dots"
    left, bottom = whole[0] - item[0], whole[1] - item[1]
    right, top = item[2] - whole[2], item[3] - whole[3]
    for _ in range(turn // 90):  # the bed's bottom is at the symbol's right at a quarter turn
        left, bottom, right, top = bottom, right, top, left
    upright = {
        name: np.rot90(part(plate, box, dpi), -(turn // 90)) for name, plate in found.items()
    }
    rows, columns = upright["Black"].shape
    across = code["module_dots"][0]
    along_x = turn % 180 == 0
    module = across / dots[0 if along_x else 1]
    tail = round(5 * module * dots[1 if along_x else 0])
    return Seen(upright, left, top, columns - left - right, rows - top - bottom, across, tail)


def look_at_longer_bars(slot: Seen, kind: Kind) -> None:
    black = slot.plates["Black"]
    assert slot.wide == kind.columns * slot.across
    body = black[slot.top : slot.bottom, slot.left : slot.left + slot.wide]
    assert set(np.unique(body)) == {0, 255}
    assert (body == body[0]).all()  # bars all the way, on whole dots
    longer = np.zeros(slot.wide, bool)
    for start, end in kind.longer:
        longer[start * slot.across : end * slot.across] = True
    wanted = np.where(longer, body[0], 0)
    below = black[slot.bottom : slot.bottom + slot.tail, slot.left : slot.left + slot.wide]
    # The same columns of dots, without a seam, for so many rows of dots and no more.
    assert (below[:, longer] == wanted[longer]).all()
    past = slot.bottom + slot.tail
    assert not black[past:, slot.left : slot.left + slot.wide][:, wanted > 0].any()
    free = round(slot.tail / 10)  # half a module
    assert not below[:free, ~longer].any()
