"""What is drawn round and behind the letters of a text: an outline, a contour, a shadow.

One definition validates TOML, types the code and exports the JSON Schema; the text under a key is
its description there. Lengths are mm, whatever the size of the letters.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal, NamedTuple, Protocol

from pydantic import Field

from vardata.job.frozen import Model
from vardata.job.values import Colour, FeatureTag, Flag, FontNames, Mm, Number, PositiveMm

_LIMIT = 2.0  # corners of 60 degrees and more keep their tips; common practice, no source


class Joined(Model):
    """What edges that are moved have in common."""

    join: Literal["round", "mitre", "bevel"] = "round"
    """how it turns corners"""
    mitre_limit: Annotated[Number, Field(ge=1, le=10)] = _LIMIT
    """mitre: how far a tip may stick out, in widths of what is drawn beyond the letters; the tips of sharper corners are cut off there"""  # noqa: E501


class Outline(Joined):
    """A stroke along the edges of letters."""

    width: PositiveMm
    """how wide the stroke is"""
    colour: Colour
    """its colour: process inks, or the name of a plate"""
    place: Literal["outside", "centred", "inside"] = "outside"
    """outside the edges of letters, half on either side of them, or inside"""


class Contour(Joined):
    """A ground round a text: its letters, with their outline, spread."""

    spread: PositiveMm
    """how far it reaches beyond the letters and their outline"""
    colour: Colour
    """its colour: process inks, or the name of a plate"""


class Shadow(Model):
    """A copy of the letters, with their outline, moved and behind them."""

    dx: Mm
    """how far it is moved to the right, as the text is read"""
    dy: Mm
    """how far it is moved up; down if negative"""
    colour: Colour
    """its colour: process inks, or the name of a plate"""


class Style(Model):
    """How some letters of a text are set otherwise than the rest."""

    font: FontNames | None = None
    """a key of the layout's fonts, a font, or a list; by default the field's"""
    scale: Annotated[Number, Field(ge=25, le=200)] = 100.0
    """how large its letters are, in percent of the field's"""
    rise: Annotated[Number, Field(ge=-100, le=100)] = 0.0
    """how far its letters stand above the line, in percent of the field's size"""
    colour: Colour | None = None
    """the colour of its letters, in process inks; by default the field's"""
    features: tuple[FeatureTag, ...] = ()
    """more OpenType features, by their tags"""
    form: Literal["superior", "ordinal", "small-caps"] | None = None
    """superior letters and figures, ordinal marks or small capitals of the font (its features sups, ordn, smcp); a letter that the font has not so holds the record"""  # noqa: E501
    synthetic: Flag = False
    """form: what the font has not is made of its letters, smaller; superior ones as large and as high as the font says for superscripts"""  # noqa: E501


class Decorated(Protocol):
    """A text field, as far as it is decorated."""

    @property
    def outline(self) -> Outline | None: ...
    @property
    def contour(self) -> Contour | None: ...
    @property
    def shadow(self) -> Shadow | None: ...


class Margins(NamedTuple):
    """How far decoration reaches beyond the letters' ink, in mm; none is negative."""

    left: float
    bottom: float
    right: float
    top: float


def is_decorated(field: Decorated) -> bool:
    return any(part is not None for part in (field.outline, field.contour, field.shadow))


def margins(field: Decorated) -> Margins:
    """The room that a decorated text needs round its letters, whatever they are."""
    outer = _tips(field.outline, outside(field.outline)) if field.outline else 0.0
    around = _tips(field.contour, field.contour.spread) if field.contour else 0.0
    sides = [outer + around] * 4
    if field.shadow is not None:
        dx, dy = field.shadow.dx, field.shadow.dy
        sides = [max(side, outer + by) for side, by in zip(sides, (-dx, -dy, dx, dy))]
    return Margins(*sides)


def outside(outline: Outline) -> float:
    """How much of an outline's width lies outside the edges of letters."""
    return {"outside": outline.width, "centred": outline.width / 2, "inside": 0.0}[outline.place]


def _tips(joined: Joined, by: float) -> float:
    """How far edges that are moved outwards reach at most: a tip that is cut off across, ``limit``
    widths out, is as wide there as two of them at most."""
    return by * math.hypot(joined.mitre_limit, 1.0) if joined.join == "mitre" else by
