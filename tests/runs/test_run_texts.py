"""What is printed is what the sheet shows: words on the beds, in the right slots.

LibreOffice says what a workbook's cells display; poppler's pdftotext reads the beds.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from typing import Any

import pytest
from run_kit import Run
from run_pages import Word, layers_off, words
from run_sheets import OrderSheet

LAYERS = {"Colour", "White", "Gloss"}


@pytest.mark.parametrize(
    ("example", "field"),
    [
        ("medals", "winner"),
        ("medals", "race"),
        ("medals", "result"),
        ("tags", "owner"),
        ("tags", "thing"),
    ],
)
def test_texts_of_slots_are_what_the_sheet_displays(
    request: pytest.FixtureRequest, example: str, field: str
) -> None:
    run: Run = request.getfixturevalue(example)
    sheet: OrderSheet = request.getfixturevalue(f"{example[:-1]}_sheet")
    for slot in run.slots:
        told = {text["field"]: text["text"] for text in slot["texts"]}
        assert told[field] == sheet.texts(sheet.row(slot["record"]))[field], slot["record"]


def test_every_text_field_is_looked_at_above(medals: Run, tags: Run) -> None:
    known = {medals.out: ["winner", "race", "result"], tags.out: ["owner", "thing"]}
    for run in (medals, tags):
        fields = [f["name"] for f in run.toml("layout")["fields"] if f["type"] == "text"]
        assert fields == known[run.out]
        assert all([t["field"] for t in slot["texts"]] == fields for slot in run.slots)


def test_the_sheet_has_what_makes_display_hard(medal_sheet: OrderSheet) -> None:
    """Zeros in front, several scripts, a decomposed or untidy name: else less is shown above."""
    shown = [row.shown for row in medal_sheet.rows.values()]
    assert all(cells["Order no."].startswith("0") for cells in shown)
    letters = {c for cells in shown for c in cells["Name on medal"] if c.isalpha()}
    scripts = {unicodedata.name(letter).split()[0] for letter in letters}
    assert {"LATIN", "GREEK", "CYRILLIC"} <= scripts


def test_every_text_can_be_read_in_its_own_slot_of_the_medals(medals: Run) -> None:
    for bed in medals.beds:
        look(medals, bed)


@pytest.mark.parametrize("share", range(2))
def test_every_text_can_be_read_in_its_own_slot_of_the_tags(tags: Run, share: int) -> None:
    for bed in tags.beds[share * 7 :: 14]:
        look(tags, bed)


def look(run: Run, bed: int) -> None:
    """Each item shows each of its texts on the colour or the white plate. The colour plate shows
    them whole; the others may hold letters as paths; no plate shows letters of anything else."""
    slots = run.on_bed(bed)
    lines = {f["name"] for f in run.toml("layout")["fields"] if f.get("text_line")}
    wanted = {
        slot["slot"]: [plain(text["text"]) for text in slot["texts"]]
        + [plain(code["text"]) for code in slot["codes"] if code["field"] in lines]
        for slot in slots
    }
    seen: set[tuple[str, str]] = set()
    for layer in LAYERS:
        for name, shown in words_of(run, slots, layer).items():
            more = Counter(shown) - Counter("".join(wanted[name]))
            assert not more, f"bed {bed}, {name}, {layer}: {shown!r} of {wanted[name]}"
            for text in sorted(wanted[name], key=len, reverse=True):
                if layer != "Gloss" and text in shown:
                    shown = shown.replace(text, "|", 1)
                    seen.add((name, text))
            assert layer != "Colour" or not shown.strip("|"), f"bed {bed}, {name}: {shown!r}"
    missing = {(name, text) for name in wanted for text in wanted[name]} - seen
    assert not missing, f"bed {bed}: {missing}"


def words_of(run: Run, slots: list[dict[str, Any]], layer: str) -> dict[str, str]:
    """What poppler reads in each slot when the other layers are off."""
    alone = layers_off(run.bed_file(slots[0]["bed"]), LAYERS - {layer})
    found = {slot["slot"]: "" for slot in slots}
    for word in words(alone)[slots[0]["page"] - 1]:
        inside = [slot for slot in slots if lies_in(word, slot["box_mm"])]
        assert len(inside) == 1, f"{word.text!r} lies in no slot"
        found[inside[0]["slot"]] += plain(word.text)
    return found


def lies_in(word: Word, box: Any) -> bool:
    x, y, w, h = box
    return bool(x <= word.x <= x + w and y <= word.y <= y + h)


def plain(text: str) -> str:
    """Without white space; a ligature's letters one by one, as pdftotext may give either."""
    return "".join(unicodedata.normalize("NFC", text).replace("ﬁ", "fi").replace("ﬂ", "fl").split())
