"""The files of a run: sound PDFs of the bed's size, and a record that tells the truth."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pandas
import pikepdf
import pytest
from run_kit import Run, call, judge
from run_pages import PT


@pytest.fixture(params=["medals", "tags"])
def run(request: pytest.FixtureRequest) -> Run:
    found: Run = request.getfixturevalue(request.param)
    return found


def bed_paths(run: Run) -> list[Path]:
    return sorted((run.out / "beds").iterdir())


# ------------------------------------------------------------ bed files


def test_bed_files_have_no_fault_in_structure(run: Run) -> None:
    for path in [*bed_paths(run), run.out / "picklist.pdf"]:
        assert "No syntax or stream encoding errors" in judge("qpdf", "--check", path)


def test_pages_are_exactly_as_large_as_the_bed(run: Run) -> None:
    """pikepdf reads the boxes; 0.00001 pt is 3.5 nm. poppler's pdfinfo agrees to 0.01 pt."""
    bed = run.toml("bed")
    size = (bed["width"] * PT, bed["height"] * PT)
    for path in bed_paths(run):
        with pikepdf.open(path) as pdf:
            assert len(pdf.pages) == 1
            for page in pdf.pages:
                for box in (page.mediabox, page.cropbox, page.trimbox):
                    assert [float(n) for n in box] == pytest.approx([0, 0, *size], abs=1e-5)
                assert "/Rotate" not in page and "/UserUnit" not in page
    for path in bed_paths(run)[::7]:
        told = judge("pdfinfo", path)
        assert f"{size[0]:.2f} x {size[1]:.2f} pts" in told.replace("  ", " "), told
        assert "Encrypted:       no" in told and "JavaScript:      no" in told


def test_every_font_is_embedded_and_subset(run: Run) -> None:
    """poppler's pdffonts; the last columns are: embedded, subset, with a Unicode map."""
    for path in bed_paths(run) if len(run.beds) < 20 else bed_paths(run)[::7]:
        fonts = judge("pdffonts", path).splitlines()[2:]
        assert fonts, f"{path.name} has no font"
        for font in fonts:
            assert font.split()[-5:-2] == ["yes", "yes", "yes"], font


def test_another_renderer_draws_beds_without_a_word(run: Run, tmp_path: Path) -> None:
    for path in bed_paths(run)[:: max(1, len(run.beds) // 6)]:
        picture = tmp_path / f"{path.stem}.png"
        judge("mutool", "draw", "-q", "-r", "36", "-o", picture, path)
        assert picture.stat().st_size > 1000


def test_layers_are_one_for_each_plate_and_all_on(run: Run) -> None:
    with pikepdf.open(bed_paths(run)[0]) as pdf:
        settings = pdf.Root.OCProperties
        plates = run.toml("layout")["plates"]
        assert [str(g.Name) for g in settings.OCGs] == [plate["name"] for plate in plates]
        assert "/OFF" not in settings.D and settings.D.get("/BaseState", "/ON") == "/ON"


# ------------------------------------------------------------ run.json and slots.jsonl


def facts_of(run: Run) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((run.out / "run.json").read_text(encoding="utf-8"))
    return found


def test_every_file_is_listed_with_its_true_sum(run: Run) -> None:
    """Sums by coreutils' sha256sum."""
    listed = {entry["file"]: entry for entry in facts_of(run)["files"]}
    there = {p.relative_to(run.out).as_posix(): p for p in run.out.rglob("*") if p.is_file()}
    assert there.keys() - listed.keys() == {"run.json"} and not listed.keys() - there.keys()
    told = judge("sha256sum", "--", *[there[name] for name in listed])
    sums = [line.split()[0].lstrip("\\") for line in told.splitlines()]
    assert [entry["sha256"] for entry in listed.values()] == sums
    assert all(there[name].stat().st_size == entry["bytes"] for name, entry in listed.items())


def test_the_folder_holds_what_the_readme_lists(run: Run) -> None:
    names = {path.name for path in run.out.iterdir()}
    assert names == {
        "beds", "held.csv", "held.xlsx", "picklist.csv", "picklist.pdf", "picklist.xlsx",
        "run.json", "skipped.csv", "slots.jsonl",
    }  # fmt: skip
    assert {path.name for path in bed_paths(run)} == {slot["file"] for slot in run.slots}


def test_counts_add_up(run: Run, request: pytest.FixtureRequest) -> None:
    name = "medal_sheet" if run.toml("job")["name"].endswith("medals") else "tag_sheet"
    sheet = request.getfixturevalue(name)
    facts = facts_of(run)
    counts = facts["counts"]
    aside = {}
    for kind in ("held", "skipped"):
        with (run.out / f"{kind}.csv").open(encoding="utf-8-sig", newline="") as file:
            aside[kind] = len(list(csv.DictReader(file)))
    assert counts["rows"] == len(sheet.rows)
    assert counts["records"] == len(run.slots)
    assert counts["beds"] == len(run.beds) == len(bed_paths(run))
    assert counts["held_rows"] == aside["held"] == sum(facts["held_by_kind"].values())
    assert counts["skipped_rows"] == aside["skipped"]
    assert counts["records"] + counts["held_records"] == len(sheet.records())
    assert run.out.joinpath("slots.jsonl").read_bytes().count(b"\n") == counts["records"]


def test_the_run_is_named_everywhere(run: Run) -> None:
    facts = facts_of(run)
    assert facts["run_id"] in run.stdout
    for path in bed_paths(run):
        assert facts["run_id"] in path.name
    assert facts["at"].startswith("2026-10-31T00:00:00")


def test_a_line_of_slots_has_what_the_readme_lists(run: Run) -> None:
    job, layout = run.toml("job"), run.toml("layout")
    for slot in run.slots:
        assert {
            "bed", "slot", "file", "page", "pages", "box_mm", "rotation_deg", "record", "order",
            "product", "texts", "codes",
        } <= slot.keys()  # fmt: skip
        assert slot["product"] == layout["name"]
        assert slot["page"] == slot["pages"]["Colour"]
        assert slot["pages"].keys() == {plate["name"] for plate in layout["plates"]}
        assert slot["file"].startswith(job["name"])
        for text in slot["texts"]:
            field = next(f for f in layout["fields"] if f["name"] == text["field"])
            least, wanted = (float(field[k].removesuffix("pt")) for k in ("min_size", "size"))
            assert least <= text["size_pt"] <= wanted
            assert field.get("squeeze", 0.9) <= text["squeeze"] <= 1.0
            assert 1 <= text["lines"] <= field.get("lines", 1)


def test_the_frame_of_slots_says_what_the_lines_say(run: Run) -> None:
    """pandas gets the same values, texts as texts: 01049 keeps its zero."""
    from vardata.frames import slots_frame

    frame = slots_frame(run.out)
    assert isinstance(frame, pandas.DataFrame) and len(frame) == len(run.slots)
    for column in ("bed", "slot", "file", "page", "record", "order", "product"):
        assert frame[column].tolist() == [slot[column] for slot in run.slots]
    boxes = frame[["x", "y", "width", "height"]].to_numpy().tolist()
    assert boxes == [slot["box_mm"] for slot in run.slots]
    assert frame["rotation"].tolist() == [slot["rotation_deg"] for slot in run.slots]
    parts = [part["field"] for kind in ("texts", "codes") for part in run.slots[0][kind]]
    for number, name in enumerate(parts):
        told = [[*slot["texts"], *slot["codes"]][number] for slot in run.slots]
        assert {part["field"] for part in told} == {name}
        assert frame[name].tolist() == [part["text"] for part in told]


def test_a_second_build_in_the_same_place_is_refused(run: Run) -> None:
    before = {p.name: p.stat().st_mtime_ns for p in run.out.iterdir()}
    code, said, complaint = call("build", run.home / "job.toml", "--out", run.out)
    assert (code, said) == (6, "")
    assert complaint == (
        f"{run.out}: the output folder exists already; choose another with --out, or swap it "
        "with --replace\n"
    )
    assert {p.name: p.stat().st_mtime_ns for p in run.out.iterdir()} == before
