"""Module for module the symbols of a second encoder of other origin.

``second_encoder.json`` was made with bwip-js 4.11.4 (a port of BWIPP): for each symbol its
encoder and options, and rows of modules, or the widths of bars and spaces in turn. Rows that
are repeated stand there once. Kinds whose encoders may rightly choose otherwise (masks and
modes of the GS1 QR code) are left to the decoders.
"""

from __future__ import annotations

import json
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest
from code_fields import field
from code_judges import rows_of

from vardata.fit.codes.encode import encode

SYMBOLS: list[dict[str, Any]] = json.loads(
    (Path(__file__).parent / "second_encoder.json").read_text("utf-8")
)
# Its wide elements of these two are not as wide as ours; both widths are allowed.
WIDE = {"itf14": {2: 3}, "codabar": {3: 2}}


def its_rows(symbol: dict[str, Any]) -> list[str]:
    if "rows" in symbol:
        return [row for row, _ in groupby(symbol["rows"])]
    wide = WIDE.get(symbol["code"], {})
    widths = [wide.get(width, width) for width in map(int, symbol["widths"])]
    return ["".join("10"[at % 2] * width for at, width in enumerate(widths))]


def same_length(row: str, length: int) -> str:
    """Without or with light modules behind the last bar, which belong to the quiet zone."""
    return row.rstrip("0").ljust(length, "0")


@pytest.mark.parametrize("symbol", SYMBOLS, ids=lambda s: f"{s['code']} {s['text']}")
def test_the_same_modules(symbol: dict[str, Any]) -> None:
    kind = symbol["code"].removeprefix("gs1-")
    more: dict[str, object] = {} if kind == symbol["code"] else {"gs1": "element"}
    kind = "code128" if kind == "128" else kind
    if kind in ("pdf417", "databar-expanded-stacked"):
        more["columns"] = 2
    text = symbol["text"].replace(" ", "+") if kind == "ean13" else symbol["text"]
    ours = encode(text, field(kind, box=(0, 0, 30, 12), **more))
    rows = [row for row, _ in groupby(rows_of(ours))]
    assert rows == [same_length(row, ours.columns) for row in its_rows(symbol)]


def test_every_kind_of_the_writer_has_a_second_encoder() -> None:
    kinds = {symbol["code"] for symbol in SYMBOLS}
    assert kinds >= {
        "microqr", "rmqr", "datamatrix", "datamatrix-rectangular", "aztec", "pdf417", "code93",
        "codabar", "ean8", "upce", "databar", "databar-limited", "databar-stacked",
        "databar-stacked-omni", "databar-expanded", "databar-expanded-stacked", "gs1-128",
    }  # fmt: skip
