"""Help for the tests of dress: layouts, and records made by hand."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence
from functools import lru_cache
from pathlib import Path as File

import qrcode
import uharfbuzz

from vardata.dress.drawing import Drawing
from vardata.dress.dresser import Dresser
from vardata.fit.fontbook import FontBook
from vardata.fit.result import CodeFit, FieldFit, Run, TextFit
from vardata.job import model
from vardata.marks import (
    Item,
    Placement,
)

FONTS = File(__file__).parents[2] / "fonts"
SANS, BOLD, SERIF, SCRIPT = (
    FONTS / name
    for name in (
        "NotoSans-Regular.ttf",
        "NotoSans-Bold.ttf",
        "NotoSerif-Regular.ttf",
        "DancingScript-Regular.otf",
    )
)
FACES = (SANS, BOLD, SERIF, SCRIPT)
HERE = Placement(100.0, 80.0, 0.0)


@lru_cache(maxsize=1)
def book() -> FontBook:
    return FontBook({face.stem: face for face in FACES})


def number(face: File) -> int:
    """The face's number in the font book."""
    return book().chain([face.stem])[0].index


# ------------------------------------------------------------ records


def text(
    face: File, words: str, size: float, x: float = 0.5, y: float = 2.0, squeeze: float = 1.0
) -> TextFit:
    """A text on one baseline, shaped by HarfBuzz."""
    font = uharfbuzz.Font(uharfbuzz.Face(face.read_bytes()))
    scale = 1000 / font.face.upem
    buffer = uharfbuzz.Buffer()
    buffer.add_str(words)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font, buffer)
    ids = [info.codepoint for info in buffer.glyph_infos]
    kerns = tuple(
        round((font.get_glyph_h_advance(glyph) - place.x_advance) * scale, 3) + 0.0
        for glyph, place in zip(ids, buffer.glyph_positions)
    )
    em = size * 25.4 / 72 / 1000
    pen, xs, ys = 0.0, [], []
    for glyph, kern in zip(ids, kerns):
        ink = font.get_glyph_extents(glyph)
        if ink.width:
            left = pen + ink.x_bearing * scale
            xs += [left, left + ink.width * scale]
            ys += [ink.y_bearing * scale, (ink.y_bearing + ink.height) * scale]
        pen += font.get_glyph_h_advance(glyph) * scale - kern
    box = (
        x + min(xs) * em * squeeze, y + min(ys) * em,
        x + max(xs) * em * squeeze, y + max(ys) * em,
    )  # fmt: skip
    glyphs = struct.pack(f">{len(ids)}H", *ids)
    run = Run(number(face), x, y, glyphs, kerns if any(kerns) else ())
    return TextFit(words, size, squeeze, 1, (run,), box)


def joined(*parts: TextFit) -> TextFit:
    """Several runs as one text."""
    boxes = list(zip(*(part.ink for part in parts)))
    ink = (min(boxes[0]), min(boxes[1]), max(boxes[2]), max(boxes[3]))
    return parts[0]._replace(runs=tuple(r for p in parts for r in p.runs), ink=ink)


def qr(words: str, module: float, x: float, y: float, line: TextFit | None = None) -> CodeFit:
    """A QR code of the qrcode package; ``x``, ``y`` is the symbol's corner in the box."""
    code = qrcode.QRCode(border=0)
    code.add_data(words)
    rows = code.get_matrix()
    n = len(rows)
    bits = b"".join(packed(row) for row in rows)
    quiet = 4 * module  # ISO/IEC 18004:2015, 6.3.8 (secondary)
    return CodeFit(words, n, n, bits, module, x, y, n * module, n * module, (quiet,) * 4, line)


def packed(row: Iterable[bool]) -> bytes:
    text_ = "".join("1" if bit else "0" for bit in row)
    wide = -(-len(text_) // 8)
    return int(text_.ljust(wide * 8, "0"), 2).to_bytes(wide, "big")


def text_field(name: str, box: model.Box, **more: object) -> model.TextField:
    values = {"type": "text", "text": "x", "font": "f", "size": "12pt", **more}
    return model.TextField.model_validate({"name": name, "box": box, **values})


def code_field(name: str, box: model.Box, **more: object) -> model.CodeField:
    values = {"type": "code", "text": "x", "symbology": "qr", **more}
    return model.CodeField.model_validate({"name": name, "box": box, **values})


def shape_field(name: str, box: model.Box, **more: object) -> model.ShapeField:
    return model.ShapeField.model_validate({"type": "shape", "name": name, "box": box, **more})


def plates(
    white: str = "art", gloss: str = "fields", choke: float = 0.1, bleed: float = 0.0,
    gloss_bleed: float = 0.0,
) -> tuple[model.Plate, ...]:  # fmt: skip
    return tuple(
        model.Plate.model_validate(plate)
        for plate in (
            {"name": "Colour", "role": "colour"},
            {"name": "White", "role": "white", "cover": white, "choke": choke, "bleed": bleed},
            {"name": "Gloss", "role": "gloss", "cover": gloss, "bleed": gloss_bleed},
        )
    )


def dresser(
    fields: Sequence[model.AnyField] = (),
    art: Sequence[tuple[model.Art, Drawing]] = (),
    blanks: dict[str, model.Blank] | None = None,
    dpi: tuple[float, float] = (600, 600),
    **layout: object,
) -> Dresser:
    """A dresser of a 40 by 20 mm layout unless it says otherwise."""
    values = {"name": "tag", "width": 40, "height": 20, **layout}
    made = model.Layout.model_validate({**values, "fields": tuple(fields)})
    mode = model.PrintMode(dpi=dpi)
    setup = model.Setup(
        job=model.Job(
            name="job", layout="l", jig="j", bed="b", print_mode="m",
            sheet=model.Sheet(file="s.csv"),
            blanks=blanks or {"dark": model.Blank(surface="dark")},
        ),
        layout=made,
        jig=model.Jig(name="j"),
        bed=model.Bed(name="b", width=300, height=300, modes={"m": mode}),
        mode=mode,
        sheet_file=File("s.csv"),
        job_file=File("job.toml"),
        layout_file=File("tag.toml"),
    )  # fmt: skip
    return Dresser(setup, book(), tuple(art))


def no_picture(path: str, framing: object = None) -> object:
    raise AssertionError(f"no picture was asked for: {path}")


def dressed(
    made: Dresser, *fits: FieldFit, blank: str = "dark", placement: Placement = HERE
) -> Item:
    return made.dress("s!2#1", blank, fits, placement, no_picture)  # type: ignore[arg-type]
