"""Dots of a print mode as exact lengths: what a module and a bar must be multiples of.

A field lies on the bed at a net turn of 0 to 3 quarter turns, so its own x axis runs along
the bed's x (even turns) or y (odd turns). Lengths are fractions of a millimetre: sums of
dots stay exact where floats would not.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

_MM_PER_INCH = Fraction(254, 10)


def exact(length: float) -> Fraction:
    """A length as it was written: 0.1 is one tenth, not the float nearest to it."""
    return Fraction(str(length))


@lru_cache(maxsize=64)
def pitch(dpi: float) -> Fraction:
    """The mm from dot to dot."""
    return _MM_PER_INCH / exact(dpi)


def common(first: Fraction, second: Fraction) -> Fraction:
    """The smallest length that is a whole number of both."""
    numerator = math.lcm(first.numerator, second.numerator)
    return Fraction(numerator, math.gcd(first.denominator, second.denominator))


def both_ways(turns: frozenset[int]) -> bool:
    """Whether a field lies along either axis of the bed."""
    return len({turn % 2 for turn in turns}) == 2


def pitches(dpi: tuple[float, float], turns: frozenset[int], upright: bool) -> set[Fraction]:
    """The pitches that a field's axis can meet: its y axis if ``upright``, else its x axis."""
    return {pitch(dpi[(turn + upright) % 2]) for turn in turns}


def step(dpi: tuple[float, float], turns: frozenset[int], upright: bool) -> Fraction:
    """The smallest length along a field's axis that is whole dots at each of its turns."""
    first, *rest = sorted(pitches(dpi, turns, upright))
    return common(first, rest[0]) if rest else first


def play(dpi: tuple[float, float], turns: frozenset[int], upright: bool) -> Fraction:
    """The room along a field's axis for moving to the nearest dot: half a dot each way."""
    return max(pitches(dpi, turns, upright))
