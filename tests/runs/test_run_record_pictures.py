"""Pictures that records name: judged once a file, by their pixels and by their ink."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image
from run_kit import AT, DONE, HELD, Run, build, call

FILES = {
    "job.toml": 'name = "faces"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "w"\n[sheet]\nfile = "rows.csv"\n[columns]\nphoto = "Photo"\n'
    '[blanks.w]\nsurface = "light"\n',
    "l.toml": 'name = "l"\nwidth = 30\nheight = 30\n[[plates]]\nname = "Colour"\nrole = "colour"\n'
    '[[fields]]\ntype = "picture"\nname = "face"\nfile = "{{ photo }}"\nbox = [5, 5, 20, 20]\n',
    "j.toml": 'name = "j"\n[grid]\nrows = 2\ncolumns = 3\npitch = [32, 32]\noffset = [20, 20]\n',
    "b.toml": 'name = "b"\nwidth = 120\nheight = 80\n[modes.m]\ndpi = [600, 600]\n',
}


def home_with(place: Path, rows: str, **changed: str) -> Path:
    home = place / "job"
    home.mkdir()
    for name, text in (FILES | changed).items():
        (home / name).write_text(text, encoding="utf-8")
    (home / "rows.csv").write_text(rows, encoding="utf-8")
    return home


def built(home: Path, *options: str) -> Run:
    return build(home, home.parent / "run", "--at", AT, *options)


def saved(
    home: Path, name: str, side: int, colour: object = (0, 90, 200), mode: str = "RGB"
) -> None:
    Image.new(mode, (side, side), colour).save(home / name)  # type: ignore[arg-type]


@pytest.mark.parametrize("workers", ["1", "2"])
def test_a_warning_tells_how_many_pictures_show_their_pixels(tmp_path: Path, workers: str) -> None:
    """60 pixels on 20 mm are 60 / 20 * 25.4 = 76 ppi; 100 are 127, 118 are 149.9, 119 are 151."""
    home = home_with(tmp_path, "Photo\na.png\nb.png\na.png\nc.png\nd.png\n")
    for name, side in (("a.png", 60), ("b.png", 100), ("c.png", 118), ("d.png", 119)):
        saved(home, name, side)
    run = built(home, "--workers", workers)
    assert run.code == DONE, run.stderr
    assert (
        "field 'face': 3 pictures have fewer than 150 ppi at their size, so their pixels show; "
        "the least has 'a.png': 76; use larger ones; \"min_ppi\" of the field holds their records"
    ) in run.stderr


def test_one_such_picture_is_told_by_its_name_and_personal_names_are_not(tmp_path: Path) -> None:
    home = home_with(tmp_path, "Photo\nkim.png\n")
    saved(home, "kim.png", 60)
    line = "the picture 'kim.png' has 76 ppi at its size, so its pixels show"
    assert line in built(home).stderr
    job = (home / "job.toml").read_text(encoding="utf-8")
    (home / "job.toml").write_text('personal = ["Photo"]\n' + job, encoding="utf-8")
    said = call("check", home / "job.toml")
    assert "kim" not in "".join(said[1:]) and "picture-coarse" in said[1]


def test_sharp_pictures_bring_no_warning(tmp_path: Path) -> None:
    home = home_with(tmp_path, "Photo\nd.png\n")
    saved(home, "d.png", 300)
    assert "ppi" not in built(home).stderr


def test_a_picture_with_too_much_ink_holds_its_record(tmp_path: Path) -> None:
    """204 + 153 + 255 + 51 of 255 levels are 260 %."""
    home = home_with(
        tmp_path, "Photo\na.tif\nb.tif\n", **{"b.toml": FILES["b.toml"] + "ink_limit = 250\n"}
    )
    saved(home, "a.tif", 300, (204, 153, 255, 51), "CMYK")
    saved(home, "b.tif", 300, (204, 153, 200, 51), "CMYK")
    run = built(home)
    assert run.code == HELD and len(run.slots) == 1
    held = (run.out / "held.csv").read_text(encoding="utf-8")
    assert (
        "the picture 'a.tif' cannot be printed: it has 260 % of ink, and the print mode takes at "
        "most 250 %"
    ) in held
    assert "b.tif" not in held


def test_kept_rgb_of_a_record_is_judged_by_the_profile(tmp_path: Path) -> None:
    from vardata.job.shipped import profiles

    name = next(iter(profiles()))
    home = home_with(tmp_path, "Photo\na.png\n", **{
        "b.toml": FILES["b.toml"] + "ink_limit = 200\n",
        "job.toml": FILES["job.toml"] + f'[output]\nprofile = "{name}"\n',
    })  # fmt: skip
    saved(home, "a.png", 300, (70, 30, 20))
    run = built(home)
    assert run.code == HELD, run.stderr
    assert "% of ink, and the print mode takes at most 200 %" in (run.out / "held.csv").read_text()
