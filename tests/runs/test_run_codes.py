"""Every code of every bed is read back from the bed files, and says what the sheet asks for."""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import pytest
from PIL import Image
from run_codes import codes_of, read_on
from run_kit import Run
from run_pages import grey_page, layers_off
from run_sheets import OrderSheet

PARTS = 12  # the beds are shared out, so that test processes can work side by side


def test_what_codes_should_say_is_what_the_sheet_says(tags: Run, tag_sheet: OrderSheet) -> None:
    for slot in tags.slots:
        wanted = tag_sheet.texts(tag_sheet.row(slot["record"]))
        assert {c["field"]: c["text"] for c in slot["codes"]}.items() <= wanted.items()
        fields = [f["name"] for f in tags.toml("layout")["fields"] if f["type"] == "code"]
        assert [code["field"] for code in slot["codes"]] == fields


@pytest.mark.parametrize("share", range(PARTS))
def test_every_code_reads(tags: Run, share: int) -> None:
    """PDFium renders the colours alone at 300 dpi; zxing-cpp reads."""
    beds = tags.beds[share::PARTS]
    assert beds
    for bed in beds:
        read_bed(tags, bed, 300)


@pytest.mark.parametrize("place", [0, 41, -1])
def test_codes_read_at_600_dpi(tags: Run, place: int) -> None:
    read_bed(tags, tags.beds[place], 600)


def read_bed(run: Run, bed: int, dpi: float) -> None:
    slots = run.on_bed(bed)
    assert len({(slot["file"], slot["page"]) for slot in slots}) == 1
    alone = layers_off(run.bed_file(bed), ("White", "Gloss"))
    page = grey_page(alone, slots[0]["page"], dpi)
    for slot in slots:
        for code in codes_of(run, slot):
            read_on(page, code, dpi)


def test_a_second_decoder_reads_a_bed_and_finds_nothing_else(tags: Run) -> None:
    """zbarimg looks over the whole page, without being told where the codes are."""
    bed = tags.beds[len(tags.beds) // 2]
    page = grey_page(layers_off(tags.bed_file(bed), ("White", "Gloss")), 1, 400)
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "bed.png"
        Image.fromarray(page).save(path, compress_level=1)
        done = subprocess.run(
            ["zbarimg", "--quiet", "--nodbus", "-Sdisable", "-Sqrcode.enable",
             "-Scode128.enable", str(path)],
            capture_output=True, check=True, timeout=600,
        )  # fmt: skip
    named = {"qr": "QR-Code", "code128": "CODE-128"}
    wanted = [
        f"{named[code['symbology']]}:{code['text']}"
        for slot in tags.on_bed(bed)
        for code in slot["codes"]
    ]
    assert sorted(done.stdout.decode().split()) == sorted(wanted)


def test_the_reader_would_see_a_mirrored_code(tags: Run) -> None:
    """The judge itself: zxing-cpp reads mirrored codes too, so it must be asked for corners."""
    slot = tags.on_bed(1)[0]
    page = grey_page(layers_off(tags.bed_file(1), ("White", "Gloss")), 1, 300)
    for code in codes_of(tags, slot):
        read_on(page, code, 300)
        x, y, w, h = code.box
        flipped = code._replace(box=(page.shape[1] * 25.4 / 300 - x - w, y, w, h))
        with pytest.raises(AssertionError):
            read_on(page[:, ::-1], flipped, 300)
