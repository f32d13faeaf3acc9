"""Files that nobody would write: the command never fails in a way that it does not know.

A valid job is spoilt at random: bytes flipped, lines dropped, doubled, added, values swapped for
odd ones. The exit code must be one that README.md lists for a finished call, and what is said
must be lines for a person.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from badjob import GOOD, Shop
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

DOCUMENTED = {0, 2, 3, 4, 5, 6}  # 1 is a mistake of ours
TOML = [name for name in GOOD if name.endswith(".toml")]

VALUES = [
    '""', "-1", "0", "1e308", "-1e308", "1e-308", "nan", "inf", "99999999999999999999", "true",
    "[]", "{}", "[1, 2, 3, 4]", '["a"]', '"../x"', '"/"', '"a\\u0000b"', '"' + "y" * 500 + '"',
    "1979-05-27", '"{{"', '"{% for i in range(9) %}x{% endfor %}"', '"{{ owner.x.y }}"',
    '"{{ 1 / 0 }}"', '"{{ owner|wordwrap(0) }}"', '"M 0 0"', '"M0 0L1e400 1Z"',
    "[0, 0, 0.001, 0.001]", "[0, 0, 1e300, 1e300]", '"\\n"', '"0.0001mm"', "45",
    "359.9999999999", '"path"', '"circle"', '"code128"', '"ean13"', '"flood"', '"knockout"',
    '"cover"', '"\\u202e\\u0301"', '"😀"',
]  # fmt: skip
LINES = [
    'outline = "circle"', 'outline = "path"\npath = "M0 0L60 25L60 0L0 25Z"',
    'outline = "rounded"\ncorner = 30', "bleed = 1e9", "bleed = -5", 'fill = "serpentine"',
    'blocked = ["A1"]', "rotation = 90", "rotation = 45", "rotation = 1e300", "white = false",
    "gloss = true", "lines = 20", "squeeze = 1", "leading = 1e-9", 'size_step = "100pt"',
    'size_step = "0.0001pt"', "quiet = 0", "module = 0.0001", "min_module = 1e-9",
    'ground = "never"', "optional = true", "choke = 1e6", "choke = 0", "quantity_max = 1",
    'encoding = "utf-7"', 'encoding = "idna"', 'delimiter = "ß"', 'delimiter = " "',
    "header_row = 2", "header_row = 1048576", 'locale = "de"', 'kind = "text"',
    "outside = true", 'pages = "apart"', "beds_per_file = 10000", 'surface = "clear"',
    'white = "flood"', 'colour = "#ffffff"', 'symbology = "code128"\ntext_line = true',
    'align_by = "metrics"', 'fit = ["squeeze"]', "fit = []", "[[fields]]", "[x", "]",
]  # fmt: skip
CELLS = [
    "", '"', '""', "-1", "0", "1e9", "1.000", "²", "٣", "\x00", "\x07", "\ufeff", "\u202eabc",
    "=1+1", '"a\nb"', "😀", "é" * 3000, "photos", "photos/../photos/ada.png", "../x.png",
    "art/logo.svg", "  ", "\xa0", "a,b,c,d,e,f,g", "\u0301", "1/2", "x" * 300 + ".png",
]  # fmt: skip

place = st.floats(0, 1, exclude_max=True)  # where in a file: as a part of its length


def pick(items: list[str], at: float) -> int:
    return int(at * len(items))


@st.composite
def spoilt_toml(draw: st.DrawFn, text: str) -> bytes:
    lines = text.splitlines()
    for _ in range(draw(st.integers(1, 3))):
        at = pick(lines, draw(place))
        what = draw(st.sampled_from(["value", "value", "value", "line", "drop", "double", "byte"]))
        if what == "value" and "=" in lines[at]:
            lines[at] = f"{lines[at].partition('=')[0]}= {draw(st.sampled_from(VALUES))}"
        elif what == "line":
            lines.insert(at, draw(st.sampled_from(LINES)))
        elif what == "drop" and len(lines) > 1:
            del lines[at]
        elif what == "double":
            lines.insert(pick(lines, draw(place)), lines[at])
        elif what == "byte":
            return flipped(draw, "\n".join(lines).encode())
    return "\n".join(lines).encode()


@st.composite
def spoilt_csv(draw: st.DrawFn, text: str) -> bytes:
    rows = [line.split(",") for line in text.splitlines()]
    for _ in range(draw(st.integers(1, 3))):
        row = rows[int(draw(place) * len(rows))]
        what = draw(st.sampled_from(["cell", "cell", "cell", "more", "fewer", "drop", "double"]))
        if what == "cell":
            row[pick(row, draw(place))] = draw(st.sampled_from(CELLS))
        elif what == "more":
            row.append(draw(st.sampled_from(CELLS)))
        elif what == "fewer" and len(row) > 1:
            row.pop()
        elif what == "drop" and len(rows) > 1:
            rows.remove(row)
        elif what == "double":
            rows.insert(0, list(row))
    raw = "\n".join(",".join(row) for row in rows).encode()
    return flipped(draw, raw) if draw(st.booleans()) else raw


def flipped(draw: st.DrawFn, raw: bytes) -> bytes:
    data = bytearray(raw)
    for _ in range(draw(st.integers(1, 3))):
        data[int(draw(place) * len(data))] ^= 1 << draw(st.integers(0, 7))
    return bytes(data)


@st.composite
def spoilt_job(draw: st.DrawFn) -> dict[str, bytes]:
    """One file or two of the job, spoilt."""
    names = draw(
        st.lists(st.sampled_from([*TOML, "tag.toml", "orders.csv", "orders.csv"]), min_size=1,
                 max_size=2, unique=True)
    )  # fmt: skip
    files = {}
    for name in names:
        text = GOOD[name]
        assert isinstance(text, str)
        files[name] = draw(spoilt_csv(text) if name.endswith(".csv") else spoilt_toml(text))
    return files


@pytest.fixture(scope="module")
def fuzzed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    path: Path = tmp_path_factory.mktemp("fuzz")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(path)
        yield Shop(path)


@settings(max_examples=150, deadline=None, derandomize=True,
          suppress_health_check=[HealthCheck.too_slow])  # fmt: skip
@given(files=spoilt_job())
def test_no_file_brings_a_failure_that_is_not_known(fuzzed: Shop, files: dict[str, bytes]) -> None:
    for name, text in GOOD.items():
        fuzzed.write(name, files.get(name, text))
    before = fuzzed.state()
    answer = fuzzed.check()
    said = answer.out + answer.err
    assert answer.code in DOCUMENTED, said
    assert "Traceback" not in said and "Warning" not in said
    assert (answer.code in (0, 3)) == (answer.err == "")
    for line in said.splitlines():
        assert line.isprintable() and len(line) < 2000, line
    assert fuzzed.state() == before
