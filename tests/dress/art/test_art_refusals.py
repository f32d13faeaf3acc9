"""What an SVG may not hold, and the exact line that says so.

The list of features is that of SVG 1.1 and SVG 2; that they cannot be solid, opaque ink
follows from the project's own rule that marks carry no transparency.
"""

from __future__ import annotations

import pytest

from vardata.dress import svg
from vardata.problems import JobError, Severity
from vardata.svg.values import Matrix

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">\n'
RECT = '<rect id="r" width="9" height="9" '
AT = 'crest.svg:2, <rect id="r">: '
SOLID = "use one solid, opaque colour"
MEND = "mend the shape, or draw it again"
LINE = "draw the line plain, or turn it into a filled path"
OUT = "take it out of the drawing"
ATTRIBUTES = "save the drawing with its styles as attributes"

SEE_THROUGH = {
    '<g id="x" opacity="0.5"><rect width="9" height="9"/></g>':
        'crest.svg:2, <g id="x">: opacity 0.5 cannot be printed as one solid ink; '
        "mix the colours by hand and set the opacity to 1",
    RECT + 'style="opacity:30%"/>':
        AT + "opacity 0.3 cannot be printed as one solid ink; "
        "mix the colours by hand and set the opacity to 1",
    RECT + 'fill-opacity=".3"/>':
        AT + "fill-opacity 0.3 cannot be printed as one solid ink; "
        "mix the colour by hand and set the opacity to 1",
    RECT + 'stroke="red" stroke-opacity="50%"/>':
        AT + "stroke-opacity 0.5 cannot be printed as one solid ink; "
        "mix the colour by hand and set the opacity to 1",
    RECT + 'fill="#12345678"/>': AT + f"fill: the colour '#12345678' is see-through; {SOLID}",
    RECT + 'stroke="rgba(1,2,3,.5)"/>':
        AT + f"stroke: the colour 'rgba(1,2,3,.5)' is see-through; {SOLID}",
    RECT + 'opacity="half"/>':
        AT + "opacity: 'half' is neither a number nor a percentage; set the opacity to 1",
}  # fmt: skip

PAINTS = {
    '<radialGradient id="g"><stop stop-opacity=".5"/></radialGradient>' + RECT + 'fill="url(#g)"/>':
        AT + f"fill: the gradient is see-through; {SOLID}",
    '<pattern id="p"/>' + RECT + 'fill="url(#p)"/>':
        AT + f"fill: the paint '#p' is a pattern; {SOLID}",
    RECT + 'fill="url(#none)"/>': AT + f"fill: the paint '#none' is not in the drawing; {SOLID}",
    RECT + 'fill="url(other.svg#a)"/>':
        AT + f"fill: the paint 'other.svg#a' lies in another file; {SOLID}",
    RECT + 'fill="purpel"/>': AT + f"fill: 'purpel' is not a colour; {SOLID}",
    RECT + 'fill="lab(50 10 10)"/>': AT + f"fill: the colour 'lab(50 10 10)' is not RGB; {SOLID}",
    RECT + 'fill="red icc-color(a, 1)"/>':
        AT + f"fill: the colour 'red icc-color(a, 1)' names a colour profile; {SOLID}",
    RECT + 'fill="device-cmyk(0 1 1)"/>':
        AT + f"fill: 'device-cmyk(0 1 1)' does not have four inks; {SOLID}",
    RECT + 'stroke="context-fill"/>':
        AT + f"stroke: the paint 'context-fill' depends on another element; {SOLID}",
}  # fmt: skip

TWO = '<stop stop-color="red"/><stop offset="1" stop-color="blue"/>'
FILLED = RECT + 'fill="url(#g)"/>'


def line_of(attributes: str, shape: str = FILLED) -> str:
    return f'<linearGradient id="g" {attributes}>{TWO}</linearGradient>{shape}'


def circles_of(attributes: str) -> str:
    return f'<radialGradient id="g" {attributes}>{TWO}</radialGradient>{FILLED}'


GRADIENTS = {
    circles_of('fx="1.5"'): "fill: the gradient's focus lies outside its circle",
    circles_of('fx="1"'): "fill: the gradient's focus lies outside its circle",
    circles_of('fr="50%"'): "fill: the gradient's focus lies outside its circle",
    circles_of('r="-1"'): "fill: the gradient's radius is negative",
    circles_of('r="wide"'): "fill: the gradient's r: 'wide' is not a length",
    circles_of('fr=".1" spreadMethod="repeat"'):
        "fill: the gradient repeats into its inner circle",
    circles_of('r=".0005" spreadMethod="repeat"'):
        "fill: the gradient repeats more than 500 times",
    line_of('spreadMethod="mirror"'):
        "fill: the gradient's spreadMethod 'mirror' is not one of pad, reflect, repeat",
    line_of('gradientUnits="page"'): "fill: the gradient's gradientUnits 'page' is not one of "
        "objectBoundingBox, userSpaceOnUse",
    line_of('gradientTransform="turn(9)"'):
        "fill: gradientTransform: 'turn(9)' is not a transform",
    line_of('gradientTransform="scale(0 1)"'): "fill: the gradient's transform flattens it",
    line_of('x2="0.001" spreadMethod="reflect"'):
        "fill: the gradient repeats more than 500 times",
    line_of('color-interpolation="linearRGB"'):
        "fill: the gradient mixes its colours in linear light",
    line_of('style="color-interpolation:linearRGB"'):
        "fill: the gradient mixes its colours in linear light",
    line_of("", '<path id="r" fill="none" d="M1 1H9" stroke="url(#g)"/>'):
        "stroke: the gradient is scaled to a line that has no width or no height",
    '<linearGradient id="g" href="other.svg#g"/>' + FILLED:
        "fill: the gradient takes from 'other.svg#g', another file",
    '<linearGradient id="g" href="#r"/>' + FILLED:
        "fill: the gradient takes from '#r', which is no gradient",
    '<linearGradient id="g" href="#g"/>' + FILLED:
        "fill: the gradient takes from itself, or from more than 10 others",
    '<linearGradient id="g"><stop stop-color="rgba(1,2,3,.5)"/><stop/></linearGradient>' + FILLED:
        "fill: the gradient is see-through",
}  # fmt: skip

def told(whats: dict[str, str]) -> dict[str, str]:
    """Each with the place and the remedy that all of them have."""
    path = AT.replace("rect", "path")
    places = {body: path if "<path" in body else AT for body in whats}
    return {body: f"{places[body]}{what}; {SOLID}" for body, what in whats.items()}


EFFECTS = {
    RECT + 'mask="url(#m)"/>':
        AT + "mask: 'url(#m)' cannot be printed; cut the shape itself, or save the art as PNG",
    RECT + 'filter="url(#f)"/>':
        AT + "filter: 'url(#f)' cannot be printed; remove the effect, or save the art as PNG",
    RECT + 'style="mix-blend-mode:multiply"/>':
        AT + "mix-blend-mode: 'multiply' cannot be printed; "
        "use solid colours only, or save the art as PNG",
    '<style>#r { filter: blur(2px) }</style>' + RECT + "/>":
        AT + "filter: 'blur(2px)' cannot be printed; remove the effect, or save the art as PNG",
    RECT + 'vector-effect="non-scaling-stroke"/>':
        AT + "vector-effect: 'non-scaling-stroke' cannot be printed; "
        "give the stroke its real width",
    '<g id="g" marker-end="url(#m)"><path id="p" d="M0 0 9 9"/></g>':
        'crest.svg:2, <path id="p">: the marker \'url(#m)\' cannot be printed; '
        "turn the markers into shapes",
    RECT + 'style="background:#fff"/>':
        AT + "background: '#fff' cannot be printed; draw the ground as a rectangle",
    RECT + 'style="animation: spin 2s"/>': AT + f"animation: 'spin 2s' cannot be printed; {OUT}",
    RECT + 'clip-path="url(#none)"/>':
        AT + "clip-path 'url(#none)' is no clip path of the drawing; cut the shape itself",
    RECT + 'style="clip-path:inset(1px)"/>':
        AT + "clip-path 'inset(1px)' is no clip path of the drawing; cut the shape itself",
    '<clipPath id="c" clipPathUnits="objectBoundingBox"/>' + RECT + 'clip-path="url(#c)"/>':
        AT + "the clip path '#c' is scaled to what it cuts; cut the shape itself",
    '<clipPath id="c"><g id="g"/></clipPath>' + RECT + 'clip-path="url(#c)"/>':
        'crest.svg:2, <g id="g">: a clip path may hold shapes only; ungroup what is in it',
}  # fmt: skip

ELEMENTS = {
    '<text id="motto">Run</text>':
        'crest.svg:2, <text id="motto">: text would need its font; '
        "convert the text to outlines (paths) in the drawing program",
    '<foreignObject/>': "crest.svg:2, <foreignObject>: it holds what is not SVG; "
        "draw it with shapes",
    "<script>1</script>": f"crest.svg:2, <script>: a program cannot be printed; {OUT}",
    '<rect width="9" height="9"><animate to="9"/></rect>':
        f"crest.svg:2, <animate>: it moves; {OUT}",
    '<g><set class="a"/></g>': f'crest.svg:2, <set class="a">: it moves; {OUT}',
    "<blob/>": f"crest.svg:2, <blob>: the element is not known; {OUT}",
    '<g id="x" systemLanguage="de"><path/></g>':
        'crest.svg:2, <g id="x">: it is drawn for readers of one language only; '
        "remove systemLanguage",
    '<use href="other.svg#a"/>':
        "crest.svg:2, <use>: it shows another file ('other.svg#a'); put a copy into the drawing",
    '<use href="#gone"/>':
        "crest.svg:2, <use>: it shows nothing ('#gone'); put a copy into the drawing",
    '<g id="a"><use href="#a"/></g>': f"crest.svg:2, <use>: it shows itself ('#a'); {OUT}",
    '<image href="photo.png" width="9" height="9"/>':
        "crest.svg:2, <image>: the picture 'photo.png' lies outside the drawing; "
        "hold the picture inside the drawing, or place it as art of its own",
    '<image href="data:image/gif;base64,AAAA"/>':
        "crest.svg:2, <image>: the picture is neither PNG nor JPEG; "
        "hold the picture inside the drawing, or place it as art of its own",
    '<image href="data:image/png;base64,@@" width="9"/>':
        "crest.svg:2, <image>: the picture's data is damaged; "
        "hold the picture inside the drawing, or place it as art of its own",
    '<image href="data:image/png;base64,AAAA" width="9"/>':
        "crest.svg:2, <image>: the file is none of PNG, JPEG, TIFF, WebP and HEIF; "
        "save it again as PNG or JPEG",
}  # fmt: skip

STYLES = {
    RECT + 'style="fil:red"/>': AT + f"the property 'fil' is not known; {OUT}",
    RECT + 'style="fill:var(--club)"/>':
        AT + "fill: 'var(--club)' uses a variable; write the value itself",
    RECT + 'style="fill:revert"/>':
        AT + "fill: 'revert' depends on the reader; write the value itself",
    RECT + 'style="width:5px"/>':
        AT + "width is written as a style; write it as an attribute of the element",
    RECT + 'style="transform:scale(2)"/>':
        AT + "transform: 'scale(2)' cannot be printed; write it as an attribute of the element",
    RECT + 'style="fill red"/>': AT + 'a style cannot be read; write it like style="fill:#c00"',
    "<style>@import url(x.css);</style>":
        f"crest.svg:2, <style>: the style rule @import depends on the reader; {ATTRIBUTES}",
    "<style>\n\n@media print { rect { fill: red } }</style>":
        f"crest.svg:4, <style>: the style rule @media depends on the reader; {ATTRIBUTES}",
    "<style>rect! { fill: red }</style>":
        f"crest.svg:2, <style>: the style rule for 'rect!' is not understood; {ATTRIBUTES}",
    '<style media="(min-width:9px)">rect{}</style>':
        "crest.svg:2, <style>: the style sheet is for the medium '(min-width:9px)' only; "
        "remove media=",
}  # fmt: skip

SLIPS = {
    RECT + 'transform="rotate(3deg)"/>':
        AT + "transform: 'deg' is not a number; mend the transform attribute",
    RECT + 'transform="spin(3)"/>':
        AT + "transform: 'spin(3)' is not a transform; mend the transform attribute",
    RECT + 'transform="rotate(1 2)"/>':
        AT + "transform: 'rotate(1 2)' has 2 numbers; mend the transform attribute",
    RECT + 'transform="rotate(3)" transform-origin="center"/>':
        AT + "transform-origin: 'center' cannot be printed; "
        "write the centre into the transform attribute",
    '<rect id="r" width="3em" height="2"/>': AT + f"width: the unit 'em' has no fixed size; {MEND}",
    '<rect id="r" width="-3" height="2"/>': AT + f"width '-3' is negative; {MEND}",
    '<rect id="r" width="wide" height="2"/>': AT + f"width: 'wide' is not a length; {MEND}",
    '<path d="M0 0 L5"/>':
        "crest.svg:2, <path>: the path breaks off at character 8, its end: "
        f"L takes 2 numbers; {MEND}",
    '<path d="M0 0 X 5"/>':
        f"crest.svg:2, <path>: the path breaks off at character 6, 'X 5'; {MEND}",
    '<path d="L5 5"/>': f"crest.svg:2, <path>: the path does not begin with M; {MEND}",
    '<path d="M0 0, L5 5"/>':
        f"crest.svg:2, <path>: the path has a comma at character 6 and no number after it; {MEND}",
    '<path d="M0 0 L1e99 5"/>': f"crest.svg:2, <path>: the number 1e+99 is too large; {MEND}",
    '<polygon points="1 2 3"/>': f"crest.svg:2, <polygon>: points: the last point has no y; {MEND}",
    RECT + 'stroke="red" stroke-linejoin="arcs"/>':
        AT + f"stroke: stroke-linejoin 'arcs' is not one of miter, round, bevel; {LINE}",
    RECT + 'stroke="red" stroke-dasharray="3 -1"/>':
        AT + f"stroke: stroke-dasharray '3 -1' has a negative part; {LINE}",
    RECT + 'stroke="red" stroke-dasharray="0.00001"/>':
        AT + "the line has more than 20,000 dashes; draw the dashes as shapes",
    RECT + 'stroke="red" stroke-width="-1"/>':
        AT + f"stroke: stroke-width '-1' is negative; {LINE}",
    '<path id="p" d="M0 0H9" pathLength="3" stroke="red" stroke-dasharray="1"/>':
        'crest.svg:2, <path id="p">: pathLength scales the dashes; write the real dash lengths',
    RECT + 'fill-rule="odd"/>': AT + "fill-rule 'odd' is not one of nonzero, evenodd; mend it",
}  # fmt: skip

ALL = SEE_THROUGH | PAINTS | told(GRADIENTS) | EFFECTS | ELEMENTS | STYLES | SLIPS


def refused(text: str) -> JobError:
    with pytest.raises(JobError) as caught:
        svg.parts(svg.read(text.encode(), "crest.svg"), Matrix())
    return caught.value


@pytest.mark.parametrize("body", ALL, ids=range(len(ALL)))
def test_is_refused_by_element(body: str) -> None:
    error = refused(HEAD + body + "\n</svg>")
    assert str(error) == ALL[body]
    assert all(problem.severity is Severity.ERROR for problem in error.problems)
    assert {problem.kind for problem in error.problems} <= {
        "svg-unsupported", "svg-broken", "picture-unreadable"
    }  # fmt: skip


def test_every_fault_is_told_at_once_with_its_line() -> None:
    body = '<g opacity=".5">\n<text>a</text>\n<rect width="9" height="9" fill="nope"/></g>\n'
    lines = str(refused(HEAD + body + "</svg>")).splitlines()
    assert [line.split(":")[1].split(",")[0] for line in lines] == ["2", "3", "4"]


def test_a_long_list_is_cut_and_counted() -> None:
    body = "".join(f'<text id="t{i}">a</text>\n' for i in range(25))
    problems = refused(HEAD + body + "</svg>").problems
    assert len(problems) == 21
    assert str(problems[-1]) == (
        "crest.svg: 5 more things in the drawing cannot be printed; "
        "mend the first ones and check again"
    )


def test_what_is_not_drawn_is_not_refused() -> None:
    """SVG 1.1, 11.5: display none; 5.8: conditions; 14.2: definitions draw nothing."""
    body = """
      <g display="none"><text>a</text></g>
      <g opacity="0"><rect width="9" height="9" filter="url(#f)"/></g>
      <text style="display:none">a</text><text>   </text>
      <defs><filter id="f"/><mask id="m"/><g opacity=".5"/><linearGradient id="g"/></defs>
      <switch><foreignObject requiredExtensions="urn:x"/><g/></switch>
      <rect width="9" height="9" fill="#00ff0080" fill-opacity="0"/>
      <line x2="9" fill="url(#gone)"/>
      <rect width="9" height="9" style="filter:none;mask:none;mix-blend-mode:normal"/>
      <rect width="9" height="9" style="-inkscape-stroke:x;--a:b;isolation:isolate;font:x"/>
    """
    art = svg.read((HEAD + body + "</svg>").encode(), "crest.svg")
    assert len(svg.parts(art, Matrix())) == 2


HEADS = {
    b"": "crest.svg:1: this is not well-formed XML",
    b"<html/>": "crest.svg:1: this is not an SVG: it begins with '<html>'; "
    "save the drawing as plain SVG",
    b'<svg viewBox="0 0 9 9"/>': "crest.svg:1: the <svg> element does not say that it is SVG; "
    'add xmlns="http://www.w3.org/2000/svg" to it',
    b'<svg xmlns="http://www.w3.org/2000/svg"/>': "crest.svg:1, <svg>: the drawing does not say "
    'how large it is; write width, height and viewBox="0 0 w h"',
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100%" height="100%"/>': "crest.svg:1, <svg>: "
    'the drawing does not say how large it is; write width, height and viewBox="0 0 w h"',
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9"/>': "crest.svg:1, <svg>: "
    "'0 0 9' is not x, y, width and height; write width, height and viewBox=\"0 0 w h\"",
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9" transform="scale(2)"/>':
    "crest.svg:1, <svg>: the whole drawing has a transform; put it on a group",
    b"\x1f\x8b\x08": "crest.svg: the file is a compressed SVG; save it as plain SVG",
}  # fmt: skip


@pytest.mark.parametrize("data", HEADS, ids=range(len(HEADS)))
def test_no_svg_at_all(data: bytes) -> None:
    with pytest.raises(JobError) as caught:
        svg.read(data, "crest.svg")
    assert str(caught.value).startswith(HEADS[data])
    assert "\n" not in str(caught.value)
