"""The two-sided key tags, changed as a test wants them, and their beds turned over by hand.

A turn is played on pictures: what Ghostscript rendered of side A is mirrored as a whole, or
piece by piece where it lies. Then it shows, seen through the blanks, where each piece lies when
side B is printed.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import zxingcpp
from run_kit import copied
from run_pages import PROCESS, Box, Pixels, part, plates

DPI = 288
CODE_A = """
[[fields]]
type = "code"
name = "mark"
text = "SIDE-A/{{ key }}"
symbology = "qr"
box = [38, 4, 20, 18]
"""
TURNED_JIG = """\
name = "key-jig-7"

[[slots]]
name = "p"
x = 40
y = 40
[[slots]]
name = "q"
x = 120
y = 50
rotation = 90
[[slots]]
name = "r"
x = 48
y = 100
rotation = 180
[[slots]]
name = "s"
x = 130
y = 130
rotation = 270
[[slots]]
name = "t"
x = 50
y = 160
"""


def keys(
    place: Path, *, turn: str = "pieces", axis: str = "horizontal", reads: str = "book",
    more: str = "", even: bool = False,
) -> Path:
    """A job whose sides both have a code, with cut lines, in pockets turned every way; ``even``
    tags are rectangles."""
    home = copied("keys", place)
    text = (home / "job.toml").read_text(encoding="utf-8")
    start, end = text.index("[side_b]"), text.index("[blanks.white]")
    table = f'[side_b]\nlayout = "back.toml"\nturn = "{turn}"\naxis = "{axis}"\nreads = "{reads}"\n'
    text = text[:start] + table + more + "\n" + text[end:]
    text = text.replace("[output]", "[output]\ncut_lines = true")
    (home / "job.toml").write_text(text, encoding="utf-8")
    (home / "tag-jig.toml").write_text(TURNED_JIG, encoding="utf-8")
    front, back = ((home / name).read_text("utf-8") for name in ("front.toml", "back.toml"))
    front = front.replace("[12, 10, 46, 11.5]", "[12, 10, 25, 11.5]")
    if even:
        front, back = (_rectangle(layout) for layout in (front, back))
    elif reads == "calendar":  # then the point stays on the left, and this tag is even upwards
        back = back.replace(_path(back), _path(front)).replace("[3, 4, 20, 20]", "[38, 4, 20, 20]")
        back = back.replace("[25, 13, 24, 10]", "[12, 13, 24, 10]")
        back = back.replace("[25, 5, 24, 6]", "[12, 5, 24, 6]")
    (home / "front.toml").write_text(front + CODE_A, encoding="utf-8")
    (home / "back.toml").write_text(back, encoding="utf-8")
    return home


def _path(layout: str) -> str:
    return next(line for line in layout.splitlines() if line.startswith("path = "))


def _rectangle(layout: str) -> str:
    plain = layout.replace(_path(layout) + "\n", "")
    return plain.replace('outline = "path"', 'outline = "rectangle"')


def black_and_cut(path: Path) -> tuple[Pixels, Pixels]:
    """A bed's black plate and its cut lines, ink from 0 to 255, by Ghostscript's tiffsep."""
    found = plates(path, 1, str(DPI), ("Gloss", "Cut"))
    assert set(found) == {*PROCESS, "Gloss", "Cut"}
    return found["Black"], found["Cut"]


def turned_over(ink: Pixels, axis: str) -> Pixels:
    """A bed mirrored about its middle."""
    return ink[:, ::-1] if axis == "vertical" else ink[::-1, :]


def turned_pieces(ink: Pixels, slots: list[dict[str, Any]], axis: str) -> Pixels:
    """A bed with each piece turned in its pocket about its own axis."""
    out = np.zeros_like(ink)
    for slot in slots:
        window = whole(slot["box_mm"])
        across = (axis == "vertical") == (slot["rotation_deg"] % 180 == 0)
        piece = part(ink, window, (DPI, DPI))
        part(out, window, (DPI, DPI))[:] = piece[:, ::-1] if across else piece[::-1, :]
    return out


def whole(box: Box) -> Box:
    """A box with a little room for the line that is drawn about the piece."""
    x, y, w, h = box
    return x - 1.0, y - 1.0, w + 2.0, h + 2.0


def code_in(ink: Pixels, box: Box) -> str:
    """The one code in a box, by zxing-cpp, mirrored or not."""
    grey = np.ascontiguousarray(255 - part(ink, box, (DPI, DPI)))
    found = zxingcpp.read_barcodes(grey, formats=zxingcpp.BarcodeFormat.QRCode)
    assert len(found) == 1, box
    return str(found[0].text)


def apart(one: Pixels, other: Pixels, reach: int) -> int:
    """Inked pixels of either that have no fellow in the other within ``reach`` pixels."""
    from scipy.ndimage import binary_dilation

    square = np.ones((2 * reach + 1, 2 * reach + 1), np.bool_)
    a, b = one > 127, other > 127
    assert a.any()
    return int((a & ~binary_dilation(b, square)).sum() + (b & ~binary_dilation(a, square)).sum())
