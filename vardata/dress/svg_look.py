"""The look of one SVG element once inheritance is settled, as values a printer understands.

In: what an element declares and the look of its parent. Out: ``Stroke`` and friends. Values
that SVG readers would silently ignore are reported.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from vardata.dress.svg_guard import INHERITED, Report
from vardata.dress.svg_paint import Ink, Paints
from vardata.svg import shape as svg_shape
from vardata.svg.shape import Size
from vardata.svg.source import Element
from vardata.svg.values import amount, length, numbers, shown

Look = dict[str, str]

_CAPS: dict[str, Literal[0, 1, 2]] = {"butt": 0, "round": 1, "square": 2}
_JOINS: dict[str, Literal[0, 1, 2]] = {"miter": 0, "round": 1, "bevel": 2}
SOLID = "use one solid, opaque colour"


class Stroke(NamedTuple):
    """A stroke in user units; ``dashes`` is even in number, or empty for a solid line."""

    ink: Ink
    width: float
    cap: Literal[0, 1, 2]
    join: Literal[0, 1, 2]
    miter: float
    dashes: tuple[float, ...]
    offset: float


def inherited(parent: Look, declared: Look, element: Element, report: Report) -> Look:
    """The inherited properties of an element."""
    look = dict(parent)
    for name in INHERITED:
        value = declared.get(name, "inherit")
        known = value.lower()
        if known in ("inherit", "unset") or (name == "color" and known == "currentcolor"):
            continue
        if "var(" in known:
            continue  # reported by svg_guard
        if known in ("revert", "revert-layer"):
            report.add(
                element, f"{name}: {shown(value)} depends on the reader", "write the value itself"
            )
        elif known == "initial":
            look[name] = INHERITED[name]
        else:
            look[name] = value
    return look


def ink(
    look: Look, name: str, paints: Paints, size: Size, element: Element, report: Report
) -> Ink | None:
    """The ink of "fill" or "stroke"; None paints nothing. See-through paint is reported."""
    try:
        opacity = amount(look[f"{name}-opacity"])
        found = paints.read(look[name], look["color"], size) if opacity > 0 else None
    except ValueError as error:
        report.add(element, f"{name}: {error}", SOLID)
        return None
    if found is not None and opacity < 1:
        report.add(
            element,
            f"{name}-opacity {opacity:g} cannot be printed as one solid ink",
            "mix the colour by hand and set the opacity to 1",
        )
    return found


def stroke(
    look: Look, paints: Paints, size: Size, element: Element, report: Report
) -> Stroke | None:
    """The stroke of a shape, or None, in a viewport of this size."""
    found = ink(look, "stroke", paints, size, element, report)
    diagonal = svg_shape.diagonal(size)
    if found is None:
        return None
    try:
        width = length(look["stroke-width"], diagonal)
        if width < 0:
            raise ValueError(f"stroke-width {shown(look['stroke-width'])} is negative")
        dashes = _dashes(look["stroke-dasharray"], diagonal)
        return (
            None
            if width == 0
            else Stroke(
                found,
                width,
                _choice(look, "stroke-linecap", _CAPS),
                _choice(look, "stroke-linejoin", _JOINS),
                _miter(look["stroke-miterlimit"]),
                dashes,
                length(look["stroke-dashoffset"], diagonal) if dashes else 0.0,
            )
        )
    except ValueError as error:
        report.add(
            element, f"stroke: {error}", "draw the line plain, or turn it into a filled path"
        )
        return None


def _choice(look: Look, name: str, values: dict[str, Literal[0, 1, 2]]) -> Literal[0, 1, 2]:
    value = look[name].lower()
    if value not in values:
        raise ValueError(f"{name} {shown(look[name])} is not one of {', '.join(values)}")
    return values[value]


def _miter(text: str) -> float:
    values = numbers(text)
    if len(values) != 1 or values[0] < 1:
        raise ValueError(f"stroke-miterlimit {shown(text)} is not a number from 1")
    return values[0]


def _dashes(text: str, diagonal: float) -> tuple[float, ...]:
    """SVG 1.1, 11.4: an odd list is repeated, a negative part is an error, all 0 is solid."""
    if text.lower() == "none":
        return ()
    parts = [length(part, diagonal) for part in text.replace(",", " ").split()]
    if any(part < 0 for part in parts):
        raise ValueError(f"stroke-dasharray {shown(text)} has a negative part")
    if sum(parts) == 0:
        return ()
    return tuple(parts if len(parts) % 2 == 0 else parts * 2)


def even_odd(look: Look, name: str, element: Element, report: Report) -> bool:
    """Whether "fill-rule" or "clip-rule" is even-odd."""
    value = look[name].lower()
    if value not in ("nonzero", "evenodd"):
        report.add(element, f"{name} {shown(value)} is not one of nonzero, evenodd", "mend it")
    return value == "evenodd"


def stroke_first(look: Look, element: Element, report: Report) -> bool:
    """Whether the stroke is painted before the fill (SVG 2, 13.8)."""
    order = look["paint-order"].lower().split()
    if order != ["normal"] and not set(order) <= {"fill", "stroke", "markers"}:
        report.add(element, f"paint-order {shown(look['paint-order'])} is not known", "mend it")
    return "stroke" in order and "fill" not in order[: order.index("stroke")]


def visible(look: Look) -> bool:
    return look["visibility"].lower() not in ("hidden", "collapse")


def marker(look: Look) -> str:
    """The value of the first marker that is asked for, or ""."""
    names = ("marker-start", "marker-mid", "marker-end")
    return next((look[name] for name in names if look[name].lower() != "none"), "")
