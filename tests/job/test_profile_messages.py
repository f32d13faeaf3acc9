"""A printing standard and its profile: what is refused, word for word."""

from __future__ import annotations

from pathlib import Path

import pytest
from job_folder import JobFolder

GHOSTSCRIPT = Path("/usr/share/color/icc/ghostscript")
STANDARD = 'pages = "apart"\nstandard = "pdf/x-4"'


def test_a_standard_needs_a_profile(job: JobFolder) -> None:
    job.change("job.toml", ('pages = "apart"', STANDARD))
    assert job.faults() == [
        "job.toml:31, output.standard: 'pdf/x-4' needs the ICC profile of the machine's process "
        'inks; add profile = "file.icc" under [output], or the shipped "cgats-tr-001", or write '
        'standard = "plain"'
    ]


def test_a_profile_needs_a_standard(job: JobFolder) -> None:
    job.write("press.icc", (GHOSTSCRIPT / "default_cmyk.icc").read_bytes())
    job.change("job.toml", ('pages = "apart"', 'pages = "apart"\nprofile = "press.icc"'))
    assert job.faults() == [
        "job.toml:31, output.profile: profile is for a printing standard, and the bed files are "
        'plain; write standard = "pdf/x-4", or take it away'
    ]


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (None, "there is no file 'press.icc'; put it there, or mend the name, which starts from "
         "the folder of this file"),
        (b"<svg/>", "'press.icc' is no ICC profile; name an .icc file"),
        ((GHOSTSCRIPT / "srgb.icc").read_bytes(), "'press.icc' is not the profile of a printer "
         "with the inks C, M, Y and K; name the output profile of your machine or ink set"),
    ],
    ids=["missing", "another file", "a screen's"],
)  # fmt: skip
def test_a_profile_is_looked_at(job: JobFolder, data: bytes | None, line: str) -> None:
    if data is not None:
        job.write("press.icc", data)
    job.change("job.toml", ('pages = "apart"', f'{STANDARD}\nprofile = "press.icc"'))
    assert job.faults() == [f"job.toml:32, output.profile: {line}"]


@pytest.mark.parametrize("key", ["pictures", "colours"])
def test_nothing_is_converted_without_a_profile(job: JobFolder, key: str) -> None:
    job.change("job.toml", ('pages = "apart"', f'pages = "apart"\n{key} = "convert"'))
    assert job.faults() == [
        f"job.toml:31, output.{key}: {key} cannot be converted without the ICC profile of the "
        'machine\'s inks; add profile = "file.icc" under [output], or the shipped '
        f'"cgats-tr-001", or write {key} = "keep"'
    ]


def test_a_profile_converts_without_a_standard(job: JobFolder) -> None:
    more = 'pages = "apart"\ncolours = "convert"\nprofile = "cgats-tr-001"'
    job.change("job.toml", ('pages = "apart"', more))
    setup = job.load()
    assert setup.colours_by == str(setup.profile) and setup.converts_by == ""


def test_a_shipped_profile_is_called_by_its_name(job: JobFolder) -> None:
    job.change("job.toml", ('pages = "apart"', f'{STANDARD}\nprofile = "cgats-tr-001"'))
    found = job.load().profile
    assert found is not None and found.name == "cgats-tr-001.icc"


def test_a_shipped_profile_that_is_not_there(job: JobFolder) -> None:
    job.change("job.toml", ('pages = "apart"', f'{STANDARD}\nprofile = "cgats-tr-01"'))
    assert job.faults() == [
        "job.toml:32, output.profile: there is no file 'cgats-tr-01'; did you mean "
        "'cgats-tr-001'? shipped: cgats-tr-001, or name an .icc file"
    ]


def test_the_profile_is_part_of_what_a_run_is_made_from(job: JobFolder) -> None:
    from vardata.runid import identify

    job.change("job.toml", ('pages = "apart"', f'{STANDARD}\nprofile = "press.icc"'))
    ids = []
    for name in ("default_cmyk.icc", "ps_cmyk.icc"):
        job.write("press.icc", (GHOSTSCRIPT / name).read_bytes())
        ids.append(identify(job.load(), {}))
    assert ids[0] != ids[1]


def test_cut_lines_do_not_share_a_plates_name(job: JobFolder) -> None:
    job.change("job.toml", ('pages = "apart"', 'pages = "apart"\ncut_lines = true'))
    job.change("bed.toml", ('White = "Undercoat"', 'Cut = "Gloss"'))
    assert job.faults() == [
        "bed.toml:13, plate_names.Cut: the plates 'Gloss' and 'Cut' are both called 'Gloss'; "
        "give each its own name"
    ]
