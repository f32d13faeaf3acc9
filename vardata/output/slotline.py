"""One printed slot, as every paper and record of a run tells it.

Made by the worker that builds the bed; the pick list, its tables and the run's record of
slots are written from these alone. Lengths are millimetres on the bed, origin front left.
"""

from __future__ import annotations

from typing import NamedTuple


class SlotLine(NamedTuple):
    """One printed slot.

    ``bed``, ``slot_index`` and ``page`` as a person counts: bed and page from 1, the slot's
    place in the order of filling from 0. ``texts`` and ``codes`` hold (field, content) in the
    layout's order. ``box_mm`` is (x, y, w, h) of the item on the bed, axis-aligned after
    turning; ``rotation`` is in degrees, counter-clockwise.
    """

    bed: int
    slot: str
    slot_index: int
    file: str
    page: int
    record: str
    order: str
    blank_label: str
    texts: tuple[tuple[str, str], ...]
    codes: tuple[tuple[str, str], ...]
    box_mm: tuple[float, float, float, float]
    rotation: float
    product: str = ""
    bag: str = ""  # of its order, such as "2 of 3"


_SHORT = 24  # characters of a code that an eye compares; a link or a long element string is not


def telling(
    texts: tuple[tuple[str, str], ...], codes: tuple[tuple[str, str], ...]
) -> tuple[tuple[str, str], ...]:
    """(field, content) by which a person matches a piece: its texts, then short codes.

    Left out are a code that a text repeats, and a link. Without texts, all codes tell.
    """
    if not texts:
        return codes
    short = [code for code in codes if len(code[1]) <= _SHORT and "://" not in code[1]]
    if not short:
        return texts
    return (*texts, *[code for code in short if not any(code[1] in text for _, text in texts)])
