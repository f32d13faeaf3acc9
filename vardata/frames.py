"""Runs as tables, for people who analyse them: pandas frames of a finished run.

In: a run's folder. Out: a frame with a row a slot. Nothing is computed here; the frame shows
what ``slots.jsonl`` says.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from vardata.problems import CallError, fail

if TYPE_CHECKING:
    import pandas


def slots_frame(run: Path) -> pandas.DataFrame:
    """A row a slot: bed, slot, file, page, record, order, product, of two-sided pieces the side,
    x, y, width, height (mm), rotation (degrees), and a text column for each field, all texts as
    printed.

    Raises ``CallError`` where the folder holds no run.
    """
    import pandas

    path = run / "slots.jsonl"
    if not path.is_file():
        raise fail(CallError, "no-run", "this folder holds no run", "name the folder that build "
                   "wrote", file=str(run))
    rows = []
    with path.open(encoding="utf-8") as file:
        for line in file:
            slot = json.loads(line)
            row = {key: slot[key] for key in ("bed", "slot", "file", "page", "record", "order",
                                              "product")}
            if "side" in slot:
                row["side"] = slot["side"]
            row["x"], row["y"], row["width"], row["height"] = slot["box_mm"]
            row["rotation"] = slot["rotation_deg"]
            for part in (*slot["texts"], *slot["codes"]):
                row[part["field"]] = part["text"]
            rows.append(row)
    return pandas.DataFrame(rows)
