"""Any value under any key: a checked job or plain lines, never a library's words."""

from __future__ import annotations

import re

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from job_folder import GOOD, JobFolder

# A key with its value, which may be a list over several lines.
PAIR = re.compile(r"^(?P<key>[a-z_.]+) = (?P<value>\[\n(?:    .*\n)*\]|.*)$", re.MULTILINE)
PLACES = [
    (file, match.span("value")) for file, text in GOOD.items() for match in PAIR.finditer(text)
]
SCALARS = st.sampled_from([
    "0", "-1", "3", "1e9", "1e999", "-inf", "nan", "2.5", "99999999999999999999999", "true",
    "false", '""', '" "', '"black"', '"rounded"', '"path"', '"circle"', '"qr"', '"line"', '"3mm"',
    '"10pt"', '"\\u0000"', '"\\n"', '"#ffffff"', '"../x"', '"/"', '"."', '"~"', '"White"', '"ü"',
    "'\\'", "1979-05-27", "07:32:00", "1979-05-27T07:32:00Z", f'"{"x" * 5000}"', '"{{ 1/0 }}"',
])  # fmt: skip
KEYS = ["name", "type", "x", "heading", '""', '"a b"', f'"{"k" * 5000}"']
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=5).map(lambda items: f"[{', '.join(items)}]"),
        st.dictionaries(st.sampled_from(KEYS), inner, max_size=3).map(
            lambda d: "{ " + ", ".join(f"{k} = {v}" for k, v in d.items()) + " }"
        ),
    ),
    max_leaves=5,
)
FOREIGN = re.compile(r"pydantic|Input should|valid (string|number|integer|list|tuple|dict)|\bctx\b"
                     r"|Traceback|errors\.|NoneType|\bstr\b|\bfloat\b|value_error")  # fmt: skip


def check_words(job: JobFolder) -> None:
    for line in job.faults():
        assert len(line.splitlines()) == 1, line
        assert not FOREIGN.search(line), line
        assert "is not valid here" not in line, line  # the words for what nobody thought of
        assert re.match(r"(job|tag|jig|bed)\.toml(:\d+)?(, |: )", line), line
        assert len(line) < 700, line


def test_the_places_cover_the_files() -> None:
    assert len(PLACES) > 70


@settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(place=st.sampled_from(PLACES), value=VALUES)
def test_any_value_under_any_key(
    job: JobFolder, place: tuple[str, tuple[int, int]], value: str
) -> None:
    file, (start, end) = place
    text = GOOD[file]
    job.write(file, text[:start] + value + text[end:])
    check_words(job)
    job.write(file, text)


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(file=st.sampled_from(sorted(GOOD)), data=st.data())
def test_any_line_left_out_or_written_twice(job: JobFolder, file: str, data: st.DataObject) -> None:
    rows = GOOD[file].split("\n")
    index = data.draw(st.integers(0, len(rows) - 1))
    rows[index : index + 1] = data.draw(st.sampled_from([[], [rows[index]] * 2]))
    job.write(file, "\n".join(rows))
    check_words(job)
    job.write(file, GOOD[file])
