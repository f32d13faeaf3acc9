"""Good runs are read back without a failure, whatever stands on them."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image
from readback_runs import EXAMPLES, build_job, copied, found, lines, read, write_codes_job

from vardata.job.model import CodeField
from vardata.problems import CallError, OutputError
from vardata.readback.facts import file_tasks, read_facts
from vardata.readback.place import place_code
from vardata.readback.plates import BedView
from vardata.readback.run import read_back
from vardata.readback.seen import as_seen, ink_in, roles


def test_tags_are_all_read(tags: Path, tmp_path: Path) -> None:
    report = read_back(tags, out=tmp_path / "found", workers=2)
    assert found(report) == set()
    assert (report.beds, report.slots, report.codes, report.texts) == (3, 130, 260, 260)
    assert (report.codes_good, report.texts_good, report.exit_code) == (260, 260, 0)
    # All 120 codes of the first bed, and one of each bed after it.
    assert report.degraded == 122
    first = lines(report)[0]
    assert first["good"] and first["codes"][0]["module_dots"] == [26.0, 13.0]
    assert first["codes"][0]["unused_correction"] == 1.0
    assert first["codes"][0]["read"] == "https://tags.fernhollow.example/FHL000001"


def test_medals_are_all_read(medals: Path, tmp_path: Path) -> None:
    report = read_back(medals, out=tmp_path / "found", workers=1)
    assert found(report) == set()
    assert (report.codes, report.slots) == (0, 179)
    assert report.texts == report.texts_good > 500


def test_every_symbology_and_turn_is_read(codes: Path, tmp_path: Path) -> None:
    report = read_back(codes, out=tmp_path / "found", workers=1, everything=True)
    assert found(report) == set()
    assert (report.beds, report.files, report.codes) == (3, 2, 60)
    assert report.degraded == 60
    for line in lines(report):
        by = {code["field"]: code for code in line["codes"]}
        assert by["c128"]["read"].startswith("A\t1")
        assert by["qr"]["read"].startswith("Größe 1")
        # GS1 General Specifications: UPC-A is EAN-13 with a leading zero.
        assert by["upc"]["read"].lstrip("0") == "36000291452"


def test_the_result_does_not_depend_on_workers(codes: Path, tmp_path: Path) -> None:
    for workers in (1, 2):
        read_back(codes, out=tmp_path / str(workers), workers=workers)
    for name in ("readback.jsonl", "readback.pdf"):
        assert (tmp_path / "1" / name).read_bytes() == (tmp_path / "2" / name).read_bytes()


def test_the_page_says_what_it_is(few: Path, tmp_path: Path) -> None:
    report = read(_linked(few, tmp_path))
    path = report.folder / "readback.pdf"
    # Foreign judges: qpdf checks the file, pdftotext reads it.
    subprocess.run(["qpdf", "--check", path], check=True, capture_output=True)
    text = subprocess.run(
        ["pdftotext", "-layout", path, "-"], check=True, capture_output=True, text=True
    ).stdout
    assert "this is not a measurement of print quality" in text
    assert "8, all good" in text
    with pikepdf.open(path) as pdf:
        assert len(pdf.pages) == 1


def test_a_run_is_not_changed_and_out_is_not_lost(few: Path, tmp_path: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in few.rglob("*")}
    read_back(few, out=tmp_path / "found", workers=1)
    with pytest.raises(OutputError, match="exists already"):
        read_back(few, out=tmp_path / "found", workers=1)
    read_back(few, out=tmp_path / "found", workers=1, replace=True)
    assert {path: path.stat().st_mtime_ns for path in few.rglob("*")} == before
    with pytest.raises(CallError, match="a run is never changed"):
        read_back(few, out=few / "inside")
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.txt").write_text("x")
    with pytest.raises(OutputError, match="not the folder of a read-back"):
        read_back(few, out=tmp_path / "mine", replace=True)
    assert (tmp_path / "mine" / "thesis.txt").read_text() == "x"


def test_what_is_no_run_is_refused(few: Path, tmp_path: Path) -> None:
    out = tmp_path / "found"
    tmp_path = tmp_path / "run"
    tmp_path.mkdir()
    with pytest.raises(CallError, match="not the folder of a run"):
        read_back(tmp_path, out=out)
    (tmp_path / "run.json").write_text("")
    (tmp_path / "slots.jsonl").write_text("")
    for text, said in (
        ("{}", "run.json: the run's record cannot be read: it has no 'job'"),
        ("", "run.json:1: the run's record cannot be read: it is not whole, or not JSON from here "
             "on"),
        ('{"job":\n{', "run.json:2: the run's record cannot be read: it is not whole, or not JSON "
                       "from here on"),
        ('{"job": 1}', "run.json: the run's record cannot be read: it does not hold what a run "
                       "writes"),
        ("\udcff", "run.json: the run's record cannot be read: it is not UTF-8"),
    ):  # fmt: skip
        (tmp_path / "run.json").write_bytes(text.encode("utf-8", "surrogateescape"))
        with pytest.raises(CallError) as caught:
            read_back(tmp_path, out=out)
        assert str(caught.value) == f"{tmp_path}/{said}; build the run again"
    (tmp_path / "run.json").write_bytes((few / "run.json").read_bytes())
    (tmp_path / "slots.jsonl").write_text('{"file": "../x"}\n')
    with pytest.raises(CallError, match=r"slots.jsonl:1: .*this line is not a slot's"):
        read_back(tmp_path, out=out)
    assert not out.exists()


def test_a_second_decoder_agrees(few: Path, codes: Path, tmp_path: Path) -> None:
    # zbarimg is neither the encoder nor the decoder of the run.
    for run in (few, codes):
        facts = read_facts(run)
        task = next(file_tasks(run))
        view = BedView((run / "beds" / task.file).read_bytes(), facts.bed, facts.layout)
        fields = {field.name: field for field in facts.layout.fields}
        for slot in task.slots[:4]:
            for code in slot["codes"]:
                field = fields[code["field"]]
                assert isinstance(field, CodeField)
                place = place_code(field, code, slot["rotation_deg"], facts.mode)
                ink = ink_in(view, slot["pages"], roles(facts.layout), place.window)
                seen = as_seen(ink, facts.blank(slot["blank"]).substrate)
                path = tmp_path / "code.png"
                Image.fromarray(np.pad(seen, 20, constant_values=255)).save(path)
                said = subprocess.run(
                    ["zbarimg", "-q", "--raw", "-Supca.enable", "-Si25.enable", path],
                    check=True, capture_output=True, text=True,
                ).stdout.rstrip("\n")
                assert said in (code["text"], "0" + code["text"]), code
        view.close()


def test_slots_name_their_blank(codes: Path) -> None:
    text = (codes / "slots.jsonl").read_text(encoding="utf-8")
    assert [json.loads(line)["blank"] for line in text.splitlines()] == ["pale", "dark"] * 5


def test_a_build_gets_the_files_into_its_own_folder(few: Path, tmp_path: Path) -> None:
    run = copied(few, tmp_path)
    report = read_back(run, out=run, workers=1)
    assert (report.folder, report.exit_code) == (run, 0)
    assert {path.name for path in run.iterdir()} - {path.name for path in few.iterdir()} == {
        "readback.jsonl", "readback.pdf",
    }


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('cover = "art"', 'cover = "flood"'),  # white all over, under codes too
        ('cover = "fields"', 'cover = "flood"'),  # gloss all over, but for the codes
        ('symbology = "ean13"', 'symbology = "ean13"\ncolour = "blue"'),
        ('[600, 900]', '[720, 360]'),
        ('"apart"', '"together"'),
    ],
)  # fmt: skip
def test_other_jobs_are_read(old: str, new: str, tmp_path: Path) -> None:
    job = write_codes_job(tmp_path)
    for name in ("job.toml", "bed.toml", "layout.toml"):
        text = (job / name).read_text(encoding="utf-8")
        (job / name).write_text(text.replace(old, new), encoding="utf-8")
    rows = (job / "rows.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (job / "rows.csv").write_text("".join(rows[:5]), encoding="utf-8")
    report = read(build_job(job))
    assert found(report) == set()
    assert (report.slots, report.codes_good) == (4, 24)


def test_a_code_in_white_ink_is_light_on_dark(tmp_path: Path) -> None:
    job = tmp_path / "job"
    shutil.copytree(EXAMPLES / "tags", job, ignore=shutil.ignore_patterns("*.sqlite"))
    layout = (job / "tag.toml").read_text(encoding="utf-8")
    level = 'level = "M"'
    assert level in layout
    layout = layout.replace(level, f'{level}\ncolour = "White"')
    (job / "tag.toml").write_text(layout, encoding="utf-8")
    sheet = (job / "tags.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (job / "tags.csv").write_text("".join(sheet[:3]), encoding="utf-8")
    report = read(build_job(job))
    assert found(report) == set()
    assert (report.codes, report.degraded) == (4, 4)
    link = lines(report)[0]["codes"][0]
    assert link["read"] == link["text"]
    assert 0.9 < link["contrast"] < 1.0  # white of paper on #1c1c1e


def _linked(run: Path, to: Path) -> Path:
    """The same run under another name, so that it has a neighbour folder of its own."""
    (to / "run").symlink_to(run)
    return to / "run"
