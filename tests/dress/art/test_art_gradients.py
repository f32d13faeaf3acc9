"""Gradients as pieces of a layout: white lies under all of their shape, ink limits see them."""

from __future__ import annotations

import math

import pytest
from PIL import Image, ImageCms

from vardata.dress import svg
from vardata.dress.art import place_svg
from vardata.dress.drawing import Shape
from vardata.dress.ink import Plates
from vardata.dress.inklimit import over_limit
from vardata.dress.piece import Piece, pieces
from vardata.job.model import Art, Layout, Plate, PrintMode
from vardata.job.shipped import profiles
from vardata.marks import Cmyk, Path, Shaded

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20">'
DEEP = (
    '<linearGradient id="g"><stop stop-color="#fff"/><stop offset="1" '
    'stop-color="device-cmyk(1 .8 .6 .4)"/></linearGradient>'
)
LAYOUT = Layout(name="t", width=20, height=20, plates=(
    Plate(name="Colour", role="colour"),
    Plate(name="White", role="white", cover="art", colours=("red",)),
))  # fmt: skip
ART = Art(file="a.svg", box=(0, 0, 20, 20))


def found(body: str) -> tuple[Piece, ...]:
    read = svg.read(f"{HEAD}{body}</svg>".encode(), "a.svg")
    return pieces(LAYOUT, [(ART, place_svg(read, ART))], Plates(LAYOUT))


def test_white_lies_under_the_shape_though_its_light_end_has_no_ink() -> None:
    """SVG white is no process ink: the white plate shows there."""
    (piece,) = found(DEEP + '<circle cx="10" cy="10" r="6" fill="url(#g)"/>')
    assert piece.area.area == pytest.approx(math.pi * 36, rel=0.001)
    assert piece.ink.kind == "colour" and piece.white
    assert isinstance(piece.mark(0, piece.ink.paint), Shaded)
    white = piece.mark(1, 1.0)
    assert isinstance(white, Path) and white.paint == 1.0


def test_a_stroke_in_a_gradient_is_printed_as_the_area_of_its_line() -> None:
    (piece,) = found(
        DEEP + '<path d="M4 4H16V16" fill="none" stroke="url(#g)" stroke-width="2"/>'
    )
    assert piece.area.area == pytest.approx(12 * 2 + 12 * 2, rel=1e-6)
    assert piece.stroke == 0


def test_a_gradient_that_is_cut_keeps_its_colours() -> None:
    body = '<rect x="-10" y="5" width="20" height="10" fill="url(#g)"/>'
    read = svg.read(f"{HEAD}{DEEP}{body}</svg>".encode(), "a.svg")
    (part,) = place_svg(read, ART).parts
    assert isinstance(part, Shape) and part.blend is not None
    (piece,) = found(DEEP + body)
    assert piece.area.bounds == pytest.approx((0, 5, 10, 15))
    x0 = part.blend.matrix[4]  # its box begins outside the page
    assert x0 == pytest.approx(-10)


def test_an_ink_limit_counts_the_heaviest_stop() -> None:
    made = found(DEEP + '<rect width="9" height="9" fill="url(#g)"/>')
    assert not list(over_limit(281, made, (), "tag.toml"))
    assert [str(p) for p in over_limit(270, made, (), "tag.toml")] == [
        "tag.toml: 'a.svg' has 280 % of ink, and the print mode takes at most 270 %; "
        "choose a lighter colour, or convert the picture for this machine"
    ]
    assert PrintMode(dpi=(600, 600)).ink_limit is None


def test_a_gradient_has_no_one_colour() -> None:
    """A plate for things of one colour leaves it alone, as it does a picture."""
    (piece,) = found(DEEP + '<rect width="9" height="9" fill="url(#g)"/>')
    assert piece.colour is None
    assert not Plates(LAYOUT).takes(1, piece.colour, text=False)


def test_a_profile_converts_what_lies_between_two_stops_too() -> None:
    """littlecms, called on its own for the colour half way and a quarter of the way."""
    profile = str(next(iter(profiles().values())))
    body = (
        '<linearGradient id="g" gradientUnits="userSpaceOnUse" x2="20"><stop stop-color="#d04010"/>'
        '<stop offset="1" stop-color="#30b0c0"/></linearGradient>'
        '<rect width="20" height="9" fill="url(#g)"/>'
    )
    read = svg.read(f"{HEAD}{body}</svg>".encode(), "a.svg")
    plates = Plates(LAYOUT, profile=profile)
    (piece,) = pieces(LAYOUT, [(ART, place_svg(read, ART))], plates)
    assert piece.blend is not None
    for share in (0.25, 0.5):
        rgb = tuple(
            round(a + (z - a) * share) for a, z in zip((0xD0, 0x40, 0x10), (0x30, 0xB0, 0xC0))
        )
        want = ImageCms.profileToProfile(
            Image.new("RGB", (1, 1), rgb), ImageCms.createProfile("sRGB"), profile,
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC, outputMode="CMYK",
            flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
        ).getpixel((0, 0))  # fmt: skip
        step = next(s for s in piece.blend.steps if s.start <= share <= s.end)
        along = (share - step.start) / (step.end - step.start)
        seen = [255 * (a + (z - a) * along) for a, z in zip(step.first, step.last)]
        assert seen == pytest.approx(want, abs=4)
    ends = piece.blend.steps[0].start, piece.blend.steps[-1].end
    assert ends == (0.0, 1.0)


@pytest.mark.parametrize("body", [
    '<linearGradient id="g" x2="0"><stop stop-color="red"/><stop stop-color="#0000ff"/>'
    "</linearGradient>",
    '<radialGradient id="g" r="0"><stop stop-color="red"/><stop stop-color="#00f"/>'
    "</radialGradient>",
])  # fmt: skip
def test_without_a_way_to_go_it_is_the_last_colour(body: str) -> None:
    """SVG 1.1, 13.2.2 and 13.2.3."""
    (piece,) = found(body + '<rect width="9" height="9" fill="url(#g)"/>')
    assert piece.blend is None and piece.ink.paint == Cmyk(1, 1, 0, 0)
