"""The contact sheet of a run, as poppler and PDFium read it."""

from __future__ import annotations

import re
from pathlib import Path

from run_kit import AT, DONE, build, copied, judge, shortened
from run_pages import grey_page


def test_every_bed_is_on_it_with_its_picture(tmp_path: Path) -> None:
    """180 medals, 24 to a bed: eight beds, six on the first page and the rest on the second."""
    home = copied("medals", tmp_path / "job")
    with (home / "job.toml").open("a", encoding="utf-8") as file:
        file.write("contact_sheet = true\n")
    run = build(home, tmp_path / "run", "--at", AT)
    sheet = run.out / "contact.pdf"
    pages = judge("pdftotext", "-layout", sheet, "-").split("\f")[:-1]
    beds = run.beds
    assert [re.findall(r"Bed (\d+) of", page) for page in pages] == [
        [str(bed) for bed in beds[:6]], [str(bed) for bed in beds[6:]],
    ]  # fmt: skip
    for number in beds:
        pieces = len(run.on_bed(number))
        assert re.search(rf"Bed {number} of 8\s+{pieces} pieces", pages[(number - 1) // 6])
    assert "No syntax" in judge("qpdf", "--check", sheet)
    first = grey_page(sheet, 1, 72)
    # Dark medals in each of six cells: two across, three down.
    high, wide = first.shape
    for row in range(3):
        for column in range(2):
            cell = first[34 + 28 + row * 246 : 34 + 28 + row * 246 + 200,
                         wide * column // 2 + 20 : wide * (column + 1) // 2 - 20]  # fmt: skip
            assert (cell < 60).sum() > 500, (row, column)
    assert high == 842 and run.code in (DONE, 3)


def test_the_same_input_gives_the_same_sheet(tmp_path: Path) -> None:
    sheets = []
    for n in ("1", "2"):
        home = copied("lockers", tmp_path / n)
        with (home / "job.toml").open("a", encoding="utf-8") as file:
            file.write("contact_sheet = true\n")
        run = build(home, tmp_path / f"run-{n}", "--at", AT, "--workers", n)
        sheets.append((run.out / "contact.pdf").read_bytes())
    assert sheets[0] == sheets[1]


def test_signs_that_are_seen_through_are_shown_as_seen(tmp_path: Path) -> None:
    """Their beds are printed mirrored; packers know them the other way round."""
    home = copied("doors", tmp_path / "job")
    with (home / "job.toml").open("a", encoding="utf-8") as file:
        file.write("contact_sheet = true\n")  # of [output]
    run = build(home, tmp_path / "run", "--at", AT)
    words = judge("pdftotext", "-layout", run.out / "contact.pdf", "-")
    assert "Contact sheet, fernhollow-doors, as seen, not as printed" in words


def test_few_beds_are_shown_large_with_their_items_outlined(tmp_path: Path) -> None:
    """One bed of two sides, white tags on white paper: both sides on one page, each tag seen."""
    home = shortened(copied("keys", tmp_path / "job"), 4)
    job = (home / "job.toml").read_text(encoding="utf-8")
    job = re.sub(r'substrate = "#\w+"', 'substrate = "#ffffff"', job)
    job = job.replace("[output]", "[output]\ncontact_sheet = true")
    (home / "job.toml").write_text(job, encoding="utf-8")
    run = build(home, tmp_path / "run", "--at", AT)
    pages = judge("pdftotext", "-layout", run.out / "contact.pdf", "-").split("\f")[:-1]
    assert [re.findall(r"Bed (1 \w) of 1", page) for page in pages] == [["1 A", "1 B"]]
    page = grey_page(run.out / "contact.pdf", 1, 144)
    ruled = (page < 235).sum(axis=1) > 0.45 * page.shape[1]  # frames so wide, and the foot
    top, bottom, second = [n for n in range(1, len(ruled)) if ruled[n] and not ruled[n - 1]][:3]
    left, right = (page[top] < 235).nonzero()[0][[0, -1]]
    bed = run.toml("bed")
    scale = (right - left) / bed["width"]
    assert abs((bottom - top) / bed["height"] - scale) < 0.02 * scale
    assert abs((second - bottom) - 40 * 2) < 20  # the words and the gap between two pictures
    for start in (top, second):
        slots = [slot for slot in run.slots if slot["side"] == ("A" if start == top else "B")]
        assert len(slots) == len(run.slots) / 2
        for slot in slots:
            x, y, wide, high = slot["box_mm"]
            row = page[round(start + (bed["height"] - y - high / 2) * scale)]
            # One end is straight, the other has a point in its middle: both are on the box.
            for edge in (x, x + wide):
                at = round(left + edge * scale)
                assert row[at - 3 : at + 4].min() < 210, (slot["slot"], edge)
                assert row[[at - 8, at + 8]].min() > 235, (slot["slot"], edge)
