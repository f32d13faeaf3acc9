"""What lies in a place: boxes, how a picture is taken into one, and static art. Lengths are mm."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from vardata.job.frozen import Model
from vardata.job.values import Box, FieldBox, Flag, Number, Percent, SomeMmOrDots, Whole

Anchor = Literal[
    "centre", "left", "right", "top", "bottom", "top-left", "top-right", "bottom-left",
    "bottom-right",
]  # fmt: skip
PictureFitting = Literal["contain", "cover", "stretch"]


class Turned(Model):
    """What everything in a place has: a box in mm, turned about the box's centre."""

    box: Box
    """x and y of the lower left corner, width and height, before turning"""
    rotation: Number = 0.0
    """degrees counter-clockwise about the box's centre"""


class Placed(Turned):
    """What art and fields of an item share."""

    white: Flag = True
    """the white plate lies under it where the plate covers art"""
    white_density: Percent = 100.0
    """the tint of the white under it where the plate covers art, in percent of the plate's"""
    gloss: Flag = False
    """the gloss plate lies over it where the plate covers fields"""


class Boxed(Placed):
    """What fields share: their box may be drawn in the layout's art."""

    box: FieldBox
    """x and y of the lower left corner, width and height, before turning; or "#id" of a shape in an SVG of the art, which is then not printed: a turned rectangle's turn is added to rotation"""  # noqa: E501


class Framed(Turned):
    """What says how a picture or a page is taken into its box."""

    fit: PictureFitting = "contain"
    """how the picture fills its box"""
    anchor: Anchor = "centre"
    """what is kept of a picture that covers its box"""
    page: Annotated[Whole, Field(ge=1, le=100_000)] = 1
    """which page of a PDF"""
    page_box: Literal["trim", "bleed", "media"] = "trim"
    """which of a PDF page's boxes fills the box"""
    white_by: Literal["alpha", "ink"] = "alpha"
    """pictures and pages: white under all that is not transparent, or under what has ink"""
    ink_from: Percent = 2.0
    """white_by = "ink" only: the least ink that white lies under"""
    soft_edges: Literal["threshold", "tint", "fade"] = "threshold"
    """what fades out: cut where it is half there; white in tints under whole colour, for dark blanks; or colour and white in tints, for light ones"""  # noqa: E501
    close_holes: SomeMmOrDots = 0.0
    """pictures and pages: holes in their white up to this size are closed"""
    drop_specks: SomeMmOrDots = 0.0
    """pictures and pages: specks of white up to this size are dropped"""
    min_ppi: Annotated[Number, Field(ge=0, le=10_000)] = 0.0
    """a picture with fewer pixels per inch at its size is not printed"""


class Pictured(Framed, Placed):
    """What static art and picture fields share."""


class Art(Pictured):
    """Static art, the same on every item."""

    file: str
    """an SVG (kept as vectors), a PDF (a page of it, kept as it is), or a picture"""
    guides: tuple[str, ...] = ()
    """SVG: ids of elements, such as a layer, that are not printed; nor is what fields name"""
