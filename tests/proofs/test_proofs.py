"""Proofs made by the command: which records are shown, at which size, and what an approval holds.
Judged by poppler's text, by pictures that pdfium and poppler render, by qpdf, and by a run's own
``slots.jsonl``."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
import pypdfium2
import pytest

LAYOUT = """\
name = "badge"
width = 60
height = 30
safe = 3

[[fields]]
type = "text"
name = "reader"
text = "{{ reader }}"
font = "NotoSerif-Regular"
box = [5, 12, 50, 14]
size = "20pt"
min_size = "6pt"
squeeze = 70
colour = "black"

[[fields]]
type = "text"
name = "branch"
text = "{{ branch }}"
font = "NotoSans-Regular"
box = [5, 3, 50, 6]
size = "9pt"
optional = true
"""
JIG = 'name = "jig"\n[grid]\nrows = 3\ncolumns = 3\npitch = [65, 35]\noffset = [40, 30]\n'
BED = 'name = "bench"\nwidth = 300\nheight = 220\nmodes.fine.dpi = [720, 720]\n'
JOB = """\
name = "badges"
layout = "layout.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
blank = "card"
sheet.file = "readers.csv"
[records]
order = "Order"
[columns]
reader = "Reader"
branch = "Branch"
shelf = "Shelf"
[blanks.card]
surface = "light"
substrate = "#3060c0"
"""
ROWS = [
    ("F1", "Ada King", "Fernhollow", "1"),
    ("F1", "Bo Li", "Fernhollow", "2"),
    ("F2", "Wilhelmina Featherstonehaugh-Millbrook", "Millbrook", "3"),
    ("F2", "Jo", "", "4"),
    ("F3", "דוד לוי", "Fernhollow", "5"),
    ("F3", "Eve May", "Fernhollow", "6"),
]
KEYS = [f"readers!{row}#1" for row in range(2, 8)]
DPI = 150


class Desk:
    """A job's folder and calls of the command in it."""

    def __init__(self, home: Path) -> None:
        self.home = home
        files = {"layout.toml": LAYOUT, "jig.toml": JIG, "bed.toml": BED, "job.toml": JOB}
        for name, text in files.items():
            (home / name).write_text(text, encoding="utf-8")
        self.rows(ROWS)

    def rows(self, rows: list[tuple[str, str, str, str]]) -> None:
        lines = ["Order,Reader,Branch,Shelf", *(",".join(row) for row in rows)]
        (self.home / "readers.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")

    def call(self, *words: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "vardata.cli.main", words[0], "job.toml", *words[1:]]
        return subprocess.run(command, cwd=self.home, capture_output=True, text=True, check=False)

    def good(self, *words: str) -> str:
        done = self.call(*words)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def proof(self, name: str, *more: str) -> Path:
        self.good("proof", "--out", name, "--at", "2026-10-31", *more)
        return self.home / name

    def held(self, out: str) -> list[str]:
        done = self.call("build", "--quiet", "--out", out)
        assert done.returncode in (0, 3), done.stderr
        path = self.home / out / "held.csv"
        return path.read_text(encoding="utf-8-sig").splitlines()[1:] if path.exists() else []


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def text(path: Path) -> str:
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True)
    return done.stdout.decode()


def picture(path: Path, page: int = 0) -> Any:
    return np.asarray(pypdfium2.PdfDocument(path)[page].render(scale=DPI / 72).to_pil())


def near(image: Any, colour: tuple[int, int, int], by: int = 40) -> Any:
    return (abs(image.astype(int) - colour) <= by).all(axis=2)


# ---------------------------------------------------------------- the hardest records


def test_the_hardest_records_are_shown_with_their_reasons(desk: Desk) -> None:
    said = " ".join(text(desk.proof("hard.pdf")).split())
    assert {KEYS[2], KEYS[3], KEYS[4]} <= {key for key in KEYS if key in said}
    assert len([key for key in KEYS if key in said]) < len(KEYS)
    desk.good("build", "--quiet", "--out", "run")
    lines = (desk.home / "run" / "slots.jsonl").read_text(encoding="utf-8").splitlines()
    texts = [text for line in lines for text in json.loads(line)["texts"]]
    readers = [text for text in texts if text["field"] == "reader"]
    longest = max(readers, key=lambda one: len(one["text"]))
    smallest = min(one["size_pt"] for one in readers)
    for reason in (
        f"longest text: {len(longest['text'])} characters in reader",
        f"most shrunk: {smallest:g} of 20 pt in reader",
        "empty: 1 optional field",
        "rarest script: Hebr, in 1 text",
        "fallback font: NotoSansHebrew-Regular in reader",
        "nearest to a limit:", "tallest ink:", "deepest ink:",
    ):  # fmt: skip
        assert reason in said, reason


def test_items_are_shown_at_true_size_on_their_blank(desk: Desk) -> None:
    image = picture(desk.proof("order.pdf", "--order", "F3"))
    blank = near(image, (0x30, 0x60, 0xC0))
    columns, rows = np.flatnonzero(blank.any(axis=0)), np.flatnonzero(blank.any(axis=1))
    mm = 25.4 / DPI
    # Two items beside each other, 3 mm of picture around each, 14 pt between the pictures.
    wide = 60 * 2 + 6 + 14 * 25.4 / 72
    assert (columns[-1] + 1 - columns[0]) * mm == pytest.approx(wide, abs=0.5)
    assert (rows[-1] + 1 - rows[0]) * mm == pytest.approx(30, abs=0.5)


def test_guides_are_on_the_proof_of_the_hardest_alone(desk: Desk) -> None:
    def hues(path: Path) -> tuple[bool, bool, bool]:
        target = str(path.with_suffix(""))
        subprocess.run(["pdftoppm", "-r", "600", "-singlefile", str(path), target], check=True)
        from PIL import Image

        with (
            mock.patch.object(Image, "MAX_IMAGE_PIXELS", None),
            Image.open(path.with_suffix(".ppm")) as one,
        ):
            image = np.asarray(one)
        box, base, safe = (217, 26, 128), (0, 140, 217), (0, 153, 64)
        return tuple(bool(near(image, hue, 12).any()) for hue in (box, base, safe))  # type: ignore

    assert hues(desk.proof("hard.pdf")) == (True, True, True)
    assert hues(desk.proof("order.pdf", "--order", "F1")) == (False, False, False)


def test_a_customers_proof_says_what_it_is_and_where_to_sign(desk: Desk) -> None:
    said = text(desk.proof("order.pdf", "--order", "F2"))
    for word in ("PROOF FOR APPROVAL", "PROOF", "F2", "signature", "Approved as shown"):
        assert word in said, word
    assert KEYS[2] in said and KEYS[3] in said
    assert KEYS[0] not in said


def test_a_specimen_is_one_piece_with_lines_to_sign(desk: Desk) -> None:
    said = text(desk.proof("first.pdf", "--specimen"))
    assert sum(key in said for key in KEYS) == 1
    for word in ("FIRST-OFF", "position", "adhesion", "scan of codes", "name and date"):
        assert word in said, word


def test_pages_come_as_pictures_too(desk: Desk) -> None:
    out = desk.good("proof", "--out", "hard.pdf", "--png")
    assert "hard-1.png" in out
    assert (desk.home / "hard-1.png").read_bytes()[:4] == b"\x89PNG"


def test_the_same_proof_has_the_same_bytes_and_leaves_no_trace(desk: Desk) -> None:
    one = desk.proof("one.pdf", "--workers", "1").read_bytes()
    two = desk.proof("two.pdf", "--workers", "2").read_bytes()
    assert one == two
    assert not list(desk.home.glob("ledger.sqlite*"))
    subprocess.run(["qpdf", "--check", str(desk.home / "one.pdf")], check=True, capture_output=True)
    fonts = subprocess.run(["pdffonts", str(desk.home / "one.pdf")], capture_output=True, text=True,
                           check=True).stdout.splitlines()[2:]  # fmt: skip
    assert fonts and all(line.split()[-5] == "yes" for line in fonts)  # emb


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--out", "x.png"), "--out 'x.png' is no name for a PDF; end it in .pdf"),
        (("--out", "x.pdf", "--order", "F9"),
         "no record of order 'F9' is printed; did you mean 'F1'? allowed: F1, F2, F3"),
        (("--out", "x.pdf", "--order", "F1", "--specimen"),
         "--order and --specimen each ask for one proof; give one of them"),
    ],
)  # fmt: skip
def test_a_wrong_call_is_one_line(desk: Desk, words: tuple[str, ...], line: str) -> None:
    done = desk.call("proof", *words)
    assert done.returncode == 2
    assert done.stderr.strip() == line


# ---------------------------------------------------------------- approvals


def test_what_changed_since_an_approval_is_held(desk: Desk) -> None:
    said = desk.good("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--at", "2026-10-31")
    assert said.startswith("order F1, proof ") and "approved by Ottilie Brandvold" in said
    assert desk.held("as-approved") == []
    since = "since Ottilie Brandvold approved order F1 on 2026-10-31"
    remedy = "have the order approved again: vardata proof --order, then vardata approve"
    rows = list(ROWS)
    rows[1] = ("F1", "Bo Lee", "Fernhollow", "2")
    desk.rows(rows)
    assert desk.held("changed") == [
        '"F1","Bo Lee","Fernhollow","2","3","readers.csv, row 3",'
        f'"this row is new or changed {since}","{remedy}",""'
    ]
    desk.good("approve", "--order", "F1", "--by", "Jory Brandvold", "--at", "2026-11-01")
    assert desk.held("again") == []


@pytest.mark.parametrize("file", ["pics/{{ shelf }}.png", "pics/{{ shelf|trim }}.png"])
def test_a_picture_with_other_contents_since_an_approval_holds_its_row(
    desk: Desk, file: str
) -> None:
    from PIL import Image

    (desk.home / "pics").mkdir()
    for _, _, _, shelf in ROWS:
        Image.new("RGB", (300, 300), (0, 90, 20)).save(desk.home / f"pics/{shelf}.png")
    field = f'type = "picture"\nname = "mark"\nfile = "{file}"\nbox = [48, 3, 8, 8]\n'
    (desk.home / "layout.toml").write_text(f"{LAYOUT}\n[[fields]]\n{field}", encoding="utf-8")
    by = ("--by", "Ottilie Brandvold", "--at", "2026-10-31")
    before = desk.good("approve", "--order", "F1", *by)
    assert desk.held("as-approved") == []
    Image.new("RGB", (300, 300), (200, 0, 0)).save(desk.home / "pics/2.png")
    assert desk.held("changed") == [
        '"F1","Bo Li","Fernhollow","2","3","readers.csv, row 3","this row or a picture of it is '
        'new or changed since Ottilie Brandvold approved order F1 on 2026-10-31","have the order '
        'approved again: vardata proof --order, then vardata approve",""'
    ]
    assert desk.good("approve", "--order", "F1", *by) != before  # its proof has another mark
    assert desk.held("again") == []


def test_a_column_that_is_not_printed_may_change_and_rows_may_move(desk: Desk) -> None:
    desk.good("approve", "--order", "F1", "--by", "Ottilie Brandvold")
    desk.rows([*ROWS[2:], *((*row[:3], "99") for row in ROWS[:2])])
    assert desk.held("moved") == []


def test_a_changed_layout_holds_every_row_of_an_approved_order(desk: Desk) -> None:
    desk.good("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--at", "2026-10-31")
    (desk.home / "layout.toml").write_text(LAYOUT.replace('"20pt"', '"18pt"'), encoding="utf-8")
    held = desk.held("run")
    assert len(held) == 2
    assert all(
        "the layout, its fonts or its art changed since Ottilie Brandvold approved order F1 on "
        "2026-10-31" in line
        for line in held
    )
    # A new proof can be made all the same, to be approved again.
    assert KEYS[0] in text(desk.proof("order.pdf", "--order", "F1"))


def test_an_approval_names_the_proof_that_was_seen(desk: Desk) -> None:
    desk.proof("order.pdf", "--order", "F1")
    foot = text(desk.home / "order.pdf")
    mark = foot.partition(", proof ")[2].split()[0]
    desk.rows([("F1", "Ada Queen", "Fernhollow", "1"), *ROWS[1:]])
    done = desk.call("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--proof", mark)
    assert done.returncode == 2
    assert done.stderr.startswith(f"order 'F1' is not as the proof {mark} shows it any more (now ")
    assert done.stderr.strip().endswith("make a new proof and have it approved")
    desk.rows(ROWS)
    desk.good("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--proof", mark)
    done = desk.call("approve", "--order", "F9", "--by", "Ottilie Brandvold")
    assert done.stderr.strip() == (
        "the order sheet has no order 'F9'; see the order column of the sheet"
    )


def test_rows_that_nobody_saw_are_told_and_are_not_approved(desk: Desk) -> None:
    long = "W" * 120
    rows = [*ROWS[:2], ("F1", long, "Fernhollow", "8"), ("F1", long * 2, "Fernhollow", "9")]
    desk.rows(rows)
    done = desk.call("proof", "--out", "order.pdf", "--order", "F1", "--at", "2026-10-31")
    assert done.returncode == 0 and done.stdout.startswith("2 items, proof ")
    told = done.stderr.splitlines()
    assert told[0] == "order F1: 2 rows are held and not shown"
    assert [line.split(", field")[0] for line in told[1:]] == [
        "readers.csv, row 4", "readers.csv, row 5",
    ]  # fmt: skip
    paper = " ".join(text(desk.home / "order.pdf").split())
    assert "not shown 2 rows of this order are held, not shown and not approved with it" in paper
    mark = done.stdout.partition(", proof ")[2].split()[0]
    done = desk.call("approve", "--order", "F1", "--by", "Ottilie Brandvold", "--proof", mark,
                     "--at", "2026-10-31")  # fmt: skip
    assert done.returncode == 0
    assert done.stderr.splitlines()[0] == (
        "order F1: 2 rows are held, were not shown and not approved; build holds what nobody saw "
        "until a new proof of it is approved"
    )
    unseen = (
        '"this row was held when Ottilie Brandvold approved order F1 on 2026-10-31, and was not '
        'shown","mend what vardata proof --order tells of it, and have the order approved again",""'
    )
    held = desk.held("as-approved")
    assert len(held) == 2 and all(line.endswith(unseen) for line in held)
    rows[2] = ("F1", "Wilma", "Fernhollow", "8")  # mended: it would fit, and nobody has seen it
    desk.rows(rows)
    assert [line[:12] for line in desk.held("mended")] == ['"F1","Wilma"', f'"F1","{long}"'[:12]]
    again = json.loads(desk.good("approve", "--order", "F1", "--by", "Jory", "--json"))
    assert again["held"] == 1 and len(again["problems"]) == 1
    assert len(desk.held("again")) == 1


def test_an_order_without_a_row_that_is_shown_cannot_be_approved(desk: Desk) -> None:
    desk.rows([("F1", "W" * 120, "Fernhollow", "1"), *ROWS[2:]])
    done = desk.call("approve", "--order", "F1", "--by", "Ottilie Brandvold")
    assert done.returncode == 2
    assert done.stderr.strip() == (
        "every row of order 'F1' is held: nothing of it can be shown or approved; "
        "see vardata check"
    )


def test_nobody_cannot_approve(desk: Desk) -> None:
    for nobody in ("", "  "):
        done = desk.call("approve", "--order", "F1", "--by", nobody)
        assert done.returncode == 2
        assert done.stderr == "--by names nobody; say who approved the order: --by NAME\n"
    assert not list(desk.home.glob("ledger.sqlite*"))
