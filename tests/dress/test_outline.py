"""Outlines against the formulas of plane geometry."""

from __future__ import annotations

import math

import pytest
import shapely

from vardata.dress import geometry, outline
from vardata.job import model
from vardata.problems import JobError


def layout(**values: object) -> model.Layout:
    return model.Layout.model_validate({"name": "t", "width": 30, "height": 20, **values})


def test_the_quarter_circle_cubic_is_as_round_as_it_says() -> None:
    points = geometry.flatten(outline.ellipse(0, 0, 20, 20), 1e-4)[0][0]
    radii = [math.dist(p, (10, 10)) / 10 for p in points]
    assert min(radii) > 1 - 1e-5 and max(radii) < 1.000273


@pytest.mark.parametrize(
    ("values", "area"),
    [
        ({}, 600),
        ({"outline": "rounded", "corner": 3}, 600 - (4 - math.pi) * 9),
        ({"outline": "rounded", "corner": 0}, 600),
        ({"outline": "rounded", "corner": 99}, 10 * 20 + math.pi * 100),  # ends are half circles
        ({"outline": "circle", "height": 30}, math.pi * 225),
        ({"outline": "ellipse"}, math.pi * 150),
        ({"outline": "path", "path": "M0 0 H30 V20 H0 Z M5 5 V15 H15 V5 Z"}, 500),
        ({"outline": "path", "path": "M 0 10 A 10 10 0 0 1 20 10 Z"}, math.pi * 50),
        ({"outline": "path", "path": "M0 0 Q 15 20 30 0 Z"}, 30 * 20 / 2 * 2 / 3),
        ({"outline": "path", "path": "m1,1l10,0 0,10z m 15 0 l 5 0 0 5 z"}, 50 + 12.5),
    ],
)
def test_areas(values: dict[str, object], area: float) -> None:
    # A parabola fills two thirds of its triangle (Archimedes); the others are school formulas.
    drawn = outline.item_outline(layout(**values))
    assert geometry.area(drawn).area == pytest.approx(area, rel=6e-4)


@pytest.mark.parametrize(
    ("values", "bleed", "area"),
    [
        ({}, 1, 32 * 22),
        ({}, -1, 28 * 18),
        ({"outline": "rounded", "corner": 3}, 1, 32 * 22 - (4 - math.pi) * 16),
        ({"outline": "rounded", "corner": 3}, -1, 28 * 18 - (4 - math.pi) * 4),
        ({"outline": "rounded", "corner": 0}, 1, 32 * 22),
        ({"outline": "circle", "height": 30}, 2, math.pi * 17**2),
        ({"outline": "path", "path": "M0 0H30V20H0Z"}, 1, 32 * 22),
        ({"outline": "path", "path": "M0 0H30V20H0Z"}, -1, 28 * 18),
        ({}, -10, 0),
    ],
)
def test_floods_are_offset_outlines(values: dict[str, object], bleed: float, area: float) -> None:
    drawn, inside = outline.flood(layout(**values), bleed)
    assert inside.area == pytest.approx(area, rel=6e-4)
    assert geometry.area(drawn).area == pytest.approx(area, rel=6e-4)


def test_an_ellipse_grows_by_the_bleed_everywhere() -> None:
    inside = outline.flood(layout(outline="ellipse"), 1)[1]
    plain = geometry.area(outline.item_outline(layout(outline="ellipse")))
    gaps = [shapely.Point(p).distance(plain.exterior) for p in inside.exterior.coords]
    assert min(gaps) > 0.99 and max(gaps) < 1.01


@pytest.mark.parametrize(
    "data", ["", "hello", "M 0", "M 0 0 L 1", "M0 0 A 1 1 0 0", "L L L", "1 2 3", "M0,0 X 3"]
)
def test_what_is_no_path_data_is_refused_in_one_line(data: str) -> None:
    with pytest.raises(JobError) as error:
        outline.item_outline(layout(outline="path", path=data), "tag.toml")
    (problem,) = error.value.problems
    assert problem.kind == "path-data" and problem.where.file == "tag.toml"
    assert "\n" not in str(problem) and problem.remedy


def test_a_tangled_outline_is_refused() -> None:
    turns = " ".join(
        f"{9 * math.cos(2.4 * i):.3f} {9 * math.sin(2.4 * i):.3f}" for i in range(3000)
    )
    with pytest.raises(JobError, match="crosses itself too many times"):
        outline.item_outline(layout(outline="path", path=f"M 0 0 L {turns} Z"))


def test_an_outline_without_area_is_refused() -> None:
    with pytest.raises(JobError, match="encloses no area"):
        outline.item_outline(layout(outline="path", path="M 0 0 L 10 10 Z"))


def test_a_line_runs_along_the_middle_of_its_box() -> None:
    field = model.ShapeField(type="shape", name="rule", shape="line", box=(2, 3, 20, 4))
    assert outline.shape_outline(field) == (("m", 2, 5), ("l", 22, 5))
