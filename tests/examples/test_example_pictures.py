"""The pictures of plates in the README are those that the jobs of the examples give."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from draw_pictures import EXAMPLES, ITEMS, bronze, draw
from PIL import Image

README = (EXAMPLES.parent / "README.md").read_text(encoding="utf-8")
MOST = 60_000  # bytes of a picture


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return draw(tmp_path_factory.mktemp("pictures"))


def pixels(path: Path) -> np.ndarray:
    return np.asarray(Image.open(path).convert("RGB")).astype(int)


def test_each_plate_and_the_look_of_both_examples_are_shown(drawn: list[Path]) -> None:
    assert len(drawn) == sum(len(plates) + 1 for _, _, plates in ITEMS) == 6
    for path in drawn:
        name = f"examples/{path.parent.name}/{path.name}"
        assert f"]({name})" in README
        assert (EXAMPLES.parent / name).stat().st_size < MOST


def test_they_show_what_the_jobs_give(drawn: list[Path]) -> None:
    """Another version of the renderer may set edges a little otherwise."""
    for path in drawn:
        shipped = pixels(EXAMPLES / path.parent.name / path.name)
        now = pixels(path)
        assert shipped.shape == now.shape, path.name
        assert np.abs(shipped - now).mean() < 2.0, path.name


def test_plates_differ_from_each_other_and_from_the_look(drawn: list[Path]) -> None:
    for example, _, plates in ITEMS:
        of_one = [pixels(path) for path in drawn if path.parent.name == example]
        assert len(of_one) == len(plates) + 1
        for n, one in enumerate(of_one):
            for other in of_one[n + 1 :]:
                assert (np.abs(one - other).max(axis=2) > 40).mean() > 0.02


def test_the_bronze_is_the_drawn_one() -> None:
    shipped = pixels(EXAMPLES / "lockers" / "bronze.jpg")
    assert np.abs(shipped - np.asarray(bronze()).astype(int)).mean() < 6.0
