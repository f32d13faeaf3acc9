"""The sheets of a bed, judged by poppler, qpdf, pdfium and zxing."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
import zxingcpp
from paperkit import (
    EIGHT,
    MANY,
    MEDALS,
    SIXTY_FOUR,
    TILTED,
    check_pdf,
    layout_text,
    make_bed,
    make_lines,
    squeeze,
    together,
    words,
)

from vardata.output.picklist_pages import build_part, plan_sheets
from vardata.output.picklist_values import BedPaper, Pocket, RunPaper

LONG_NAMES = (
    "Bartholomew Montgomery-Featherstonehaugh the Third of Somewhere on the Water",
    "Αλεξάνδρα Παπαδοπούλου-Κωνσταντινοπούλου",
    "Wolfeschlegelsteinhausenbergerdorffvoralternwarengewissenhaft",
    "two\nlines",
    "",
)
LONG_ORDERS = ("ORD-2025-03-14-ABCDEFGH-000123", "", "7")
CASES = {
    "eight": (EIGHT, make_bed(EIGHT, 8)),
    "eight, long": (EIGHT, make_bed(EIGHT, 6, names=LONG_NAMES, orders=LONG_ORDERS, fields=2)),
    "medals": (MEDALS, make_bed(MEDALS, 24, blanks=("gold", "silver"), look=True)),
    "sixty-four": (SIXTY_FOUR, make_bed(SIXTY_FOUR, 64, fields=2, look=True)),
    "sixty-four, long": (
        SIXTY_FOUR,
        make_bed(
            SIXTY_FOUR,
            50,
            names=LONG_NAMES,
            orders=LONG_ORDERS,
            blanks=("black anodised", "clear acrylic, 3 mm, polished edges"),
        ),
    ),
    "tilted": (TILTED, make_bed(TILTED, 29, look=True)),
    "many": (MANY, make_bed(MANY, 240, look=True)),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("pages")
    for name, (run, bed) in CASES.items():
        (made / f"{name}.pdf").write_bytes(build_part([bed], run))
    return made


@pytest.mark.parametrize("name", CASES)
def test_every_slot_is_told_whole_on_its_beds_sheets(folder: Path, name: str) -> None:
    _, bed = CASES[name]
    path = folder / f"{name}.pdf"
    check_pdf(path)
    pages = words(path)
    told = squeeze(" ".join(word.text for page in pages for word in page))
    for line in bed.lines:
        for text in (
            line.order or "(none)",
            line.record,
            line.blank_label,
            *map(_text, line.texts),
        ):
            for part in text.split():
                assert squeeze(part) in told or _across_lines(part, pages), (line.slot, part)
    assert "\u2026" not in told


def _text(field: tuple[str, str]) -> str:
    return field[1]


def _across_lines(text: str, pages: list[list[object]]) -> bool:
    """Whether a text too long for its column stands in it, line below line."""
    for page in pages:
        columns: dict[float, str] = {}
        for word in sorted(page, key=lambda word: word.y0):  # type: ignore[attr-defined]
            columns.setdefault(round(word.x0), "")  # type: ignore[attr-defined]
            columns[round(word.x0)] += word.text  # type: ignore[attr-defined]
        if any(text in column for column in columns.values()):
            return True
    return False


@pytest.mark.parametrize("name", ["eight", "medals", "sixty-four", "tilted", "many"])
def test_each_row_says_what_lies_in_its_slot(folder: Path, name: str) -> None:
    """On one line of the sheet: slot, blank, order, text, record."""
    _, bed = CASES[name]
    rows = [
        squeeze(row) for page in layout_text(folder / f"{name}.pdf") for row in page.split("\n")
    ]
    for line in bed.lines:
        text = "/".join(text for _, text in line.texts)
        wanted = squeeze(line.slot + line.blank_label + line.order + text + line.record)
        assert wanted in rows, line.slot


@pytest.mark.parametrize("name", CASES)
def test_rows_stand_in_the_order_of_filling(folder: Path, name: str) -> None:
    _, bed = CASES[name]
    slots = [line.slot for line in bed.lines]
    found = []
    for page in words(folder / f"{name}.pdf"):
        heads = [word for word in page if word.text == "slot"]
        left = min(word.x0 for word in heads)
        below = max(word.y1 for word in heads)
        column = [w for w in page if abs(w.x0 - left) < 1 and w.y0 > below]
        found += [word.text for word in sorted(column, key=lambda word: word.y0)]
    assert found == slots


@pytest.mark.parametrize("name", CASES)
def test_nothing_overlaps_and_nothing_leaves_the_sheet(folder: Path, name: str) -> None:
    for page in words(folder / f"{name}.pdf"):
        boxes = np.array([word[:4] for word in page])
        assert boxes[:, 0].min() > 28 and boxes[:, 2].max() < 595.28 - 28
        assert boxes[:, 1].min() > 20 and boxes[:, 3].max() < 841.89 - 8
        # poppler's boxes span ascent and descent; the middle half of each holds the letters.
        quarter = (boxes[:, 3] - boxes[:, 1]) / 4
        x0, x1 = boxes[:, 0] + 0.2, boxes[:, 2] - 0.2
        y0, y1 = boxes[:, 1] + quarter, boxes[:, 3] - quarter
        over = (
            (x0[:, None] < x1[None, :])
            & (x0[None, :] < x1[:, None])
            & (y0[:, None] < y1[None, :])
            & (y0[None, :] < y1[:, None])
        )
        np.fill_diagonal(over, False)
        one, other = np.nonzero(over)
        assert not len(one), [(page[i].text, page[j].text) for i, j in zip(one, other)]


@pytest.mark.parametrize("name", CASES)
def test_the_code_on_each_sheet_names_run_and_bed(folder: Path, name: str) -> None:
    pages = pypdfium2.PdfDocument(folder / f"{name}.pdf")
    for page in pages:
        picture = page.render(scale=150 / 72).to_pil().convert("L")
        # The corner with the code, not the map, which may hold anything.
        found = zxingcpp.read_barcodes(picture.crop((900, 0, picture.width, 260)))
        assert [code.text for code in found] == ["vardata:3f9c2a7be1d0:bed:3"]


def test_each_sheet_says_which_it_is(folder: Path) -> None:
    for name, count in (("eight", 1), ("medals", 1), ("sixty-four", 2), ("many", 6)):
        pages = layout_text(folder / f"{name}.pdf")
        assert len(pages) == count
        for number, page in enumerate(pages, 1):
            assert f"bed 3, page {number} of {count}" in page
            assert "name-tags-3f9c2a7be1d0-bed-0003-of-0012.pdf" in page
            assert "3f9c2a7be1d0" in page and "name-tags" in page
    first = layout_text(folder / "medals.pdf")[0]
    for text in ("PICK LIST, SLOT TO ORDER", "of 12", "24 medals", "tag", "2025-03-14"):
        assert text in first
    assert "12 gold, 12 silver; 24 in all" in first


def map_frame(page: pypdfium2.PdfPage) -> tuple[float, float, float, float]:
    """The bed on the sheet, found by its front edge: the widest black bar, in points from the
    lower left corner (x, y, width), and the frame's height from its proportion."""
    scale = 4
    pixels = np.asarray(page.render(scale=scale).to_pil().convert("L"))
    dark = pixels < 60
    rows = [
        (row, *runs)
        for row in range(len(dark))
        if (runs := longest_run(dark[row])) and runs[1] - runs[0] > 800
    ]
    assert rows, "no front edge"
    top = rows[0][0]
    return rows[0][1] / scale, page.get_height() - top / scale, (rows[0][2] - rows[0][1]) / scale, 0


def longest_run(row: np.ndarray) -> tuple[int, int] | None:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    if not len(edges):
        return None
    starts, ends = edges[::2], edges[1::2]
    best = int(np.argmax(ends - starts))
    return int(starts[best]), int(ends[best])


@pytest.mark.parametrize("name", ["medals", "sixty-four", "tilted", "many"])
def test_the_map_shows_slots_where_they_are_on_the_bed(folder: Path, name: str) -> None:
    """Front edge at the bottom, first slot front left; each name at the corner of its slot, and
    the picture in the slot: red in the middle, none in the gaps."""
    run, bed = CASES[name]
    path = folder / f"{name}.pdf"
    page = pypdfium2.PdfDocument(path)[0]
    x, y, width, _ = map_frame(page)
    scale = width / run.bed_mm[0]
    pixels = np.asarray(page.render(scale=4).to_pil().convert("RGB")).astype(int)
    red = (pixels[:, :, 0] > 180) & (pixels[:, :, 1] < 90)
    in_map = [w for w in words(path)[0] if 841.89 - w.y1 > y - 2]
    for line in bed.lines:
        bx, by, bw, bh = line.box_mm
        cx, cy = x + (bx + bw / 2) * scale, y + (by + bh / 2) * scale
        assert red[int((841.89 - cy) * 4), int(cx * 4)], line.slot
        found = [w for w in in_map if w.text == line.slot]
        assert len(found) == 1, line.slot
        tag = found[0]
        assert abs(tag.x0 - (x + bx * scale)) < 3, line.slot
        corner = 841.89 - (y + (by + bh) * scale)
        assert corner - 10 < (tag.y0 + tag.y1) / 2 < corner + 5, line.slot
    area = sum(w * h for _, _, w, h in (line.box_mm for line in bed.lines)) * scale**2 * 16
    assert red.sum() < area * 1.03


def test_names_keep_off_the_pictures_where_there_is_room(folder: Path) -> None:
    for name in ("medals", "sixty-four"):
        path = folder / f"{name}.pdf"
        page = pypdfium2.PdfDocument(path)[0]
        pixels = np.asarray(page.render(scale=4).to_pil().convert("RGB")).astype(int)
        red = (pixels[:, :, 0] > 180) & (pixels[:, :, 1] < 90)
        _, y, _, _ = map_frame(page)
        slots = {line.slot for line in CASES[name][1].lines}
        tags = [w for w in words(path)[0] if w.text in slots and 841.89 - w.y1 > y - 2]
        assert len(tags) == len(slots)
        for tag in tags:
            third = (tag.y1 - tag.y0) / 3
            box = (slice(int((tag.y0 + third / 2) * 4), int((tag.y1 - third) * 4)),
                   slice(int(tag.x0 * 4), int(tag.x1 * 4)))  # fmt: skip
            assert not red[box].any(), tag.text


def test_pockets_that_stay_empty_are_told(tmp_path: Path) -> None:
    run = EIGHT._replace(pockets=(*EIGHT.pockets, Pocket("X1", 400.0, 280.0, 0.0, True)))
    path = tmp_path / "empty.pdf"
    path.write_bytes(build_part([make_bed(run, 6)], run))
    page = layout_text(path)[0]
    assert "6 black anodised; 2 pockets to leave empty" in page
    assert "dashed: stays empty; crossed: blocked" in page
    assert " B3" not in page


def test_a_text_longer_than_its_room_ends_in_an_ellipsis_that_is_explained(tmp_path: Path) -> None:
    path = tmp_path / "long.pdf"
    path.write_bytes(build_part([make_bed(EIGHT, 2, names=("word " * 200, "Ann"))], EIGHT))
    page = layout_text(path)[0]
    assert page.count("word") > 20
    assert "…" in page and "stands whole in picklist.xlsx and picklist.csv" in page
    assert "stands whole" not in layout_text_of(make_bed(EIGHT, 2), EIGHT, tmp_path)


def layout_text_of(bed: BedPaper, run: RunPaper, folder: Path) -> str:
    path = folder / "one.pdf"
    path.write_bytes(build_part([bed], run))
    return "\n".join(layout_text(path))


def test_a_short_number_tells_pieces_of_the_same_texts_apart(tmp_path: Path) -> None:
    # Common practice, no source: a packer compares numbers by eye, but not links.
    codes = (("link", "https://e.org/3/0"), ("number", "FHL000012"), ("again", "Town"))
    line = make_lines(EIGHT, 1)[0]._replace(codes=codes)
    path = tmp_path / "numbers.pdf"
    path.write_bytes(build_part([BedPaper(3, line.file, (line,), None)], EIGHT))
    told = [word.text for page in words(path) for word in page]
    assert "FHL000012" in told
    assert "https://e.org/3/0" not in told
    assert told.count("Town") == 1  # a code that a text holds is not said twice


def test_an_item_without_texts_is_told_by_its_code(tmp_path: Path) -> None:
    line = make_lines(EIGHT, 1)[0]._replace(texts=())
    assert "https://e.org/3/0" in layout_text_of(BedPaper(3, line.file, (line,)), EIGHT, tmp_path)


def test_many_kinds_of_blanks_are_all_told(tmp_path: Path) -> None:
    blanks = tuple(f"kind {i} of a blank" for i in range(60))
    told = squeeze(layout_text_of(make_bed(SIXTY_FOUR, 60, blanks=blanks), SIXTY_FOUR, tmp_path))
    assert all(squeeze(f"1 {blank}") in told for blank in blanks)
    blanks = tuple(f"kind {i} of a blank" for i in range(240))
    told = layout_text_of(make_bed(MANY, 240, blanks=blanks), MANY, tmp_path)
    assert "240 kinds of blank, each told in the table below; 240 in all" in told


@pytest.mark.parametrize("count", [1, 8, 12, 13, 24, 40, 64, 65, 100, 240, 500])
@pytest.mark.parametrize("natural", [40.0, 261.0, 349.0, 900.0])
def test_sheets_take_every_row_and_waste_none(count: int, natural: float) -> None:
    heights = tuple(15.5 + 12 * (i % 7 == 0) for i in range(count))
    plan = plan_sheets(heights, natural, 700.0)
    ends = (*plan.starts[1:], count)
    assert plan.starts[0] == 0
    assert all(start < end for start, end in list(zip(plan.starts, ends))[1:])
    assert min(190.0, natural) - 0.1 <= plan.map_height <= natural
    for number, (start, end) in enumerate(zip(plan.starts, ends)):
        room = 700 - 42 - 28 - 15 - plan.map_height if number == 0 else 808 - 50 - 42 - 15
        assert start == end or sum(heights[start:end]) <= room + 0.1
    # No plan with the least map could do with fewer sheets.
    sheets, room = 1, 700 - 42 - 28 - 15 - min(190.0, natural)
    for height in heights:
        if height > room + 0.01:
            sheets, room = sheets + 1, 807.89 - 50 - 42 - 15
        room -= height
    assert len(plan.starts) == sheets


def test_same_beds_same_bytes_in_any_process_and_after_any_other(folder: Path) -> None:
    run, bed = CASES["sixty-four, long"]
    once = build_part([bed], run)
    build_part([make_bed(EIGHT, 8, names=("ΑΒΓ", "жук"))], EIGHT)
    assert build_part([bed], run) == once
    script = (
        "import sys; sys.path.insert(0, sys.argv[1]); import hashlib, test_paper_pages as t\n"
        "run, bed = t.CASES['sixty-four, long']\n"
        "print(hashlib.sha256(t.build_part([bed], run)).hexdigest())"
    )
    told = subprocess.run(
        [sys.executable, "-c", script, str(Path(__file__).parent)],
        capture_output=True, check=True, text=True, cwd=Path(__file__).parents[3],
        env={"PYTHONHASHSEED": "7", "PYTHONPATH": ".", "PATH": "/usr/bin:/bin"},
    )  # fmt: skip
    assert told.stdout.strip() == hashlib.sha256(once).hexdigest()


def test_all_fonts_are_embedded_and_nothing_names_this_machine(folder: Path) -> None:
    for name in CASES:
        with pikepdf.open(folder / f"{name}.pdf") as pdf:
            fonts = [
                o
                for o in pdf.objects
                if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/Font"
            ]
            assert len(fonts) >= 2
            assert all("/FontFile2" in font.FontDescriptor for font in fonts)
            for item in pdf.objects:
                assert str(Path(__file__).parents[3]).encode() not in item.unparse(resolved=True)


def test_a_chunk_of_beds_is_each_bed_in_turn(tmp_path: Path) -> None:
    beds = together([make_bed(SIXTY_FOUR, 64, bed, look=True) for bed in (4, 5, 6)])
    path = tmp_path / "three.pdf"
    path.write_bytes(build_part(beds, SIXTY_FOUR))
    check_pdf(path)
    pages = layout_text(path)
    feet = [f"bed {bed}, page {page} of 2" for bed in (4, 5, 6) for page in (1, 2)]
    assert all(foot in page for foot, page in zip(feet, pages, strict=True))
    with pikepdf.open(path) as pdf:
        looks = [key for page in pdf.pages for key in page.Resources.XObject if "Look" in key]
        assert looks == ["/Look4", "/Look5", "/Look6"]
        shared = {page.Resources.XObject[f"/Look{bed}"].Resources.ExtGState.Red.objgen
                  for bed, page in zip((4, 5, 6), list(pdf.pages)[::2])}  # fmt: skip
        assert len(shared) == 1  # what the looks have in common is put once a part
