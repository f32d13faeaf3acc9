"""Soft edges: levels of white, choked as scipy erodes grey levels, and ink that fades with them."""

from __future__ import annotations

import io
import zlib
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from vardata.dress import pictures, softedge
from vardata.dress.drawing import Drawing, PlacedPicture
from vardata.dress.framing import Framing
from vardata.dress.ink import Plates
from vardata.dress.piece import of_drawings
from vardata.dress.softfaults import soft_over_colour
from vardata.job.model import Art, Layout
from vardata.problems import Where

AT = Where("glow.png")
SOFT = Framing(soft=True, fades=True)


def disc(across: float, up: float) -> NDArray[np.bool_]:
    """The places within an ellipse round the middle one."""
    half_x, half_y = int(across), int(up)
    y, x = np.mgrid[-half_y : half_y + 1, -half_x : half_x + 1]
    found: NDArray[np.bool_] = (x / across) ** 2 + (y / up) ** 2 <= 1 + 1e-9
    return found


@pytest.mark.parametrize(
    ("across", "up"), [(3, 3), (1, 1), (5.5, 5.5), (8, 3), (2.2, 9.7), (40, 40)]
)
def test_a_choke_of_levels_is_an_erosion_by_a_disc(across: float, up: float) -> None:
    rng = np.random.default_rng(5)
    levels = rng.integers(0, 256, (90, 130), np.uint8)
    levels[20:70, 20:110] = 255
    levels[40:50, 50:60] = 90
    made = np.frombuffer(softedge.choked(softedge.soft(levels), across, up), np.uint8)
    want = ndimage.grey_erosion(levels, footprint=disc(across, up), mode="constant", cval=0)
    assert (made.reshape(levels.shape) == want).all()


def test_without_a_choke_levels_stay() -> None:
    levels = np.arange(200, dtype=np.uint8).reshape(10, 20)
    assert softedge.choked(softedge.soft(levels), 0.0, 0.0) == levels.tobytes()


def test_many_levels_become_fewer() -> None:
    levels = np.full((3000, 4000), 128, np.uint8)
    found = softedge.soft(levels)
    assert found.width * found.height <= softedge.MOST
    assert found.width / found.height == pytest.approx(4 / 3, rel=0.001)
    assert set(zlib.decompress(found.data)) == {128}


def saved(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def glow(colour: tuple[int, int, int] = (200, 60, 20)) -> Image.Image:
    """A disc that fades from its middle outwards."""
    y, x = np.mgrid[:60, :60]
    away = np.hypot(x - 29.5, y - 29.5)
    alpha = np.clip(255 - away * 9, 0, 255).astype(np.uint8)
    image = Image.new("RGB", (60, 60), colour)
    image.putalpha(Image.fromarray(alpha))
    return image


def test_ink_is_as_much_less_as_the_picture_is_see_through() -> None:
    image = glow()
    alpha = np.asarray(image.getchannel("A")).astype(int)
    read = pictures.from_bytes(saved(image), AT, SOFT)
    assert read.notes == () and read.picture.soft is not None
    rgb = np.frombuffer(zlib.decompress(read.picture.data), np.uint8).reshape(60, 60, 3)
    for i, part in enumerate((200, 60, 20)):
        want = 255 - (255 - part) * alpha / 255
        assert np.abs(rgb[:, :, i] - want).max() <= 1
    mask = np.unpackbits(np.frombuffer(read.picture.mask, np.uint8).reshape(60, 8), axis=1)[:, :60]
    assert (mask.astype(bool) == (alpha >= 3)).all()


def test_colour_stays_whole_over_white_in_tints() -> None:
    read = pictures.from_bytes(saved(glow()), AT, Framing(soft=True)).picture
    rgb = np.frombuffer(zlib.decompress(read.data), np.uint8).reshape(-1, 3)
    assert (rgb == (200, 60, 20)).all() and read.soft is not None and not read.soft.fades


def test_hard_edges_and_thresholds_know_nothing_of_it() -> None:
    image = glow()
    image.putalpha(image.getchannel("A").point(lambda level: 255 if level > 127 else 0))
    assert pictures.from_bytes(saved(image), AT, SOFT).picture.soft is None
    cut = pictures.from_bytes(saved(glow()), AT)
    assert cut.picture.soft is None and cut.notes[0].kind == "picture-soft"


def test_soft_edges_over_other_colour_are_refused(tmp_path: Path) -> None:
    (tmp_path / "glow.png").write_bytes(saved(glow()))
    picture = pictures.load_picture(tmp_path / "glow.png", SOFT)
    layout = Layout(name="l", width=40, height=20)
    solid = pictures.from_bytes(saved(Image.new("RGB", (9, 9), "red")), AT).picture
    placed = [
        (Art(file="solid.png", box=(0, 0, 9, 9)), Drawing((PlacedPicture(solid, 0, 0, 9, 9),))),
        (Art(file="glow.png", box=(5, 5, 9, 9)), Drawing((PlacedPicture(picture, 5, 5, 9, 9),))),
    ]
    found = of_drawings(placed, Plates(layout))
    assert [str(p) for p in soft_over_colour(found, ["face"], "l.toml")] == [
        f"l.toml: '{name}' fades out over other colour, and its soft edges would take that out; "
        'place it on bare material, or write soft_edges = "tint"'
        for name in ("glow.png", "face")
    ]
    assert not list(soft_over_colour(found[::-1], (), "l.toml"))
