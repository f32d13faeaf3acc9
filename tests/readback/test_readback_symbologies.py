"""Every kind of code goes through the whole job and is read back from the bed file alone."""

from __future__ import annotations

import json
import math
import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from readback_runs import ON_BLACK, build_job, found, lines, read

from vardata.job.symbologies import SYMBOLOGIES
from vardata.readback.report import ReadbackReport

TEXTS = {
    "qr": "Seat 12", "microqr": "SEAT12", "rmqr": "Seat 12, row C", "datamatrix": "Seat 12",
    "datamatrix-rectangular": "Seat 12", "aztec": "Seat 12", "pdf417": "Seat 12, row C",
    "code128": "Seat-12", "code39": "SEAT12", "code93": "SEAT 12", "codabar": "A1234B",
    "itf": "123456", "itf14": "15400141288763", "ean13": "4006381333931", "ean8": "96385074",
    "upca": "036000291452", "upce": "01234565", "databar": "09521234543213",
    "databar-limited": "09521234543213", "databar-stacked": "09521234543213",
    "databar-stacked-omni": "09521234543213",
    "databar-expanded": "(01)09521234543213(10)ABC123",
    "databar-expanded-stacked": "(01)09521234543213(10)ABC123",
}  # fmt: skip

JOB = ON_BLACK % "kinds"
LAYOUT = """
name = "kind"
width = 80
height = 44
[[fields]]
type = "code"
name = "code"
text = "{{ text }}"
symbology = "%s"
box = [2, 2, 76, 40]
module = 0.5
"""
JIG = '[[slots]]\nname = "%s"\nx = %d\ny = 50\nrotation = %d\n'
BED = 'name = "small"\nwidth = 420\nheight = 100\n[modes.fine]\ndpi = [%s]\nreduction = { %s }\n'


def test_the_table_of_texts_is_whole() -> None:
    assert set(TEXTS) == set(SYMBOLOGIES)


@pytest.mark.parametrize("rotation", [0, 90])
@pytest.mark.parametrize("symbology", sorted(TEXTS))
def test_it_reads_from_the_bed_file(tmp_path: Path, symbology: str, rotation: int) -> None:
    report = _read_back(tmp_path, symbology, rotation, "720, 720")
    assert found(report) == set()
    assert (report.codes, report.codes_good) == (1, 1)
    assert len(lines(report)) == 1


@pytest.mark.parametrize("addon", ["", "+52"])
@pytest.mark.parametrize("reduction", ["", "Colour = 0.105"])
@pytest.mark.parametrize("symbology", ["ean13", "ean8", "upca", "upce"])
def test_it_reads_with_its_digits_in_the_quiet_zone(
    tmp_path: Path, symbology: str, reduction: str, addon: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Digits stand beside the bars, below what a reader needs of them."""
    if addon and symbology == "ean8":
        addon = ""  # it has none
    monkeypatch.setitem(TEXTS, symbology, TEXTS[symbology] + addon)
    report = _read_back(tmp_path, symbology, 90, "1440, 720", reduction, "text_line = true\n")
    assert found(report) == set()
    assert (report.codes, report.codes_good) == (1, 1)


@pytest.mark.parametrize(("rotation", "dots"), [(0, [12, 14]), (90, [14, 12])])
@pytest.mark.parametrize("symbology", ["qr", "datamatrix-rectangular", "aztec", "pdf417"])
def test_it_reads_where_dots_are_not_square(
    tmp_path: Path, symbology: str, rotation: int, dots: list[int]
) -> None:
    # 0.48 by 0.494 mm: along x and y of the bed, however the item is turned
    report = _read_back(tmp_path, symbology, rotation, "635, 720")
    assert found(report) == set()
    assert lines(report)[0]["codes"][0]["module_dots"] == pytest.approx(dots, abs=0.05)


@pytest.mark.parametrize("symbology", ["qr", "datamatrix-rectangular", "pdf417"])
def test_a_jig_with_slots_both_ways_where_dots_are_not_square(
    tmp_path: Path, symbology: str
) -> None:
    report = _read_back(tmp_path, symbology, (0, 90, 180, 270), "635, 720")
    assert found(report) == set()
    # 12 by 14 dots of the bed in every slot, so 14 by 12 of a code that lies across.
    dots = {line["slot"]: line["codes"][0]["module_dots"] for line in lines(report)}
    for slot, pair in dots.items():
        assert pair == pytest.approx([12, 14] if slot in ("s0", "s180") else [14, 12], abs=0.05)
    assert len(dots) == 4


@pytest.mark.parametrize(
    ("symbology", "rotation", "mm", "dpi"),
    [
        ("qr", 0, 0.035, "720, 720"), ("datamatrix", 270, 0.105, "720, 720"),
        ("aztec", 0, 0.21, "720, 720"), ("pdf417", 90, 0.07, "1440, 720"),
        ("qr", 180, 0.08, "635, 720"), ("code128", 270, 0.105, "720, 720"),
        ("ean13", 0, 0.21, "720, 720"),
    ],
)  # fmt: skip
def test_it_reads_where_bars_are_drawn_narrower(
    tmp_path: Path, symbology: str, rotation: int, mm: float, dpi: str
) -> None:
    report = _read_back(tmp_path, symbology, rotation, dpi, f"Colour = {mm}")
    assert found(report) == set()
    # Ghostscript judges the ink: narrower than the same code drawn whole.
    whole = _read_back(tmp_path / "whole", symbology, rotation, dpi)
    assert found(whole) == set()
    less, all_of_it = (_ink(run) for run in (tmp_path / "run", tmp_path / "whole/run"))
    assert 0.4 < less / all_of_it < 0.97


@pytest.mark.parametrize(
    ("symbology", "rotation", "dpi", "reduction"),
    [
        ("qr", 0, "720, 720", ""), ("datamatrix", 90, "720, 720", ""),
        ("qr", 270, "635, 720", ""), ("qr", 180, "720, 720", "Colour = 0.07"),
        ("datamatrix", 0, "1440, 720", "Colour = 0.035"),
    ],
)  # fmt: skip
def test_round_modules_read(
    tmp_path: Path, symbology: str, rotation: int, dpi: str, reduction: str
) -> None:
    report = _read_back(
        tmp_path, symbology, rotation, dpi, reduction, 'modules = "round"\n'
    )
    assert found(report) == set()
    assert (tmp_path / "run/readback.jsonl").is_file()  # read back without being asked
    if not reduction and dpi == "720, 720":
        _read_back(tmp_path / "whole", symbology, rotation, dpi)
        # Ghostscript judges: a disc is pi / 4 of its square; finders and sides stay whole.
        share = _ink(tmp_path / "run") / _ink(tmp_path / "whole/run")
        assert math.pi / 4 < share < 0.95


def test_a_file_that_was_not_reduced_is_found(tmp_path: Path) -> None:
    _read_back(tmp_path, "qr", 0, "720, 720")
    run = tmp_path / "run"
    facts = json.loads((run / "run.json").read_text("utf-8"))
    facts["bed"]["modes"]["fine"]["reduction"] = {"Colour": 0.21}
    (run / "run.json").write_text(json.dumps(facts), encoding="utf-8")
    assert found(read(run)) == {("s", "code", "code-modules"), ("s", "code", "code-quiet-dark")}


def _ink(run: Path) -> float:
    """The colour ink of a run's bed, by Ghostscript at the bed's dots."""
    (bed,) = (run / "beds").iterdir()
    gs = ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", "-r720",
          f"-sOutputFile={run}/out.tif", "-c",
          "<< /SeparationColorNames [/White /Gloss] >> setpagedevice", "-f", str(bed)]  # fmt: skip
    subprocess.run(gs, check=True, capture_output=True)
    return float((255 - np.asarray(Image.open(f"{run}/out(Black).tif")).astype(float)).sum())


def _read_back(
    tmp_path: Path, symbology: str, rotation: int | tuple[int, ...], dpi: str,
    reduction: str = "", more: str = "",
) -> ReadbackReport:
    """A job of one code, built and read back."""
    job = tmp_path / "job"
    job.mkdir(parents=True)
    text = TEXTS[symbology]
    rotations = rotation if isinstance(rotation, tuple) else (rotation,)
    sheet = "text\n" + f'"{text}"\n' * len(rotations)
    (job / "sheet.csv").write_text(sheet, encoding="utf-8")
    (job / "job.toml").write_text(JOB, encoding="utf-8")
    (job / "layout.toml").write_text(LAYOUT % symbology + more, encoding="utf-8")
    (job / "jig.toml").write_text(
        'name = "one"\n' + "".join(
            JIG % ("s" if len(rotations) == 1 else f"s{turn}", 50 + 100 * at, turn)
            for at, turn in enumerate(rotations)
        ), encoding="utf-8",
    )  # fmt: skip
    (job / "bed.toml").write_text(BED % (dpi, reduction), encoding="utf-8")
    return read(build_job(job))
