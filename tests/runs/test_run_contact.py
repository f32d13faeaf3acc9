"""The contact sheet of a run, as poppler and PDFium read it."""

from __future__ import annotations

import re
from pathlib import Path

from run_kit import AT, DONE, build, copied, judge
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
