"""Codes of one item that say the same: each is read where it lies, not where the other does."""

from __future__ import annotations

import json
import math
import subprocess
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from readback_runs import ON_BLACK, bed_file, build_job, found, lines, read

JOB = ON_BLACK % "pair"
LAYOUT = """
name = "pair"
width = 60
height = 40
[[plates]]
name = "Colour"
role = "colour"
[[plates]]
name = "White"
role = "white"
cover = "art"
choke = 0.08
"""
FIELD = """
[[fields]]
type = "code"
name = "%s"
text = "{{ text }}"
symbology = "datamatrix"
box = [%s, 3, 14, 14]
rotation = %d
"""
JIG = 'name = "one"\n[[slots]]\nname = "s"\nx = 50\ny = 50\nrotation = %d\n'
BED = 'name = "small"\nwidth = 100\nheight = 100\n[modes.fine]\ndpi = [720, 720]\n'
LIGHT = 'colour = "White"\nground = "never"\n'


@pytest.mark.parametrize(("turn", "slot"), [(0, 0), (90, 180)])
@pytest.mark.parametrize("drawn", ['modules = "round"\n', "reduction = 0.036\n", ""])
def test_a_neighbour_that_says_the_same(tmp_path: Path, drawn: str, turn: int, slot: int) -> None:
    job = tmp_path / "job"
    job.mkdir()
    layout = LAYOUT + FIELD % ("dark", 3, turn) + drawn + FIELD % ("light", 20, turn) + LIGHT
    (job / "sheet.csv").write_text("text\nAB00042\n", encoding="utf-8")
    for name, text in (("job", JOB), ("layout", layout), ("jig", JIG % slot), ("bed", BED)):
        (job / f"{name}.toml").write_text(text, encoding="utf-8")
    run = build_job(job)
    report = read(run)
    assert found(report) == set()
    assert [code["read"] for code in lines(report)[0]["codes"]] == ["AB00042"] * 2
    # Ghostscript parts the plates: black ink is that of the dark code alone, and zxing-cpp reads
    # it where the run's record has its box.
    subprocess.run(
        ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", "-r720",
         f"-sOutputFile={tmp_path}/out.tif", str(bed_file(run))], check=True, capture_output=True,
    )  # fmt: skip
    black = Image.open(f"{tmp_path}/out(Black).tif").convert("L")
    (seen,) = zxingcpp.read_barcodes(
        black, formats=zxingcpp.BarcodeFormat.DataMatrix, try_invert=False
    )
    assert seen.text == "AB00042"
    dark, light = json.loads((run / "slots.jsonl").read_text("utf-8"))["codes"]
    place = seen.position
    corners = (place.top_left, place.top_right, place.bottom_right, place.bottom_left)
    middle = [sum(each) / 4 / 720 * 25.4 for each in zip(*((c.x, c.y) for c in corners))]
    x, y, w, h = dark["box_mm"]
    assert math.dist((middle[0], 100 - middle[1]), (x + w / 2, y + h / 2)) < 0.5
    assert abs(light["box_mm"][0] - x) == pytest.approx(17, abs=0.1)
