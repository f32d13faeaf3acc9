"""The JSON Schemas, judged by the jsonschema library, which knows nothing of this project."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from job_folder import GOOD, JobFolder

from vardata.job.schema import export, schemas
from vardata.job.shipped import layouts_dir
from vardata.problems import OutputError

ROOT = Path(__file__).resolve().parents[2]
SCHEMAS = schemas()
KINDS = {"job.toml": "job", "tag.toml": "layout", "jig.toml": "jig", "bed.toml": "bed"}


def errors(kind: str, text: str) -> list[str]:
    validator = jsonschema.Draft202012Validator(SCHEMAS[kind])
    return [error.message for error in validator.iter_errors(tomllib.loads(text))]


@pytest.mark.parametrize("kind", SCHEMAS)
def test_the_schemas_are_schemas(kind: str) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[kind])
    assert SCHEMAS[kind]["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def properties(node: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    if isinstance(node, dict):
        yield from node.get("properties", {}).items()
        for key, inner in node.items():
            if key != "if":  # a condition, not a description
                yield from properties(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from properties(inner)


@pytest.mark.parametrize("kind", SCHEMAS)
def test_every_key_and_table_says_what_it_is_for(kind: str) -> None:
    schema = SCHEMAS[kind]
    tables = [schema, *schema.get("$defs", {}).values()]
    assert all(table.get("title") and table.get("description") for table in tables)
    keys = [(name, key) for name, key in properties(schema) if isinstance(key, dict)]
    assert len(keys) > 5
    assert [name for name, key in keys if not key.get("description")] == []


@pytest.mark.parametrize("file", KINDS)
def test_good_files_pass(file: str) -> None:
    assert errors(KINDS[file], GOOD[file]) == []


def test_shipped_layouts_pass() -> None:
    files = sorted(layouts_dir().glob("*.toml"))
    assert files
    for file in files:
        assert errors("layout", file.read_text(encoding="utf-8")) == [], file


BAD = [
    ("job.toml", 'name = "tags"', 'name = "a/b"'),
    ("job.toml", 'name = "tags"\n', ""),
    ("job.toml", "header_row = 2", "header_row = 0"),
    ("job.toml", 'kind = "code"', 'kind = "kode"'),
    ("job.toml", 'kind = "code"', 'sort = "code"'),
    ("job.toml", 'owner = "Owner"', "owner = 3"),
    ("job.toml", 'surface = "light"', 'substrate = "steel"'),
    ("job.toml", "[output]", "[ouput]"),
    ("tag.toml", "width = 60", "width = 0"),
    ("tag.toml", '"2.5cm"', '"2,5cm"'),
    ("tag.toml", '"2.5cm"', '"25 ells"'),
    ("tag.toml", '"3mm"', '"-3mm"'),
    ("tag.toml", 'outline = "rounded"', 'outline = "path"'),
    ("tag.toml", "    18,\n    18,\n", "    18,\n"),
    ("tag.toml", "    18,\n    18,\n", "    18,\n    -18,\n"),
    ("tag.toml", 'size = "10pt"\nmin_size', "size = 10\nmin_size"),
    ("tag.toml", '"6pt"', '"6"'),
    ("tag.toml", 'symbology = "qr"', 'symbology = "morse"'),
    ("tag.toml", 'symbology = "qr"\n', ""),
    ("tag.toml", 'type = "text"', 'type = "label"'),
    ("tag.toml", 'type = "text"\n', ""),
    ("tag.toml", 'colour = "White"', 'colour = "#ff00"'),
    ("tag.toml", "[0, 50, 100, 0]", "[0, 50, 100]"),
    ("tag.toml", "[0, 50, 100, 0]", "[0, 50, 100, 255]"),
    ("tag.toml", "gloss = true", 'gloss = "true"'),
    ("tag.toml", 'role = "gloss"', 'role = "varnish"'),
    ("jig.toml", "pitch = [70, 35]", "pitch = [70, 35, 2]"),
    ("jig.toml", "rows = 2", "rows = 501"),
    ("jig.toml", 'fill = "serpentine"', 'slots = [{ name = "1", x = 3, y = 4 }]'),
    ("bed.toml", "dpi = [720, 1440]", "dpi = [20, 1440]"),
    ("bed.toml", "width = 400", "width = 5081"),
    ("bed.toml", "anchor_marks = false", "anchor_marks = 0"),
]


@pytest.mark.parametrize(("file", "old", "new"), BAD)
def test_bad_files_are_refused_by_the_schema_and_by_the_program(
    job: JobFolder, file: str, old: str, new: str
) -> None:
    assert errors(KINDS[file], GOOD[file].replace(old, new, 1)) != []
    job.change(file, (old, new))
    assert job.faults() != []


def test_a_jig_with_neither_grid_nor_slots() -> None:
    assert errors("jig", 'name = "none"') != []
    assert errors("jig", 'name = "none"\nslots = []') != []
    assert errors("jig", 'name = "one"\nslots = [{ name = "1", x = "1in", y = 4 }]') == []


@pytest.mark.parametrize("length", ["1mm", "2.5 cm", ".5in", "10PT", "300um", "300µm", " 7 "])
def test_lengths_with_a_unit_pass_both(job: JobFolder, length: str) -> None:
    text = GOOD["tag.toml"].replace('corner = "3mm"', f'corner = "{length}"')
    assert errors("layout", text) == []
    job.write("tag.toml", text)
    assert job.faults() == []


def test_export_writes_the_same_bytes_each_time(tmp_path: Path) -> None:
    written = export(tmp_path / "a/b")
    assert [path.name for path in written] == [
        "job.schema.json", "layout.schema.json", "jig.schema.json", "bed.schema.json",
    ]  # fmt: skip
    first = [path.read_bytes() for path in written]
    assert first == [path.read_bytes() for path in export(tmp_path / "a/b")]
    assert json.loads(first[2]) == SCHEMAS["jig"]


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(OutputError, match=r"the schemas cannot be written .*; choose another"):
        export(tmp_path / "file")
