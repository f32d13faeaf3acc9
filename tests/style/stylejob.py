"""A job of one text field on an item of 60 x 20 mm, one slot a bed, built by the command; its
plates as Ghostscript separates them and its picture as PDFium sees it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image

DPI = 600
PX = DPI / 25.4  # pixels a mm
WIDE, HIGH = 60.0, 20.0  # mm: the item, and the bed
Mask = NDArray[np.bool_]

_PLATES = """\
[[plates]]
name = "Colour"
role = "colour"

[[plates]]
name = "White"
role = "white"
cover = "art"
choke = 0.1

[[plates]]
name = "Gloss"
role = "gloss"
cover = "fields"

"""
_BED = 'name = "b"\nwidth = 60\nheight = 20\nmodes.fine.dpi = [600, 600]\n'
_JIG = 'name = "j"\n[[slots]]\nname = "A1"\nx = 30\ny = 10\n'
_JOB = """\
name = "badges"
layout = "layout.toml"
jig = "jig.toml"
bed = "bed.toml"
print_mode = "fine"
sheet.file = "guests.csv"
"""


def made(
    folder: Path, field: str, rows: str = "first,last\nOttilie,Brandvold\n", plates: str = _PLATES,
    top: str = "", job: str = "", box: str = "[2, 2, 56, 16]", art: str = "",
) -> Path:
    """Writes the job. ``field`` is TOML: what the field has besides its type, name and box; ``art``
    are fields below it."""
    fields = f'[[fields]]\ntype = "text"\nname = "guest"\nbox = {box}\n{field}\n'
    layout = f'name = "badge"\nwidth = {WIDE}\nheight = {HIGH}\n{top}\n{plates}{art}{fields}'
    files = {"layout.toml": layout, "bed.toml": _BED, "jig.toml": _JIG, "job.toml": _JOB + job,
             "guests.csv": rows}  # fmt: skip
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / "job.toml"


def called(job: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "vardata.cli.main", words[0], str(job), *words[1:]]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def built(folder: Path, field: str, *, code: int = 0, **more: Any) -> Path:
    """The folder of a finished run."""
    job = made(folder, field, **more)
    run = folder / "run"
    done = called(job, "build", "-q", "--replace", "--out", str(run))
    assert done.returncode == code, done.stderr
    return run


def slots(run: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (run / "slots.jsonl").read_text("utf-8").splitlines()]


def separations(run: Path, bed: int = 0, page: int = 1, dpi: int = DPI) -> dict[str, Mask]:
    """Where each plate of a page of a bed has ink, by its name; row 0 is the top."""
    file = sorted((run / "beds").iterdir())[bed]
    where = run.parent / f"plates-{bed}"
    where.mkdir(exist_ok=True)
    for old in where.iterdir():
        old.unlink()
    subprocess.run(
        ["gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{dpi}",
         f"-dFirstPage={page}", f"-dLastPage={page}", f"-sOutputFile={where}/p.tif", "-c",
         "<< /SeparationColorNames [/White /Gloss] >> setpagedevice", "-f", str(file)],
        check=True, capture_output=True,
    )  # fmt: skip
    found = {}
    for path in sorted(where.glob("p(*).tif")):
        with Image.open(path) as image:
            found[path.name[2:-5]] = np.asarray(image) < 128
    return found


def area(mask: Mask) -> float:
    """mm2 of ink."""
    return float(mask.sum()) / PX / PX


def box(mask: Mask) -> tuple[float, float, float, float]:
    """The box round ink, mm from the lower left of the bed."""
    rows, columns = np.nonzero(mask)
    high = mask.shape[0]
    return (columns.min() / PX, (high - 1 - rows.max()) / PX,
            (columns.max() + 1) / PX, (high - rows.min()) / PX)  # fmt: skip


def seen(run: Path, bed: int = 0, dpi: float = 300) -> NDArray[np.uint8]:
    """The bed as PDFium renders it, RGB."""
    pdf = pypdfium2.PdfDocument(sorted((run / "beds").iterdir())[bed])
    pixels = np.array(pdf[0].render(scale=dpi / 72).to_pil().convert("RGB"))
    pdf.close()
    return pixels
