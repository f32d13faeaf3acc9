"""The fonts of the papers: read once, and asked which of them shows a character.

In: TrueType files, and fonts of any kind behind them. Out: fonts in two weights with the fallbacks
behind them, and texts as runs of what each font shows. A character that no font has is written out
as ``[U+1F600]``, so nothing is ever blank.
"""

from __future__ import annotations

import struct
import unicodedata
from collections.abc import Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from reportlab.pdfbase import pdfdoc, pdfmetrics, ttfonts

from vardata.deflated import deflated
from vardata.output.picklist_outlines import OutlineFont
from vardata.output.picklist_shape import COMPLEX, is_ignorable
from vardata.output.picklist_values import PaperFont, PaperFonts
from vardata.problems import OutputError, VardataError, fail

_KEPT_SUBSETS = 16


class Chain(Sequence[Any]):
    """The fonts of one weight: the first, and the fallbacks behind it, which are read when a
    text asks for them; most never do."""

    def __init__(self, first: Any, behind: Sequence[PaperFont]) -> None:
        self._fonts = [first]
        self._unread = list(behind)

    def __getitem__(self, index: Any) -> Any:
        while index >= len(self._fonts) and self._unread:
            self._fonts.append(_behind(self._unread.pop(0)))
        return self._fonts[index]

    def __len__(self) -> int:
        return len(list(self))


class Weights(NamedTuple):
    """The fonts of both weights, each with the fallbacks behind it."""

    regular: Chain
    bold: Chain


@lru_cache(maxsize=8)
def load_fonts(fonts: PaperFonts) -> Weights:
    """Reads the fonts once a process, fallbacks when they are asked for. Raises ``OutputError``
    for a file that cannot serve."""
    first = (_load(fonts.regular), _load(fonts.bold))
    for path, font in zip((fonts.regular, fonts.bold), first):
        lacking = [chr(code) for code in range(32, 127) if chr(code) not in covered(font)]
        if lacking:
            what = f"the pick list cannot use this font: it lacks {lacking[0]!r}"
            remedy = "name one that has all of ASCII, and give this one as a fallback"
            raise fail(OutputError, "paper-font", what, remedy, file=str(path))
    for one in fonts.fallbacks:
        if not one.path.is_file():
            raise _missing(one.path)
    return Weights(Chain(first[0], fonts.fallbacks), Chain(first[1], fonts.fallbacks))


def _load(path: Path) -> Any:
    """A font that has to serve."""
    font = _read(path)
    if font is None:
        raise _useless(path, "name a TrueType font (.ttf with glyf outlines)")
    return font


def _useless(path: Path, remedy: str) -> VardataError:
    what = "the pick list cannot use this font"
    return fail(OutputError, "paper-font", what, remedy, file=str(path))


@lru_cache(maxsize=32)
def _behind(place: PaperFont) -> Any:
    """A fallback: reportlab's font of a plain TrueType file, our own of any other."""
    plain = place.member is None and not place.axes and place.path.suffix.lower() == ".ttf"
    font = _read(place.path) if plain else None
    if font is None:
        try:
            font = OutlineFont(place)
            covered(font)
        except (OSError, ValueError, struct.error):
            raise _useless(place.path, "name a font that can be read") from None
    return font


def _missing(path: Path) -> VardataError:
    what = "the font for the pick list is not there"
    return fail(OutputError, "paper-font", what, "mend its path", file=str(path))


@lru_cache(maxsize=32)
def _read(path: Path) -> Any:
    """reportlab's font of a file, or None if it is of no kind that reportlab takes."""
    name = f"paper:{path}"  # reportlab's key for the font; it is not written
    try:
        font = ttfonts.TTFont(name, str(path), asciiReadable=True)
    except (ttfonts.TTFError, struct.error):
        if not path.is_file():
            raise _missing(path) from None
        return None
    pdfmetrics.registerFont(font)
    _remember_subsets(font.face)
    covered(font)
    return font


def _remember_subsets(face: Any) -> None:
    """Lets a face keep the subsets it has made, compressed; most parts ask for the same ones."""
    make, add = face.makeSubset, face.addSubsetObjects
    made: dict[tuple[int, ...], tuple[bytes, bytes]] = {}

    def remembered(subset: Sequence[int]) -> tuple[bytes, bytes]:
        key = tuple(subset)
        if key not in made:
            if len(made) >= _KEPT_SUBSETS:
                made.clear()
            data = make(subset)
            made[key] = (data, deflated(data))
        return made[key]

    def add_subset(doc: Any, name: str, subset: Sequence[int]) -> Any:
        reference = add(doc, name, subset)
        stream = doc.idToObject.get(f"fontFile:{face.filename}({name})")
        if stream is not None:
            stream.content = remembered(subset)[1]
            stream.dictionary["Filter"] = pdfdoc.PDFName("FlateDecode")
        return reference

    face.makeSubset = lambda subset: remembered(subset)[0]
    face.addSubsetObjects = add_subset


@cache
def covered(font: Any) -> frozenset[str]:
    """The characters that a font itself has and shows; asked for once, when it is loaded."""
    return frozenset(
        chr(code)
        for code in font.face.charToGlyph
        if code > 31 and code != 127 and not is_ignorable(chr(code))
    )


def spell(chain: Sequence[Any], text: str) -> list[tuple[int, str]]:
    """The text as runs of (index of the font, what it shows), missing characters written out.

    A mark stays in the font of its base, a space in that of the word before it, if they can. A
    character that is never seen goes with those before it to be shaped, else it is left out.
    """
    runs: list[tuple[int, str]] = []
    for char in text:
        last = runs[-1][0] if runs else 0
        if is_ignorable(char):
            if runs and COMPLEX.search(runs[-1][1]):
                runs[-1] = (last, runs[-1][1] + char)
            continue
        stays = runs and (char == " " or unicodedata.category(char)[0] == "M")
        if stays and char in covered(chain[last]):
            index = last
        else:
            index = next((i for i, font in enumerate(chain) if char in covered(font)), -1)
        if index < 0:
            index, char = 0, f"[U+{ord(char):04X}]"
        if runs and index == last:
            runs[-1] = (index, runs[-1][1] + char)
        else:
            if runs and char != " " and COMPLEX.search(runs[-1][1]):
                # The space between two directions is set with the word after it.
                font, before = runs[-1]
                runs[-1] = (font, before.rstrip(" "))
                char = " " * (len(before) - len(runs[-1][1])) + char
            runs.append((index, char))
    return runs


def settle_fonts(doc: Any) -> None:
    """Adds the fonts to a document that is complete, their widths already written out."""
    for font in doc.delayedFonts:
        font.addObjects(doc)
    doc.delayedFonts = []
    for font in doc.idToObject["BasicFonts"].dict.values():
        if hasattr(font, "Widths"):  # else its widths stand in it already
            font.Widths = _numbers(tuple(font.Widths.sequence))


@lru_cache(maxsize=64)
def _numbers(widths: tuple[float, ...]) -> str:
    """An array of numbers as it stands in the file."""
    return f"[{' '.join(f'{width:.6g}' for width in widths)}]"
