"""Short cuts show what the long way shows: the scan of rows, and plain number formats.

The long ways are judged elsewhere: numbers by LibreOffice, and rows come from an XML parser.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from intake_setups import altered, book, opened, outcome

from vardata.intake import locales, numfmt, worksheet
from vardata.intake.plainnumber import plain_format
from vardata.intake.rowscan import Irregular

CODES = ("0", "0.0", "0.00", "0.000", "#,##0", "#,##0.00", "0%", "0.0%", "0.00%", "#,##0.0%")
ENGLISH, GERMAN, FRENCH = (locales.LOCALES[name] for name in ("en_US", "de_DE", "fr_FR"))
PART = "xl/worksheets/sheet1.xml"


@given(
    st.one_of(
        st.integers(0, 10**12).map(str),
        st.decimals(0, 10**9, places=2, allow_nan=False).map(str),
        st.floats(0, 1e9, allow_nan=False).map(repr),
        st.sampled_from(["0", "0.5", "0.05", "00.10", "1e3", "-1", "0.125", "999999.995"]),
    ),
    st.sampled_from(CODES),
    st.sampled_from([ENGLISH, GERMAN, FRENCH]),
)
def test_plain_numbers_are_shown_as_ever(raw: str, code: str, locale: Any) -> None:
    form = plain_format(code)
    assert form is not None
    text = form.text(raw, locale)
    if text is not None:
        assert text == numfmt.display(float(raw), code, locale)


@pytest.mark.parametrize("code", ["General", "00000", "0.0#", "# ##0", "0.00E+00", "0;-0", '0" x"'])
def test_other_formats_go_the_long_way(code: str) -> None:
    assert plain_format(code) is None


def parsed(path: Path) -> list[str]:
    """What comes of a sheet when every row is parsed."""

    def refuse(*_: object) -> Any:
        raise Irregular
        yield

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(worksheet, "scanned_rows", refuse)
        return outcome(opened(path, "name more"))


def scanned(path: Path) -> list[str]:
    """What comes of it when no row may be parsed."""

    def refuse(*_: object) -> Any:
        raise AssertionError("the sheet was parsed")
        yield

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(worksheet, "parsed_rows", refuse)
        return outcome(opened(path, "name more"))


CELL = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**16), 10**16),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(exclude_categories=["Cs", "Cc", "Cn"]), max_size=12),
    st.sampled_from(
        ["=1+1", "a & b", "<tag>", '"q"', "x\ny", "x\r\ny", " pad ", "&amp;", "_x000D_"]
    ),
)  # fmt: skip


@settings(
    max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
@given(st.lists(st.tuples(CELL, CELL), min_size=1, max_size=8))
def test_a_scanned_sheet_gives_what_a_parsed_one_gives(rows: list[tuple[Any, Any]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = book(Path(folder), [["Name", "More"], *rows, ["Z", "z"]])
        assert scanned(path) == parsed(path)


CHANGES: dict[str, Callable[[bytes], bytes]] = {
    "comment": lambda data: data.replace(b"<sheetData>", b"<sheetData><!-- x -->"),
    "cdata": lambda data: data.replace(b"<v>7</v>", b"<v><![CDATA[7]]></v>"),
    "rich text": lambda data: data.replace(
        b"<v>7</v>", b"<v>7</v><extLst><ext>8</ext></extLst>"
    ),
    "other order": lambda data: data.replace(b'r="A3" t="n"', b't="n" r="A3"'),
    "no places": lambda data: data.replace(b'<c r="A3" t="n">', b'<c t="n">'),
    "instruction": lambda data: data.replace(b"<sheetData>", b"<sheetData><?x y?>"),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_an_unusual_part_is_parsed_and_no_row_comes_twice(name: str, tmp_path: Path) -> None:
    def change(_workbook: Any, sheet: Any) -> None:
        sheet.row_dimensions[2].hidden = True

    rows = [["Name", "More"], ["Ann", "x"], [7, "y"], ["Bo", "z"]]
    path = book(tmp_path, rows, change)
    before = path.read_bytes()
    lines = scanned(path)
    assert lines[:3] == [
        "Orders!2#1 / Ann | x", "Orders!3#1 / 7 | y", "Orders!4#1 / Bo | z",
    ]  # fmt: skip
    altered(path, PART, CHANGES[name])
    assert path.read_bytes() != before
    with pytest.raises(AssertionError, match="the sheet was parsed"):
        scanned(path)
    assert outcome(opened(path, "name more")) == lines


def test_a_part_that_ends_too_early_is_told_with_its_last_row(tmp_path: Path) -> None:
    from vardata.problems import VardataError

    path = book(tmp_path, [["Name", "More"], *([f"n{i}", "x"] for i in range(9))])
    altered(path, PART, lambda data: data[: data.index(b'<row r="8"')])
    with pytest.raises(VardataError) as caught:
        outcome(opened(path, "name more"))
    assert str(caught.value).startswith(
        "sheet.xlsx: the workbook is damaged: sheet 'Orders' cannot be read after row 7 ("
    )
