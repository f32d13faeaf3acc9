"""Quiet zones, in modules: what must stay light around a symbol.

A field's ``quiet`` may ask for more than the standard, never for less: readers do without,
now and then, but a code is held to its standard here. For a linear code it holds for both
ends; above and below its bars no standard asks for any.
"""

from __future__ import annotations

from vardata.job.symbologies import SYMBOLOGIES, Quiet

__all__ = ["STANDARD", "Quiet", "quiet_zone"]

STANDARD: dict[str, Quiet] = {key: kind.quiet for key, kind in SYMBOLOGIES.items()}


def quiet_zone(symbology: str, asked: int | None) -> Quiet | None:
    """The quiet zone that a field gets; None where it asks for less than the standard."""
    standard = STANDARD[symbology]
    if asked is None:
        return standard
    if asked < max(standard):
        return None
    return Quiet(*(asked if side else 0 for side in standard))
