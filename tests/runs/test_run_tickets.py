"""Job tickets: what the person at the machine reads, as poppler reads it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from run_kit import AT, DONE, Run, Shared, build, copied, judge


def changed(home: Path, file: str, old: str, new: str) -> Path:
    path = home / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return home


def pages(run: Run) -> list[str]:
    """Each ticket on one line."""
    text = judge("pdftotext", "-layout", run.out / "tickets.pdf", "-")
    return [re.sub(r"\s+", " ", page) for page in text.split("\f")[:-1]]


@pytest.fixture(scope="module")
def doors(shared: Shared) -> Run:
    return shared.run(
        "doors-tickets", lambda place: build(copied("doors", place / "job"), place / "run",
                                             "--at", AT)
    )  # fmt: skip


def test_each_bed_has_a_ticket_with_its_ends(doors: Run) -> None:
    found = pages(doors)
    assert doors.code == DONE and len(found) == 2
    for number, ticket in enumerate(found, 1):
        slots = doors.on_bed(number)
        assert ticket.startswith("JOB TICKET ") and f"Bed {number} of 2" in ticket
        assert slots[0]["file"] in ticket
        for which, slot in (("first", slots[0]), ("last", slots[-1])):
            told = " / ".join(text["text"] for text in slot["texts"])
            assert f"{which}, {slot['slot']} {told}" in ticket
        assert f"{len(slots)} x clear acrylic 120 x 60, 3 mm" in ticket


def test_settings_follow_from_the_layout(doors: Run) -> None:
    ticket = pages(doors)[0]
    for told in (
        "machine flatbed-420, bed of 420 x 297 mm",
        "print mode fine, 1440 x 720 dpi",
        "jig sign-jig-8, items on their face",
        "file at 100 %; do not centre, trim, turn or scale it",
        "mirror off: the file is mirrored already",
        "white from the file, ink 'White'; the machine's own white and choke off",
        "plates laid down in this order: 1 Colour (colour), 2 White (white) in 2 passes",
        "pages all plates of a bed on one page",
        "caution static draws dust: ionise, and wear clean gloves",
    ):
        assert told in ticket, told


def test_a_material_without_a_card_is_warned_of(tmp_path: Path) -> None:
    home = copied("lockers", tmp_path / "job")
    with (home / "job.toml").open("a", encoding="utf-8") as file:
        file.write('\ntickets = true\npages = "apart"\n')
    changed(home, "bed.toml", "[modes.fine]", "[plate_names]\nWhite = \"Undercoat\"\n[modes.fine]")
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.stderr == (
        "job.toml, blanks.bronze.card: no card says how 'dark bronze plate 80 x 50' is treated; "
        "add a table [blanks.bronze.card] with primer, wipe, film, cure and cautions\n"
    )
    (ticket,) = pages(run)
    for told in (
        "7 x dark bronze plate 80 x 50",
        "caution no card says how this material is treated: ask before you print on it",
        "mirror off: the file is as seen",
        "white from the file, ink 'Undercoat'; the machine's own white and choke off",
        "plates laid down in this order: 1 Undercoat (white), 2 Colour (colour)",
        "pages 2 to a bed: 1 Undercoat, 2 Colour",
    ):
        assert told in ticket, told


@pytest.mark.parametrize(
    ("together", "told"),
    [
        ("apart", "pages 3 to a bed: 1 White, 2 Colour, 3 Knife (not to be printed)"),
        ("together", "pages all plates of a bed on one page, Knife too, on a layer of its own"),
    ],
)
def test_cut_lines_are_told_and_not_to_be_printed(
    tmp_path: Path, together: str, told: str
) -> None:
    home = copied("lockers", tmp_path / "job")
    with (home / "job.toml").open("a", encoding="utf-8") as file:
        file.write(f'\ntickets = true\ncut_lines = true\npages = "{together}"\n')
    changed(home, "bed.toml", "[modes.fine]", '[plate_names]\nCut = "Knife"\n[modes.fine]')
    run = build(home, tmp_path / "run", "--at", AT)
    (ticket,) = pages(run)
    assert told in ticket
    assert "cut not to be printed: 'Knife' has the items' outlines for the cutter" in ticket
    bed = next((run.out / "beds").glob("*.pdf"))
    info = judge("pdfinfo", bed)
    assert re.search(r"Pages: +(\d+)", info)[1] == ("3" if together == "apart" else "1")  # type: ignore


def test_the_same_input_gives_the_same_tickets(doors: Run, tmp_path: Path) -> None:
    again = build(copied("doors", tmp_path / "job"), tmp_path / "run", "--at", AT, "--workers", "1")
    tickets = [run.out / "tickets.pdf" for run in (doors, again)]
    assert tickets[0].read_bytes() == tickets[1].read_bytes()


def test_a_job_that_asks_for_none_has_none(tmp_path: Path) -> None:
    run = build(copied("lockers", tmp_path / "job"), tmp_path / "run", "--at", AT)
    assert run.code == DONE and not (run.out / "tickets.pdf").exists()
