"""Any slip in any key of a good file gives exactly one line, which names the key that was meant.

The keys that exist are taken from the exported schemas, not from the code that finds the slips.
"""

from __future__ import annotations

import re
import string
from itertools import chain
from typing import Any

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from job_folder import GOOD, JobFolder

from vardata.job.schema import schemas

LETTERS = string.ascii_lowercase
KINDS = {"job.toml": "job", "tag.toml": "layout", "jig.toml": "jig", "bed.toml": "bed"}
KEY = re.compile(
    r"^\[*(?P<key>[a-z_]+)(?=[\].]| =)|(?<=[{,] )(?P<inner>[a-z_]+)(?= =)", re.MULTILINE
)


def keys_of(schema: Any) -> set[str]:
    """Every key a schema knows, at any depth."""
    if isinstance(schema, list):
        return set(chain.from_iterable(map(keys_of, schema)))
    if not isinstance(schema, dict):
        return set()
    own = set(schema.get("properties", {}))
    return own | set(chain.from_iterable(map(keys_of, schema.values())))


KNOWN = {file: keys_of(schemas()[kind]) for file, kind in KINDS.items()}


def slips(word: str) -> set[str]:
    """What one slip of the finger makes of a word."""
    cuts = [(word[:i], word[i:]) for i in range(len(word) + 1)]
    dropped = {a + b[1:] for a, b in cuts if b}
    swapped = {a + b[1] + b[0] + b[2:] for a, b in cuts if len(b) > 1}
    added = {a + c + b for a, b in cuts for c in LETTERS}
    changed = {a + c + b[1:] for a, b in cuts if b for c in LETTERS}
    return (dropped | swapped | added | changed) - {word, ""}


# Keys of the good files that the schemas know, each with its place; names that a person chooses
# (columns, blanks, modes, plates) are not keys of ours.
PLACES = [
    (file, match.start(group), match.group(group))
    for file, text in GOOD.items()
    for match in KEY.finditer(text)
    for group in ("key", "inner")
    if match.group(group) in KNOWN[file] and len(match.group(group)) > 2
]


def test_the_places_cover_the_files() -> None:
    found = {(file, key) for file, _, key in PLACES}
    assert len(PLACES) > 60
    assert {("job.toml", "blanks"), ("tag.toml", "symbology"), ("job.toml", "kind")} <= found
    assert {("jig.toml", "grid"), ("bed.toml", "modes"), ("bed.toml", "dpi")} <= found


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.sampled_from(PLACES), st.data())
def test_a_slip_in_a_key_gives_one_line_with_the_right_key(
    job: JobFolder, place: tuple[str, int, str], data: st.DataObject
) -> None:
    file, start, key = place
    wrong = data.draw(st.sampled_from(sorted(slips(key))))
    # A slip may make another key, or stand as near to another one: then nobody can know.
    others = KNOWN[file] - {key}
    assume(not any(wrong == other or wrong in slips(other) for other in others))
    text = GOOD[file]
    line = text.count("\n", 0, start) + 1
    job.write(file, text[:start] + wrong + text[start + len(key) :])
    try:
        faults = job.faults()
    finally:
        job.write(file, text)
    assert len(faults) == 1, faults
    assert faults[0].startswith(f"{file}:{line}, "), faults
    assert faults[0].endswith(f"unknown key '{wrong}'; did you mean '{key}'?"), faults


VALUES = [
    ("job.toml", "code", ["auto", "text"]),
    ("job.toml", "light", ["dark", "clear"]),
    ("job.toml", "apart", ["together"]),
    ("jig.toml", "serpentine", ["rows", "columns"]),
    ("tag.toml", "fields", ["none", "art", "flood", "knockout"]),
    ("tag.toml", "shape", ["text", "code", "picture"]),
]


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.sampled_from(VALUES), st.data())
def test_a_slip_in_a_value_gives_one_line_with_the_right_value(
    job: JobFolder, place: tuple[str, str, list[str]], data: st.DataObject
) -> None:
    file, value, others = place
    wrong = data.draw(st.sampled_from(sorted(slips(value))))
    assume(not any(wrong in slips(other) | {other} for other in others))
    text = GOOD[file]
    assert text.count(f'"{value}"') == 1
    job.write(file, text.replace(f'"{value}"', f'"{wrong}"'))
    try:
        faults = job.faults()
    finally:
        job.write(file, text)
    assert len(faults) == 1, faults
    assert f"unknown value '{wrong}'; did you mean '{value}'? allowed: " in faults[0]


def test_every_slip_that_leaves_a_key_out_is_found(job: JobFolder) -> None:
    """Each key of the good files in turn, with a letter doubled: no place is blind."""
    for file, start, key in PLACES:
        text = GOOD[file]
        wrong = key + key[-1]
        job.write(file, text[:start] + wrong + text[start + len(key) :])
        assert [f"unknown key '{wrong}'" in fault for fault in job.faults()] == [True], (file, key)
        job.write(file, text)
