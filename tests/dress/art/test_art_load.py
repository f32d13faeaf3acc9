"""The art of a layout, read and placed; and the shipped crest."""

from __future__ import annotations

from pathlib import Path

import pytest
from art_judges import drawn, judged, ours, strays
from PIL import Image

from vardata.dress import art
from vardata.dress.drawing import PlacedPicture, Shape
from vardata.job import model
from vardata.problems import JobError

CREST = Path(__file__).parents[3] / "examples" / "medals" / "crest.svg"
SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 10"><path d="M0 0H20V10H0Z"/></svg>'
)


def setup(folder: Path, *entries: dict) -> model.Setup:
    """A job whose layout has the art entries; only what art needs is real."""
    layout = model.Layout(
        name="tag", width=60, height=40, art=[{"box": (10, 5, 30, 30), **e} for e in entries]
    )
    return model.Setup.model_construct(
        layout=layout,
        layout_file=folder / "tag.toml",
        mode=model.PrintMode(dpi=(720, 720)),
        job=model.Job.model_construct(output=model.Output()),
        files={e["file"]: folder / e["file"] for e in entries if e["file"] != "unknown.svg"},
    )


def one(folder: Path, **entry) -> tuple:
    ((_, drawing),) = art.load_art(setup(folder, {"file": "a.svg", **entry}))
    (shape,) = drawing.parts
    return [tuple(round(v, 4) for v in c[1:]) for c in shape.commands if c[0] != "h"]


def test_fits_and_turns(tmp_path: Path) -> None:
    """A 2 : 1 drawing in a box of 30 x 30 at (10, 5)."""
    (tmp_path / "a.svg").write_text(SQUARE)
    contain = [(10, 27.5), (40, 27.5), (40, 12.5), (10, 12.5)]
    assert one(tmp_path) == contain
    assert one(tmp_path, fit="stretch") == [(10, 35), (40, 35), (40, 5), (10, 5)]
    # Counter-clockwise about the box's centre (25, 20): the upper left corner goes lower left.
    assert one(tmp_path, rotation=90) == [(17.5, 5), (17.5, 35), (32.5, 35), (32.5, 5)]
    # "cover" makes it 60 x 30 and cuts off what passes the box.
    assert sorted(one(tmp_path, fit="cover")) == [(10, 5), (10, 35), (40, 5), (40, 35)]


def test_strokes_stretched_unevenly_are_outlined(tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 10">'
        '<path d="M5 5H15" stroke="#000" stroke-width="2"/></svg>'
    )
    ((_, drawing),) = art.load_art(setup(tmp_path, {"file": "a.svg", "fit": "stretch"}))
    (shape,) = drawing.parts
    ys = [c[2] for c in shape.commands if c[0] != "h"]
    assert (shape.stroke, max(ys) - min(ys)) == (0, pytest.approx(6))


def test_pictures_are_placed_and_cropped(tmp_path: Path) -> None:
    Image.new("RGB", (400, 200), (9, 99, 199)).save(tmp_path / "a.png")
    for fit, box, size in [
        ("contain", (10, 12.5, 30, 15), (400, 200)),
        ("stretch", (10, 5, 30, 30), (400, 200)),
        ("cover", (10, 5, 30, 30), (200, 200)),
    ]:
        ((_, drawing),) = art.load_art(
            setup(tmp_path, {"file": "a.png", "fit": fit, "rotation": 30})
        )
        (part,) = drawing.parts
        assert isinstance(part, PlacedPicture)
        assert part[1:6] == (*box, 30)
        assert (part.picture.width, part.picture.height) == size


def test_all_problems_are_told_at_once(tmp_path: Path) -> None:
    (tmp_path / "bad.svg").write_text(SQUARE.replace("<path", '<path opacity=".5"'))
    Image.new("RGB", (40, 40), "red").save(tmp_path / "small.png")
    job = setup(
        tmp_path,
        *(
            {"file": name}
            for name in ("bad.svg", "small.png", "gone.svg", "unknown.svg", "art.gif")
        ),
    )
    lines = [str(problem) for problem in art.check_art(job)]
    assert lines == [
        "bad.svg:1, <path>: opacity 0.5 cannot be printed as one solid ink; "
        "mix the colours by hand and set the opacity to 1",
        "small.png: the picture has 34 ppi at 30.0 x 30.0 mm, so its pixels show; "
        "use one of 354 x 354 pixels (300 ppi)",
        "gone.svg: the art's file is not there; put it beside tag.toml or mend its name",
        "unknown.svg: the art's file is not there; put it beside tag.toml or mend its name",
        "art.gif: art is SVG, PDF, EPS or a picture, not '.gif'; use one of .svg, .png, .jpg, "
        ".jpeg, .tif, .tiff, .webp, .heic, .heif, .pdf, .eps",
    ]
    with pytest.raises(JobError) as caught:
        art.load_art(job)
    assert len(caught.value.problems) == 4, "warnings do not stop a job"


def test_a_drawing_that_shows_nothing_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>')
    (problem,) = art.check_art(setup(tmp_path, {"file": "a.svg"}))
    assert str(problem) == "a.svg: the art shows nothing; check that it is the right file"


def test_the_same_file_twice_gives_the_same_drawing(tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_text(SQUARE)
    (_, first), (_, second) = art.load_art(setup(tmp_path, {"file": "a.svg"}, {"file": "a.svg"}))
    assert first == second


# ------------------------------------------------------------ the shipped crest


def test_the_crest_is_drawn_as_resvg_draws_it() -> None:
    text = CREST.read_text(encoding="utf-8")
    judge = judged(text, 400)
    assert strays(ours(text, (judge.shape[1], judge.shape[0])), judge) <= 50


def test_the_crest_has_white_ink_and_no_remarks() -> None:
    job = setup(CREST.parent, {"file": "crest.svg", "box": (16.5, 29.5, 17, 17)})
    assert art.check_art(job) == []
    ((_, drawing),) = art.load_art(job)
    shapes = [part for part in drawing.parts if isinstance(part, Shape)]
    assert len(shapes) == len(drawing.parts)
    assert sum(shape.paint is None for shape in shapes) == 1
    assert len({shape.paint for shape in shapes}) == 7
    # Lines that a flatbed still prints: common practice, no source: 0.15 mm.
    assert min(shape.stroke for shape in shapes if shape.stroke) > 0.15
    page = drawn(drawing.parts, (50, 50))
    ys, xs = (page.min(axis=-1) < 200).nonzero()
    assert 50 - ys.max() >= 29 and 50 - ys.min() <= 47.5 and xs.min() >= 16 and xs.max() <= 34
