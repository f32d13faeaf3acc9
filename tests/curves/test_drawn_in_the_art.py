"""Boxes and lines that are drawn in the layout's art: the same pieces as with numbers worked out by
hand, judged on Ghostscript's separations; geometry against what MuPDF paints and hand values."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.svgLib.path.parser import parse_path
from lxml import etree
from PIL import Image

from vardata.job.load import load_setup
from vardata.job.schema import schemas
from vardata.runid import identify
from vardata.svg.named import NamedShapes
from vardata.svg.values import Matrix

# A unit is half a millimetre; the page begins at x = -10, which the groups take back.
DRAWING = """\
<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="-10 0 160 100">
  <g transform="translate(-10 0)">
    <rect x="2" y="2" width="156" height="96" rx="10" fill="#c8102e"/>
  </g>
  <g id="guides" transform="translate(-10 0)" fill="#00ffff" stroke="#00ffff">
    <path id="wave" d="M 12 50 C 50 20 80 80 148 40"/>
    <rect id="name" x="40" y="60" width="80" height="18"/>
    <rect id="seat" width="30" height="30" transform="translate(122 58)"/>
    <rect id="side" x="-20" y="-6" width="40" height="12" transform="translate(20 70) rotate(-90)"/>
    <rect id="tilt" x="60" y="10" width="50" height="12" transform="rotate(-10 85 16)"/>
    <ellipse id="seal" cx="140" cy="20" rx="12" ry="9"/>
    <rect id="area" x="8" y="8" width="144" height="70"/>
    <image id="photo" x="6" y="6" width="24" height="24"/>
  </g>
</svg>
"""
BY_HAND: dict[str, list[float]] = {
    "name": [20, 11, 40, 9, 0],
    "seat": [61, 6, 15, 15, 0],
    "side": [0, 12, 20, 6, 90],
    "tilt": [30, 39, 25, 6, 10],
    "seal": [64, 35.5, 12, 9, 0],
    "area": [4, 11, 72, 35, 0],
    "photo": [3, 35, 12, 12, 0],
}
WAVE = "M 6 25 C 25 40 40 10 74 30"

LAYOUT = """\
name = "plate"
width = 80
height = 50
[[art]]
file = "plate.svg"
box = [0, 0, 80, 50]
guides = ["guides"]
"""
FIELDS: list[tuple[str, str]] = [
    ("area", 'type = "text"\ntext = "{{ name }}"\nfont = "NotoSans-Bold"\nsize = "12pt"\n'
             'colour = "white"\nalong = ALONG\n'),
    ("name", 'type = "text"\ntext = "{{ name }}"\nfont = "NotoSerif-Regular"\nsize = "24pt"\n'),
    ("side", 'type = "text"\ntext = "{{ name }}"\nfont = "NotoSans-Regular"\nsize = "9pt"\n'
             'min_size = "5pt"\n'),
    ("tilt", 'type = "text"\ntext = "{{ name }}"\nfont = "NotoSans-Regular"\nsize = "9pt"\n'
             'min_size = "5pt"\n'),
    ("seat", 'type = "code"\ntext = "{{ name }}"\nsymbology = "qr"\n'),
    ("seal", 'type = "shape"\nshape = "ellipse"\nfill = "yellow"\n'),
    ("photo", 'type = "picture"\nfile = "face.png"\n'),
]  # fmt: skip


def home(folder: Path, drawn: bool) -> Path:
    """A job whose fields have their boxes from the drawing, or in numbers."""
    layout = LAYOUT
    for name, keys in FIELDS:
        *box, turn = BY_HAND[name]
        layout += f'[[fields]]\nname = "{name}"\n'
        layout += f'box = "#{name}"\n' if drawn else f"box = {box}\nrotation = {turn}\n"
        layout += keys.replace("ALONG", '"plate.svg#wave"' if drawn else f'"{WAVE}"')
    files = {
        "layout.toml": layout, "plate.svg": DRAWING,
        "jig.toml": 'name = "j"\n[[slots]]\nname = "A1"\nx = 50\ny = 40\n',
        "bed.toml": 'name = "b"\nwidth = 100\nheight = 80\nmodes.fine.dpi = [600, 600]\n',
        "job.toml": 'name = "plates"\nlayout = "layout.toml"\njig = "jig.toml"\nbed = "bed.toml"\n'
                    'print_mode = "fine"\nsheet.file = "r.csv"\n',
        "r.csv": "name\nOttilie Brandvold\n",
    }  # fmt: skip
    folder.mkdir()
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    Image.new("RGB", (400, 400), (0, 90, 60)).save(folder / "face.png")
    return folder


def call(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "vardata.cli.main", *words], cwd=folder, capture_output=True,
        text=True, check=False,
    )  # fmt: skip


def plates(folder: Path) -> dict[str, Any]:
    """The separations of the one bed, as arrays: True where there is ink."""
    (bed,) = (folder / "run" / "beds").iterdir()
    subprocess.run(
        ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", "-r300",
         f"-sOutputFile={folder}/p.tif", str(bed)], check=True, capture_output=True,
    )  # fmt: skip
    found = {}
    for path in folder.glob("p(*).tif"):
        with Image.open(path) as image:
            found[path.name[2:-5]] = np.asarray(image).copy()
    return found


def test_pieces_are_the_same_as_with_numbers(tmp_path: Path) -> None:
    seen = []
    for name in ("drawn", "numbers"):
        folder = home(tmp_path / name, drawn=name == "drawn")
        for words in (["check", "job.toml"], ["build", "job.toml", "-q", "--out", "run"],
                      ["preview", "job.toml", "--out", "bed.png"],
                      ["proof", "job.toml", "--out", "proof.pdf"]):  # fmt: skip
            done = call(folder, *words)
            assert done.returncode == 0, done.stderr
        line = json.loads((folder / "run" / "slots.jsonl").read_text(encoding="utf-8"))
        with Image.open(folder / "bed.png") as picture:
            seen.append((line["texts"], line["codes"], np.asarray(picture).copy(), plates(folder)))
    (texts, codes, bed, inks), (texts2, codes2, bed2, inks2) = seen
    assert (texts, codes) == (texts2, codes2)
    assert len(texts) == 4
    assert np.array_equal(bed, bed2)
    assert inks.keys() == inks2.keys()
    for ink in inks:
        assert np.array_equal(inks[ink], inks2[ink]), ink


def test_guides_are_not_printed(tmp_path: Path) -> None:
    folder = home(tmp_path / "drawn", drawn=True)
    # A sample text among the guides is not printed, and its font is not asked for.
    sample = '<text x="50" y="70">Name</text>\n    <rect id="name"'
    drawing = DRAWING.replace('<rect id="name"', sample)
    (folder / "plate.svg").write_text(drawing, encoding="utf-8")
    assert call(folder, "build", "job.toml", "-q", "--out", "run").returncode == 0
    cyan = plates(folder)["Cyan"] < 250
    rows, columns = np.nonzero(cyan)  # of the picture alone, which is green
    mm = 25.4 / 300
    assert (columns * mm).min() == pytest.approx(10 + 3, abs=0.2)
    assert (columns * mm).max() == pytest.approx(10 + 15, abs=0.2)
    assert (rows * mm).min() == pytest.approx(80 - 15 - 47, abs=0.2)


def test_what_a_field_names_is_not_printed_and_what_else_lies_there_is(tmp_path: Path) -> None:
    folder = home(tmp_path / "drawn", drawn=True)
    layout = (folder / "layout.toml").read_text(encoding="utf-8")
    (folder / "layout.toml").write_text(layout.replace('guides = ["guides"]\n', ""))
    end = "  </g>\n</svg>"
    drawing = DRAWING.replace(end, f'    <circle cx="80" cy="90" r="4"/>\n{end}')
    (folder / "plate.svg").write_text(drawing, encoding="utf-8")
    assert call(folder, "build", "job.toml", "-q", "--out", "run").returncode == 0
    cyan = plates(folder)["Cyan"] < 250
    mm = 25.4 / 300
    cyan[:, : round(30 / mm)] = False  # without the picture
    rows, columns = np.nonzero(cyan)
    wide = 4 + 0.5  # mm: the circle and its stroke
    assert (columns * mm).mean() == pytest.approx(10 + 40, abs=0.1)
    assert np.ptp(columns * mm) == pytest.approx(wide, abs=0.2)
    assert np.ptp(rows * mm) == pytest.approx(wide, abs=0.2)


def test_a_use_of_a_guide_is_printed(tmp_path: Path) -> None:
    folder = home(tmp_path / "drawn", drawn=True)
    use = '<use href="#seal" transform="translate(-60 55)" fill="#00ffff"/>\n</svg>'
    (folder / "plate.svg").write_text(DRAWING.replace("</svg>", use), encoding="utf-8")
    assert call(folder, "build", "job.toml", "-q", "--out", "run").returncode == 0
    cyan = plates(folder)["Cyan"] < 250
    assert cyan[:, round(30 * 300 / 25.4) :].any()


@pytest.mark.parametrize("name", sorted(BY_HAND))
def test_boxes_are_those_worked_out_by_hand(tmp_path: Path, name: str) -> None:
    setup = load_setup(home(tmp_path / "drawn", drawn=True) / "job.toml")
    (field,) = [field for field in setup.layout.fields if field.name == name]
    assert [*field.box, field.rotation] == pytest.approx(BY_HAND[name], abs=1e-6)


def test_the_line_is_the_one_worked_out_by_hand(tmp_path: Path) -> None:
    setup = load_setup(home(tmp_path / "drawn", drawn=True) / "job.toml")
    along = getattr(setup.layout.fields[0], "along")  # noqa: B009
    numbers = [float(word) for word in along.replace("M", " ").replace("C", " ").replace(
        ",", " ").split()]  # fmt: skip
    assert numbers == [6, 25, 25, 40, 40, 10, 74, 30]


def test_a_box_moved_in_the_drawing_gives_another_run(tmp_path: Path) -> None:
    folder = home(tmp_path / "drawn", drawn=True)
    first = identify(load_setup(folder / "job.toml"), {})
    assert identify(load_setup(folder / "job.toml"), {}) == first
    moved = DRAWING.replace('<rect id="name" x="40"', '<rect id="name" x="42"')
    (folder / "plate.svg").write_text(moved, encoding="utf-8")
    setup = load_setup(folder / "job.toml")
    assert setup.layout.fields[1].box == (21, 11, 40, 9)
    assert identify(setup, {}) != first


TURNED = [
    ('<rect id="a" x="10" y="20" width="30" height="8"/>', (10, 72, 30, 8, 0)),
    # SVG turns clockwise to the eye: 30 degrees there are 330 here, written as -30.
    ('<rect id="a" x="10" y="20" width="30" height="8" transform="rotate(30 25 24)"/>',
     (10, 72, 30, 8, -30)),
    ('<rect id="a" x="-40" y="20" width="30" height="8" transform="scale(-1 1)"/>',
     (10, 72, 30, 8, 0)),  # mirrored: the same rectangle, nothing upside down
    ('<rect id="a" x="10" y="20" width="30" height="8" transform="rotate(180 25 24)"/>',
     (10, 72, 30, 8, 180)),
    # Skewed, it is a rectangle no more: the upright box round it. tan 45 degrees is 1.
    ('<rect id="a" x="10" y="20" width="30" height="8" transform="skewX(45)"/>',
     (30, 72, 38, 8, 0)),
    ('<svg x="10" y="20" width="30" height="8" viewBox="0 0 300 80"><rect id="a" width="100%" '
     'height="50%"/></svg>', (10, 76, 30, 4, 0)),
    ('<circle id="a" cx="25" cy="24" r="4"/>', (21, 72, 8, 8, 0)),
    ('<polygon id="a" points="10,20 40,20 40,28"/>', (10, 72, 30, 8, 0)),
    ('<defs><g transform="translate(10 20)"><rect id="a" width="30" height="8"/></g></defs>',
     (10, 72, 30, 8, 0)),
]  # fmt: skip


def shapes(body: str) -> NamedShapes:
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100">'
    return NamedShapes(etree.fromstring(f"{head}{body}</svg>"))


@pytest.mark.parametrize(("body", "box"), TURNED)
def test_the_box_of_an_element(body: str, box: tuple[float, ...]) -> None:
    assert shapes(body).box("a", Matrix()) == pytest.approx(box, abs=1e-5)


OUTLINES = [
    '<rect id="a" x="20" y="20" width="30" height="18" rx="5" transform="skewX(20)"/>',
    '<circle id="a" cx="50" cy="40" r="12" transform="scale(1.5 0.5)"/>',
    '<ellipse id="a" cx="50" cy="40" rx="30" ry="12" transform="rotate(15)"/>',
    '<polygon id="a" points="5,7 80,30 20,60" transform="translate(3 4)"/>',
    '<g transform="matrix(0.8 0.2 -0.1 0.9 4 5)"><path id="a" d="M10 10 q 30 5 20 40 t 9 9"/></g>',
    '<path id="a" d="M10 30 A 25 12 20 1 1 60 40"/>',
]


@pytest.mark.parametrize("body", OUTLINES)
def test_outlines_are_those_that_mupdf_paints(tmp_path: Path, body: str) -> None:
    """The bounds of the black that MuPDF paints, at 8 pixels a unit."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100" viewBox="0 0 100 100">'
    (tmp_path / "a.svg").write_text(f"{head}{body}</svg>", encoding="utf-8")
    subprocess.run(["mutool", "draw", "-q", "-w", "800", "-h", "800", "-c", "gray", "-o", "a.png",
                    "a.svg"], cwd=tmp_path, check=True)  # fmt: skip
    with Image.open(tmp_path / "a.png") as image:
        rows, columns = np.nonzero(np.asarray(image.convert("L")) < 128)
        unit = image.width / 100
    painted = (columns.min(), image.height - rows.max() - 1, columns.max() + 1,
               image.height - rows.min())  # fmt: skip
    named, pen = shapes(body), BoundsPen(None)
    parse_path(named.line("a", Matrix()), pen)
    assert pen.bounds == pytest.approx([edge / unit for edge in painted], abs=0.2)
    box = named.box("a", Matrix())
    if "rect" not in body:
        assert (box.x, box.y, box.x + box.width, box.y + box.height) == pytest.approx(
            pen.bounds, abs=1e-4
        )


def test_the_schema_allows_numbers_or_a_name_for_fields_and_numbers_for_art() -> None:
    definitions = schemas()["layout"]["$defs"]
    for kind in ("TextField", "CodeField", "PictureField", "ShapeField"):
        box = definitions[kind]["properties"]["box"]
        assert [one["type"] for one in box["anyOf"]] == ["array", "string"]
        assert '"#id" of a shape' in box["description"]
    assert definitions["Art"]["properties"]["box"]["type"] == "array"
    assert "not printed" in definitions["Art"]["properties"]["guides"]["description"]
