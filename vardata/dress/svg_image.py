"""A picture held inside an SVG as a data: address.

In: an ``<image>`` element. Out: ``Embedded``: the picture and the rectangle it fills, in user
units. Pictures in other files are refused; they are never looked for.
"""

from __future__ import annotations

import base64
import binascii
import re
from typing import NamedTuple

from vardata.dress import pictures
from vardata.dress.drawing import Picture
from vardata.dress.framing import WHOLE, Framing
from vardata.dress.svg_guard import Report
from vardata.problems import Problem, VardataError, Where
from vardata.svg import shape as svg_shape
from vardata.svg.shape import Figure, Size
from vardata.svg.source import Element, described, href
from vardata.svg.values import fitted, shown

_DATA = re.compile(r"data:image/(?:png|jpe?g)\s*;\s*base64\s*,", re.IGNORECASE)
_REMEDY = "hold the picture inside the drawing, or place it as art of its own"


class Embedded(NamedTuple):
    picture: Picture
    figure: Figure  # a rect in user units
    notes: tuple[Problem, ...]


def embedded(
    element: Element, size: Size, report: Report, framing: Framing = WHOLE
) -> Embedded | None:
    """The picture of an ``<image>``; None if there is nothing to draw or it was refused."""
    link = href(element)
    head = _DATA.match(link)
    if head is None:
        what = (
            "the picture is neither PNG nor JPEG"
            if link.startswith("data:")
            else (f"the picture {shown(link)} lies outside the drawing")
        )
        report.add(element, what, _REMEDY)
        return None
    where = Where(report.name, element.sourceline or 0, described(element))
    try:
        data = base64.b64decode("".join(link[head.end() :].split()), validate=True)
        sides = [svg_shape.value(element, name, size, -1.0) for name in ("width", "height")]
        x, y = (svg_shape.value(element, name, size) for name in ("x", "y"))
        if 0 in sides:
            return None
        found = pictures.from_bytes(data, where, framing)
        w, h = _sides(sides, found.picture)
        aspect = element.get("preserveAspectRatio") or ""
        sx, sy, left, top, cut = fitted((found.picture.width, found.picture.height), (w, h), aspect)
        if cut:
            report.add(element, "the picture is cut by its frame (slice)", "cut the picture itself")
            return None
    except binascii.Error:
        report.add(element, "the picture's data is damaged", _REMEDY, "picture-unreadable")
        return None
    except ValueError as error:
        report.add(element, str(error), "mend its size", "svg-broken")
        return None
    except VardataError as error:
        report.problems += error.problems
        return None
    box = {
        "x": x + left, "y": y + top,
        "width": found.picture.width * sx, "height": found.picture.height * sy,
    }  # fmt: skip
    return Embedded(
        found.picture, Figure("rect", {key: repr(v) for key, v in box.items()}), found.notes
    )


def _sides(sides: list[float], picture: Picture) -> tuple[float, float]:
    """The frame, where a missing side (-1) follows from the picture's own size (SVG 2, 7.11)."""
    w, h = sides
    if w < 0 and h < 0:
        return float(picture.width), float(picture.height)
    if w < 0:
        return h * picture.width / picture.height, h
    if h < 0:
        return w, w * picture.height / picture.width
    return w, h
