"""Gradients of SVG art on the plates: Ghostscript separates them, the values are SVG's own.

Wanted values are worked out here from SVG 1.1, 13.2 (and SVG 2, 14.2 for the focus of a radial
gradient) and become ink by ISO 32000-1, 10.3.5. resvg, a foreign SVG renderer, judges the shape.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
import resvg_py
from bedkit import (
    BOOK,
    COLOUR,
    GLOSS,
    WHITE,
    judge,
    make_bed,
    make_layout,
    no_pictures,
    page,
    same,
    separations,
    write,
)
from PIL import Image as Pillow
from scipy.ndimage import maximum_filter, minimum_filter

from vardata.dress import svg
from vardata.dress.art import place_svg
from vardata.dress.ink import Plates
from vardata.dress.piece import pieces
from vardata.job.model import Art
from vardata.marks import Mark, Placement, Ref, Statics
from vardata.marks import Path as Outline
from vardata.output.pdf.look import write_look_file

SIDE = 40.0  # mm; the drawing's user unit is 0.4 mm
DPI = 600
PX = DPI / 25.4
INKS = ("Cyan", "Magenta", "Yellow", "Black")
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'

Rgb = tuple[int, int, int]
RED, GOLD, BLUE = (192, 57, 43), (241, 196, 15), (26, 82, 118)
STOPS = [(0.0, RED), (0.5, GOLD), (1.0, BLUE)]
WRITTEN = "".join(f'<stop offset="{at}" stop-color="rgb{rgb}"/>' for at, rgb in STOPS)


def marks(drawing: str) -> tuple[Mark, ...]:
    """The colour marks of a drawing on the whole bed."""
    art = Art(file="a.svg", box=(0, 0, SIDE, SIDE))
    layout = make_layout(SIDE, SIDE)
    found = pieces(
        layout, [(art, place_svg(svg.read(drawing.encode(), "a.svg"), art))], Plates(layout)
    )
    return tuple(piece.mark(COLOUR, piece.ink.paint) for piece in found)


def put(path: Path, *more: Mark, drawing: str, turned: float = 0.0) -> Path:
    statics = Statics({"art": marks(drawing)})
    write(
        path, page(Ref(COLOUR, "art"), *more, at=Placement(SIDE / 2, SIDE / 2, turned)),
        bed=make_bed(SIDE, SIDE), layout=make_layout(SIDE, SIDE), statics=statics,
    )
    return path


def colour_at(t: float, stops: list[tuple[float, Rgb]] = STOPS) -> tuple[float, ...]:
    """SVG 1.1, 13.2.4: between two stops each of red, green, blue changes linearly."""
    at, colours = zip(*stops)
    return tuple(float(np.interp(t, at, [c[i] for c in colours])) for i in range(3))


def inks(rgb: tuple[float, ...]) -> tuple[float, ...]:
    """ISO 32000-1, 10.3.5, black and its removal in full; in levels of 255."""
    c, m, y = (255 - part for part in rgb)
    k = min(c, m, y)
    return c - k, m - k, y - k, k





def axial(x0: float, y0: float, x1: float, y1: float) -> Callable[[float, float], float]:
    def t(x: float, y: float) -> float:
        dx, dy = x1 - x0, y1 - y0
        return ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)

    return t


def radial(cx: float, cy: float, r: float, fx: float, fy: float) -> Callable[[float, float], float]:
    """SVG 2, 14.2.3: the circle of t has its centre at f + (c - f) t and the radius r t."""

    def t(x: float, y: float) -> float:
        px, py, dx, dy = x - fx, y - fy, cx - fx, cy - fy
        a, b, c = dx * dx + dy * dy - r * r, -2 * (px * dx + py * dy), px * px + py * py
        return (-b - math.sqrt(b * b - 4 * a * c)) / (2 * a)

    return t


def pad(t: float) -> float:
    return min(1.0, max(0.0, t))


def repeat(t: float) -> float:
    return t % 1.0


def reflect(t: float) -> float:
    return 1.0 - abs(t % 2.0 - 1.0)


def skewed(x: float, y: float) -> tuple[float, float]:
    """Back through skewX(30): x' = x + y tan 30."""
    return x - y * math.tan(math.radians(30)), y


BOX = 'x="10" y="20" width="80" height="50"'
CASES = {
    "line": ('<linearGradient id="g">', axial(10, 0, 90, 0), pad),
    "line-of-user-space": (
        '<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="30" y1="25" x2="55" y2="60">',
        axial(30, 25, 55, 60), pad,
    ),
    "line-in-percent": (
        '<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="20%" y1="30%" x2="70%" '
        'y2="60%">', axial(20, 30, 70, 60), pad,
    ),
    "line-of-a-box-that-is-no-square": (  # in the box's own unit square, 80 by 50
        '<linearGradient id="g" x1="0" y1="0" x2="1" y2="1">',
        lambda x, y: axial(0, 0, 1, 1)((x - 10) / 80, (y - 20) / 50), pad,
    ),
    "line-skewed": (
        '<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="0" x2="60" '
        'gradientTransform="skewX(30)">',
        lambda x, y: axial(0, 0, 60, 0)(*skewed(x, y)), pad,
    ),
    "line-repeated": (
        '<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="40" x2="52" y1="0" y2="9" '
        'spreadMethod="repeat">', axial(40, 0, 52, 9), repeat,
    ),
    "line-reflected": (
        '<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="45" x2="60" '
        'spreadMethod="reflect">', axial(45, 0, 60, 0), reflect,
    ),
    "circles": (
        '<radialGradient id="g" gradientUnits="userSpaceOnUse" cx="50" cy="45" r="30">',
        radial(50, 45, 30, 50, 45), pad,
    ),
    "circles-with-a-focus": (
        '<radialGradient id="g" gradientUnits="userSpaceOnUse" cx="50" cy="45" r="32" fx="38" '
        'fy="50">', radial(50, 45, 32, 38, 50), pad,
    ),
    "circles-of-a-box": (  # ellipses: the box's unit square is stretched
        '<radialGradient id="g">',
        lambda x, y: radial(0.5, 0.5, 0.5, 0.5, 0.5)((x - 10) / 80, (y - 20) / 50), pad,
    ),
    "circles-repeated": (
        '<radialGradient id="g" gradientUnits="userSpaceOnUse" cx="50" cy="45" r="11" fx="46" '
        'fy="45" spreadMethod="repeat">', radial(50, 45, 11, 46, 45), repeat,
    ),
    "circles-reflected": (
        '<radialGradient id="g" gradientUnits="userSpaceOnUse" cx="50" cy="45" r="14" '
        'spreadMethod="reflect">', radial(50, 45, 14, 50, 45), reflect,
    ),
}  # fmt: skip
Case = tuple[str, Callable[[float, float], float], Callable[[float], float]]


def drawn(case: Case, paint: str = 'fill="url(#g)"') -> str:
    head = case[0]
    kind = head[1:].split()[0]
    return f"{HEAD}{head}{WRITTEN}</{kind}><rect {BOX} {paint}/></svg>"


@pytest.mark.parametrize("name", CASES)
def test_inks_are_those_of_the_gradient(tmp_path: Path, name: str) -> None:
    """400 places, each ink within 3 of 255 levels, 5 where turns follow each other; near a jump
    between turns nothing is said."""
    case = CASES[name]
    found = separations(put(tmp_path / "g.pdf", drawing=drawn(case)), str(DPI))
    height = found["Cyan"].shape[0]
    looked = 0
    for x in np.linspace(11, 89, 20):
        for y in np.linspace(21, 69, 20):
            # The middle of the pixel that is looked at, in user units.
            column, row = int(x * 0.4 * PX), int(y * 0.4 * PX)
            ux, uy = (column + 0.5) / PX / 0.4, (row + 0.5) / PX / 0.4
            t = case[1](ux, uy)
            if case[2] is repeat and min(t % 1.0, 1 - t % 1.0) < 0.05:
                continue
            want = inks(colour_at(case[2](t)))
            seen = [int(found[ink][min(row, height - 1), column]) for ink in INKS]
            assert seen == pytest.approx(want, abs=3 if case[2] is pad else 5), (ux, uy, t)
            looked += 1
    assert looked > 300


@pytest.mark.parametrize("name", CASES)
def test_the_shape_is_what_resvg_draws(tmp_path: Path, name: str) -> None:
    """The plates brought back to red, green, blue by ISO 32000-1, 10.3.6."""
    drawing = drawn(CASES[name], 'fill="none" stroke="url(#g)" stroke-width="12"')
    if name in ("line-of-a-box-that-is-no-square", "circles-of-a-box"):
        drawing = drawing.replace("<rect", '<rect transform="rotate(9 50 45)"')
    found = separations(put(tmp_path / "g.pdf", drawing=drawing), "300")
    k = found["Black"].astype(int)
    mine = np.stack([255 - np.minimum(255, found[ink] + k) for ink in INKS[:3]], axis=2)
    data = resvg_py.svg_to_bytes(
        svg_string=drawing, width=mine.shape[1], background="#ffffff", skip_system_fonts=True
    )
    seen = np.asarray(Pillow.open(io.BytesIO(bytes(data))).convert("RGB")).astype(int)
    seen = seen[: mine.shape[0], : mine.shape[1]]
    assert seen.min() < 60
    low, high = (f(seen, size=(5, 5, 1)) for f in (minimum_filter, maximum_filter))
    strays = ((mine < low - 8) | (mine > high + 8)).any(axis=2)
    assert strays.sum() < 100, np.argwhere(strays)[:5]


def test_a_stretch_bends_where_black_does(tmp_path: Path) -> None:
    """From red to blue the inks are no straight lines: half way black is 50 % of purple."""
    drawing = (
        f'{HEAD}<linearGradient id="g"><stop stop-color="#f00"/><stop offset="1" '
        f'stop-color="#00f"/></linearGradient><rect {BOX} fill="url(#g)"/></svg>'
    )
    found = separations(put(tmp_path / "g.pdf", drawing=drawing), str(DPI))
    row = int(45 * 0.4 * PX)
    for share in (0.25, 0.5, 0.75):
        column = int((10 + 80 * share) * 0.4 * PX)
        want = inks((255 * (1 - share), 0, 255 * share))
        assert [int(found[ink][row, column]) for ink in INKS] == pytest.approx(want, abs=2)


def test_inks_written_as_inks_change_in_straight_lines(tmp_path: Path) -> None:
    drawing = (
        f'{HEAD}<linearGradient id="g"><stop stop-color="device-cmyk(1 0 0 0)"/><stop offset="1" '
        'stop-color="device-cmyk(0 100% 50% 20%)"/></linearGradient>'
        f'<rect {BOX} fill="url(#g)"/></svg>'
    )
    found = separations(put(tmp_path / "g.pdf", drawing=drawing), str(DPI))
    at = int(45 * 0.4 * PX), int((10 + 80 * 0.25) * 0.4 * PX)
    want = (255 * 0.75, 255 * 0.25, 255 * 0.125, 255 * 0.05)
    assert [int(found[ink][at]) for ink in INKS] == pytest.approx(want, abs=2)


def test_what_a_gradient_does_not_say_it_takes_from_another(tmp_path: Path) -> None:
    """SVG 1.1, 13.2.2: stops, units and transform through two references, ends of its own kind."""
    linked = (
        f'{HEAD}<linearGradient id="s">{WRITTEN}</linearGradient>'
        '<linearGradient id="m" href="#s" gradientUnits="userSpaceOnUse" x1="20" x2="80" '
        'gradientTransform="translate(5)"/>'
        f'<linearGradient id="g" href="#m" x2="70"/><rect {BOX} fill="url(#g)"/></svg>'
    )
    plain = drawn((
        '<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="25" x2="75">', axial(0, 0, 1, 1),
        pad,
    ))  # fmt: skip
    one = separations(put(tmp_path / "one.pdf", drawing=linked))
    other = separations(put(tmp_path / "other.pdf", drawing=plain))
    for ink in INKS:
        assert one[ink].any() and np.abs(one[ink].astype(int) - other[ink]).max() <= 1


def test_offsets_never_go_back_and_jumps_stay_jumps(tmp_path: Path) -> None:
    """SVG 1.1, 13.2.4: 30 % after 60 % counts as 60 %; of several at one place the last goes on."""
    drawing = (
        f'{HEAD}<linearGradient id="g"><stop offset="20%" stop-color="#0ff"/>'
        '<stop offset=".6" stop-color="#0ff"/><stop offset="30%" stop-color="#f0f"/>'
        f'<stop offset="2" stop-color="#ff0"/></linearGradient><rect {BOX} fill="url(#g)"/></svg>'
    )
    found = separations(put(tmp_path / "g.pdf", drawing=drawing), str(DPI))
    row = int(45 * 0.4 * PX)

    def at(share: float) -> list[int]:
        return [int(found[ink][row, int((10 + 80 * share) * 0.4 * PX)]) for ink in INKS]

    assert at(0.05) == at(0.58) == [255, 0, 0, 0]
    assert at(0.605) == pytest.approx([0, 252, 3, 0], abs=3)
    assert at(0.8) == pytest.approx([0, 127, 127, 0], abs=2)


def test_plates_do_not_depend_on_a_gradient(tmp_path: Path) -> None:
    drawing = drawn(CASES["circles-with-a-focus"])
    white = Outline(WHITE, 1.0, (("re", 2.0, 6.0, 30.0, 24.0),))
    gloss = Outline(GLOSS, 0.5, (("re", 12.0, 12.0, 20.0, 24.0),))
    names = ("White", "Gloss")
    all_ = separations(put(tmp_path / "all.pdf", white, gloss, drawing=drawing))
    colour = separations(put(tmp_path / "colour.pdf", drawing=drawing))
    same(all_, colour, *INKS)
    none = f'{HEAD}<path d="M0 0"/></svg>'
    same(all_, separations(put(tmp_path / "rest.pdf", white, gloss, drawing=none)), *names)
    assert all(all_[ink].any() for ink in (*INKS, *names))


def test_a_gradient_turns_with_its_slot(tmp_path: Path) -> None:
    drawing = drawn(CASES["line"])
    straight = separations(put(tmp_path / "a.pdf", drawing=drawing), "254")
    turned = separations(put(tmp_path / "b.pdf", drawing=drawing, turned=180.0), "254")
    for ink in INKS:
        one, other = straight[ink][::-1, ::-1].astype(int), turned[ink].astype(int)
        inner = minimum_filter(one, 5) > 0
        assert np.abs(one - other)[inner].max(initial=0) <= 3


def test_a_gradient_is_stored_once_and_files_open_cleanly(tmp_path: Path) -> None:
    drawing = drawn(CASES["line-reflected"])
    statics = Statics({"art": marks(drawing)})
    path = tmp_path / "twice.pdf"
    both = page(Ref(COLOUR, "art"), at=Placement(20, 20, 0)).placements
    more = page(Ref(COLOUR, "art"), at=Placement(30, 30, 0)).placements
    content = page().at(both + more)
    write(path, content, bed=make_bed(SIDE, SIDE), layout=make_layout(SIDE, SIDE), statics=statics)
    with pikepdf.open(path) as pdf:
        objects = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary)]
        assert sum("/ShadingType" in o for o in objects) == 1
    judge("qpdf", "--check", path)
    said = judge("pdftoppm", "-r", "50", "-png", path, tmp_path / "seen")
    assert not said.strip()


def test_pictures_for_eyes_show_gradients(tmp_path: Path) -> None:
    """Red at the left, blue at the right, as the drawing has it."""
    layout = make_layout(SIDE, SIDE)
    drawing = drawn(CASES["line"])
    target = tmp_path / "look.pdf"
    content = page(Ref(COLOUR, "art"), at=Placement(20, 20, 0))
    write_look_file(
        target, bed=make_bed(SIDE, SIDE), layout=layout, pages=[content],
        statics=Statics({"art": marks(drawing)}), book=BOOK, pictures=no_pictures,
        substrate=lambda item: "#ffffff", outline=(("re", 0.0, 0.0, SIDE, SIDE),),
    )  # fmt: skip
    pixels = np.asarray(pypdfium2.PdfDocument(target)[0].render(scale=4).to_pil().convert("RGB"))
    middle = pixels.shape[0] * 45 // 100
    left, right = pixels[middle, pixels.shape[1] // 8], pixels[middle, pixels.shape[1] * 7 // 8]
    assert left[0] > left[2] + 60 and right[2] > right[0] + 20
