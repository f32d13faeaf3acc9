"""Texts that are set together, against the same texts set one by one."""

from __future__ import annotations

import pytest
from paperkit import EIGHT

from vardata.output.picklist_document import Paper
from vardata.output.picklist_text import Pen

LATIN = ["A1", "O'Neil (Pat) \\ Co", "Zoë Łukasz", "Nürnberg – Köln", "", "100 %", "A1"]
OTHERS = ["Αλέξανδρος", "two\nlines", "a\rb", "zero\0", "plain"]


@pytest.fixture
def pen() -> Pen:
    return Paper(EIGHT, "a paper").bold


@pytest.mark.parametrize("texts", [LATIN, OTHERS, [*LATIN, *OTHERS], ["x"]])
def test_texts_together_are_what_they_are_alone(pen: Pen, texts: list[str]) -> None:
    stack = pen.stack(texts, 9.0)
    shown = [f"{stack.before}{text}{stack.after}" for text in stack.shown]
    widths = [pen.width(text, 9.0) for text in texts]
    assert shown == [pen.show(text, 9.0) for text in texts]
    assert stack.widest == pytest.approx(max(widths))
    assert pen.widths(texts, 9.0) == pytest.approx(widths)
    also, measured = pen.measured(texts, 9.0)
    assert (also.before, also.shown, also.after) == (stack.before, stack.shown, stack.after)
    assert measured == pytest.approx(widths)


def test_a_text_is_never_wider_than_it_is_measured(pen: Pen) -> None:
    # Widths of the font itself, in units of 1/1000 em, added up letter by letter.
    face = pen._chain[0].face
    for text in ("Zoë Łukasz", "WAVE", "iiii", "Øystein – 00042"):
        exact = sum(face.getCharWidth(ord(char)) for char in text) * 9.0 / 1000
        assert exact <= pen.width(text, 9.0) <= exact + len(text) * 9.0 * 0.005


def test_a_text_that_fits_to_a_hair_is_not_shortened(pen: Pen) -> None:
    face = pen._chain[0].face
    text = "Wolfgang Tjörn 565 / Wolfgang Tjörn 565 to Wolfgang Tjörn / Wolfgang Tjörn"
    exact = sum(face.getCharWidth(ord(char)) for char in text) * 7.0 / 1000
    assert pen.width(text, 7.0) > exact + 1.0  # points, of the quick measure
    assert pen.shorten(text, 7.0, exact + 0.001) == text
    shortened = pen.shorten(text, 7.0, exact - 0.001)
    assert shortened.endswith("…") and text.startswith(shortened[:-1])
