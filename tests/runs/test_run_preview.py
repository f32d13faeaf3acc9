"""``vardata preview`` on photos of blanks, and lit from behind: pixels and exact messages."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from run_kit import call

RED, BLUE = (170, 60, 50), (60, 70, 170)
FILES = {
    "job.toml": 'name = "panels"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\n[sheet]\nfile = "rows.csv"\n[columns]\nn = "N"\n[records]\n'
    'blank = "Blank"\n[blanks.brick]\nphoto = "brick.png"\n[blanks.slate]\n'
    'substrate = "#404448"\n[blanks.glass]\nsurface = "clear"\nsubstrate = "#808890"\n',
    "l.toml": 'name = "panel"\nwidth = 40\nheight = 20\n[[plates]]\nname = "Colour"\n'
    'role = "colour"\n[[plates]]\nname = "White"\nrole = "white"\ncover = "art"\nchoke = 0\n'
    'density = 50\n[[fields]]\ntype = "shape"\nname = "panel"\nshape = "rectangle"\n'
    'box = [5, 5, 10, 10]\nfill = "White"\n',
    "j.toml": 'name = "three"\n[grid]\nrows = 1\ncolumns = 3\npitch = [45, 25]\n'
    "offset = [25, 15]\n",
    "b.toml": 'name = "b"\nwidth = 140\nheight = 30\n[modes.m]\ndpi = [600, 600]\n',
    "rows.csv": "N,Blank\n1,brick\n2,slate\n3,glass\n",
}


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A photo of 60 x 20 pixels: a third of it is cut off on either side of 40 x 20 mm."""
    folder = tmp_path / "job"
    folder.mkdir()
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    photo = np.zeros((20, 60, 3), np.uint8)
    photo[:, :30], photo[:, 30:] = RED, BLUE
    photo[:, :9], photo[:, 51:] = (0, 255, 0), (0, 255, 0)  # what is cut off
    Image.fromarray(photo).save(folder / "brick.png")
    return folder


def shown(home: Path, *options: str) -> tuple[np.ndarray, str]:
    """The bed at 10 dots a mm, and what the command says."""
    out = home / "bed.png"
    code, stdout, stderr = call("preview", home / "job.toml", "--out", out, "--dpi", "254",
                                *options)  # fmt: skip
    assert code == 0, stderr
    return np.asarray(Image.open(out).convert("RGB")).astype(int), stdout


def at(pixels: np.ndarray, x: float, y: float) -> tuple[int, ...]:
    """The colour at mm from the lower left of the bed."""
    return tuple(pixels[300 - round(y * 10), round(x * 10)])


def near(want: tuple[float, ...], off: float = 3) -> object:
    return pytest.approx(want, abs=off)


def test_a_blank_is_shown_by_its_photo_and_others_by_their_colour(home: Path) -> None:
    pixels, _ = shown(home)
    left, right = at(pixels, 22, 15), at(pixels, 43, 15)
    assert (left, right) == (near(RED), near(BLUE))
    assert at(pixels, 15, 15) == near(tuple((255 + part) / 2 for part in RED))  # half white
    assert at(pixels, 70, 15) == near((0x40, 0x44, 0x48))
    green = (pixels[:, :, 1] > 200) & (pixels[:, :, 0] < 100)
    assert not green.any(), "what passes the box is cut off"


def test_a_photo_for_every_blank_by_option(home: Path) -> None:
    pixels, _ = shown(home, "--photo", str(home / "brick.png"))
    for middle in (25, 70, 115):
        assert at(pixels, middle - 3, 15) == near(RED) and at(pixels, middle + 3, 15) == near(BLUE)


def test_a_colour_by_option_counts_more_than_a_photo(home: Path) -> None:
    pixels, _ = shown(home, "--substrate", "#203040")
    assert at(pixels, 22, 15) == at(pixels, 43, 15) == near((0x20, 0x30, 0x40))


def test_lit_from_behind(home: Path) -> None:
    """A clear blank shows the lamp, 50 % of white dims it; others filter it by their colour."""
    pixels, said = shown(home, "--lit")
    assert "lit from behind" in said
    clear, white = at(pixels, 120, 15), at(pixels, 105, 15)
    assert min(clear) > 235
    share = (1 - 0.5 * 0.65) ** (1 / 2.2)
    assert white == near(tuple(part * share for part in clear))
    assert at(pixels, 70, 15) == near((0x40, 0x44, 0x48))
    assert max(at(pixels, 2, 2)) < 60  # the room is dark


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (("--photo", "brick.png", "--lit"),
         "--photo and --lit each say what items lie on; give one of them"),
        (("--photo", "brick.png", "--substrate", "#ffffff"),
         "--photo and --substrate each say what items lie on; give one of them"),
        (("--photo", "gone.png"),
         "gone.png: the picture cannot be opened (No such file or directory); mend the "
         "name or the rights of the file"),
        (("--photo", "job.toml"),
         "job.toml: a picture is PNG, JPEG, TIFF, WebP, HEIF, PDF or EPS, not '.toml'; "
         "save it again as PNG or JPEG"),
    ],
)  # fmt: skip
def test_what_cannot_be_shown_is_one_clear_line(
    home: Path, options: tuple[str, ...], line: str
) -> None:
    code, _, stderr = call("preview", home / "job.toml", "--out", home / "x.png", *options)
    assert code == 2 and stderr.strip() == line
    assert not (home / "x.png").exists()


def test_a_photo_that_is_not_there_is_told_with_its_place(home: Path) -> None:
    (home / "brick.png").unlink()
    code, _, stderr = call("preview", home / "job.toml", "--out", home / "x.png")
    assert code == 4 and stderr.strip() == (
        f"{home / 'job.toml'}:13, blanks.brick.photo: there is no file 'brick.png'; put it "
        "there, or mend the name, which starts from the folder of this file"
    )


def test_panels_that_are_seen_from_both_sides_have_no_lit_picture(home: Path) -> None:
    plates = FILES["l.toml"].replace(
        '[[plates]]\nname = "Colour"\nrole = "colour"\n',
        'surface = "both"\n[[plates]]\nname = "Back"\nrole = "colour"\n',
    ).replace("density = 50\n", 'density = 50\n[[plates]]\nname = "Front"\nrole = "colour"\n')
    plates = plates.replace('cover = "art"', 'cover = "flood"')
    (home / "l.toml").write_text(plates, encoding="utf-8")
    job = (home / "job.toml").read_text(encoding="utf-8")
    for blank in ("brick", "slate"):
        job = job.replace(f"[blanks.{blank}]\n", f'[blanks.{blank}]\nsurface = "clear"\n')
    (home / "job.toml").write_text(job, encoding="utf-8")
    code, _, stderr = call("preview", home / "job.toml", "--out", home / "x.png", "--lit")
    assert code == 2 and stderr.strip() == (
        "the layout is seen from both sides, and only one side can be shown lit; leave "
        '--lit out, or use surface = "first"'
    )
