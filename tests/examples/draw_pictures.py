"""Draws the pictures of plates that the README shows, and the bronze that stands in for a photo.

    python tests/examples/draw_pictures.py

In: the jobs of ``examples/``. Out: their PNGs, one a plate and one as the item will look.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter

EXAMPLES = Path(__file__).parents[2] / "examples"
DPI = "150"
# Folder, name of the item's pictures, its plates.
ITEMS = (("doors", "sign", ("Colour", "White")), ("lockers", "plate", ("Colour", "White")))


def bronze() -> Image.Image:
    """Brushed metal: streaks along the plate and the light of a lamp across it."""
    dice = np.random.default_rng(7)
    high, wide = 600, 960
    streaks = [gaussian_filter(dice.normal(size=(high, wide)), s) for s in ((0.6, 60), (8, 200))]
    fine, broad = streaks
    x, y = np.meshgrid(np.linspace(-1, 1, wide), np.linspace(-1, 1, high))
    lamp = np.exp(-(((x * 0.9 + y * 0.5 - 0.2) / 0.55) ** 2))
    light = 0.42 + 0.05 * fine / fine.std() + 0.03 * broad / broad.std() + 0.34 * lamp
    colour = light[:, :, None] * np.array([210, 158, 98])
    image = Image.fromarray(np.clip(colour, 0, 255).astype(np.uint8))
    return image.resize((480, 300), Image.Resampling.LANCZOS)


def draw(folder: Path) -> list[Path]:
    """Every picture, into ``folder``/<example>/; gives their files."""
    from vardata.job.load import load_setup
    from vardata.preview import Wanted, preview

    made = []
    for example, name, plates in ITEMS:
        setup = load_setup(EXAMPLES / example / "job.toml")
        (folder / example).mkdir(exist_ok=True)
        for plate in (*plates, ""):
            out = folder / example / (f"{name}-{plate.lower()}.png" if plate else f"{name}.png")
            wanted = Wanted(slot="A1", plates=(plate,) if plate else (), dpi=int(DPI))
            preview(setup, wanted, out, workers=1)
            image = Image.open(out).convert("RGB")
            image.quantize(128, dither=Image.Dither.NONE).save(out, optimize=True)
            made.append(out)
    return made


if __name__ == "__main__":
    sys.path.insert(0, str(EXAMPLES.parent))
    bronze().save(EXAMPLES / "lockers" / "bronze.jpg", quality=80)
    for file in draw(EXAMPLES):
        print(file.relative_to(EXAMPLES.parent), file.stat().st_size, "bytes")
