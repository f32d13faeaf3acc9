"""Mirrored texts: every plate of a finished bed, by Ghostscript's separations, is that of the same
text unmirrored and flipped; foreign viewers agree; the read-back and proofs take them."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
from PIL import Image

DPI = 300
BAND = 50  # mm of the item for each kind, from its lower edge
HEAD = """\
name = "tag"
width = 60
height = HEIGHT

[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "COVER"
choke = 0.08

[[plates]]
name = "Gloss"
role = "gloss"
cover = "fields"
"""
FIELD = """
[[fields]]
type = "text"
name = "NAME"
text = "{{ reader }}"
box = [5, LOW, 50, 46]
size = "20pt"
min_size = "8pt"
colour = "COLOUR"
gloss = true
"""
KINDS = {
    "one line": 'font = "NotoSans-Bold"\nalign = "left"\n',
    "two lines": 'font = "NotoSans-Bold"\nsqueeze = 80\nlines = 2\nalign = "right"\n',
    "joined letters": 'font = "DancingScript-Regular"\n',
    "on an arc": 'font = "NotoSerif-Regular"\narc = { radius = 14, at = 80, sweep = 220 }\n',
    "along a line": 'font = "NotoSans-Regular"\nalong = "M 8 220 C 20 232 36 214 52 228"\n',
    "turned": 'font = "NotoSans-Bold"\nrotation = 180\n',
}
Grey = npt.NDArray[np.uint8]


def build(
    folder: Path, mirror: bool, kinds: Sequence[str] = ("two lines",), cover: str = "art",
    colour: str = "black", gloss: bool = True,
) -> Path:  # fmt: skip
    height = BAND * len(kinds)
    layout = HEAD.replace("COVER", cover).replace("HEIGHT", str(height))
    for number, kind in enumerate(kinds):
        field = FIELD.replace("NAME", kind).replace("LOW", str(BAND * number + 2))
        field = field if gloss else field.replace("gloss = true\n", "")
        layout += field.replace("COLOUR", colour) + KINDS[kind] + "mirror = true\n" * mirror
    files = {
        "layout.toml": layout,
        "jig.toml": f'name = "j"\n[[slots]]\nname = "A1"\nx = 35\ny = {height / 2 + 5}\n',
        "bed.toml": f'name = "b"\nwidth = 70\nheight = {height + 10}\n'
                    'modes.fine.dpi = [600, 600]\n',
        "job.toml": 'name = "tags"\nlayout = "layout.toml"\njig = "jig.toml"\nbed = "bed.toml"\n'
                    'print_mode = "fine"\nsheet.file = "r.csv"\n',
        "r.csv": "reader\nOttilie Brandvold\n",
    }  # fmt: skip
    folder.mkdir()
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    call(folder, "build", "job.toml", "-q", "--readback", "--out", "run")
    return folder


def call(folder: Path, *words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "vardata.cli.main", *words], cwd=folder, capture_output=True,
        text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


def bed(folder: Path) -> Path:
    (found,) = (folder / "run" / "beds").iterdir()
    return found


def plates(folder: Path) -> dict[str, Grey]:
    subprocess.run(
        ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{DPI}",
         f"-sOutputFile={folder}/p.tif", str(bed(folder))], check=True, capture_output=True,
    )  # fmt: skip
    found = {}
    for path in folder.glob("p(*).tif"):
        with Image.open(path) as image:
            plate = np.asarray(image.convert("L")).copy()
        if (plate < 128).any():
            found[path.name[2:-5]] = plate
    return found


def differing(one: Grey, other: Grey) -> float:
    """The part of the ink that differs by more than a pixel's soft edge."""
    thick = [np.roll(other < 128, (dx, dy), (1, 0)) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
    ink = one < 128
    stray: int = (ink & ~np.logical_or.reduce(thick)).sum()
    return stray / max(1, ink.sum())


def test_every_plate_is_the_other_way_round(tmp_path: Path) -> None:
    kinds = list(KINDS)
    plain = plates(build(tmp_path / "plain", False, kinds))
    mirrored = plates(build(tmp_path / "mirrored", True, kinds))
    for name, plate in plain.items():
        for number, kind in enumerate(kinds):
            low = plate.shape[0] - round((5 + BAND * number) * DPI / 25.4)
            rows = slice(low - round(BAND * DPI / 25.4), low)
            one, other = plate[rows], mirrored[name][rows]
            assert (one < 128).any(), (name, kind)
            # Box, item and bed have one middle.
            assert differing(one, other[:, ::-1]) < 0.003, (name, kind)
            assert differing(other[:, ::-1], one) < 0.003, (name, kind)
            assert differing(one, other) > 0.1, (name, kind)
    lines = [
        json.loads((tmp_path / name / "run" / "slots.jsonl").read_text(encoding="utf-8"))["texts"]
        for name in ("plain", "mirrored")
    ]
    assert lines[0] == lines[1]  # fitted as any text


@pytest.mark.parametrize(("cover", "colour"), [("knockout", "black"), ("none", "White")])
def test_white_of_other_kinds_is_mirrored_too(tmp_path: Path, cover: str, colour: str) -> None:
    kinds = ("one line", "on an arc")
    plain = plates(build(tmp_path / "plain", False, kinds, cover, colour))["White"]
    mirrored = plates(build(tmp_path / "mirrored", True, kinds, cover, colour))["White"]
    assert differing(plain, mirrored[:, ::-1]) < 0.003
    assert differing(mirrored[:, ::-1], plain) < 0.003
    assert differing(plain, mirrored) > 0.001


def test_viewers_agree(tmp_path: Path) -> None:
    """PDFium, Poppler and MuPDF on the colour of one bed."""
    folder = build(tmp_path / "m", True, cover="none", gloss=False)
    want = plates(folder)["Black"]
    subprocess.run(["pdftoppm", "-r", str(DPI), "-png", "-gray", str(bed(folder)),
                    str(folder / "pop")], check=True)  # fmt: skip
    subprocess.run(["mutool", "draw", "-q", "-r", str(DPI), "-c", "gray", "-o",
                    str(folder / "mu.png"), str(bed(folder))], check=True)  # fmt: skip
    with pypdfium2.PdfDocument(bed(folder)) as document:
        image = document[0].render(scale=DPI / 72, grayscale=True).to_pil()
    image.save(folder / "pdfium.png")
    for name in ("pop-1.png", "mu.png", "pdfium.png"):
        with Image.open(folder / name) as picture:
            seen = np.asarray(picture.convert("L"))
        h, w = min(seen.shape[0], want.shape[0]), min(seen.shape[1], want.shape[1])
        dark = np.where(seen[:h, :w] < 160, 0, 255).astype(np.uint8)
        assert differing(want[:h, :w], dark) < 0.03, name


def test_proofs_and_previews_show_it(tmp_path: Path) -> None:
    seen = []
    for name in ("plain", "mirrored"):
        folder = build(tmp_path / name, name == "mirrored", ["on an arc"], colour="yellow")
        call(folder, "preview", "job.toml", "--slot", "A1", "--out", "one.png", "-q")
        call(folder, "proof", "job.toml", "--out", "proof.pdf", "-q")
        with Image.open(folder / "one.png") as picture:
            seen.append(np.asarray(picture.convert("L")).copy())
        with pypdfium2.PdfDocument(folder / "proof.pdf") as document:
            page: Any = document[0].render(scale=3, grayscale=True).to_pil()
            seen.append(np.asarray(page).copy())
    preview, proof, mirrored, other = seen
    assert np.mean(abs(preview.astype(int) - mirrored[:, ::-1].astype(int)) > 60) < 0.002
    assert np.mean(abs(preview.astype(int) - mirrored.astype(int)) > 60) > 0.01
    assert (proof != other).any()
