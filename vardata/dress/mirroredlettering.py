"""Texts that are printed mirrored: for a transfer, or to be read from behind.

In: the lettering of the same box at the origin, unturned. Out: its marks and areas seen in a
mirror across the middle of the box, then turned with the box. A run that is mirrored has a
negative squeeze. Nothing else of a text changes: its fit, its choke, what lies near.
"""

from __future__ import annotations

from typing import TypeVar

from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from vardata.dress import geometry
from vardata.dress.geometry import Bounds
from vardata.dress.lettering import STAY, Lettering, TextWhite
from vardata.dress.text import Texts
from vardata.fit.result import TextFit
from vardata.job.model import Box
from vardata.marks import Command, GlyphRun, Mark, Paint, Path, RunOnPlates, Share

Shift = tuple[float, float]
R = TypeVar("R", GlyphRun, RunOnPlates)


class MirroredLettering(Lettering):
    """Brings mirrored texts into item mm; ``kind`` is how they are set before."""

    def __init__(
        self, box: Box, rotation: float, texts: Texts, kind: type[Lettering] = Lettering
    ) -> None:
        super().__init__(box, rotation, texts)
        self._plain = kind((0.0, 0.0, box[2], box[3]), 0.0, texts)

    def bounds(self, ink: Bounds, shift: Shift = STAY) -> Bounds:
        w, _ = self._size
        return super().bounds((w - ink[2], ink[1], w - ink[0], ink[3]), shift)

    def area(
        self, fit: TextFit, shift: Shift = STAY, within: Bounds | None = None
    ) -> BaseGeometry:
        mirrored = affine_transform(self._plain.area(fit), (-1, 0, 0, 1, self._size[0], 0))
        ink = geometry.placed(mirrored, *self.at(*shift), self.angle)
        return ink if within is None else geometry.clipped(ink, within)

    def boxes(self, fit: TextFit, shift: Shift = STAY) -> list[Bounds]:
        return [self.bounds(box, shift) for box in self._plain.boxes(fit)]

    def ink(self, plate: int, paint: Paint, fit: TextFit, shift: Shift = STAY) -> list[Mark]:
        return self._seen(self._plain.ink(plate, paint, fit), shift)

    def on_plates(self, shares: tuple[Share, ...], fit: TextFit) -> list[RunOnPlates] | None:
        marks = self._plain.on_plates(shares, fit)
        return None if marks is None else [self._run(mark, STAY) for mark in marks]

    def white(self, plate: int, fit: TextFit, choke: float, shift: Shift = STAY) -> TextWhite:
        runs, areas, least = self._plain.white(plate, fit, choke)
        return TextWhite(self._seen(runs, shift), self._seen(areas, shift), least)

    def cores(self, plate: int, fit: TextFit, choke: float, shift: Shift = STAY) -> list[Mark]:
        return self._seen(self._plain.cores(plate, fit, choke), shift)

    # ------------------------------------------------------------ the mirror

    def _place(self, x: float, y: float, shift: Shift) -> tuple[float, float]:
        return self.at(self._size[0] - x + shift[0], y + shift[1])

    def _run(self, run: R, shift: Shift) -> R:
        x, y = self._place(run.x, run.y, shift)
        angle = self.angle - run.angle
        return run._replace(x=x, y=y, angle=angle, squeeze=-run.squeeze)

    def _seen(self, marks: list[Mark], shift: Shift) -> list[Mark]:
        found: list[Mark] = []
        for mark in marks:
            if isinstance(mark, GlyphRun):
                found.append(self._run(mark, shift))
            elif isinstance(mark, Path):
                x, y = self._place(mark.x, mark.y, shift)
                drawn = tuple(map(_mirrored, mark.commands))
                found.append(mark._replace(commands=drawn, x=x, y=y, angle=self.angle - mark.angle))
        return found


def _mirrored(command: Command) -> Command:
    """One drawing command with every x on the other side of 0."""
    kind, *numbers = command
    values = [float(number) for number in numbers]
    if kind == "re":
        x, y, w, h = values
        return ("re", -x - w, y, w, h)
    return (kind, *(value if at % 2 else -value for at, value in enumerate(values)))
