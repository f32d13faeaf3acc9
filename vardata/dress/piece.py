"""The static things of a layout: art and shape fields, in painting order.

In: the layout, its drawings. Out: ``Piece`` values, each with its area in item mm, from
which colour marks, white and gloss are made once. Art is painted first, then the fields in
the layout's order; ``after`` says how many variable fields are painted before a piece.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry, outline, softedge, stroke
from vardata.dress.drawing import Drawing, PlacedPicture, Shape
from vardata.dress.ink import Ink, Plates
from vardata.dress.picture_outline import outline as outline_of
from vardata.job import model
from vardata.marks import BLACK, Blend, Cmyk, Commands, Image, Mark, Paint, Path, Shaded, Tints
from vardata.problems import JobError, fail


class Piece(NamedTuple):
    """One static thing. Either ``picture`` or ``commands`` is what is painted."""

    name: str  # of the art's file or the field, for messages
    ink: Ink
    commands: Commands
    even_odd: bool
    stroke: float
    picture: PlacedPicture | None
    area: BaseGeometry
    white: bool
    gloss: bool
    after: int
    density: float = 1.0  # of the white under it
    blend: Blend | None = None  # that it is filled with; ``ink`` then has the heaviest of it

    @property
    def colour(self) -> Cmyk | None:
        """Its one colour; None for what has many."""
        return None if self.picture is not None or self.blend is not None else self.ink.paint

    def mark(self, plate: int, paint: Paint) -> Mark:
        """The piece as a mark on one plate."""
        if self.picture is not None:
            p = self.picture
            if p.picture.space == "Page" and not isinstance(paint, tuple):
                # As an outline: Ghostscript 10.00 lets a stencil that overprints take away what
                # lies half transparent below it.
                return Path(plate, paint, geometry.commands(self.area))
            return Image(plate, paint, p.picture.key, p.x, p.y, p.w, p.h, p.angle)
        if self.blend is not None and isinstance(paint, tuple):
            return Shaded(plate, self.blend, self.commands, self.even_odd)
        return Path(plate, paint, self.commands, even_odd=self.even_odd, stroke=self.stroke)


    def tints(self, plate: int, paint: float, choke: float) -> tuple[Mark, ...]:
        """Its soft edges on a white plate; nothing where it has none."""
        p = self.picture
        return () if p is None or p.picture.soft is None else soft_marks(p, plate, paint, choke)


def soft_marks(p: PlacedPicture, plate: int, paint: float, choke: float) -> tuple[Mark, ...]:
    """The soft edges of a picture in its place, choked. A page's are drawn as areas, one over the
    other, for the reason that ``Piece.mark`` has."""
    soft, choke = p.picture.soft, max(0.0, choke)
    if soft is None:
        return ()
    if p.picture.space != "Page":
        return (Tints(plate, paint, p.picture.key, p.x, p.y, p.w, p.h, p.angle, choke),)
    marks = []
    for tint, mask in softedge.steps(soft, choke * soft.width / p.w, choke * soft.height / p.h):
        step = p.picture._replace(coverage=outline_of(mask).commands)
        drawn = geometry.commands(picture_area(p._replace(picture=step, holes=0.0, specks=0.0)))
        if drawn:
            marks.append(Path(plate, paint * tint, drawn))
    return tuple(marks)


def pieces(
    layout: model.Layout,
    art: Sequence[tuple[model.Art, Drawing]],
    plates: Plates,
    file: str = "",
) -> tuple[Piece, ...]:
    """All static things of a layout that paint anything, in painting order."""
    found = [*of_drawings(art, plates)]
    variable = 0
    for field in layout.fields:
        if isinstance(field, model.ShapeField):
            found += _of_shape(field, plates, variable, file)
        else:
            variable += 1
    return tuple(piece for piece in found if not piece.area.is_empty)


def of_drawings(
    art: Sequence[tuple[model.Art, Drawing]], plates: Plates
) -> tuple[Piece, ...]:
    """What art paints, in painting order. Raises ``JobError``."""
    found: list[Piece] = []
    for placed, drawing in art:
        for part in drawing.parts:
            try:
                found.append(_of_art(placed, part, plates))
            except geometry.Tangled as error:
                raise fail(
                    JobError,
                    "art-tangled",
                    f"a shape cannot be printed: {error}",
                    "simplify the drawing, or save it as PNG",
                    file=placed.file,
                ) from None
    return tuple(piece for piece in found if not piece.area.is_empty)


def _of_art(placed: model.Art, part: Shape | PlacedPicture, plates: Plates) -> Piece:
    if isinstance(part, PlacedPicture):
        ink = plates.of_paint(BLACK, f"art {placed.file}")
        area = picture_area(part)
        return Piece(
            placed.file, ink, (), False, 0.0, part, area, placed.white, placed.gloss, 0,
            placed.white_density / 100,
        )  # fmt: skip
    ink, blend = plates.of_paint(part.paint, f"art {placed.file}"), None
    if part.blend is not None:
        blend = plates.of_blend(part.blend)
        ink = ink._replace(paint=max((p for step in blend.steps for p in step[2:]), key=sum))
    commands, even_odd, width = part.commands, part.even_odd, part.stroke
    if width > 0:
        area = stroke.covered(commands, width, part.cap, part.join, part.miter)
        if (part.cap, part.join) != (stroke.ROUND, stroke.ROUND) or part.blend is not None:
            # A mark's strokes have round caps and joins and one ink; others are printed as areas.
            commands, even_odd, width = geometry.commands(area), False, 0.0
    else:
        area = geometry.area(commands, even_odd)
    return Piece(
        placed.file, ink, commands, even_odd, width, None, area, placed.white, placed.gloss, 0,
        placed.white_density / 100, blend,
    )  # fmt: skip


def picture_area(part: PlacedPicture) -> BaseGeometry:
    """The painted part of a picture in item mm."""
    coverage = geometry.area(part.picture.coverage, tolerance=geometry.FLAT / max(part.w, part.h))
    centred = geometry.placed(coverage, -part.w / 2, -part.h / 2, 0.0, part.w, part.h)
    if part.holes or part.specks:
        centred = geometry.tidied(centred, part.holes, part.specks)
    return geometry.placed(centred, part.x + part.w / 2, part.y + part.h / 2, part.angle)


def _of_shape(field: model.ShapeField, plates: Plates, after: int, file: str) -> list[Piece]:
    """Fill and stroke of a shape field, turned about its box's centre."""
    x, y, w, h = field.box
    cx, cy = x + w / 2, y + h / 2
    drawn = outline.shape_outline(field, file)
    drawn = geometry.moved(geometry.moved(drawn, -cx, -cy), cx, cy, field.rotation)
    key = f"fields.{field.name}"
    found = []

    def piece(
        ink: Ink, commands: Commands, even_odd: bool, width: float, area: BaseGeometry
    ) -> None:
        found.append(
            Piece(
                field.name,
                ink,
                commands,
                even_odd,
                width,
                None,
                area,
                field.white,
                field.gloss,
                after,
                field.white_density / 100,
            )
        )

    if field.fill is not None and field.shape != "line":
        ink = plates.ink(field.fill, f"{key}.fill")
        piece(ink, drawn, False, 0.0, geometry.area(drawn))
    line = field.stroke if field.shape != "line" else field.stroke or field.fill
    if line is not None:
        ink, width = plates.ink(line, f"{key}.stroke"), field.stroke_width
        if field.shape == "rectangle":  # a frame keeps its sharp corners
            area = stroke.covered(drawn, width, 0, 0)
            piece(ink, geometry.commands(area), False, 0.0, area)
        else:
            piece(ink, drawn, False, width, stroke.covered(drawn, width))
    return found
