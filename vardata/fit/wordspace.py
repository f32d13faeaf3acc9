"""Whether a font lets words be shaped by themselves.

In: a face, and features that are asked for. Out: what the space between two words does to them.
A lookup that matched across a space would have the space in what it matches, since nothing here
passes it over; so where no lookup has it, words know nothing of each other. Scripts that the
shaper deals with in its own ways (OpenType 1.9: all but those of simple letters) are left out.
"""

from __future__ import annotations

from enum import Enum
from struct import error
from typing import Any

from vardata.fit.fonts import Face
from vardata.fit.layouttables import LayoutTable, Touch, class_of

# The scripts whose words may be parted, ISO 15924, and under which tags a font may have them.
SCRIPTS = frozenset({"Latn", "Grek", "Cyrl"})
_TAGS = ("DFLT", "dflt", "latn", "grek", "cyrl")
_ANY_TEXT = frozenset({"DFLT", "dflt", "latn"})  # where the shaper looks if it has no better one
# What the shaper applies to simple letters unasked, as its documentation lists them.
_USUAL = frozenset({
    "", "abvm", "blwm", "ccmp", "locl", "mark", "mkmk", "rlig", "calt", "clig", "curs", "dist",
    "kern", "liga", "rclt", "rvrn", "ltra", "ltrm", "Harf", "HARF", "Buzz", "BUZZ",
})  # fmt: skip
_RANDOM = "rand"  # alternates drawn by a letter's place in the whole text
# Other ways to shape, which are not looked into.
_OTHER = frozenset({"morx", "mort", "kerx", "trak", "Silf"})
_BASE = 1  # GDEF: what the shaper takes a space for where the font has no classes


class WordSpace(Enum):
    """What a space does: nothing; it may be kerned with the letters beside it; one cannot tell."""

    APART = 0
    KERNED = 1
    UNKNOWN = 2


def word_space(face: Face, features: frozenset[str]) -> WordSpace:
    """What the space of a face does, with OpenType features switched on beside the usual ones."""
    try:
        return _word_space(face, features | _USUAL)
    except (error, IndexError, ValueError):  # the tables are torn; the shaper has its own way
        return WordSpace.UNKNOWN


def _word_space(face: Face, features: frozenset[str]) -> WordSpace:
    font: Any = face.font
    space = font.get_nominal_glyph(ord(" "))
    tags = frozenset(font.face.table_tags)
    if not space or not tags.isdisjoint(_OTHER) or _RANDOM in features:
        return WordSpace.UNKNOWN
    most = Touch.NONE
    kerned = "kern" not in tags
    for name in ("GSUB", "GPOS"):
        if name not in tags:
            continue
        data = font.face.reference_table(name).data
        table = LayoutTable(data, space, _glyph_class(font, space), name == "GPOS")
        systems = table.languages(_TAGS)
        if table.varies or any(_RANDOM in system for system in systems):
            return WordSpace.UNKNOWN
        asked = (system[tag] for system in systems for tag in features & system.keys())
        most = max(most, table.touch({lookup for lookups in asked for lookup in lookups}))
        if name == "GPOS" and table.has_script(_ANY_TEXT):
            kerned = kerned or all("kern" in system for system in systems)
    if not kerned:  # the old table would be asked
        return WordSpace.UNKNOWN
    return WordSpace(int(most))


def _glyph_class(font: Any, glyph: int) -> int:
    data = font.face.reference_table("GDEF").data if font.face.has_layout_glyph_classes else b""
    if not data:
        return _BASE
    return class_of(data, int.from_bytes(data[4:6], "big"), glyph)
