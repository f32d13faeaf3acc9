"""What the tests of the bed PDF share: small beds, shaped text, and the foreign judges."""

from __future__ import annotations

import struct
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import uharfbuzz as hb
from PIL import Image as Pillow

from vardata.fit.fontbook import FontBook
from vardata.job.model import Bed, Layout, Output, Plate, PrintMode
from vardata.marks import BLACK, GlyphRun, Item, Mark, Placement, Statics
from vardata.output.pdf.bed import DocInfo, write_bed_file
from vardata.output.pdf.bedload import PageContent

FONTS = Path(__file__).parents[3] / "fonts"
_FILES = ("NotoSans-Regular.ttf", "DancingScript-Regular.otf", "NotoSans-Bold.ttf")
BOOK = FontBook({name: FONTS / name for name in _FILES})
SANS, SCRIPT, BOLD = (BOOK.chain([name])[0].index for name in _FILES)
NO_STATICS = Statics({})
NOON = datetime(2025, 3, 4, 12, 0, tzinfo=UTC)
INFO = DocInfo("A small bed", "r-0123abcd", NOON, (1,))

MIDDLE = Placement(30.0, 20.0, 0.0)  # of a bed of 60 by 40 mm

COLOUR, WHITE, GLOSS = 0, 1, 2


def make_bed(width: float = 60.0, height: float = 40.0, **more) -> Bed:
    return Bed(
        name="bench", width=width, height=height, modes={"m": PrintMode(dpi=(600, 600))}, **more
    )


def make_layout(width: float = 60.0, height: float = 40.0, **more) -> Layout:
    return Layout(name="tag", width=width, height=height, **more)


def plate(name: str, role: str) -> Plate:
    return Plate(name=name, role=role)


def page(*marks: Mark, at: Placement = MIDDLE, title: str = "") -> PageContent:
    """One bed with one item."""
    return PageContent(((at, Item("Sheet1!2#1", marks)),), title)


def no_pictures(key: str):
    raise KeyError(key)


def write(path: Path, *pages: PageContent, **changed):
    """A bed file with defaults for everything that a test does not care about."""
    settings = {
        "bed": make_bed(),
        "layout": make_layout(),
        "output": Output(),
        "pages": pages,
        "statics": NO_STATICS,
        "book": BOOK,
        "pictures": no_pictures,
        "info": INFO,
    }
    return write_bed_file(path, **{**settings, **changed})


def shaped(font: int, text: str) -> tuple[bytes, tuple[float, ...]]:
    """Glyphs and kerns of a text, shaped by HarfBuzz."""
    face = BOOK.face(font)
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(face.font, buffer)
    ids = [info.codepoint for info in buffer.glyph_infos]
    kerns = tuple(
        face.advance(glyph) - place.x_advance * face.scale
        for glyph, place in zip(ids, buffer.glyph_positions)
    )
    return struct.pack(f">{len(ids)}H", *ids), kerns if any(kerns) else ()


def run(
    text: str,
    *,
    font: int = SANS,
    size: float = 12.0,
    at: tuple[float, float] = (10.0, 10.0),
    angle: float = 0.0,
    squeeze: float = 1.0,
    on: int = COLOUR,
    paint=None,
    choke: float = 0.0,
) -> GlyphRun:
    glyphs, kerns = shaped(font, text)
    colour = paint if paint is not None else (BLACK if on == COLOUR else 1.0)
    return GlyphRun(on, colour, font, size, *at, angle, squeeze, glyphs, kerns, choke)


# ------------------------------------------------------------ judges


def judge(*command: str | Path) -> str:
    """Runs a foreign program; fails if it fails or complains."""
    done = subprocess.run(list(map(str, command)), capture_output=True, check=False)
    errors = "\n".join(
        line
        for line in done.stderr.decode("utf-8", "replace").splitlines()
        if line.strip() and "ICC support is not available" not in line
    )
    assert done.returncode == 0 and not errors, f"{command[0]}: {errors or done.returncode}"
    return done.stdout.decode("utf-8", "replace")


def separations(
    path: Path, dpi: str = "600", page_number: int = 1, names: tuple[str, ...] = ("White", "Gloss")
) -> dict[str, np.ndarray]:
    """The plates of a page as Ghostscript separates them: ink from 0 (none) to 255 (full).

    Ghostscript's tiffsep writes 255 for no ink; its file names carry the plates' names in
    brackets. A plate that is not printed at all comes back blank, as a RIP would make it.
    """
    folder = path.parent / f"{path.stem}-{dpi}-{page_number}"
    folder.mkdir()
    inks = " ".join(f"({name}) cvn" for name in names)
    judge(
        "gs", "-q", "-dSAFER", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{dpi}",
        f"-dFirstPage={page_number}", f"-dLastPage={page_number}",
        f"-sOutputFile={folder}/p.tif", "-c",
        f"<< /SeparationColorNames [{inks}] >> setpagedevice",
        "-f", path,
    )  # fmt: skip
    found = {}
    for name in ("Cyan", "Magenta", "Yellow", "Black", *names):
        with Pillow.open(folder / f"p({name}).tif") as picture:
            found[name] = 255 - np.asarray(picture, dtype=np.uint8)
    return found


def same(one: dict[str, np.ndarray], other: dict[str, np.ndarray], *names: str) -> None:
    for name in names:
        assert one[name].any(), f"{name} is blank: nothing is compared"
        assert np.array_equal(one[name], other[name]), f"{name} differs"


def ink_box(ink: np.ndarray, dpi: float) -> tuple[float, float, float, float]:
    """(x0, y0, x1, y1) of what is inked, in mm from the lower left corner."""
    rows = np.flatnonzero(ink.any(axis=1))
    columns = np.flatnonzero(ink.any(axis=0))
    high = ink.shape[0]
    dots = (columns[0], high - 1 - rows[-1], columns[-1] + 1, high - rows[0])
    return tuple(float(dot) * 25.4 / dpi for dot in dots)  # type: ignore[return-value]
