"""Each plate is the same, dot for dot, whatever else is in the file: Ghostscript is the judge."""

from __future__ import annotations

import numpy as np
import pikepdf
import pytest
from bedkit import (
    BOLD,
    COLOUR,
    GLOSS,
    SCRIPT,
    WHITE,
    ink_box,
    make_bed,
    make_layout,
    page,
    plate,
    run,
    same,
    separations,
    write,
)  # fmt: skip

from vardata.deflated import deflated
from vardata.dress.drawing import Picture
from vardata.job.model import Output, Plate
from vardata.marks import BLACK, Cmyk, Image, Mark, ModuleGrid, Path, Ref, Statics

ALL = ("Cyan", "Magenta", "Yellow", "Black", "White", "Gloss")
PROCESS = ALL[:4]
PHOTO = Picture(
    "photo", 3, 2, "DeviceCMYK", "FlateDecode",
    deflated(bytes(((i * 37) % 256) for i in range(24))), (), b"\xc0\xa0", (),
)  # fmt: skip
BLOB = (("m", 0.0, 0.0), ("l", 14.0, 1.0), ("c", 18.0, 6.0, 12.0, 14.0, 2.0, 12.0), ("h",))
STATICS = Statics(
    {
        "art": (
            Path(COLOUR, Cmyk(0.8, 0.1, 0.0, 0.2), BLOB, 2.0, 2.0),
            Path(COLOUR, Cmyk(0.0, 0.0, 0.0, 0.0), BLOB, 6.0, 4.0),  # knocks out its own plate
            Path(WHITE, 1.0, BLOB, 2.5, 2.5),
            Path(GLOSS, 0.6, BLOB, 8.0, 2.0),
        )
    }
)
MARKS: tuple[Mark, ...] = (
    Ref(COLOUR, "art"), Ref(WHITE, "art"), Ref(GLOSS, "art"),
    Path(COLOUR, Cmyk(1.0, 0.0, 0.0, 0.0), (("re", 20.0, 2.0, 30.0, 12.0),)),
    Path(COLOUR, Cmyk(0.0, 0.6, 0.0, 0.0), (("re", 25.0, 5.0, 10.0, 12.0),)),
    run("Über", at=(22, 6), size=20.0, paint=Cmyk(0.0, 0.0, 1.0, 0.0)),
    ModuleGrid(COLOUR, BLACK, 4, 4, b"\x90\x60\x60\x90", 40.0, 4.0, 6.0, 6.0, 0),
    Image(COLOUR, BLACK, "photo", 5.0, 22.0, 18.0, 12.0, 20.0),
    Image(WHITE, 1.0, "photo", 5.0, 22.0, 18.0, 12.0, 20.0),
    Path(WHITE, 0.7, (("re", 22.0, 4.0, 26.0, 14.0),)),
    run("Über", at=(22, 6), size=20.0, on=WHITE, choke=0.1),
    Path(WHITE, 0.0, (("re", 24.0, 4.5, 4.0, 1.0),)),
    run("Glanz", at=(26, 24), font=SCRIPT, size=24.0, on=GLOSS, angle=10.0),
    Path(GLOSS, 1.0, BLOB, 30.0, 8.0, 35.0, False, 0.5),
    Path(GLOSS, 0.3, (("re", 20.0, 8.0, 36.0, 3.0),)),
)  # fmt: skip


def put(path, marks, **changed):
    settings = {"statics": STATICS, "pictures": {"photo": PHOTO}.__getitem__, **changed}
    return write(path, page(*marks), **settings)


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """All plates of the file that has all of them."""
    path = tmp_path_factory.mktemp("whole") / "all.pdf"
    put(path, MARKS)
    return separations(path, "300")


@pytest.mark.parametrize(
    ("keep", "names"),
    [((COLOUR,), PROCESS), ((WHITE,), ("White",)), ((GLOSS,), ("Gloss",)),
     ((COLOUR, GLOSS), (*PROCESS, "Gloss")), ((WHITE, GLOSS), ("White", "Gloss"))],
)  # fmt: skip
def test_a_plate_is_the_same_without_the_others(whole, tmp_path, keep, names):
    put(tmp_path / "some.pdf", [mark for mark in MARKS if mark.plate in keep])
    some = separations(tmp_path / "some.pdf", "300")
    same(whole, some, *names)
    for name in set(ALL) - set(names):
        assert not some[name].any(), f"{name} has ink that no mark put there"


def test_apart_prints_the_same_as_together(whole, tmp_path):
    facts = put(tmp_path / "apart.pdf", MARKS, output=Output(pages="apart"))
    pages = facts.pages[0]
    assert pages == {"White": 1, "Colour": 2, "Gloss": 3}
    for called, names in (("Colour", PROCESS), ("White", ("White",)), ("Gloss", ("Gloss",))):
        one = separations(tmp_path / "apart.pdf", "300", pages[called])
        same(whole, one, *names)
        for name in set(ALL) - set(names):
            assert not one[name].any(), f"{name} on the page of {called}"


@pytest.mark.parametrize("off", [COLOUR, WHITE, GLOSS])
def test_a_layer_switched_off_leaves_the_rest_as_it_was(whole, tmp_path, off):
    put(tmp_path / "all.pdf", MARKS)
    with pikepdf.open(tmp_path / "all.pdf") as pdf:
        layers = pdf.Root.OCProperties
        layers.D.OFF = pikepdf.Array([layers.OCGs[off]])
        layers.D.ON = pikepdf.Array([g for i, g in enumerate(layers.OCGs) if i != off])
        pdf.save(tmp_path / "off.pdf")
    found = separations(tmp_path / "off.pdf", "300")
    plates = {COLOUR: PROCESS, WHITE: ("White",), GLOSS: ("Gloss",)}
    for layer, names in plates.items():
        if layer == off:
            assert not any(found[name].any() for name in names)
        else:
            same(whole, found, *names)


def test_colour_knocks_out_its_own_inks_and_no_others(tmp_path):
    """Within the colour plate a later paint replaces an earlier one; white stays under it."""
    square = (("re", 10.0, 10.0, 20.0, 20.0),)
    marks = (
        Path(COLOUR, Cmyk(1.0, 0.0, 0.0, 0.0), square),
        Path(COLOUR, Cmyk(0.0, 1.0, 0.0, 0.0), square),
        Path(WHITE, 1.0, square),
        Path(GLOSS, 1.0, square),
    )
    put(tmp_path / "p.pdf", marks)
    middle = {k: int(v[v.shape[0] // 2, v.shape[1] // 3]) for k, v in
              separations(tmp_path / "p.pdf", "72").items()}  # fmt: skip
    assert middle == {"Cyan": 0, "Magenta": 255, "Yellow": 0, "Black": 0, "White": 255,
                      "Gloss": 255}  # fmt: skip


def test_tints_come_out_as_they_went_in(tmp_path):
    steps = [0.0, 0.1, 0.25, 0.5, 0.75, 1.0]
    marks = tuple(
        Path(WHITE, tint, (("re", 5.0 + 8.0 * i, 10.0, 8.0, 8.0),)) for i, tint in enumerate(steps)
    )
    put(tmp_path / "t.pdf", marks)
    white = separations(tmp_path / "t.pdf", "72")["White"]
    row = white[white.shape[0] - int(14 / 25.4 * 72)]
    found = [row[int((9.0 + 8.0 * i) / 25.4 * 72)] / 255 for i in range(len(steps))]
    assert found == pytest.approx(steps, abs=1 / 255)


def test_the_area_of_a_square_on_the_white_plate(tmp_path):
    """A square of 10.16 mm lies on whole dots at 600 dpi (240 of them): its area is exact."""
    put(tmp_path / "s.pdf", [Path(WHITE, 1.0, (("re", 10.16, 5.08, 10.16, 10.16),))])
    white = separations(tmp_path / "s.pdf", "600")["White"]
    assert np.count_nonzero(white) * (25.4 / 600) ** 2 == pytest.approx(10.16**2, rel=1e-9)
    # The page's height is no whole number of dots, so the place is known within one.
    assert ink_box(white, 600) == pytest.approx((10.16, 5.08, 20.32, 15.24), abs=25.4 / 600)


def test_plates_of_the_same_role_keep_their_own_ink(tmp_path):
    layout = make_layout(plates=(plate("White", "white"), plate("Colour", "colour"),
                                 plate("Base", "white"), plate("Gloss", "gloss")))  # fmt: skip
    bed = make_bed(plate_names={"Base": "Primer 2"})
    marks = (
        Path(0, 1.0, (("re", 5.0, 5.0, 10.0, 10.0),)),
        Path(1, Cmyk(0.0, 1.0, 0.0, 0.0), (("re", 5.0, 5.0, 20.0, 20.0),)),
        Path(2, 1.0, (("re", 10.0, 10.0, 10.0, 10.0),)),
        Path(3, 1.0, (("re", 12.0, 12.0, 10.0, 10.0),)),
    )
    write(tmp_path / "p.pdf", page(*marks), layout=layout, bed=bed)
    names = ("White", "Primer 2", "Gloss")
    found = separations(tmp_path / "p.pdf", "144", names=names)
    # Ghostscript paints every dot that an area touches: up to one more on each side.
    dot = 25.4 / 144
    for name, side in (("Magenta", 20.0), *((name, 10.0) for name in names)):
        area = np.count_nonzero(found[name]) * dot**2
        assert side**2 <= area <= (side + 2 * dot) ** 2, name


def test_anchor_marks_are_in_every_corner_of_every_plate(tmp_path):
    """Tiny squares so that a program that crops to the ink keeps the bed's size."""
    put(tmp_path / "a.pdf", [run("x", font=BOLD, at=(30, 20))], bed=make_bed(anchor_marks=True))
    found = separations(tmp_path / "a.pdf", "600")
    for name in ("Black", "White", "Gloss"):
        assert ink_box(found[name], 600) == pytest.approx((0.0, 0.0, 60.0, 40.0), abs=0.05)
        ink = found[name]
        for corner in (ink[:12, :12], ink[:12, -12:], ink[-12:, :12], ink[-12:, -12:]):
            side = np.sqrt(np.count_nonzero(corner)) * 25.4 / 600
            assert side == pytest.approx(0.3, abs=0.05), name


def test_density_is_the_tint_of_full_ink(tmp_path):
    """ISO 32000-1, 8.6.6.4: 40 % of 255 levels; a stroke at tint 0 still takes all away."""
    layout = make_layout(plates=(
        plate("Colour", "colour"),
        Plate(name="White", role="white", density=40),
        plate("Gloss", "gloss"),
    ))  # fmt: skip
    square = (("re", 5.0, 5.0, 20.0, 20.0),)
    line = (("m", 0.0, 15.0), ("l", 60.0, 15.0))
    marks = (
        Path(WHITE, 1.0, square), Path(WHITE, 0.0, line, stroke=2.0),
        Path(GLOSS, 1.0, square),
    )  # fmt: skip
    write(tmp_path / "d.pdf", page(*marks), layout=layout)
    found = separations(tmp_path / "d.pdf", "254", 1)
    rows = slice(-240, -60)
    column = found["White"][rows, 150]
    assert set(np.unique(column)) == {0, 102}
    assert (found["Gloss"][rows, 150] == 255).all()
