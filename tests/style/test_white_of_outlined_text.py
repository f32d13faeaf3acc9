"""White under texts with an outline, a white contour and a shadow: nothing is missing within them.
Plates are Ghostscript's separations, distances those of scipy's transform."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy import ndimage
from stylejob import built, separations

DPI = 2400  # as fine as that, slits of bare blank stay open when they are rendered
CHOKE = 0.1  # mm, that of the plate
FIELD = """\
text = "{{ first }} {{ last }}"
font = "%s"
size = "24pt"
lines = 2
colour = "#e8c040"
outline = { width = 0.3, colour = "#7a1010", join = "mitre" }
contour = { spread = 0.5, colour = "White" }
shadow = { dx = 0.5, dy = -0.5, colour = "#404040" }
"""
TIP = 8  # dots
NAMES = ("ANNA,MACLEOD", "Xaver,Zwykla")


@pytest.mark.parametrize("font", ["NotoSans-Bold", "NotoSans-Regular", "NotoSerif-Regular"])
def test_no_slit_opens_between_a_white_contour_and_what_lies_on_it(
    tmp_path: Path, font: str
) -> None:
    run = built(tmp_path, FIELD % font, rows="first,last\n" + "\n".join(NAMES) + "\n")
    for bed in range(len(NAMES)):
        plates = separations(run, bed, dpi=DPI)
        white = plates["White"]
        colour = plates["Cyan"] | plates["Magenta"] | plates["Yellow"] | plates["Black"]
        inside = ndimage.distance_transform_edt(colour | white) * 25.4 / DPI
        slit = colour & ~white & (inside > CHOKE + 2 * 25.4 / 600)
        # A wedge of bare blank ends some dots before its tip, as every dot that an edge touches
        # is painted; a slit is longer.
        found, count = ndimage.label(slit, np.ones((3, 3)))
        sizes = [int((found == n).sum()) for n in range(1, count + 1)]
        assert max(sizes, default=0) <= TIP, (NAMES[bed], sizes)
        assert np.count_nonzero(white) > np.count_nonzero(colour) / 2  # there is white at all
