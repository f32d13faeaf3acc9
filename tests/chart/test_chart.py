"""A chart of codes to scan: Ghostscript parts its plates, zxing-cpp reads every code on it."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from unittest import mock

import numpy as np
import pytest
import zxingcpp
from click.testing import CliRunner
from PIL import Image

from vardata.cli.main import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
LEDGERS = shutil.ignore_patterns("ledger.*")  # of runs that somebody made there
TEXT = "https://tags.fernhollow.example/FHL000001"


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The tags of the examples, on a machine whose dots are square."""
    shutil.copytree(EXAMPLES / "tags", tmp_path / "tags", ignore=LEDGERS)
    monkeypatch.chdir(tmp_path / "tags")
    text = Path("job.toml").read_text("utf-8")
    Path("job.toml").write_text(text.replace('"fine"', '"draft"'), encoding="utf-8")
    return tmp_path / "tags"


def call(*arguments: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, ["chart", "job.toml", *arguments], prog_name="vardata")
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def plates(pdf: Path) -> tuple[np.ndarray, np.ndarray]:
    """Black and white plates at the machine's dots, True where there is ink."""
    gs = ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", "-r720",
          f"-sOutputFile={pdf.parent}/out.tif", "-c",
          "<< /SeparationColorNames [/White /Gloss] >> setpagedevice", "-f", str(pdf)]  # fmt: skip
    subprocess.run(gs, check=True, capture_output=True)
    files = [f"{pdf.parent}/out({name}).tif" for name in ("Black", "White")]
    with mock.patch.object(Image, "MAX_IMAGE_PIXELS", None):
        read = [np.asarray(Image.open(file)) for file in files]
    return read[0] < 128, read[1] < 128


def test_every_code_on_it_reads(job: Path) -> None:
    code, out, err = call("--field", "link", "--text", TEXT, "--out", "chart.pdf", "--json")
    assert (code, err) == (0, "")
    cells = json.loads(out)["codes"]
    # 720 dpi, 0.035278 mm a dot: from 6 dots on (0.2 mm), two dots further each time.
    assert sorted({cell["module"] for cell in cells}) == [0.212, 0.283, 0.353, 0.424, 0.494, 0.565]
    assert {cell["reduction"] for cell in cells} == {0.0, 0.036, 0.071, 0.106}
    assert len(cells) == 6 * 4 * 2
    black, white = plates(job / "chart.pdf")
    seen = np.where(black, 0, np.where(white, 255, 40)).astype(np.uint8)  # on a dark blank
    dark = zxingcpp.read_barcodes(seen, formats=zxingcpp.BarcodeFormat.QRCode, try_invert=False)
    assert [found.text for found in dark] == [TEXT] * 24
    light = zxingcpp.read_barcodes(
        np.where(white & ~black, 0, 255).astype(np.uint8), try_invert=False,
        formats=zxingcpp.BarcodeFormat.QRCode,
    )  # fmt: skip
    assert [found.text for found in light].count(TEXT) >= 24


def test_codes_are_as_large_as_their_keys_say(job: Path) -> None:
    call("--field", "link", "--text", TEXT, "--out", "chart.pdf")
    black, _ = plates(job / "chart.pdf")
    black = black[500:-500, 500:-500]  # without the marks in the bed's corners
    whole = black.any(axis=1)
    edges = np.flatnonzero(np.diff(whole.astype(int)))
    # 29 modules (version 3) of 6, 8, 10, 12, 14 and 16 dots, the first column being whole.
    heights = (edges[1::2] - edges[::2]).tolist()
    assert heights == [29 * n for n in (6, 8, 10, 12, 14, 16)]
    # Along the top bar of the largest finder of each column: 7 modules of 16 dots less 0 to 3.
    row = black[edges[-2] + 8]
    runs = np.flatnonzero(np.diff(row.astype(int)))
    lengths = (runs[1::2] - runs[::2]).tolist()
    assert sorted({112 - n for n in lengths if 106 < n <= 112}) == [0, 1, 2, 3]


def test_its_keys_stand_on_the_page(job: Path) -> None:
    call("--field", "number", "--text", "FHL000001", "--out", "chart.pdf")
    text = subprocess.run(
        ["pdftotext", "-layout", "chart.pdf", "-"], check=True, capture_output=True, text=True
    ).stdout
    assert "Code 128 on flatbed-420, print mode draft, 720 x 720 dpi" in text
    assert text.count("min_module = 0.211") == 4
    assert text.count("module = 0.212") == 4  # bars are never light
    assert "reduction = 0.106" in text and "colour" not in text
    subprocess.run(["qpdf", "--check", "chart.pdf"], check=True, capture_output=True)


JIG = 'name = "one"\n[[slots]]\nname = "s"\nx = 210\ny = 148.5\n'
ITEM = """
name = "item"
width = 420
height = 297
[[plates]]
name = "Colour"
role = "colour"
[[plates]]
name = "White"
role = "white"
cover = "art"
"""


@pytest.mark.parametrize("mode", ["draft", "fine"])  # square dots, and twice as many across
@pytest.mark.parametrize("symbology", ["qr", "datamatrix", "code128"])
def test_every_key_that_it_prints_builds(job: Path, mode: str, symbology: str) -> None:
    code = f'[[fields]]\ntype = "code"\ntext = "{{{{ number }}}}"\nsymbology = "{symbology}"\n'
    Path("one.toml").write_text(f'{ITEM}{code}name = "code"\nbox = [0, 0, 30, 30]\n', "utf-8")
    Path("jig.toml").write_text(JIG, "utf-8")
    text = Path("job.toml").read_text("utf-8").replace('"draft"', f'"{mode}"')
    text = text.replace('"tag.toml"', '"one.toml"').replace('"tag-jig.toml"', '"jig.toml"')
    Path("job.toml").write_text(text, "utf-8")
    rows = Path("tags.csv").read_text("utf-8").splitlines(keepends=True)
    Path("tags.csv").write_text("".join(rows[:2]), "utf-8")
    status, out, err = call("--text", "FHL000001", "--out", "chart.pdf", "--json")
    assert (status, err) == (0, "")
    cells = json.loads(out)["codes"]
    fields, x, y, high = "", 1.0, 1.0, 0.0
    for n, cell in enumerate(cells):  # in rows, as large as the chart has them and a little more
        w, h = cell["w"] + 1.0, cell["h"] + 1.0
        if x + w > 419.0:
            x, y, high = 1.0, y + high, 0.0
        keys = "".join(f"{k} = {cell[k]:g}\n" for k in ("module", "min_module", "reduction"))
        light = 'colour = "white"\n' if cell["light"] else ""
        fields += f'{code}name = "c{n}"\n{keys}{light}box = [{x}, {y}, {w}, {h}]\n'
        x, high = x + w, max(high, h)
    Path("one.toml").write_text(ITEM + fields, "utf-8")
    made = CliRunner().invoke(main, ["build", "job.toml", "--out", "run", "--workers", "1"])
    held = Path("run/held.csv").read_text("utf-8")
    assert made.exit_code == 0, held
    (slot,) = map(json.loads, Path("run/slots.jsonl").read_text("utf-8").splitlines())
    for cell, drawn in zip(cells, slot["codes"], strict=True):
        dpi = (720, 720) if mode == "draft" else (1440, 720)
        sides = [dots * 25.4 / each for dots, each in zip(drawn["module_dots"], dpi)]
        assert cell["min_module"] <= min(sides) <= max(sides) <= cell["module"]
        assert cell["module"] - max(sides) < 0.001 and min(sides) - cell["min_module"] < 0.001


def test_the_same_date_gives_the_same_bytes_and_no_trace(job: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        call("--field", "link", "--text", TEXT, "--out", name, "--at", "2026-10-31")
    assert (job / "one.pdf").read_bytes() == (job / "two.pdf").read_bytes()
    assert not (job / "ledger.sqlite").exists()


def test_a_product_of_a_mixed_job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(EXAMPLES / "mixed", tmp_path / "mixed", ignore=LEDGERS)
    monkeypatch.chdir(tmp_path / "mixed")
    code, out, err = call("--product", "nothing", "--text", TEXT, "--out", "chart.pdf")
    assert (code, out) == (2, "") and err.startswith("the job has no product 'nothing'; ")
    assert err.endswith("allowed: medal, badge, plate\n")
    assert call("--product", "medal", "--text", TEXT, "--out", "chart.pdf")[2] == (
        "the layout 'medal' has no code; name a job whose layout has a field of type code\n"
    )
    assert call("--product", "badge", "--text", TEXT, "--out", "chart.pdf")[0] == 0
    black, _ = plates(tmp_path / "mixed/chart.pdf")
    assert black.any()


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        ((), "the layout 'asset-tag-60x25' has more than one code; say which with --field: link, "
             "number"),
        (("--field", "links"),
         "the layout 'asset-tag-60x25' has no code 'links'; did you mean 'link'? allowed: link, "
         "number"),
        (("--field", "link", "--blank", "white"),
         "the job has no blank 'white'; allowed: black"),
        (("--field", "number", "--text", "größe"),
         "Code 128 cannot hold 'ö', 'ß'; use ASCII characters only, or a QR code"),
        (("--field", "number", "--text", "F" * 400),
         "the bed of 420 x 297 mm is too small for a chart of this code, which needs 947 x 31 mm; "
         "shorten the text with --text"),
    ],
)  # fmt: skip
def test_what_will_not_do(job: Path, arguments: tuple[str, ...], line: str) -> None:
    more = arguments if "--text" in arguments else (*arguments, "--text", TEXT)
    assert call("--out", "chart.pdf", *more) == (2, "", f"{line}\n")
    assert not (job / "chart.pdf").exists()
