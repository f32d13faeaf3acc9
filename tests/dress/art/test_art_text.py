"""Text of SVG art in fonts that ship: set as resvg sets it, with the same font files."""

from __future__ import annotations

import io

import numpy as np
import pytest
import resvg_py
from art_judges import ours, strays
from PIL import Image

from vardata.dress import svg
from vardata.job.shipped import fonts
from vardata.problems import JobError
from vardata.svg.values import Matrix

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100">\n'
SANS = 'font-family="Noto Sans" '
DRAWN = {
    "plain": f'<text x="10" y="40" {SANS}font-size="24">Fernhollow</text>',
    "bold": f'<text x="10" y="60" {SANS}font-weight="bold" font-size="30">Libraries</text>',
    "serif": '<text x="10" y="60" style="font-family:\'Noto Serif\';font-size:28px">Affinity'
    "</text>",
    "script": '<text x="10" y="60" font-family="Dancing Script" font-size="34">Hollow</text>',
    "mono": '<text x="10" y="60" font-family="Noto Sans Mono" font-size="20">00 42 7A</text>',
    "kerning": f'<text x="10" y="60" {SANS}font-size="34">AVATo Wy</text>',
    "middle": f'<text x="100" y="60" {SANS}font-size="24" text-anchor="middle">Reading</text>',
    "end": f'<text x="190" y="60" {SANS}font-size="24" text-anchor="end">Reading</text>',
    "lines": f'<text {SANS}font-size="20"><tspan x="10" y="30">First line</tspan>'
    '<tspan x="20" y="70" fill="#a03020">second</tspan></text>',
    "inherited": f'<g {SANS}font-size="22" fill="#204080"><text x="9" y="50">Rooms '
    '<tspan font-weight="700" fill="#802020">4</tspan> and <tspan>5</tspan></text></g>',
    "transformed": f'<text transform="rotate(-12 20 60) scale(1.1 .9)" x="20" y="60" {SANS}'
    'font-size="26">Turned</text>',
    "stroked": f'<text x="10" y="65" {SANS}font-size="48" fill="none" stroke="#205030" '
    'stroke-width="2">Oak</text>',
    "styled": "<style>.t { font-family: \"Noto Sans\"; font-size: 26px; fill: #512 }</style>"
    '<text class="t" x="10" y="50">Accents: éÅ</text>',
    "blended": '<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="10" x2="120">'
    '<stop stop-color="#012"/><stop offset="1" stop-color="#012"/></linearGradient>'
    f'<text x="10" y="60" {SANS}font-size="34" fill="url(#g)">Blend</text>',
    "spaces": f'<text x="10" y="50" {SANS}font-size="22">  Two\n   words  </text>',
    "used": f'<defs><text id="t" x="5" y="30" {SANS}font-size="20">Twice</text></defs>'
    '<use href="#t"/><use href="#t" x="80" y="40"/>',
    "thai": '<text x="10" y="60" font-family="Noto Sans Thai" font-size="30">ห้องสมุด</text>',
}


def judged(text: str) -> np.ndarray:
    data = resvg_py.svg_to_bytes(
        svg_string=text, width=400, background="#ffffff", skip_system_fonts=True, dpi=96,
        font_files=[str(path) for path in fonts().values()],
    )  # fmt: skip
    return np.asarray(Image.open(io.BytesIO(bytes(data))).convert("RGB")).astype(np.int16)


@pytest.mark.parametrize("name", DRAWN)
def test_letters_stand_where_resvg_sets_them(name: str) -> None:
    text = f"{HEAD}{DRAWN[name]}</svg>"
    judge = judged(text)
    assert judge.min() < 160, "the judge must have set something"
    assert strays(ours(text, (judge.shape[1], judge.shape[0])), judge) <= 50


def test_letters_cut_as_a_clip_path_does() -> None:
    text = (
        f'{HEAD}<clipPath id="c"><text x="10" y="70" {SANS}font-size="60">Ink</text></clipPath>'
        '<rect width="200" height="100" fill="#206090" clip-path="url(#c)"/></svg>'
    )
    judge = judged(text)
    assert strays(ours(text, (judge.shape[1], judge.shape[0])), judge) <= 50


OUT = "convert the text to outlines (paths) in the drawing program"
SHIPS = f'set it in a font that ships, such as "Noto Sans", or {OUT}'
REFUSED = {
    'font-family="Arial"': f"text would need the font 'Arial'; {SHIPS}",
    'font-family="Noto Serif" font-weight="bold"':
        f"text would need the font 'Noto Serif' in the weight bold; {SHIPS}",
    SANS + 'font-weight="300"':
        f"text would need the font 'Noto Sans' in the weight 300; {SHIPS}",
    SANS + 'font-style="italic"': f"font-style 'italic' is not set here; {OUT}",
    SANS + 'letter-spacing="2"': f"letter-spacing '2' is not set here; {OUT}",
    SANS + 'style="text-decoration:underline"':
        f"text-decoration 'underline' is not set here; {OUT}",
    SANS + 'style="font:12px Arial"': f"font '12px arial' is not set here; {OUT}",
    SANS + 'dx="1 2"': f"dx moves single letters; {OUT}",
    SANS + 'x="1 2 3"': f"x places letters one by one; {OUT}",
    SANS + 'x="10%"': f"x is a share of the drawing; {OUT}",
    SANS + 'font-size="2em"': f"the unit 'em' has no fixed size; {OUT}",
    SANS + 'font-size="80%"': f"font-size '80%' is no size of its own; {OUT}",
    SANS + 'text-anchor="left"': f"text-anchor 'left' is not one of start, middle, end; {OUT}",
    "": f"text would need its font; {OUT}",
}  # fmt: skip


def refusal(body: str) -> str:
    with pytest.raises(JobError) as caught:
        svg.parts(svg.read(f"{HEAD}{body}</svg>".encode(), "crest.svg"), Matrix())
    return str(caught.value)


@pytest.mark.parametrize("attributes", REFUSED)
def test_what_is_set_otherwise_elsewhere_is_refused(attributes: str) -> None:
    said = refusal(f'<text id="motto" {attributes}>Ask</text>')
    assert said == f'crest.svg:2, <text id="motto">: {REFUSED[attributes]}'


@pytest.mark.parametrize(("body", "line"), [
    (f"<text {SANS}>\u4e16</text>", f"the font NotoSans-Regular has no '\u4e16'; {OUT}"),
    (f"<text {SANS}>\u05d0\u05d1</text>", f"'\u05d0\u05d1' runs from right to left; {OUT}"),
    (f'<text {SANS}><textPath href="#p">way</textPath></text>',
     f"<textPath> in a text cannot be set; {OUT}"),
    (f'<linearGradient id="g"><stop stop-color="red"/><stop offset="1"/></linearGradient>'
     f'<text {SANS}fill="url(#g)">Ask</text>',
     'the gradient is scaled to the box of a text; write gradientUnits="userSpaceOnUse"'),
])  # fmt: skip
def test_letters_that_cannot_be_set_are_refused(body: str, line: str) -> None:
    assert refusal(body) == f"crest.svg:2, <text>: {line}"


def test_a_text_without_letters_is_nothing() -> None:
    read = svg.read(f'{HEAD}<text x="1"> </text></svg>'.encode(), "crest.svg")
    assert svg.parts(read, Matrix()) == ()
