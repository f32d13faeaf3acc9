"""RGB colours of layouts converted to inks by the shipped profile, judged by other libraries."""

from __future__ import annotations

import itertools

import colour
import numpy as np
import pytest
from test_shipped_profile import PROFILE, lab_of, outside_of

from vardata.dress.ink import Plates
from vardata.job.layout import Layout
from vardata.marks import Cmyk

LAYOUT = Layout(name="tag", width=10, height=10)
D50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
HEX = [
    f"#{red:02x}{green:02x}{blue:02x}"
    for red, green, blue in itertools.product(range(60, 250, 24), repeat=3)
    if not red == green == blue
]


def inks_of(wanted: str | tuple[float, ...], profile: str = str(PROFILE)) -> Cmyk:
    return Plates(LAYOUT, "tag.toml", profile).ink(wanted, "fill").paint


def test_at_least_50_colours_print_as_they_were_written() -> None:
    """colour-science tells the Lab of the sRGB values and the differences (CIE 2000); numpy tells
    the Lab of the inks from the profile's table. The black point is compensated for: colours
    that paper and inks can show, a little lighter in the dark."""
    rgb = np.array([[int(h[i : i + 2], 16) for i in (1, 3, 5)] for h in HEX]) / 255
    xyz = colour.RGB_to_XYZ(rgb, "sRGB", D50, "Bradford", apply_cctf_decoding=True)
    wanted = colour.XYZ_to_Lab(xyz, D50)
    inks = np.array([inks_of(h) for h in HEX]) * 255
    off = colour.delta_E(wanted, lab_of(inks), method="CIE 2000")
    inside = outside_of(wanted) == 0
    assert inside.sum() >= 50
    assert off[inside].mean() < 1.2 and off[inside].max() < 3.5
    plain = np.array([inks_of(h, "") for h in HEX]) * 255
    split = colour.delta_E(wanted, lab_of(plain), method="CIE 2000")
    assert split[inside].mean() > 5 * off[inside].mean(), "plain arithmetic is no conversion"


@pytest.mark.parametrize(
    ("written", "inks"),
    [
        ("#808080", Cmyk(0.0, 0.0, 0.0, 0.498)),  # greys are black alone
        ("#000000", Cmyk(0.0, 0.0, 0.0, 1.0)),
        ((10.0, 20.0, 30.0, 40.0), Cmyk(0.1, 0.2, 0.3, 0.4)),  # inks stay inks
        ("red", Cmyk(0.0, 1.0, 1.0, 0.0)),  # so do names, which are full tints
    ],
)
def test_what_stays_as_it_is(written: str | tuple[float, ...], inks: Cmyk) -> None:
    assert inks_of(written) == inks_of(written, "") == inks


def test_white_and_gloss_of_a_colour_still_find_it() -> None:
    """A plate that follows things of some colours compares what is printed."""
    layout = LAYOUT.model_copy(update={"plates": tuple(
        plate.model_copy(update={"colours": ("#0b5d5a",)}) if plate.role == "gloss" else plate
        for plate in LAYOUT.plates
    )})  # fmt: skip
    plates = Plates(layout, "tag.toml", str(PROFILE))
    assert plates.takes(2, plates.ink("#0b5d5a", "fill").paint, text=False)
    assert not plates.takes(2, plates.ink("#0b5d5b", "fill").paint, text=False)
