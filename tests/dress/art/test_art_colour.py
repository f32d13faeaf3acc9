"""Colours as inks: ISO 32000-1, 10.3.5 and 10.3.6, worked by hand; luminance by WCAG 2."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vardata.dress import colour
from vardata.dress.svg_paint import solid
from vardata.marks import Cmyk
from vardata.problems import JobError, Where


@pytest.mark.parametrize(
    ("written", "inks"),
    [
        ("black", (0, 0, 0, 1)),
        ("White", (0, 0, 0, 0)),
        (" red ", (0, 1, 1, 0)),
        ("grey", (0, 0, 0, 0.5)),
        ("gray", (0, 0, 0, 0.5)),
        ((0, 100, 50, 12.5), (0, 1, 0.5, 0.125)),
        ("#fff", (0, 0, 0, 0)),
        # 10.3.5 by hand: c = 1 - r ..., k = min(c, m, y), each less k.
        ("#000000", (0, 0, 0, 1)),
        ("#808080", (0, 0, 0, 0.498)),  # 1 - 128/255 = 0.49804
        ("#f00", (0, 1, 1, 0)),
        ("#1f6fb2", (0.5765, 0.2627, 0, 0.302)),  # c 224/255, m 144/255, y = k = 77/255
        ("#B3122B", (0, 0.6314, 0.5333, 0.298)),  # c = k = 76/255, m 237/255, y 212/255
    ],
)
def test_inks(written, inks) -> None:
    assert colour.parse(written) == pytest.approx(inks, abs=5e-5)


@pytest.mark.parametrize(
    ("written", "line"),
    [
        (
            "purpel",
            "layout.toml, colour: the colour 'purpel' is not known; did you mean 'purple'? write "
            '"#rrggbb", [c, m, y, k] in percent, or one of black, white, grey, cyan, magenta, '
            "yellow, red, green, blue, orange, purple, brown",
        ),
        (
            "#12345",
            "layout.toml, colour: the colour '#12345' does not have 3 or 6 hex digits; write "
            '"#rrggbb", [c, m, y, k] in percent or a name',
        ),
        (
            (0, 0, 0, 101),
            "layout.toml, colour: the colour [0, 0, 0, 101] is not four inks from 0 to 100 "
            "percent; write it like [0, 100, 100, 0] for cyan, magenta, yellow, black",
        ),
        (
            (float("nan"), 0, 0, 0),
            "layout.toml, colour: the colour [nan, 0, 0, 0] is not four inks from 0 to 100 "
            "percent; write it like [0, 100, 100, 0] for cyan, magenta, yellow, black",
        ),
    ],
)
def test_what_is_no_colour(written, line: str) -> None:
    with pytest.raises(JobError) as caught:
        colour.parse(written, Where(file="layout.toml", key="colour"))
    assert str(caught.value) == line
    assert caught.value.problems[0].kind == "colour-unknown"


byte = st.integers(0, 255)


@given(byte, byte, byte)
def test_rgb_comes_back(r: int, g: int, b: int) -> None:
    """10.3.6 undoes 10.3.5 with full black generation and undercolour removal."""
    inks = colour.parse(f"#{r:02x}{g:02x}{b:02x}")
    assert colour.to_srgb(inks) == (r, g, b)
    assert min(inks[:3]) == 0  # undercolour removal in full
    if r == g == b:
        assert inks[:3] == (0, 0, 0)  # greys and black go to K alone


def test_more_ink_than_full_is_black() -> None:
    assert colour.to_srgb(Cmyk(0.5, 0.7, 0, 0.8)) == (0, 0, 51)


@pytest.mark.parametrize(
    ("written", "ratio"),
    # Contrast against white, (1 + 0.05) / (L + 0.05) of WCAG 2; well-known values, from memory.
    [("#767676", 4.54), ("#777777", 4.48), ("#000", 21.0), ("#0000ff", 8.59), ("#ff0000", 4.0)],
)
def test_luminance(written: str, ratio: float) -> None:
    found = 1.05 / (colour.luminance(colour.parse(written)) + 0.05)
    assert found == pytest.approx(ratio, abs=0.006)


@pytest.mark.parametrize(
    ("css", "inks"),
    [
        ("green", (0.502, 0, 0.502, 0.498)),  # CSS green is #008000, not the layout's full green
        ("hsl(0, 100%, 50%)", (0, 1, 1, 0)),
        (
            "device-cmyk(0 0.81 0.81 0.3)",
            (0, 0.81, 0.81, 0.3),
        ),  # an example of CSS Color 5, from memory
        ("device-cmyk(0%, 81%, 81%, 30%)", (0, 0.81, 0.81, 0.3)),
        ("device-cmyk(0 0 0 1 / 100%)", (0, 0, 0, 1)),
        ("BLACK", (0, 0, 0, 1)),
    ],
)
def test_css_colours(css: str, inks: tuple[float, ...]) -> None:
    ink = solid(css)
    assert ink is not None
    assert ink.cmyk == pytest.approx(inks, abs=5e-5)


@pytest.mark.parametrize("css", ["#fff", "white", "rgb(100% 100% 100%)", "device-cmyk(0 0 0 0)"])
def test_pure_white_is_white_ink(css: str) -> None:
    ink = solid(css)
    assert ink is not None
    assert ink.cmyk is None


@pytest.mark.parametrize("css", ["transparent", "#0000", "rgba(1, 2, 3, 0)"])
def test_nothing_at_all(css: str) -> None:
    assert solid(css) is None
