"""First and second surfaces, sandwiches and passes, from finished beds. Ghostscript separates.

A second surface is judged against the same job printed on a first surface: what a person sees
through the blank has to be what they would see on top of it.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from run_kit import AT, DONE, Run, Shared, build, call, copied, judge
from run_pages import PROCESS, Pixels, layers_off, layers_only, part
from run_pages import plates as all_plates

DPI, FINE = "240", "600"
# 16 by 12 inches: mirrored, every dot of 1,440 dpi and every pixel falls on another.
BED = 'name = "b"\nwidth = 406.4\nheight = 304.8\n[modes.fine]\ndpi = [1440, 720]\n'
SANDWICH = """\
surface = "both"

[[plates]]
name = "Back"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "flood"

[[plates]]
name = "Front"
role = "colour"
"""


def plates(pdf: bytes | Path, page: int, dpi: str) -> dict[str, Pixels]:
    return all_plates(pdf, page, dpi, ("White",))


def changed(home: Path, file: str, *pairs: tuple[str, str]) -> Path:
    path = home / file
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return home


def doors(home: Path) -> Path:
    copied("doors", home)
    (home / "bed.toml").write_text(BED, encoding="utf-8")
    return home


def even(home: Path) -> Path:
    """The signs with an outline whose left and right are alike."""
    start = (home / "sign.toml").read_text(encoding="utf-8").split("path = ")[1].split("\n")[0]
    changed(home, "sign.toml", ('outline = "path"', 'outline = "rounded"'),
            (f"path = {start}", "corner = 6"))  # fmt: skip
    return home


def _second(place: Path) -> Run:
    return build(doors(place / "job"), place / "run", "--at", AT, "--readback")


def _first(place: Path) -> Run:
    home = doors(place / "job")
    changed(home, "sign.toml", ('surface = "second"', 'surface = "first"'))
    changed(home, "sign-jig.toml", ("face_down = true", "face_down = false"))
    return build(home, place / "run", "--at", AT)


def _both(place: Path) -> Run:
    home = even(doors(place / "job"))
    text = (home / "sign.toml").read_text(encoding="utf-8")
    head, rest = text.split('surface = "second"\n', 1)
    fields = rest[rest.index("[[fields]]") :]
    (home / "sign.toml").write_text(f"{head}{SANDWICH}\n{fields}", encoding="utf-8")
    return build(home, place / "run", "--at", AT, "--readback")


@pytest.fixture(scope="module")
def second(shared: Shared) -> Run:
    return shared.run("doors-second", _second)


@pytest.fixture(scope="module")
def first(shared: Shared) -> Run:
    return shared.run("doors-first", _first)


@pytest.fixture(scope="module")
def both(shared: Shared) -> Run:
    return shared.run("doors-both", _both)


def same_shape(one: Pixels, other: Pixels) -> None:
    """The same ink but for the pixels at its edges, which a renderer gives to either side."""
    a, b = one > 0, other > 0
    assert a.sum() > 500, "nothing is compared"
    for inner, outer in ((a, b), (b, a)):
        grown = np.zeros_like(outer)
        high, wide = outer.shape
        for dy in (0, 1, 2):
            for dx in (0, 1, 2):
                grown[1:-1, 1:-1] |= outer[dy : high - 2 + dy, dx : wide - 2 + dx]
        assert not (inner & ~grown)[1:-1, 1:-1].any(), "more than an edge"
    assert (a ^ b).sum() < 0.08 * a.sum()


@pytest.mark.parametrize("ink", ["Black", "Cyan", "White"])
def test_a_second_surface_is_the_first_surface_mirrored_in_each_slot(
    first: Run, second: Run, ink: str
) -> None:
    assert first.code == second.code == DONE
    upright = plates(first.bed_file(1), 1, FINE)[ink]
    mirrored = plates(second.bed_file(1), 1, FINE)[ink]
    dpi = (float(FINE), float(FINE))
    for one, other in zip(first.on_bed(1)[:3], second.on_bed(1)[:3], strict=True):
        assert (one["record"], one["slot"]) == (other["record"], other["slot"])
        seen = part(mirrored, other["box_mm"], dpi)[:, ::-1]
        same_shape(part(upright, one["box_mm"], dpi), seen)


@pytest.mark.parametrize("layer", ["Colour", "White"])
def test_plates_of_a_second_surface_do_not_depend_on_each_other(second: Run, layer: str) -> None:
    path = second.bed_file(1)
    inks = PROCESS if layer == "Colour" else ("White",)
    together = plates(path, 1, DPI)
    other = {"Colour": "White", "White": "Colour"}[layer]
    for stripped in (layers_only(path, (layer,)), layers_off(path, {other})):
        alone = plates(stripped, 1, DPI)
        assert any(alone[ink].any() for ink in inks)
        for ink in inks:
            assert np.array_equal(together[ink], alone[ink]), ink


def test_the_place_of_a_code_is_told_as_it_lies_on_the_bed(second: Run) -> None:
    """All of its black ink lies in the told box, and the box is full of it."""
    black = plates(second.bed_file(1), 1, DPI)["Black"] > 250
    dpi = (float(DPI), float(DPI))
    for slot in second.on_bed(1):
        box = slot["codes"][0]["box_mm"]
        centre = slot["box_mm"][0] + slot["box_mm"][2] / 2
        assert box[0] + box[2] < centre, "seen at the right, so it lies at the left"
        inside = part(black, box, dpi)
        assert inside[:, :3].any() and inside[:, -3:].any() and inside[:3].any()
        x, y, w, h = box
        around = part(black, (x - 1, y - 1, w + 2, h + 2), dpi)
        assert abs(int(around.sum()) - int(part(black, box, dpi, grow=1.0).sum())) == 0


def test_read_back_turns_a_second_surface_round(second: Run) -> None:
    assert "all read" in second.stdout


def test_read_back_finds_a_bed_that_was_not_mirrored(first: Run, tmp_path: Path) -> None:
    """The upright file where a mirrored one was to be."""
    run = tmp_path / "run"
    shutil.copytree(first.out, run)
    facts = json.loads((run / "run.json").read_text(encoding="utf-8"))
    facts["layout"]["surface"] = "second"
    (run / "run.json").write_text(json.dumps(facts), encoding="utf-8")
    code, _, stderr = call("readback", run)
    assert code == 7 and "the code is mirrored" in stderr


def test_the_pick_list_tells_the_operator_that_blanks_lie_on_their_face(
    second: Run, first: Run
) -> None:
    """In bold and larger than the map's caption, MuPDF says; nothing of pieces that lie face up."""
    told = (
        "Blanks lie on their face: on the bed each one's outline and print are the mirror image of "
        "this map's"
    )
    caption = "The bed from above, back at the top"
    lines = lines_of(second.out / "picklist.pdf", 2)
    assert lines[told]["weight"] == "bold" and lines[caption]["weight"] == "normal"
    assert lines[told]["size"] > lines[caption]["size"]
    up = lines_of(first.out / "picklist.pdf", 2)
    assert caption in up and not any("on their face" in line for line in up)


def lines_of(pdf: Path, page: int) -> dict[str, Any]:
    """The font of each line of text on a page."""
    told = json.loads(judge("mutool", "draw", "-q", "-F", "stext.json", pdf, str(page)))
    blocks = [block for block in told["pages"][0]["blocks"] if block["type"] == "text"]
    return {line["text"]: line["font"] for block in blocks for line in block["lines"]}


@pytest.mark.parametrize("way", ["seen", "printed"])
def test_pictures_say_whether_they_are_as_seen_or_as_printed(
    second: Run, tmp_path: Path, way: str
) -> None:
    out = tmp_path / "p.png"
    code, stdout, _ = call("preview", second.home / "job.toml", "--out", out, "--as", way)
    assert code == DONE and stdout.startswith(f"bed 1, 8 items, as {way}, ")


def test_a_sandwich_seen_from_both_sides_has_a_mirrored_plate(both: Run) -> None:
    assert both.code == DONE and "all read" in both.stdout
    slots = both.on_bed(1)
    assert slots[0]["pages"] == {"Back": 1, "White": 2, "Front": 3}
    back, front = (plates(both.bed_file(1), page, DPI)["Black"] for page in (1, 3))
    dpi = (float(DPI), float(DPI))
    for slot in slots:
        box = slot["box_mm"]
        same_shape(part(front, box, dpi), part(back, box, dpi)[:, ::-1])
    white = plates(both.bed_file(1), 2, DPI)
    assert white["White"].any() and not any(white[ink].any() for ink in PROCESS)


def test_passes_are_pages_where_the_job_wants_them_repeated(tmp_path: Path) -> None:
    home = doors(tmp_path / "job")
    with (home / "job.toml").open("a", encoding="utf-8") as file:
        file.write('pages = "apart"\nrepeat_passes = true\n')  # of [output]
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.code == DONE and run.slots[0]["pages"] == {"Colour": 1, "White": 2}
    one, two = (plates(run.bed_file(1), page, "120")["White"] for page in (2, 3))
    assert one.any() and np.array_equal(one, two)
    last = run.on_bed(2)[0]["pages"]
    assert last == {"Colour": 1, "White": 2}


UNEVEN = "the item's left and right differ"
CALLS = [
    ([("sign-jig.toml", "face_down = true", "")],
     f"sign-jig.toml, face_down: {UNEVEN}, and it lies on its face: its pockets have to be "
     "mirrored; choose a jig that was cut mirrored, and say face_down = true in its file"),
    ([("sign.toml", 'surface = "second"', "")],
     f"sign-jig.toml, face_down: {UNEVEN}, and these pockets are cut for items that lie on their "
     "face; choose the jig for items that lie on their back, or say face_down = false"),
    ([("job.toml", 'surface = "clear"', 'surface = "dark"')],
     "blanks.acrylic.surface: the layout 'door-sign-120x60' is seen through the blank, and this "
     "one is 'dark'; write surface = \"clear\", or give the layout surface = \"first\""),
    ([("sign.toml", 'surface = "second"', 'surface = "first"\nplate_order = ["Colour", "White"]')],
     "plate_order: on a first surface 'White', laid after the colour, hides it; "
     "change \"plate_order\", or write surface = \"second\""),
    ([("sign.toml", 'surface = "second"', 'surface = "second"\nplate_order = ["White", "Colour"]')],
     "plate_order: on a second surface 'White', laid before the colour, hides it; "
     "change \"plate_order\", or write surface = \"first\""),
    ([("sign.toml", 'surface = "second"', 'plate_order = ["White"]')],
     "plate_order: the plate 'Colour' is left out; name every plate once"),
    ([("sign.toml", 'surface = "second"', 'surface = "both"')],
     'surface: surface = "both" needs a colour plate for each side, and there is one; '
     "add a second, with a white plate between them"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "line"), CALLS)
def test_a_surface_that_cannot_be_printed_is_told_in_one_line(
    tmp_path: Path, changes: list[tuple[str, str, str]], line: str
) -> None:
    home = doors(tmp_path / "job")
    for file, old, new in changes:
        changed(home, file, (old, new))
    code, _, stderr = call("check", home / "job.toml")
    assert code == 4
    assert line in stderr, stderr


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ('cover = "flood"', 'cover = "art"',
         "white that covers 'art' cannot serve a mirrored and an upright side; "
         'write cover = "flood"'),
        ('role = "white"\ncover = "flood"', 'role = "gloss"',
         "the colour plates 'Back' and 'Front' are laid down with no white plate between them; "
         'keep one, or put a white plate between them with "plate_order"'),
    ],
)  # fmt: skip
def test_a_sandwich_that_cannot_be_printed_is_told_in_one_line(
    both: Run, tmp_path: Path, old: str, new: str, line: str
) -> None:
    home = tmp_path / "job"
    shutil.copytree(both.home, home)
    changed(home, "sign.toml", (old, new))
    code, _, stderr = call("check", home / "job.toml")
    assert code == 4 and line in stderr, stderr


def test_an_uneven_item_cannot_be_seen_from_both_sides(both: Run, tmp_path: Path) -> None:
    home = tmp_path / "job"
    shutil.copytree(both.home, home)
    changed(home, "sign.toml", ("corner = 6", ""), ('outline = "rounded"', 'outline = "path"\n'
            'path = "M 0 0 L 120 0 L 120 60 L 20 60 Z"'))  # fmt: skip
    code, _, stderr = call("check", home / "job.toml")
    assert code == 4
    assert (
        f"sign.toml: {UNEVEN}, so its mirrored side would pass the outline; give it an even "
        'outline, or another "surface" than "both"'
    ) in stderr
