"""A small good job in a folder of its own, to be spoiled, and the command run on it.

Three rows, a text, a QR code and a picture, four slots. Texts are chosen so that every row
prints: what a test then sees go wrong is what it spoiled.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from jobkit import FLATBED, FOUR_SLOTS, Answer, JobBench, png

__all__ = ["Answer", "JobBench", "png"]

JOB = """\
name = "tags"
layout = "tag.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
blank = "black"

[sheet]
file = "orders.csv"

[columns]
number = { heading = "Asset no", kind = "code" }
owner = "Owner"
photo = "Photo"

[records]
order = "Order"
quantity = "Pieces"
quantity_max = 20

[blanks.black]
label = "black tag"
surface = "dark"
"""

LAYOUT = """\
name = "tag"
width = 60
height = 25

[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "art"

[[art]]
file = "art/logo.svg"
box = [44, 2, 14, 6]

[[fields]]
type = "text"
name = "owner"
text = "{{ owner }}"
font = "NotoSans-Regular"
size = "10pt"
min_size = "6pt"
box = [22, 10, 36, 6]
colour = "White"

[[fields]]
type = "code"
name = "number"
text = "{{ number }}"
symbology = "qr"
box = [2, 3.5, 18, 18]

[[fields]]
type = "picture"
name = "photo"
file = "{{ photo }}"
box = [24, 2, 6, 6]
"""

SHEET = """\
Order,Asset no,Owner,Photo,Pieces
1001,00042,Ada Byron,photos/ada.png,1
1001,00043,Grace Hopper,photos/ada.png,2
1002,00044,Mary Jackson,photos/ada.png,1
"""

LOGO = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 14 6"><path d="M1 1H13V5H1Z"/></svg>\n'

HEADING = SHEET.splitlines()[0] + "\n"
LEFT_ALONE = ("ledger.sqlite",)  # the one file that a run may leave beside the job


GOOD: dict[str, str | bytes] = {
    "job.toml": JOB, "tag.toml": LAYOUT, "jig.toml": FOUR_SLOTS, "bed.toml": FLATBED,
    "orders.csv": SHEET, "art/logo.svg": LOGO, "photos/ada.png": png(),
}  # fmt: skip


class Shop(JobBench):
    """The current folder, holding the good job until a test spoils it."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, GOOD)

    def row(self, text: str) -> None:
        """Put a row in place of the second of the sheet (its row 3)."""
        rows = SHEET.splitlines(keepends=True)
        self.write("orders.csv", "".join([*rows[:2], text + "\n", rows[3]]))

    def build(self, *more: str) -> Answer:
        return self.call("build", "job.toml", "--out", "run", "--workers", "1", *more)

    def check(self, *more: str) -> Answer:
        return self.call("check", "job.toml", "--workers", "1", *more)

    def preview(self, *more: str) -> Answer:
        return self.call("preview", "job.toml", "--out", "look.png", "--workers", "1", *more)

    def state(self) -> dict[str, str]:
        """Every file, link and folder below here with a hash, but for the ledger."""
        found = sorted(self._files())
        return {name: digest for name, digest in found if name not in LEFT_ALONE}

    def _files(self) -> Iterator[tuple[str, str]]:
        for path in self.path.rglob("*"):
            if path.is_file() and not path.is_symlink():
                digest = hashlib.sha256(path.read_bytes()).hexdigest()
            else:
                digest = "link" if path.is_symlink() else "folder"
            yield path.relative_to(self.path).as_posix(), digest


    def told(self, lines: list[str]) -> list[str]:
        """Lines of a table, with the path of this folder put in."""
        return [line.replace("SHOP", str(self.path)) for line in lines]


def same(found: list[str], wanted: list[str]) -> bool:
    """Line by line; a wanted line that ends in … is only a beginning, because what follows
    grows with the program (shipped fonts, known keys)."""
    return len(found) == len(wanted) and all(
        line.startswith(want[:-1]) if want.endswith("…") else line == want
        for line, want in zip(found, wanted)
    )


Spoil = Callable[[Shop], object]


def swap(name: str, old: str, new: str) -> Spoil:
    return lambda shop: shop.swap(name, old, new)


def write(name: str, text: str | bytes) -> Spoil:
    return lambda shop: shop.write(name, text)


def remove(name: str) -> Spoil:
    return lambda shop: (shop.path / name).unlink()


def row(text: str) -> Spoil:
    return lambda shop: shop.row(text)


def every(*spoils: Spoil) -> Spoil:
    return lambda shop: [spoil(shop) for spoil in spoils]


def read_json(text: str) -> dict[str, Any]:
    value = json.loads(text)
    assert isinstance(value, dict)
    return value
