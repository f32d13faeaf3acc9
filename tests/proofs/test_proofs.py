"""Proofs made by the command: which records are shown, and at which size. Judged by poppler's text,
by pictures that pdfium and poppler render, by qpdf, and by a run's own ``slots.jsonl``."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from unittest import mock

import numpy as np
import pypdfium2
import pytest
from proofdesk import DPI, KEYS, LAYOUT, Desk, desk, near, picture, text

__all__ = ["desk"]


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


def scale_of(said: str) -> float:
    """The scale that a proof says it has."""
    return int(said.partition("shown at")[2].partition("%")[0]) / 100


@pytest.mark.parametrize("order", ["F3", "F1"])
def test_items_have_the_stated_size_on_their_blank(desk: Desk, order: str) -> None:
    path = desk.proof("order.pdf", "--order", order)
    scale = scale_of(text(path))
    assert scale > 1  # two small items do not leave a sheet empty
    blank = near(picture(path), (0x30, 0x60, 0xC0))
    mm = 25.4 / DPI
    for sides, size in ((blank.any(axis=0), 60), (blank.any(axis=1), 30)):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], sides.astype(int), [0]))))
        assert (edges[1] - edges[0]) * mm == pytest.approx(size * scale, abs=0.5)


def test_a_sheet_of_items_is_full(desk: Desk) -> None:
    path = desk.proof("hard.pdf")
    assert len(pypdfium2.PdfDocument(path)) == 1
    image = picture(path)[int(2 * DPI) : int(11 * DPI)]  # without head and foot
    shown = (image < 250).any(axis=2)
    columns, rows = np.flatnonzero(shown.any(axis=0)), np.flatnonzero(shown.any(axis=1))
    high, wide = shown.shape
    assert (columns[-1] - columns[0]) > 0.75 * (wide - 2 * 36 * DPI / 72)
    assert rows[-1] > 0.75 * high


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
    # A text that bends has a baseline of its own.
    head = LAYOUT.partition('[[fields]]\ntype = "text"\nname = "branch"')[0]
    head = head.replace("[5, 12, 50, 14]", "[5, 2, 50, 26]").replace('"20pt"', '"8pt"')
    head = head.replace('"6pt"', '"3pt"')
    desk.write("layout.toml", head + "arc = { radius = 8, at = 90, sweep = 300 }\n")
    assert hues(desk.proof("bent.pdf")) == (True, True, True)


def test_a_customers_proof_says_what_it_is_and_where_to_sign(desk: Desk) -> None:
    said = text(desk.proof("order.pdf", "--order", "F2"))
    for word in ("PROOF FOR APPROVAL", "PROOF", "F2", "signature", "Approved as shown"):
        assert word in said, word
    assert KEYS[2] in said and KEYS[3] in said
    assert KEYS[0] not in said


def test_a_specimen_is_one_piece_with_lines_to_sign(desk: Desk) -> None:
    said = text(desk.proof("first.pdf", "--specimen"))
    assert sum(key in said for key in KEYS) == 1
    # What to measure: where the ink begins, as the run's record of a text in its box says.
    assert "position of reader: its ink begins" in said and "mm from the left edge" in said
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
    assert done.code == 2
    assert done.err.strip() == line
