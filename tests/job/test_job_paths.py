"""Files that files name: relative to the naming file, kept inside the job's folder."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from job_folder import GOOD, JobFolder

from vardata.job import shipped
from vardata.job.load import load_setup
from vardata.job.paths import PathFault, find_file, place
from vardata.problems import JobError

OUTSIDE = "move it into the folder, or set outside = true in the job file"


def test_what_a_good_job_is_made_from(job: JobFolder) -> None:
    setup = job.load()
    assert setup.mode.dpi == (720.0, 1440.0)
    assert (setup.layout.width, setup.layout.height, setup.bed.height) == (60.0, 25.0, 300.0)
    assert setup.sheet_file == job.path / "orders.csv"
    assert setup.job_file == job.path / "job.toml"
    assert setup.layout_file == job.path / "tag.toml"
    assert setup.files == {"art/logo.svg": job.path / "art/logo.svg"}
    assert list(setup.fonts.items())[:3] == [
        ("NotoSans-Regular", shipped.fonts_dir() / "NotoSans-Regular.ttf"),
        ("NotoSerif-Regular", shipped.fonts_dir() / "NotoSerif-Regular.ttf"),
        ("NotoSansMono-Regular", shipped.fonts_dir() / "NotoSansMono-Regular.ttf"),
    ]


def test_a_job_is_read_from_any_folder_and_names_its_files_from_there(
    job: JobFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    (job.path / "elsewhere").mkdir()
    monkeypatch.chdir(job.path / "elsewhere")
    assert load_setup(Path("../job.toml")).layout.name == "tag"
    job.change("tag.toml", ("width = 60", "width = -1"))
    with pytest.raises(JobError) as caught:
        load_setup(Path("../job.toml"))
    assert str(caught.value) == ("../tag.toml:2, width: -1 is out of range; it must be more than 0")


def test_names_are_relative_to_the_file_that_holds_them(job: JobFolder) -> None:
    job.write("layouts/tag.toml", GOOD["tag.toml"])
    job.write("layouts/art/logo.svg", "<svg/>")
    job.change("job.toml", ('"tag.toml"', '"layouts/tag.toml"'))
    assert job.load().files == {"art/logo.svg": job.path / "layouts/art/logo.svg"}
    job.change("layouts/tag.toml", ('"art/logo.svg"', '"../art/logo.svg"'))
    assert job.load().files == {"../art/logo.svg": job.path / "art/logo.svg"}


@pytest.fixture
def outer(job: JobFolder, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The job moved into a folder of its own, with a file beside that folder."""
    inner = job.path / "inner"
    inner.mkdir()
    for path in list(job.path.iterdir()):
        if path != inner:
            path.rename(inner / path.name)
    outside = job.path
    (outside / "logo.svg").write_text("<svg/>")
    monkeypatch.chdir(inner)
    job.path = inner
    return outside


def test_dots_absolute_names_and_links_that_leave_the_folder(job: JobFolder, outer: Path) -> None:
    folder = job.path
    (folder / "link.svg").symlink_to(outer / "logo.svg")
    (folder / "up").symlink_to(outer, target_is_directory=True)
    absolute = str(outer / "logo.svg")
    for name in ("../logo.svg", absolute, "link.svg", "up/logo.svg", "art/../../logo.svg"):
        text = GOOD["tag.toml"].replace('"art/logo.svg"', f'"{name}"')
        job.write("tag.toml", text)
        shown = repr(name) if len(name) <= 60 else repr(name[:57] + "...")
        assert job.faults() == [
            f"tag.toml:25, art[0].file: {shown} lies outside the folder '{folder}'; {OUTSIDE}"
        ]
        job.change("job.toml", ('name = "tags"', 'name = "tags"\noutside = true'))
        assert job.load().files == {name: outer / "logo.svg"}
        job.change("job.toml", ("\noutside = true", ""))


def test_links_that_stay_inside_are_followed(job: JobFolder) -> None:
    (job.path / "art/same.svg").symlink_to("logo.svg")
    job.change("tag.toml", ('"art/logo.svg"', '"art/same.svg"'))
    assert job.load().files == {"art/same.svg": job.path / "art/logo.svg"}


def test_a_folder_whose_name_begins_alike_is_outside(job: JobFolder, outer: Path) -> None:
    (outer / "inner2").mkdir()
    (outer / "inner2/logo.svg").write_text("<svg/>")
    job.change("tag.toml", ('"art/logo.svg"', '"../inner2/logo.svg"'))
    assert job.faults() == [
        f"tag.toml:25, art[0].file: '../inner2/logo.svg' lies outside the folder '{job.path}'; "
        f"{OUTSIDE}"
    ]


def test_a_folder_of_the_job_that_is_a_link_itself(job: JobFolder, outer: Path) -> None:
    (outer / "door").symlink_to(job.path, target_is_directory=True)
    setup = load_setup(outer / "door/job.toml")
    assert setup.sheet_file == job.path / "orders.csv"


def test_every_file_of_the_job_must_stay_inside(job: JobFolder, outer: Path) -> None:
    for name in ("tag.toml", "jig.toml", "bed.toml", "orders.csv"):
        (job.path / name).rename(outer / name)
        job.change("job.toml", (f'"{name}"', f'"../{name}"'))
    job.change("job.toml", ('blank = "black"', 'blank = "black"\nledger = "../l.sqlite"'))
    where = f"lies outside the folder '{job.path}'; {OUTSIDE}"
    assert job.faults() == [
        f"job.toml:2, layout: '../tag.toml' {where}",
        f"job.toml:3, jig: '../jig.toml' {where}",
        f"job.toml:4, bed: '../bed.toml' {where}",
        f"job.toml:7, ledger: '../l.sqlite' {where}",
        f"job.toml:10, sheet.file: '../orders.csv' {where}",
    ]


def test_the_order_sheet_of_the_command_line_may_lie_anywhere(job: JobFolder, outer: Path) -> None:
    (outer / "other.csv").write_text("a\n")
    (job.path / "orders.csv").unlink()
    assert job.load("../other.csv").sheet_file == outer / "other.csv"
    assert job.faults("../othr.csv") == [
        "../othr.csv: there is no such order sheet; did you mean '../other.csv'?"
    ]


def test_links_in_a_circle_and_names_that_are_too_long(job: JobFolder) -> None:
    (job.path / "a.svg").symlink_to("b.svg")
    (job.path / "b.svg").symlink_to("a.svg")
    job.change("tag.toml", ('"art/logo.svg"', '"a.svg"'))
    assert job.faults() == [
        "tag.toml:25, art[0].file: 'a.svg' leads to no file; check its length and its links"
    ]
    job.change("tag.toml", ('"a.svg"', f'"{"x" * 300}.svg"'))
    assert job.faults() == [
        f"tag.toml:25, art[0].file: '{'x' * 57}...' leads to no file; "
        "check its length and its links"
    ]


def test_bare_names_that_no_file_can_have(job: JobFolder) -> None:
    long = "x" * 5000
    job.change("tag.toml", ('font = "body"', f'font = ["{long}", "a\\u0000b"]'))
    fonts = ", ".join(shipped.fonts())
    where = "tag.toml:32, fields[0].font"
    assert job.faults() == [
        f"{where}[0], field 'owner': unknown font '{long[:57]}...'; shipped: {fonts}",
        f"{where}[1], field 'owner': unknown font 'a\\x00b'; shipped: {fonts}",
    ]
    job.change("job.toml", ('"tag.toml"', f'"{long}"'))
    layouts = ", ".join(shipped.layouts())
    assert job.faults() == [
        f"job.toml:2, layout: unknown layout '{long[:57]}...'; shipped: {layouts}"
    ]


def test_things_that_are_not_plain_files(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(PathFault, match="'pipe' is not a plain file; name a plain file"):
        find_file("pipe", tmp_path, tmp_path)
    assert place("later.sqlite", tmp_path, tmp_path) == tmp_path.resolve() / "later.sqlite"


@pytest.mark.parametrize(
    ("name", "content", "line"),
    [
        ("x.png", b"<svg/>", "'x.png' does not hold what its suffix .png says"),
        ("x.svg", b"\x89PNG\r\n\x1a\n", "'x.svg' does not hold what its suffix .svg says"),
        ("x.jpg", b"", "'x.jpg' does not hold what its suffix .jpg says"),
    ],
)
def test_art_that_is_not_what_it_is_called(
    job: JobFolder, name: str, content: bytes, line: str
) -> None:
    job.write(name, content)
    job.change("tag.toml", ('"art/logo.svg"', f'"{name}"'))
    remedy = "save the picture again in the program it was made with"
    assert job.faults() == [f"tag.toml:25, art[0].file: {line}; {remedy}"]


def test_art_that_is_what_it_is_called(job: JobFolder) -> None:
    from PIL import Image

    Image.new("RGB", (4, 2)).save(job.path / "x.JPG", "JPEG")
    Image.new("RGBA", (4, 2)).save(job.path / "x.png")
    for name in ("x.JPG", "x.png"):
        job.write("tag.toml", GOOD["tag.toml"].replace('"art/logo.svg"', f'"{name}"'))
        assert job.load().files == {name: job.path / name}


def test_shipped_layouts_are_found_by_their_bare_names(job: JobFolder) -> None:
    assert shipped.layouts(), "layouts are shipped"
    start = GOOD["job.toml"].index("[output]")  # its plates are not every layout's
    for name, path in shipped.layouts().items():
        job.write("job.toml", GOOD["job.toml"][:start].replace('"tag.toml"', f'"{name}"'))
        setup = job.load()
        assert (setup.layout.name != "tag", setup.layout_file) == (True, path)


def test_the_wheel_s_folder_goes_before_the_checkout_s(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "vardata"
    (package / "_shipped/fonts").mkdir(parents=True)
    (tmp_path / "layouts").mkdir()
    (tmp_path / "layouts/x.toml").touch()
    (package / "_shipped/fonts/Sans-Bold.otf").touch()
    (package / "_shipped/fonts/LICENSE.txt").touch()
    monkeypatch.setattr(shipped, "_PACKAGE", package)
    assert shipped.fonts() == {"Sans-Bold": package / "_shipped/fonts/Sans-Bold.otf"}
    assert shipped.layouts() == {"x": tmp_path / "layouts/x.toml"}


def test_a_job_file_that_is_not_there(job: JobFolder) -> None:
    (job.path / "job.toml").unlink()
    assert job.faults() == [
        "job.toml: there is no such job file; check the name and the folder you are in"
    ]


def test_another_file_in_place_of_the_job(job: JobFolder) -> None:
    job.write("job.toml", GOOD["tag.toml"])
    assert job.faults() == ["job.toml: 'job.toml' is a layout file; name the job file"]
