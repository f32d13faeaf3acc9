"""Lengths and where they are allowed; how a share is written beside its limit.

In: what a person wrote ("2.5in", "10pt", 3). Out: millimetres or points as float.
Does not know how large a dot is: that is a print mode's business (``job.model.PrintMode``).
"""

from __future__ import annotations

import math
import re

MM_PER_INCH = 25.4  # exact since the international yard of 1959
PT_PER_INCH = 72.0  # ISO 32000-1, 8.3.2.3: default user space unit
MM_PER_PT = MM_PER_INCH / PT_PER_INCH
PT_PER_MM = PT_PER_INCH / MM_PER_INCH

_TO_MM = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "pt": MM_PER_PT, "um": 0.001, "µm": 0.001}
_LENGTH = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*([a-zµ]*)\s*", re.IGNORECASE)
_HOW = 'write a number of mm or a text like "2.5in"'
UNITS = ("mm", "cm", "in", "pt", "um")
_DOTS = ("dot", "dots")


class Dots(float):
    """A length in dots of the machine: mm only once a print mode is known (``job.dots``)."""


def to_mm(value: object) -> float:
    """A length in mm. A number is mm; a string may carry mm, cm, in, pt or um.

    Raises ``ValueError`` with one line that says what is allowed.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"{value!r} is not a length; {_HOW}")
    if isinstance(value, int | float):
        return float(value)
    match = _LENGTH.fullmatch(value)
    if match is None:
        raise ValueError(f"{value!r} is not a length; {_HOW}")
    number, unit = match.groups()
    factor = _TO_MM.get(unit.lower() or "mm")
    if factor is None:
        raise ValueError(f"unit {unit!r} in {value!r} is not known; use one of {', '.join(UNITS)}")
    return float(number) * factor


def to_mm_or_dots(value: object) -> float:
    """As ``to_mm``, but a text may also carry dots: "2 dots"."""
    match = _LENGTH.fullmatch(value) if isinstance(value, str) else None
    if match is not None and match.group(2).lower() in _DOTS:
        return Dots(match.group(1))
    try:
        return to_mm(value)
    except ValueError as error:
        raise ValueError(f"{error} or dots" if "unit" in str(error) else str(error)) from None


def to_pt(value: object) -> float:
    """A font size in points. The unit must be written, because 14 could mean pt or mm."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise ValueError(f"a font size needs its unit; write \"{value:g}pt\" or \"{value:g}mm\"")
    if isinstance(value, str):
        match = _LENGTH.fullmatch(value)
        if match and not match.group(2):
            raise ValueError(f"a font size needs its unit; write \"{match.group(1)}pt\"")
        if match and match.group(2).lower() == "pt":
            return float(match.group(1))  # exact: no journey through mm
    return to_mm(value) * PT_PER_MM


def percent(part: float, *least: float) -> str:
    """A share in whole percent, with one decimal where it would look like a limit that it does
    not reach: 0.397 is "39.7%" beside 0.4."""
    shown = f"{part:.0%}"
    if any(part < limit and shown == f"{limit:.0%}" for limit in least):
        return f"{math.floor(part * 1000) / 10:.1f}%"
    return shown
