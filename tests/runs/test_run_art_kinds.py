"""Every kind of art on both surfaces: each plate the same with and without the others.

The art is made here by other people's programs. Ghostscript separates: our own art to the
pixel, a placed page with transparency within one level.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw
from reportlab.lib.colors import CMYKColor
from reportlab.pdfgen.canvas import Canvas
from run_kit import AT, DONE, Run, Shared, build
from run_pages import PROCESS, Pixels, layers_off, layers_only, part, plates

DPI = "300"
KINDS = ("svg", "pdf", "eps", "png", "jpg", "tif", "webp", "heic")
INKS = {"Colour": PROCESS, "White": ("White",), "Gloss": ("Gloss",)}
BOX = (18.0, 18.0)
FILES = {
    "job.toml": 'name = "kinds"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "glass"\n[sheet]\nfile = "rows.csv"\n[columns]\nn = "N"\n'
    '[blanks.glass]\nsurface = "clear"\n',
    "j.toml": 'name = "one"\n[[slots]]\nname = "A1"\nx = 44\ny = 24\n',
    "b.toml": 'name = "b"\nwidth = 88.9\nheight = 50.8\n[modes.m]\ndpi = [1200, 1200]\n',
    "rows.csv": "N\n1\n",
}
SVG = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10">
<path d="M1 1H9V9H1Z M3 3V7H7V3Z" fill="#0b5d5a" fill-rule="evenodd"/>
<radialGradient id="g"><stop stop-color="#f1c40f"/><stop offset="1" stop-color="#1a5276"/>
</radialGradient><path d="M4 4H6V6H4Z" fill="url(#g)"/>
<circle cx="5" cy="5" r="1.5" fill="none" stroke="#c0392b" stroke-width=".5"/></svg>"""
EPS = b"""%!PS-Adobe-3.0 EPSF-3.0
%%BoundingBox: 0 0 72 72
0 1 0 0 setcmykcolor 8 8 56 30 rectfill 1 0 0 0 setcmykcolor 8 40 56 24 rectfill
showpage
"""


def drawn(mode: str = "RGBA") -> Image.Image:
    image = Image.new("RGBA", (240, 240), (0, 0, 0, 0))
    draw = ImageDraw.Draw(image)
    draw.ellipse((10, 10, 230, 230), fill=(200, 90, 20, 255))
    draw.rectangle((80, 80, 160, 160), fill=(20, 90, 160, 255))
    if mode == "RGBA":
        return image
    flat = Image.new("RGB", image.size, "white")
    flat.paste(image, mask=image.getchannel("A"))
    return flat.convert(mode)


def page(path: Path) -> None:
    canvas = Canvas(str(path), pagesize=(72, 72), invariant=1)
    canvas.setFillColor(CMYKColor(0, 0.8, 0.2, 0))
    canvas.rect(6, 6, 40, 40, stroke=0, fill=1)
    canvas.setFillColor(CMYKColor(0.9, 0, 0, 0))
    canvas.setFillAlpha(0.6)
    canvas.circle(44, 44, 22, stroke=0, fill=1)
    canvas.showPage()
    canvas.save()


def home_with(place: Path, surface: str, pages: str) -> Path:
    import pillow_heif

    home = place / "job"
    home.mkdir()
    for name, text in FILES.items():
        (home / name).write_text(text, encoding="utf-8")
    (home / "a.svg").write_text(SVG, encoding="utf-8")
    (home / "a.eps").write_bytes(EPS)
    page(home / "a.pdf")
    drawn().save(home / "a.png")
    drawn("RGB").save(home / "a.jpg", quality=90)
    drawn("CMYK").save(home / "a.tif")
    drawn().save(home / "a.webp", lossless=True)
    pillow_heif.from_pillow(drawn("RGB")).save(home / "a.heic")
    layout = [
        'name = "glass"\nwidth = 80\nheight = 40\n' f'surface = "{surface}"\n',
        '[[plates]]\nname = "Colour"\nrole = "colour"\n',
        '[[plates]]\nname = "White"\nrole = "white"\ncover = "art"\nchoke = 0.1\n',
        '[[plates]]\nname = "Gloss"\nrole = "gloss"\ncover = "art"\n',
    ]
    for n, kind in enumerate(KINDS):
        x, y = 1 + (n % 4) * 20, 1 + (n // 4) * 20
        layout.append(f'[[art]]\nfile = "a.{kind}"\nbox = [{x}, {y}, 18, 18]\n')
    (home / "l.toml").write_text("\n".join(layout), encoding="utf-8")
    with (home / "job.toml").open("a", encoding="utf-8") as file:
        file.write(f'[output]\npages = "{pages}"\n')
    return home


def made(shared: Shared, surface: str, pages: str) -> Run:
    return shared.run(
        f"kinds-{surface}-{pages}",
        lambda place: build(home_with(place, surface, pages), place / "run", "--at", AT),
    )


@pytest.fixture(params=["first", "second"])
def surface(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def near(one: Pixels, other: Pixels, ink: str) -> None:
    assert one.any(), f"{ink} is blank: nothing is compared"
    assert np.abs(one.astype(int) - other).max() <= 1, ink


@pytest.mark.parametrize("layer", INKS)
def test_a_plate_does_not_depend_on_the_others(shared: Shared, surface: str, layer: str) -> None:
    """Layers off, content cut out, and on a page of its own."""
    run, apart = made(shared, surface, "together"), made(shared, surface, "apart")
    assert run.code == apart.code == DONE, (run.stderr, apart.stderr)
    path = run.bed_file(1)
    together = plates(path, 1, DPI)
    others = INKS.keys() - {layer}
    own = apart.on_bed(1)[0]["pages"][layer]
    ways = {
        "cut out": plates(layers_only(path, (layer,)), 1, DPI),
        "off": plates(layers_off(path, others), 1, DPI),
        "apart": plates(apart.bed_file(1), own, DPI),
    }
    for alone in ways.values():
        for ink in INKS[layer]:
            near(together[ink], alone[ink], ink)
        for other in others:
            assert not any(alone[ink].any() for ink in INKS[other])


@pytest.mark.parametrize("n", range(len(KINDS)), ids=KINDS)
def test_each_kind_has_colour_white_and_gloss(shared: Shared, surface: str, n: int) -> None:
    """White is the gloss of the same art drawn in by the choke: less, and within it."""
    run = made(shared, surface, "together")
    found = plates(run.bed_file(1), 1, DPI)
    (slot,) = run.on_bed(1)
    x, y = 1 + (n % 4) * 20.0, 1 + (n // 4) * 20.0
    if surface == "second":
        x = 80 - x - BOX[0]
    box = (slot["box_mm"][0] + x, slot["box_mm"][1] + y, *BOX)
    dpi = (float(DPI), float(DPI))
    colour = sum(part(found[ink], box, dpi, grow=1.0).astype(int) for ink in PROCESS) > 0
    white, gloss = (part(found[ink], box, dpi, grow=1.0) > 0 for ink in ("White", "Gloss"))
    assert colour.any() and white.any()
    assert white.sum() < gloss.sum()
    assert (white & ~gloss).sum() == 0
    assert (colour & gloss).sum() > 0.96 * colour.sum()
