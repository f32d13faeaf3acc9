"""One font for a whole text where one has it all; by cluster only where none has."""

from __future__ import annotations

from pathlib import Path

import pytest

from vardata.fit.fontbook import FontBook
from vardata.fit.result import TextFit
from vardata.fit.text import fit_text
from vardata.job.model import TextField

FONTS = Path(__file__).resolve().parents[2] / "fonts"
BOOK = FontBook(
    {
        "script": FONTS / "DancingScript-Regular.otf",
        "serif": FONTS / "NotoSerif-Regular.ttf",
    }
)
CHAIN = BOOK.chain(("script", "serif"))
FIELD = TextField(
    type="text", name="n", text="", font="script", box=(0, 0, 60, 20), size="12pt", lines=2
)


@pytest.mark.parametrize(
    ("text", "fonts"),
    [
        ("Nuno Calloway", {0}),
        # The script font has every letter but one: the serif sets the whole name.
        ("Thảo Wexcombe", {1}),
        ("Θάλεια\nΨαρά", {1}),
    ],
)
def test_a_name_is_set_in_one_font(text: str, fonts: set[int]) -> None:
    assert ("ả" not in BOOK.face(0).characters) and ("ả" in BOOK.face(1).characters)
    fit = fit_text(text, FIELD, CHAIN)
    assert isinstance(fit, TextFit)
    assert {run.font for run in fit.runs} == fonts
