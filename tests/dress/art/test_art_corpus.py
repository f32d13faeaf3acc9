"""Fifty small SVGs, each with one feature, against another renderer: resvg.

The judge for every drawing is resvg (a foreign SVG renderer); ours is drawn by reportlab and
rendered by PDFium.
"""

from __future__ import annotations

import pytest
from art_judges import CORPUS, judged, ours, strays

FILES = sorted(CORPUS.glob("*.svg"))
MOST = 50  # stray pixels of 160,000: what two renderers differ by at slanted edges


def test_the_corpus_is_there() -> None:
    assert len(FILES) >= 50


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_drawn_as_resvg_draws_it(path) -> None:
    text = path.read_text(encoding="utf-8")
    judge = judged(text)
    mine = ours(text, (judge.shape[1], judge.shape[0]))
    assert judge.min() < 160, "the judge must have drawn something dark"
    assert strays(mine, judge) <= MOST


def test_the_measure_sees_a_moved_drawing() -> None:
    """The measure itself: the same star two pixels aside must not pass."""
    text = (CORPUS / "style-cdata.svg").read_text(encoding="utf-8")
    moved = text.replace('viewBox="0 0 100 100"', 'viewBox="-0.5 0 100 100"')
    judge = judged(text)
    assert strays(ours(moved, (400, 400)), judge) > 10 * MOST
