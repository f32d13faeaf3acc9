"""Soft edges on the bed: white in tints, as Ghostscript separates it, pixel by pixel.

The picture has 254 pixels an inch and lies on whole pixels of a separation at 254 dpi, so each
pixel of the plate is one of the picture. Wanted levels are scipy's.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from reportlab.lib.colors import CMYKColor
from reportlab.pdfgen.canvas import Canvas
from run_kit import AT, DONE, Run, build, call
from run_pages import PROCESS, Pixels, layers_off, layers_only, plates
from scipy import ndimage

SIDE = 100  # pixels, at 10 mm
CHOKE = 4  # pixels, at 0.4 mm
FILES = {
    "job.toml": 'name = "glow"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "w"\n[sheet]\nfile = "rows.csv"\n[columns]\nphoto = "Photo"\n'
    '[blanks.w]\nsurface = "dark"\n',
    "j.toml": 'name = "j"\n[[slots]]\nname = "A1"\nx = 20\ny = 10\n',
    "b.toml": 'name = "b"\nwidth = 40\nheight = 20\n[modes.m]\ndpi = [508, 508]\n',
    "rows.csv": "Photo\nglow.png\n",
}
LAYOUT = (
    'name = "l"\nwidth = 40\nheight = 20\n[[plates]]\nname = "Colour"\nrole = "colour"\n'
    '[[plates]]\nname = "White"\nrole = "white"\ncover = "art"\nchoke = 0.4\ndensity = 80\n'
    '[[plates]]\nname = "Gloss"\nrole = "gloss"\ncover = "art"\n'
)
BOX = "box = [10, 5, 10, 10]\n"
PLACE = {
    "art": '[[art]]\nfile = "glow.png"\n' + BOX + 'soft_edges = "fade"\n',
    "field": '[[fields]]\ntype = "picture"\nname = "face"\nfile = "{{ photo }}"\n' + BOX
    + 'soft_edges = "fade"\n',
}


def glow() -> Image.Image:
    y, x = np.mgrid[:SIDE, :SIDE]
    alpha = np.clip(330 - np.hypot(x - 44.5, y - 54.5) * 7, 0, 255).astype(np.uint8)
    alpha[60:75, 10:90] = 140
    # In greys, which print with black alone: what RGB becomes is a renderer's own choice.
    return Image.merge("LA", (Image.new("L", (SIDE, SIDE), 0), Image.fromarray(alpha)))


def home_with(place: Path, text: str, ground: str = "") -> Path:
    home = place / "job"
    home.mkdir()
    for name, content in FILES.items():
        (home / name).write_text(content + (ground if name == "j.toml" else ""), encoding="utf-8")
    (home / "l.toml").write_text(LAYOUT + text, encoding="utf-8")
    glow().save(home / "glow.png")
    return home


def made(place: Path, text: str, ground: str = "") -> Run:
    home = home_with(place, text, ground)
    run = build(home, place / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    return run


def shown(run: Run, ink: str) -> Pixels:
    """The plate where the picture lies: 10 to 20 mm across, 5 to 15 mm up."""
    return plates(run.bed_file(1), 1, "254")[ink][50:150, 100:200]


def eroded(alpha: Pixels) -> Pixels:
    y, x = np.mgrid[-CHOKE : CHOKE + 1, -CHOKE : CHOKE + 1]
    found: Pixels = ndimage.grey_erosion(
        alpha, footprint=np.hypot(x, y) <= CHOKE, mode="constant", cval=0
    )
    return found


@pytest.mark.parametrize("place", PLACE)
def test_white_is_the_choked_alpha_and_colour_fades_with_it(tmp_path: Path, place: str) -> None:
    run = made(tmp_path, PLACE[place])
    alpha = np.asarray(glow().getchannel("A"))
    white, black = shown(run, "White").astype(float), shown(run, "Black").astype(float)
    assert np.abs(white - eroded(alpha) * 0.8).max() <= 1.01
    assert np.abs(black - np.where(alpha >= 3, alpha, 0)).max() <= 1.01
    assert len(np.unique(white)) > 100


def test_colour_is_whole_where_only_white_is_to_keep_its_levels(tmp_path: Path) -> None:
    run = made(tmp_path, PLACE["art"].replace("fade", "tint"))
    alpha = np.asarray(glow().getchannel("A"))
    assert np.abs(shown(run, "White") - eroded(alpha) * 0.8).max() <= 1.01
    assert (shown(run, "Black") == np.where(alpha >= 3, 255, 0)).all()


def test_white_of_the_bed_itself_fades_too(tmp_path: Path) -> None:
    ground = (
        '[[background]]\nfile = "glow.png"\nplates = ["Colour", "White"]\nunder_items = true\n'
        + BOX + 'soft_edges = "tint"\n'
    )
    run = made(tmp_path, "", ground)
    alpha = np.asarray(glow().getchannel("A"))
    assert np.abs(shown(run, "White") - eroded(alpha) * 0.8).max() <= 1.01


@pytest.mark.parametrize("place", PLACE)
def test_plates_do_not_depend_on_each_other(tmp_path: Path, place: str) -> None:
    path = made(tmp_path, PLACE[place]).bed_file(1)
    together = plates(path, 1, "254")
    for layer, inks in {"Colour": PROCESS, "White": ("White",), "Gloss": ("Gloss",)}.items():
        others = {"Colour", "White", "Gloss"} - {layer}
        for alone in (layers_only(path, (layer,)), layers_off(path, others)):
            found = plates(alone, 1, "254")
            for ink in inks:
                assert (found[ink] == together[ink]).all(), (layer, ink)
    assert together["White"].any() and together["Black"].any()


def test_other_white_above_soft_edges_stays_whole(tmp_path: Path) -> None:
    """A panel in colour over the fading picture has its white in full."""
    panel = (
        '[[fields]]\ntype = "shape"\nname = "p"\nshape = "rectangle"\nfill = "magenta"\n'
        "box = [10, 5, 5, 5]\n"
    )
    white = shown(made(tmp_path, PLACE["art"] + panel), "White")
    inner = white[60:90, 10:40]  # 0.4 mm and more within the panel
    assert (inner == 204).all()


def test_white_of_a_text_above_soft_edges_stays_whole(tmp_path: Path) -> None:
    """A letter of 6 mm, its stem 1.6 mm wide, where the picture has faded to nearly nothing."""
    text = (
        '[[fields]]\ntype = "text"\nname = "t"\ntext = "I"\nfont = "NotoSans-Bold"\n'
        'size = "24pt"\nbox = [10, 5, 3, 8]\ncolour = "magenta"\n'
    )
    run = made(tmp_path, PLACE["art"] + text)
    white, magenta = shown(run, "White"), shown(run, "Magenta")
    deep = ndimage.distance_transform_edt(magenta == 255)
    assert deep.max() > 6 and (white[deep > 6] == 204).all()


def test_a_page_keeps_its_own_transparency_and_white_follows_it(tmp_path: Path) -> None:
    """60 % of 255 are 153; the disc of 3.2 mm is choked by 0.4."""
    text = PLACE["art"].replace("glow.png", "page.pdf")
    home = home_with(tmp_path, text)
    canvas = Canvas(str(home / "page.pdf"), pagesize=(72, 72), invariant=1)
    canvas.setFillColor(CMYKColor(1, 0, 0, 0))
    canvas.setFillAlpha(0.6)
    canvas.circle(36, 36, 23.04, stroke=0, fill=1)
    canvas.save()
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    white, cyan = shown(run, "White"), shown(run, "Cyan")
    y, x = np.mgrid[:SIDE, :SIDE]
    away = np.hypot(x - 49.5, y - 49.5)
    assert np.abs(white[away < 26].astype(int) - round(153 * 0.8)).max() <= 2
    assert not white[away > 30].any()
    assert np.abs(cyan[away < 30].astype(int) - 153).max() <= 2


def test_pictures_for_eyes_fade(tmp_path: Path) -> None:
    home = home_with(tmp_path, PLACE["art"])
    code, _, said = call("preview", home / "job.toml", "--out", tmp_path / "p.png", "--plates",
                         "White", "--substrate", "#000000", "--dpi", "254")  # fmt: skip
    assert code == DONE, said
    seen = np.asarray(Image.open(tmp_path / "p.png").convert("L")).astype(int)[50:150, 100:200]
    want = eroded(np.asarray(glow().getchannel("A"))).astype(int)
    low, high = ndimage.minimum_filter(want, 3), ndimage.maximum_filter(want, 3)
    assert ((seen >= low - 8) & (seen <= high + 8)).mean() > 0.99
    assert len(np.unique(seen)) > 60
