"""A picture of 40 million pixels in all 48 slots of a bed: once in the file, little memory."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image, ImageDraw
from run_kit import COMMAND, DONE, ROOT, environment

SIZE = (7750, 5170)
FILES = {
    "job.toml": 'name = "posters"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "slate"\n[sheet]\nfile = "rows.csv"\n'
    '[columns]\npicture = "Picture"\n[blanks.slate]\nsurface = "dark"\n',
    "l.toml": 'name = "slate"\nwidth = 45\nheight = 31\n[[fields]]\ntype = "picture"\n'
    'name = "picture"\nfile = "{{ picture }}"\nbox = [1, 1, 43, 29]\n',
    "j.toml": 'name = "j48"\n[grid]\nrows = 6\ncolumns = 8\npitch = [50, 40]\noffset = [30, 30]\n',
    "b.toml": 'name = "b"\nwidth = 420\nheight = 297\n[modes.m]\ndpi = [1440, 720]\n',
    "rows.csv": "Number,Picture\n" + "".join(f"{n},photo.png\n" for n in range(48)),
}
# Peak memory in kilobytes is that of the largest process below: the one that reads the picture.
MEASURE = (
    "import resource, subprocess, sys\n"
    "done = subprocess.run(sys.argv[1:])\n"
    "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
    "sys.exit(done.returncode)\n"
)


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, int]:
    home = tmp_path_factory.mktemp("large")
    for name, text in FILES.items():
        (home / name).write_text(text, encoding="utf-8")
    across = np.linspace(0, 255, SIZE[0], dtype=np.uint8)[None, :, None]
    up = np.linspace(0, 255, SIZE[1], dtype=np.uint8)[:, None, None]
    pixels = np.concatenate(np.broadcast_arrays(across, up, across // 2 + up // 2), axis=2)
    image = Image.fromarray(np.ascontiguousarray(pixels)).convert("RGBA")
    alpha = Image.new("L", SIZE, 0)
    ImageDraw.Draw(alpha).ellipse((50, 50, SIZE[0] - 50, SIZE[1] - 50), fill=255)
    image.putalpha(alpha)
    image.save(home / "photo.png", compress_level=1)
    del image, alpha, pixels
    command = [*COMMAND, "build", str(home / "job.toml"), "--out", str(home / "run"), "--quiet"]
    done = subprocess.run(
        [sys.executable, "-c", MEASURE, *command], cwd=ROOT, env=environment(),
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == DONE, done.stderr
    return home / "run", int(done.stdout.split()[-1])


def test_the_file_holds_the_picture_once(run: tuple[Path, int]) -> None:
    (bed,) = (run[0] / "beds").glob("*.pdf")
    with pikepdf.open(bed) as pdf:
        images = [o for o in pdf.objects
                  if isinstance(o, pikepdf.Stream) and o.get("/Subtype") == "/Image"]  # fmt: skip
        sizes = sorted((int(o.Width), int(o.Height), "/ImageMask" in o) for o in images)
    assert sizes == [(*SIZE, False), (*SIZE, True)], "the picture and its stencil"


def test_building_it_takes_less_than_600_megabytes(run: tuple[Path, int]) -> None:
    peak = run[1] / 1024 if sys.platform != "darwin" else run[1] / 1024**2
    assert peak < 600, f"{peak:.0f} MB"


def test_papers_do_not_carry_all_its_pixels(run: tuple[Path, int]) -> None:
    assert (run[0] / "picklist.pdf").stat().st_size < 2_000_000
