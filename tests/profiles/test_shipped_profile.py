"""The CMYK profile that ships: its structure by ICC.1, its colours by two other libraries.

ICC.1:2001-04 (version 2.4) is named by clause, from memory. littlecms (through Pillow) reads the
profile as any program would; numpy and colour-science read its tables on their own.
"""

from __future__ import annotations

import io
import itertools
import struct
from importlib.resources import files
from pathlib import Path

import colour
import numpy as np
from build_profile import OUT, SOURCE, Forward, tag_of
from PIL import Image, ImageCms

from vardata.dress.icc import converted
from vardata.job import shipped
from vardata.problems import Where

PROFILE = shipped.profiles()["cgats-tr-001"]
DATA = PROFILE.read_bytes()
STEPS = (0, 51, 128, 204, 255)
# Mixtures of the four inks, those with at most 280 % together: away from the limit of 300 %.
MIXED = [mix for mix in itertools.product(STEPS, repeat=4) if sum(mix) <= 2.8 * 255]


def lab_of(inks: np.ndarray) -> np.ndarray:
    """Lab of inks from 0 to 255, by numpy from the profile's table."""
    forward = Forward(DATA)
    places = [np.interp(inks[:, i] / 255, np.linspace(0, 1, 48), forward.curves[i])
              for i in range(4)]  # fmt: skip
    return forward.lab(np.stack(places, axis=1))[0]


def test_the_name_leads_to_the_built_file() -> None:
    assert PROFILE == OUT and len(DATA) < 120_000


def test_header_and_tags_are_those_of_a_printer_with_four_inks() -> None:
    """6.1: size, version, class, spaces, signature, D50; 6.3.3: the tags of an output profile."""
    assert int.from_bytes(DATA[:4], "big") == len(DATA)
    assert (DATA[8], DATA[9] >> 4) == (2, 4)
    assert (DATA[12:16], DATA[16:20], DATA[20:24], DATA[36:40]) == (
        b"prtr", b"CMYK", b"Lab ", b"acsp",
    )  # fmt: skip
    white = struct.unpack(">3i", DATA[68:80])
    assert np.allclose(np.array(white) / 65536, (0.9642, 1.0, 0.8249), atol=2e-5)
    needed = ("desc", "cprt", "wtpt", "A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "gamt")
    for name in needed:
        assert len(tag_of(DATA, name.encode())) >= 8, name
    for n in range(int.from_bytes(DATA[128:132], "big")):
        offset, size = struct.unpack(">II", DATA[136 + 12 * n : 144 + 12 * n])
        assert offset % 4 == 0 and offset + size <= len(DATA)  # 6.2: tags begin at words


def test_the_colours_are_those_of_the_free_source_byte_for_byte() -> None:
    assert tag_of(DATA, b"A2B1") == tag_of(SOURCE.read_bytes(), b"A2B0")


def test_its_licence_stands_beside_it_and_in_it() -> None:
    assert tag_of(DATA, b"cprt")[8:].rstrip(b"\0") == b"CC0 1.0"
    folder = Path(str(files("vardata"))) / "profiles"
    assert (folder / "CC0.txt").read_text().startswith("CC0 1.0 Universal")


def test_another_library_opens_it() -> None:
    opened = ImageCms.getOpenProfile(str(PROFILE))
    assert ImageCms.getProfileDescription(opened).strip() == "CGATS TR 001, coated web offset"
    for intent in ImageCms.Intent:
        for way in ImageCms.Direction.INPUT, ImageCms.Direction.OUTPUT:
            assert ImageCms.isIntentSupported(opened, intent, way) == 1


def test_littlecms_finds_the_colours_of_its_table() -> None:
    """About 500 mixtures: the mean is that of whole numbers for L, a and b; what is more comes
    from another rule of interpolation between nodes (tetrahedra)."""
    assert len(MIXED) > 400
    inks = np.array(MIXED, np.uint8)
    change = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(DATA)), ImageCms.createProfile("LAB"), "CMYK", "LAB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )  # fmt: skip
    seen = np.asarray(ImageCms.applyTransform(Image.fromarray(inks[None], "CMYK"), change))[0]
    signed = seen[:, 1:].view(np.int8).astype(float)
    lab = np.column_stack([seen[:, 0] / 2.55, signed])
    off = colour.delta_E(lab, lab_of(inks.astype(float)), method="CIE 2000")
    assert off.mean() < 0.5 and off.max() < 3.0


def test_inks_of_colours_print_those_colours() -> None:
    """Colours that inks make, as sRGB, there and back: littlecms converts, numpy tells the colour
    of the inks that it found, colour-science judges. At least 50 patches inside both gamuts."""
    levels = (40, 80, 120, 160, 200, 235)
    rgb = np.array(list(itertools.product(levels, repeat=3)), np.uint8)
    wanted = colour.XYZ_to_Lab(
        colour.RGB_to_XYZ(rgb / 255, "sRGB", illuminant=colour.CCS_ILLUMINANTS[
            "CIE 1931 2 Degree Standard Observer"]["D50"],
            chromatic_adaptation_transform="Bradford", apply_cctf_decoding=True),
        colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"],
    )  # fmt: skip
    plain = ImageCms.buildTransform(
        ImageCms.createProfile("sRGB"), ImageCms.ImageCmsProfile(io.BytesIO(DATA)), "RGB", "CMYK",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )  # fmt: skip
    inks = np.asarray(ImageCms.applyTransform(Image.fromarray(rgb[None], "RGB"), plain))[0]
    off = colour.delta_E(wanted, lab_of(inks.astype(float)), method="CIE 2000")
    inside = outside_of(wanted) == 0
    assert inside.sum() >= 50
    assert off[inside].mean() < 1.0 and off[inside].max() < 3.0
    assert inks.astype(float).sum(axis=1).max() <= 3.0 * 255 + 2


def outside_of(lab: np.ndarray) -> np.ndarray:
    """The table of colours that have no inks (tag gamt, 6.4.16), at the nearest node."""
    tag = tag_of(DATA, b"gamt")
    grid = tag[10]
    values = np.frombuffer(tag[52:], ">u2")[6 : 6 + grid**3].reshape((grid,) * 3)
    place = np.stack([lab[:, 0] * 652.8, (lab[:, 1] + 128) * 256, (lab[:, 2] + 128) * 256], axis=1)
    low = np.floor(place / 65535 * (grid - 1)).astype(int)
    corners = [values[tuple((low + np.array(up)).T)] for up in itertools.product((0, 1), repeat=3)]
    return np.max(corners, axis=0)


def test_greys_have_no_cast_and_ink_grows_as_they_darken() -> None:
    """The conversion of the program itself, relative colorimetric with black-point compensation:
    paper stays bare, and no grey has more than a hint of colour."""
    greys = np.repeat(np.arange(0, 256, 5, dtype=np.uint8)[::-1, None], 3, axis=1)
    inks = converted(greys[None], None, str(PROFILE), Where())[0].astype(float)
    assert (inks[0] == 0).all()
    lab = lab_of(inks)
    assert np.abs(lab[:, 1:]).max() < 2.5
    assert (np.diff(lab[:, 0]) < 0.5).all() and lab[-1, 0] < 4.0
    assert (np.diff(inks[:, 3]) >= -2).all()  # black never steps back
