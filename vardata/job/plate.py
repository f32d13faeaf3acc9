"""The plates of a layout: their roles, what they cover, their edges. Lengths are mm."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from vardata.job.frozen import Model
from vardata.job.values import Colour, Mm, Name, Percent, PositiveMm, SomeMmOrDots, Whole


class Plate(Model):
    """One separation."""

    name: Name
    """the plate's name, for separations the name of the ink in the bed file"""
    role: Literal["colour", "white", "gloss"]
    """colour (the process inks), white or gloss"""
    cover: Literal["none", "art", "flood", "knockout", "fields", "inverse"] = "none"
    """where ink goes of its own accord; white: none, art, flood, knockout; gloss: none, fields, art, flood, inverse (all but the fields and art that ask for gloss)"""  # noqa: E501
    choke: SomeMmOrDots = 0.1  # common practice, no source: 0.05 to 0.2 mm
    """how far edges move inwards where colour covers them; more than 1 mm is refused as a slip"""
    choke_holes: SomeMmOrDots | None = None
    """white: the choke of edges round holes that art and pictures enclose; by default as choke"""
    choke_texts: SomeMmOrDots | None = None
    """white: the choke under texts; by default as choke"""
    spread: SomeMmOrDots = 0.0
    """white under art: how far it reaches beyond the edges of colour, in the place of a choke"""
    bleed: Mm = 0.0
    """how far a flood passes the item's outline; negative: an inset"""
    passes: Annotated[Whole, Field(ge=1, le=50)] = 1
    """how many times the machine prints it, such as gloss that is to stand up"""
    density: Percent = 100.0
    """white and gloss: the tint of its full ink"""
    under: Literal["all", "texts", "rest"] = "all"
    """white: what it lies under; texts may have a white of their own, with another choke"""
    colours: tuple[Colour, ...] = ()
    """white under, gloss over things of these colours only; pictures have no one colour"""
    pattern: str | None = None
    """gloss: an SVG tile that its ink is broken into"""
    pattern_size: PositiveMm = 4.0
    """the width of a tile"""

    @property
    def inwards(self) -> float:
        """How far edges under colour move inwards; outwards if it is negative."""
        return -self.spread if self.spread else self.choke

    @property
    def inwards_at_texts(self) -> float:
        """The same of the edges of texts."""
        return self.inwards if self.spread or self.choke_texts is None else self.choke_texts

    @property
    def inwards_at_holes(self) -> float:
        """The same round holes that art encloses."""
        return self.inwards if self.spread or self.choke_holes is None else self.choke_holes


def default_plates() -> tuple[Plate, ...]:
    return (
        Plate(name="Colour", role="colour"),
        Plate(name="White", role="white", cover="art"),
        Plate(name="Gloss", role="gloss", cover="fields"),
    )
