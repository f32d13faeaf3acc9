"""Runs, jigs and lines for the tests of the papers, and the foreign programs that judge them."""

from __future__ import annotations

import html
import math
import re
import subprocess
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

from vardata.marks import Commands
from vardata.output.pdf.objectlist import Body
from vardata.output.picklist_values import BedPaper, Look, PaperFonts, Pocket, RunPaper
from vardata.output.slotline import SlotLine

FONT_FOLDER = Path(__file__).parents[3] / "fonts"
FONTS = PaperFonts(FONT_FOLDER / "NotoSans-Regular.ttf", FONT_FOLDER / "NotoSans-Bold.ttf")
AT = datetime(2025, 3, 14, 9, 26, tzinfo=UTC)
PT = 72 / 25.4

# Cells that spreadsheets, CSV and XML readers are known to stumble over. The first six are the
# starts that OWASP ASVS 5.0, 1.2.10 names.
HOSTILE = (
    "=1+1",
    "+49 170 1",
    "-Ann",
    "@SUM(A1)",
    "\t=1",
    "\0=1",
    "\r=1",
    "\n=1",
    " =1+1",
    "＝1+1",
    "'=1",
    "''-x",
    "'quoted",
    '=HYPERLINK("http://e.org","x")',
    "=cmd|' /C calc'!A0",
    "00042",
    "1E5",
    "1111222233334444",
    "2025-01-02",
    "TRUE",
    "#N/A",
    "NA",
    'say "hi", twice',
    "a;b,c\td",
    "two\nlines",
    "two\r\nlines",
    " spaces around ",
    "<b>&amp;]]>",
    "_x0041_ and _x",
    "Zoë Łukasz Αλέξανδρος Иван 日本 👩‍👩‍👧",
    "e\u0301 \u00a0 \u200b \u2028",
    "",
)


def rectangle(w: float, h: float) -> Commands:
    return (("re", 0.0, 0.0, w, h),)


def circle(d: float) -> Commands:
    r = d / 2
    k = r * 0.5523  # common practice: the Bezier quarter circle
    return (
        ("m", d, r),
        ("c", d, r + k, r + k, d, r, d),
        ("c", r - k, d, 0.0, r + k, 0.0, r),
        ("c", 0.0, r - k, r - k, 0.0, r, 0.0),
        ("c", r + k, 0.0, d, r - k, d, r),
        ("h",),
    )


def grid(
    columns: int,
    rows: int,
    pitch: tuple[float, float],
    first: tuple[float, float],
    turn: float = 0.0,
) -> tuple[Pocket, ...]:
    """Pockets A1, A2 ... from the front left, row by row."""
    return tuple(
        Pocket(
            f"{chr(65 + row)}{column + 1}",
            first[0] + column * pitch[0],
            first[1] + row * pitch[1],
            turn,
        )
        for row in range(rows)
        for column in range(columns)
    )


def make_run(
    jig: str,
    bed: tuple[float, float],
    item: tuple[float, float],
    pockets: tuple[Pocket, ...],
    outline: Commands | None = None,
    **more: Any,
) -> RunPaper:
    values: dict[str, Any] = {
        "job": "name-tags",
        "run": "3f9c2a7be1d0",
        "beds": 12,
        "jig": jig,
        "layout": "tag",
        "at": AT,
        "bed_mm": bed,
        "item_mm": item,
        "outline": outline or rectangle(*item),
        "pockets": pockets,
        "fonts": FONTS,
    }
    return RunPaper(**{**values, **more})


EIGHT = make_run("8 tags", (420.0, 297.0), (90.0, 50.0), grid(4, 2, (100, 120), (60, 80)))
MEDALS = make_run(
    "24 medals", (600.0, 400.0), (70.0, 70.0), grid(6, 4, (95, 95), (62, 57)), circle(70.0)
)
SIXTY_FOUR = make_run("64 tags", (600.0, 400.0), (60.0, 30.0), grid(8, 8, (72, 48), (48, 32)))
MANY = make_run("240 tags", (610.0, 305.0), (25.0, 20.0), grid(20, 12, (30, 25), (20, 15)))
TILTED = make_run("tilted", (600.0, 400.0), (60.0, 30.0), grid(6, 5, (95, 75), (62, 50), 30.0))

NAMES = (
    "Anna Smith",
    "Αλεξάνδρα Παπαδοπούλου",
    "Екатерина Иванова",
    "Zoë Łukaszewicz-Świętochowska",
    "O'Neil (Pat) \\ Co",
    "=cmd()",
)


def make_lines(
    run: RunPaper,
    count: int,
    bed: int = 3,
    *,
    names: tuple[str, ...] = NAMES,
    orders: tuple[str, ...] = (),
    blanks: tuple[str, ...] = ("black anodised",),
    fields: int = 1,
) -> tuple[SlotLine, ...]:
    """Lines for the first pockets of a jig."""
    lines = []
    for i in range(count):
        pocket = run.pockets[i]
        turn = math.radians(pocket.rotation)
        w = abs(run.item_mm[0] * math.cos(turn)) + abs(run.item_mm[1] * math.sin(turn))
        h = abs(run.item_mm[0] * math.sin(turn)) + abs(run.item_mm[1] * math.cos(turn))
        texts = (("name", names[i % len(names)]), ("town", f"Town {i}"))[:fields]
        lines.append(
            SlotLine(
                bed,
                pocket.name,
                i,
                f"{run.job}-{run.run}-bed-{bed:04d}-of-{run.beds:04d}.pdf",
                1,
                f"Orders!{i + 2}#1",
                orders[i % len(orders)] if orders else f"{10000 + i // 2}",
                blanks[i % len(blanks)],
                texts,
                (("code", f"https://e.org/{bed}/{i}"),),
                (pocket.x - w / 2, pocket.y - h / 2, w, h),
                pocket.rotation,
            )
        )
    return tuple(lines)


def make_bed(run: RunPaper, count: int, bed: int = 3, look: bool = False, **more: Any) -> BedPaper:
    lines = make_lines(run, count, bed, **more)
    return BedPaper(bed, lines[0].file, lines, make_look(run, lines) if look else None)


def make_look(run: RunPaper, lines: tuple[SlotLine, ...]) -> Look:
    """A red box, in the size of the item's box, for each line; points as units."""
    boxes = [
        f"{x * PT:.3f} {y * PT:.3f} {w * PT:.3f} {h * PT:.3f} re"
        for x, y, w, h in (line.box_mm for line in lines)
    ]
    content = ("/Red gs 1 0 0 rg\n" + "\n".join(boxes) + "\nf").encode()
    wide, high = (mm * PT for mm in run.bed_mm)
    form = Body(
        b"<</Type/XObject/Subtype/Form/BBox[0 0 %g %g]/Resources<</ExtGState<</Red 1 0 R>>>>"
        b"/Length %d>>" % (wide, high, len(content)),
        b"stream\n%b\nendstream" % content,
    )
    state = Body(b"<</Type/ExtGState/ca 1>>")
    return Look(2, (0.0, 0.0, wide, high), lambda: {1: state, 2: form})


def together(beds: list[BedPaper]) -> list[BedPaper]:
    """Beds whose pictures share what they need, as those of a chunk do."""
    found: dict[int, Body] = {}

    def objects() -> dict[int, Body]:
        return found

    shared = []
    for number, bed in enumerate(beds, start=2):
        assert bed.look is not None
        bodies = bed.look.objects()
        found |= {1: bodies[1], number: bodies[bed.look.form]}
        shared.append(bed._replace(look=Look(number, bed.look.bbox, objects)))
    return shared


class Word(NamedTuple):
    """A word on a page: its box in points from the upper left corner, and its text."""

    x0: float
    y0: float
    x1: float
    y1: float
    text: str


def words(path: Path) -> list[list[Word]]:
    """Every page's words as poppler's pdftotext finds them."""
    told = run_tool("pdftotext", "-bbox", str(path), "-")
    pages = []
    for page in told.split("<page ")[1:]:
        found = re.findall(
            r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">'
            r"(.*?)</word>",
            page,
            re.DOTALL,
        )
        pages.append([Word(*map(float, box), html.unescape(text)) for *box, text in found])
    return pages


def layout_text(path: Path) -> list[str]:
    """Every page's text in lines, as poppler lays it out."""
    return run_tool("pdftotext", "-layout", str(path), "-").split("\f")[:-1]


def check_pdf(path: Path) -> None:
    """qpdf finds nothing wrong with the file's structure and streams."""
    assert "No syntax or stream encoding errors" in run_tool("qpdf", "--check", str(path))


def run_tool(*command: str) -> str:
    done = subprocess.run(command, capture_output=True, check=True)
    return done.stdout.decode("utf-8", "replace")


def squeeze(text: str) -> str:
    """A text without its spaces, to compare texts however a reader has spaced them."""
    return "".join(text.split())
