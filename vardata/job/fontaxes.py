"""Variable fonts: the place in their design that a layout asks for, and the font that is there.

In: what stands behind the "#" of a font's name, axes and values such as "wght=650,wdth=90" or the
name of an instance, and a font file. Out: a value for every axis of the font; a font file without
axes, made once in a process and the same bytes each time. Axes that are not named stay at the
font's default.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from vardata.job.near import nearest
from vardata.job.paths import PathFault

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

# The value of every axis by its tag, in the font's own order; empty for a font without axes.
Axes = tuple[tuple[str, float], ...]

_PAIR = re.compile(r"\s*([A-Za-z0-9]{1,4})\s*=\s*(-?\d+(?:\.\d+)?)\s*")  # tag and value
_SHOWN = 12  # instances that are named in a message


def settled(shown: str, wanted: str, font: TTFont) -> Axes:
    """Every axis of a font with its value. ``shown`` is the font's name as messages show it.

    Raises ``PathFault`` for an axis or an instance that the font has not, or a value out of range.
    """
    if "fvar" not in font:
        if not wanted:
            return ()
        remedy = f"take {'#' + wanted!r} away, or use a variable font"
        raise PathFault("bad-font", f"{shown}: the font is not variable", remedy)
    axes = {axis.axisTag: axis for axis in font["fvar"].axes}
    place = {tag: float(axis.defaultValue) for tag, axis in axes.items()}
    instances = _instances(font)
    if wanted in instances:
        place |= instances[wanted]
    elif "=" in wanted:
        place |= _written(shown, wanted, axes, instances)
    elif wanted:
        near = nearest(wanted, instances)
        remedy = f"did you mean {near!r}? " if near else ""
        what = f"{shown}: the font has no instance {wanted!r}"
        raise PathFault("bad-font", what, remedy + _offer(axes, instances))
    return tuple(place.items())


def _instances(font: TTFont) -> dict[str, dict[str, float]]:
    """Named instances (OpenType 1.9, fvar); a name that comes twice means the first."""
    found: dict[str, dict[str, float]] = {}
    for instance in font["fvar"].instances:
        name = font["name"].getDebugName(instance.subfamilyNameID)
        if name:
            found.setdefault(str(name), dict(instance.coordinates))
    return found


def _written(
    shown: str, wanted: str, axes: Mapping[str, Any], instances: Mapping[str, object]
) -> dict[str, float]:
    """Axes and values as a person wrote them."""
    found: dict[str, float] = {}
    for part in wanted.split(","):
        pair = _PAIR.fullmatch(part)
        if pair is None or pair[1] in found:
            what = f"{part.strip()!r} is no axis and its value"
            if pair is not None:
                what = f"the axis {pair[1]!r} is given twice"
            remedy = "write them like '#wght=650,wdth=90'; " + _offer(axes, instances)
            raise PathFault("bad-font", f"{shown}: {what}", remedy)
        tag, value = pair[1], float(pair[2])
        if tag not in axes:
            what = f"{shown}: the font has no axis {tag!r}"
            raise PathFault("bad-font", what, _offer(axes, instances))
        if not axes[tag].minValue <= value <= axes[tag].maxValue:
            what = f"{shown}: {tag} {value:g} is out of the font's range"
            raise PathFault("bad-font", what, _offer(axes, instances))
        found[tag] = value
    return found


def _offer(axes: Mapping[str, Any], instances: Mapping[str, object]) -> str:
    """What a font has."""
    ranges = ", ".join(
        f"{tag} {axis.minValue:g} to {axis.maxValue:g}" for tag, axis in axes.items()
    )
    named = [repr(name) for name in instances]
    more = f" and {len(named) - _SHOWN} more" if len(named) > _SHOWN else ""
    offer = f"its axes: {ranges}"
    return f"{offer}; its instances: {', '.join(named[:_SHOWN])}{more}" if named else offer


@lru_cache(maxsize=32)
def instanced(path: Path, member: int | None, axes: Axes) -> bytes:
    """The font file at a place of a variable font's design, as fontTools makes it."""
    from fontTools.ttLib import TTFont
    from fontTools.varLib import instancer

    # The time of making stays out: the same font gives the same bytes.
    with TTFont(path, fontNumber=member or 0, recalcTimestamp=False) as font:
        made = instancer.instantiateVariableFont(
            font, dict(axes), inplace=True, downgradeCFF2="CFF2" in font
        )
        _rename(made, axes)
        out = BytesIO()
        made.save(out)
    return out.getvalue()


def _rename(font: Any, axes: Axes) -> None:
    """A PostScript name that tells instances apart (Adobe Technical Note 5902, from memory)."""
    if "name" not in font:
        return
    own = font["name"].getDebugName(6) or font["name"].getDebugName(1) or "Variable"
    place = "".join(f"_{value:g}{tag}" for tag, value in axes)
    for record in font["name"].names:
        if record.nameID == 6:
            record.string = "".join(str(own).split()) + place
