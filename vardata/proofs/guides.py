"""Guides on a proof: the box of each text, what its letters stand on, the safe edge of the item.

In: a layout and a fitted record. Out: PDF operators in item mm, drawn over the item's picture;
they are on no plate and are never printed.
"""

from __future__ import annotations

import math

from vardata.dress.outline import flood, item_outline
from vardata.fit.oncurve import track_of
from vardata.fit.result import TextFit
from vardata.job.model import CodeField, Layout, PictureField, TextField
from vardata.marks import Commands
from vardata.work.fitted import Fitted

_OUTLINE = "0.5 G 0.08 w [] 0 d"
_SAFE = "0 0.6 0.25 RG 0.08 w [0.8 0.5] 0 d"
_BOX = "0.85 0.1 0.5 RG 0.08 w [0.5 0.4] 0 d"
_BASE = "0 0.55 0.85 RG 0.08 w [] 0 d"
_STEPS = 96  # lines that a bent base is drawn with
_VERBS = {"m": "m", "l": "l", "c": "c", "h": "h", "re": "re"}


def guides(layout: Layout, record: Fitted) -> list[str]:
    """Operators that draw the guides of one item."""
    out = [_OUTLINE, _path(item_outline(layout))]
    if layout.safe:
        out += [_SAFE, _path(flood(layout, -layout.safe)[0])]
    for field, fit in zip(layout.fields, record.fits):
        if not isinstance(field, TextField | CodeField | PictureField):
            continue
        x, y, w, h = field.box
        angle = math.radians(field.rotation)
        c, s = math.cos(angle), math.sin(angle)
        # The box turns about its own centre.
        dx = x + w / 2 - c * w / 2 + s * h / 2
        dy = y + h / 2 - s * w / 2 - c * h / 2
        out.append(f"q {c:.6f} {s:.6f} {-s:.6f} {c:.6f} {dx:.4f} {dy:.4f} cm")
        out.append(f"{_BOX} 0 0 {w:g} {h:g} re S")
        if isinstance(field, TextField) and isinstance(fit, TextFit):
            out += [_BASE, *_bases(field, fit)]
        out.append("Q")
    return out


def _bases(field: TextField, fit: TextFit) -> list[str]:
    """What letters stand on, in the box: straight lines, or the line that bends. Letters in
    columns stand on nothing."""
    w = field.box[2]
    if fit.turns:
        track = track_of(field)
        spots = [track.spot(track.length * step / _STEPS) for step in range(_STEPS + 1)]
        places = [(w - spot.x if field.mirror else spot.x, spot.y) for spot in spots]
        steps = (f"{x:.4f} {y:.4f} {'l' if at else 'm'}" for at, (x, y) in enumerate(places))
        return [" ".join(steps) + " S"]
    if field.direction == "down":
        return []
    bases = sorted({run.y for run in fit.runs})
    return [f"0 {base:.4f} m {w:g} {base:.4f} l S" for base in bases]


def _path(commands: Commands) -> str:
    steps = (
        " ".join([*(f"{float(number):.4f}" for number in numbers), _VERBS[str(verb)]])
        for verb, *numbers in commands
    )
    return " ".join(steps) + " S"
