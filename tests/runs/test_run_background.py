"""Art on the bed itself: around the items or under them, on stated plates, once a file.

Areas are those of geometry, extrapolated from two resolutions so that the renderer's pixel rule
drops out; Ghostscript separates the plates.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image
from run_kit import AT, DONE, Run, build, call
from run_pages import PROCESS, Pixels, layers_off, layers_only, plates

BED = (100.0, 60.0)
ITEM = (20.0, 10.0)
CENTRES = [(30.0, 15.0), (70.0, 15.0), (30.0, 45.0), (70.0, 45.0)]
SHEET = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    '<rect x="5" y="5" width="90" height="50" fill="#00ffff"/></svg>'
)
FILES = {
    "job.toml": 'name = "sheet"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "w"\n[sheet]\nfile = "rows.csv"\n[columns]\nn = "N"\n'
    '[blanks.w]\nsurface = "dark"\n',
    "l.toml": 'name = "l"\nwidth = 20\nheight = 10\n[[plates]]\nname = "Colour"\nrole = "colour"\n'
    '[[plates]]\nname = "White"\nrole = "white"\ncover = "art"\nchoke = 0.5\n'
    '[[plates]]\nname = "Gloss"\nrole = "gloss"\ncover = "fields"\n'
    '[[fields]]\ntype = "text"\nname = "n"\ntext = "{{ n }}"\nfont = "NotoSans-Bold"\n'
    'size = "14pt"\nbox = [1, 1, 18, 8]\ncolour = "magenta"\ngloss = true\n',
    "j.toml": 'name = "j"\n[grid]\nrows = 2\ncolumns = 2\npitch = [40, 30]\noffset = [30, 15]\n',
    "b.toml": 'name = "b"\nwidth = 100\nheight = 60\n[modes.m]\ndpi = [720, 720]\n',
    "rows.csv": "N\nOne\nTwo\nThree\nFour\nFive\n",
}
GROUND = '[[background]]\nfile = "sheet.svg"\n'
ALL = GROUND + 'plates = ["Colour", "White", "Gloss"]\n'


def home_with(place: Path, ground: str, **changed: str) -> Path:
    home = place / "job"
    home.mkdir(parents=True)
    for name, text in (FILES | {"sheet.svg": SHEET} | changed).items():
        (home / name).write_text(text, encoding="utf-8")
    with (home / "j.toml").open("a", encoding="utf-8") as file:
        file.write(ground)
    return home


def made(place: Path, ground: str, **changed: str) -> Run:
    home = home_with(place, ground, **changed)
    run = build(home, place / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    return run


def box(pixels: Pixels, centre: tuple[float, float], grow: float = 0.0) -> Pixels:
    """The pixels of an item."""
    height, width = pixels.shape
    sx, sy = width / BED[0], height / BED[1]
    (cx, cy), w, h = centre, ITEM[0] / 2 + grow, ITEM[1] / 2 + grow
    top, low = round((BED[1] - cy - h) * sy), round((BED[1] - cy + h) * sy)
    return pixels[top:low, round((cx - w) * sx) : round((cx + w) * sx)]


def area(run: Run, ink: str) -> float:
    """mm2 of full ink, extrapolated from 360 and 720 dpi."""
    found = []
    for dpi in (360, 720):
        pixels = plates(run.bed_file(1), 1, str(dpi))[ink].astype(float)
        for centre in CENTRES:
            box(pixels, centre, -0.2)[:] = 0  # what the items print
        found.append(pixels.sum() / 255 * (25.4 / dpi) ** 2)
    return 2 * found[1] - found[0]


def test_it_keeps_off_every_slot_and_leaves_the_items_as_they_are(tmp_path: Path) -> None:
    run = made(tmp_path / "with", ALL)
    bare = made(tmp_path / "without", "")
    one, other = (plates(r.bed_file(1), 1, "360") for r in (run, bare))
    for ink in (*PROCESS, "White", "Gloss"):
        for centre in CENTRES:
            assert (box(one[ink], centre, -0.1) == box(other[ink], centre, -0.1)).all(), ink
    assert one["Magenta"].any() and one["White"].any()
    around = 90 * 50 - 4 * ITEM[0] * ITEM[1]
    assert area(run, "Cyan") == pytest.approx(around, rel=0.003)
    assert area(run, "Gloss") == pytest.approx(around, rel=0.003)
    # White is drawn in by its choke where colour ends, and stops where the slots begin.
    assert area(run, "White") == pytest.approx(89 * 49 - 4 * ITEM[0] * ITEM[1], rel=0.003)


def test_slots_say_the_same_with_and_without_it(tmp_path: Path) -> None:
    def lines(run: Run) -> list[dict[str, object]]:
        text = (run.out / "slots.jsonl").read_text(encoding="utf-8")
        found = [json.loads(line) for line in text.splitlines()]
        return [{k: v for k, v in slot.items() if k != "file"} for slot in found]

    assert lines(made(tmp_path / "a", ALL)) == lines(made(tmp_path / "b", ""))


def test_plates_do_not_depend_on_each_other(tmp_path: Path) -> None:
    run = made(tmp_path, ALL + "under_items = true\n")
    path = run.bed_file(1)
    together = plates(path, 1, "240")
    for layer, inks in {"Colour": PROCESS, "White": ("White",), "Gloss": ("Gloss",)}.items():
        others = {"Colour", "White", "Gloss"} - {layer}
        for alone in (layers_only(path, (layer,)), layers_off(path, others)):
            found = plates(alone, 1, "240")
            for ink in inks:
                assert (found[ink] == together[ink]).all(), (layer, ink)


def test_under_items_it_lies_below_their_colour_and_does_not_lose_white(tmp_path: Path) -> None:
    run = made(tmp_path, ALL + "under_items = true\n")
    found = plates(run.bed_file(1), 1, "360")
    for centre in CENTRES:
        cyan, magenta, white = (box(found[ink], centre) for ink in ("Cyan", "Magenta", "White"))
        assert (white == 255).all()  # no choke of a letter eats it
        letters = magenta == 255
        assert letters.any() and not cyan[letters].any() and (cyan[magenta == 0] == 255).all()
    assert area(run, "Cyan") == pytest.approx(90 * 50 - 4 * 19.6 * 9.6, rel=0.003)


def test_pictures_and_pages_are_stored_once_a_file(tmp_path: Path) -> None:
    home = home_with(tmp_path, '[[background]]\nfile = "grain.png"\nfit = "stretch"\n')
    noise = np.random.default_rng(7).integers(0, 255, (600, 1000, 3), np.uint8)
    Image.fromarray(noise).save(home / "grain.png")
    job = (home / "job.toml").read_text(encoding="utf-8")
    (home / "job.toml").write_text(job + "[output]\nbeds_per_file = 2\n", encoding="utf-8")
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    with pikepdf.open(run.bed_file(1)) as pdf:
        assert len(pdf.pages) == 2
        images = [o for o in pdf.objects if isinstance(o, pikepdf.Stream)
                  and o.get("/Subtype") == "/Image" and o.get("/Width") == 1000]  # fmt: skip
        assert len(images) == 1
    found = plates(run.bed_file(1), 2, "120")
    assert found["Cyan"][5:20, 5:20].any() and not found["White"][5:20, 5:20].any()


def test_pictures_of_beds_show_it(tmp_path: Path) -> None:
    home = home_with(tmp_path, ALL)
    code, _, said = call("preview", home / "job.toml", "--out", tmp_path / "bed.png")
    assert code == DONE, said
    seen = np.asarray(Image.open(tmp_path / "bed.png").convert("RGB")).astype(int)
    height, width, _ = seen.shape
    middle = seen[height // 2, width // 2]  # between the items, cyan on the bed's grey
    corner = seen[2, 2]
    assert middle[0] < 80 and middle[2] > 150 and abs(corner[0] - corner[2]) < 20
    for cx, cy in CENTRES:  # an item's own ground, beside its text
        blank = seen[round(height * (1 - (cy + 4.5) / 60)), round(width * (cx - 9.5) / 100)]
        assert blank.max() < 50


def test_on_a_second_surface_it_is_printed_mirrored(tmp_path: Path) -> None:
    """A mark at the left front as seen is at the right front of the bed."""
    half = SHEET.replace('x="5" y="5" width="90" height="50"', 'x="2" y="52" width="6" height="6"')
    layout = FILES["l.toml"].replace("height = 10\n", 'height = 10\nsurface = "second"\n', 1)
    run = made(
        tmp_path, GROUND, **{
            "sheet.svg": half, "l.toml": layout,
            "job.toml": FILES["job.toml"].replace("dark", "clear"),
        },
    )  # fmt: skip
    cyan = plates(run.bed_file(1), 1, "254")["Cyan"]
    rows, columns = np.nonzero(cyan == 255)
    assert columns.min() / 10 == pytest.approx(92, abs=0.2)
    assert columns.max() / 10 == pytest.approx(98, abs=0.2)
    assert 60 - rows.max() / 10 == pytest.approx(2, abs=0.2)


FAULTS = [
    ('[[background]]\nfile = "sheet.svg"\nbox = [20, 0, 100, 60]\n',
     "sheet.svg: the background passes the bed by 15.0 mm; make its \"box\" smaller, or mend its "
     "place"),
    ('[[background]]\nfile = "sheet.svg"\nplates = ["Varnish"]\n',
     "j.toml:9, background[0].plates[0]: the layout 'l' has no plate 'Varnish'; allowed: Colour, "
     "White, Gloss"),
    ('[[background]]\nfile = "other.svg"\n',
     "j.toml:8, background[0].file: there is no file 'other.svg'; put it there, or mend the name, "
     "which starts from the folder of this file"),
    ('[[background]]\nfile = "sheet.svg"\nwhite = false\n',
     "j.toml:9, background[0].white: unknown key 'white'"),
]  # fmt: skip


@pytest.mark.parametrize(("ground", "line"), FAULTS, ids=range(len(FAULTS)))
def test_what_cannot_be_is_told(tmp_path: Path, ground: str, line: str) -> None:
    home = home_with(tmp_path, ground)
    code, _, said = call("check", home / "job.toml")
    assert code == 4 and line in said.replace(f"{home}/", "")


def test_grounds_of_codes_take_out_the_colour_below_them(tmp_path: Path) -> None:
    """On dark items a code stands on white: no colour of the sheet may lie in it."""
    field = (
        '[[fields]]\ntype = "code"\nname = "c"\ntext = "{{ n }}"\nsymbology = "qr"\n'
        "box = [0, 0, 10, 10]\n"
    )
    layout = FILES["l.toml"].replace("box = [1, 1, 18, 8]", "box = [11, 1, 8, 8]")
    home = home_with(
        tmp_path, GROUND + 'plates = ["Colour", "White"]\nunder_items = true\n',
        **{"l.toml": layout + field},
    )
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    said = call("readback", run.out)[2]  # of texts, the sheet is ink that strays
    assert "field 'c'" not in said and "field 'n'" in said
    found = plates(run.bed_file(1), 1, "360")
    (cx, cy), side = CENTRES[0], 4.0
    height, width = found["Cyan"].shape
    rows = slice(round((60 - cy - side) / 60 * height), round((60 - cy + side) / 60 * height))
    columns = slice(round((cx - 9) / 100 * width), round((cx - 1) / 100 * width))
    assert not found["Cyan"][rows, columns].any()
    assert (found["White"][rows, columns] == 255).all() and found["Black"][rows, columns].any()


def test_codes_on_a_background_bring_a_warning(tmp_path: Path) -> None:
    field = (
        '[[fields]]\ntype = "code"\nname = "c"\ntext = "{{ n }}"\nsymbology = "qr"\n'
        "box = [10, 0, 10, 10]\n"
    )
    home = home_with(
        tmp_path, GROUND + "under_items = true\n", **{"l.toml": FILES["l.toml"] + field}
    )
    _, said, _ = call("check", home / "job.toml")
    assert (
        'l.toml: codes of the items may lie on the background; print one and scan it, or leave '
        '"under_items" out'
    ) in said
