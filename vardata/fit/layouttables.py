"""What a font's layout tables (OpenType 1.9: GSUB, GPOS) do with one glyph.

In: a table's bytes and a glyph's number. Out: the lookups of features, and how far each of them
looks at the glyph. Nothing is applied here, and values are only told from zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import IntEnum
from struct import unpack_from

_IGNORE_BASES, _IGNORE_LIGATURES = 0x2, 0x4  # lookup flags; those for marks are other glyphs'
_BASE, _LIGATURE, _MARK = 1, 2, 3  # glyph classes of GDEF
_NO_FEATURE = 0xFFFF


class Touch(IntEnum):
    """How a lookup deals with a glyph: not at all; it kerns it with its neighbours, and moves the
    first of the two alone; in any other way."""

    NONE = 0
    KERNED = 1
    ANY = 2


def numbers(data: bytes, at: int) -> tuple[int, ...]:
    """An array of 16 bits that begins with its length."""
    (count,) = unpack_from(">H", data, at)
    return unpack_from(f">{count}H", data, at + 2)


def covered(data: bytes, at: int, glyph: int) -> bool:
    """Whether a Coverage table has a glyph."""
    form, count = unpack_from(">2H", data, at)
    if form == 1:
        return glyph in unpack_from(f">{count}H", data, at + 4)
    ranges = unpack_from(f">{count * 3}H", data, at + 4)
    return any(a <= glyph <= b for a, b in zip(ranges[::3], ranges[1::3]))


def class_of(data: bytes, at: int, glyph: int) -> int:
    """The class that a ClassDef table gives a glyph."""
    (form,) = unpack_from(">H", data, at)
    if form == 1:
        (start,) = unpack_from(">H", data, at + 2)
        classes = numbers(data, at + 4)
        return int(classes[glyph - start]) if 0 <= glyph - start < len(classes) else 0
    (count,) = unpack_from(">H", data, at + 2)
    ranges = unpack_from(f">{count * 3}H", data, at + 4)
    found = (c for a, b, c in zip(ranges[::3], ranges[1::3], ranges[2::3]) if a <= glyph <= b)
    return next(found, 0)


class LayoutTable:
    """One of the two tables, seen from one glyph. ``glyph_class`` is the glyph's own in GDEF."""

    def __init__(self, data: bytes, glyph: int, glyph_class: int, positions: bool) -> None:
        self._data, self._glyph, self._class = data, glyph, glyph_class
        self._positions = positions
        at: tuple[int, ...] = unpack_from(">3H", data, 4)
        self._scripts, self._features, self._lookups = at
        (minor,) = unpack_from(">H", data, 2)
        self.varies = minor > 0 and unpack_from(">I", data, 10) != (0,)

    # ------------------------------------------------------------ scripts and features

    def has_script(self, tags: Iterable[str]) -> bool:
        return bool(self._records(self._scripts, [tag.encode() for tag in tags]))

    def languages(self, scripts: Iterable[str]) -> list[dict[str, tuple[int, ...]]]:
        """The lookups of each feature by its tag, for each language system of the scripts; ""
        stands for a required feature."""
        data, found = self._data, []
        wanted = [tag.encode() for tag in scripts]
        for script in self._records(self._scripts, wanted):
            systems = [script + at for at in unpack_from(">H", data, script) if at]
            systems += self._records(script + 2, None, script)
            found += [self._system(at) for at in systems]
        return found

    def _records(
        self, at: int, tags: Iterable[bytes] | None, base: int | None = None
    ) -> list[int]:
        """Where the records of a list begin that have one of the tags, or all of them."""
        data = self._data
        (count,) = unpack_from(">H", data, at)
        records = (unpack_from(">4sH", data, at + 2 + 6 * n) for n in range(count))
        start = at if base is None else base
        return [start + offset for tag, offset in records if tags is None or tag in tags]

    def _system(self, at: int) -> dict[str, tuple[int, ...]]:
        data = self._data
        (required,) = unpack_from(">H", data, at + 2)
        found: dict[str, tuple[int, ...]] = {}
        for number in numbers(data, at + 4):
            tag, offset = unpack_from(">4sH", data, self._features + 2 + 6 * number)
            found[tag.decode("latin-1")] = numbers(data, self._features + offset + 2)
        if required != _NO_FEATURE:
            _, offset = unpack_from(">4sH", data, self._features + 2 + 6 * required)
            found[""] = numbers(data, self._features + offset + 2)
        return found

    # ------------------------------------------------------------ lookups

    def touch(self, lookups: Iterable[int]) -> Touch:
        """The most that lookups, and those that they call, do with the glyph."""
        waiting, seen = list(lookups), set[int]()
        most, skipping = Touch.NONE, False
        while waiting and most < Touch.ANY:
            number = waiting.pop()
            if number in seen:
                continue
            seen.add(number)
            for kind, at in self._subtables(number):
                touch, called, skips = self._subtable(kind, at)
                most, skipping = max(most, touch), skipping or skips
                waiting += called
            if self._passes_over(number):
                most = Touch.ANY
        # A pair whose second is moved too is passed over as a whole: the second begins no pair.
        return Touch.ANY if most == Touch.KERNED and skipping else most

    def _passes_over(self, number: int) -> bool:
        """Whether a lookup does not see the glyph, and so sees what stands on either side."""
        _, flags = unpack_from(">2H", self._data, self._lookup(number))
        hidden = {_BASE: _IGNORE_BASES, _LIGATURE: _IGNORE_LIGATURES}.get(self._class, 0)
        return self._class == _MARK or bool(flags & hidden)

    def _lookup(self, number: int) -> int:
        (offset,) = unpack_from(">H", self._data, self._lookups + 2 + 2 * number)
        return self._lookups + int(offset)

    def _subtables(self, number: int) -> Iterator[tuple[int, int]]:
        """Type and place of each subtable, extensions followed."""
        data, lookup = self._data, self._lookup(number)
        (kind,) = unpack_from(">H", data, lookup)
        for offset in numbers(data, lookup + 4):
            at = lookup + offset
            if kind == (9 if self._positions else 7):
                _, actual, further = unpack_from(">2HI", data, at)
                yield actual, at + further
            else:
                yield kind, at

    def _subtable(self, kind: int, at: int) -> tuple[Touch, list[int], bool]:
        """What a subtable does with the glyph, the lookups that it calls, and whether it moves
        the second of a pair."""
        if self._positions:
            if kind == 2:
                touch, skips = self._pairs(at)
                return touch, [], skips
            kind = {7: 5, 8: 6}.get(kind, 1)  # a mark's coverage stands where a single's does
        if kind in (5, 6):
            touched, called = self._context(at, kind == 6)
            return Touch.ANY if touched else Touch.NONE, called, False
        data, glyph = self._data, self._glyph
        touched = covered(data, at + unpack_from(">H", data, at + 2)[0], glyph)
        if not touched and kind == 4:
            touched = self._in_ligatures(at)
        if not touched and kind == 8:
            back = numbers(data, at + 4)
            ahead = numbers(data, at + 6 + 2 * len(back))
            touched = any(covered(data, at + cover, glyph) for cover in (*back, *ahead))
        return Touch.ANY if touched else Touch.NONE, [], False

    def _in_ligatures(self, at: int) -> bool:
        """Whether the glyph is any but the first component of a ligature."""
        data = self._data
        for offset in numbers(data, at + 4):
            for ligature in numbers(data, at + offset):
                (count,) = unpack_from(">H", data, at + offset + ligature + 2)
                rest = unpack_from(f">{count - 1}H", data, at + offset + ligature + 4)
                if self._glyph in rest:
                    return True
        return False

    # ------------------------------------------------------------ pairs

    def _pairs(self, at: int) -> tuple[Touch, bool]:
        data, glyph = self._data, self._glyph
        form, cover, first, second = unpack_from(">4H", data, at)
        size = 2 * ((first & 0xFF).bit_count() + (second & 0xFF).bit_count())
        begins = covered(data, at + cover, glyph)
        skips = bool(second)
        if form == 1:
            sets = numbers(data, at + 8)
            touched = begins or any(self._kerned(at + offset, size) for offset in sets)
        else:
            touched = self._kerned_by_class(at, size, begins)
        if begins and skips:
            return Touch.ANY, skips
        return Touch.KERNED if touched else Touch.NONE, skips

    def _kerned(self, at: int, size: int) -> bool:
        """Whether a set of pairs has values for the glyph as the second."""
        data = self._data
        (count,) = unpack_from(">H", data, at)
        step = 2 + size
        seconds = unpack_from(f">{count * step // 2}H", data, at + 2)[:: step // 2]
        if self._glyph not in seconds:
            return False
        values = at + 2 + step * seconds.index(self._glyph) + 2
        return any(data[values : values + size])

    def _kerned_by_class(self, at: int, size: int, begins: bool) -> bool:
        """The same for pairs of classes; ``begins``: the glyph may be the first too."""
        data = self._data
        one, other, ones, others = unpack_from(">4H", data, at + 8)
        column = class_of(data, at + other, self._glyph)
        cells = [row * others + column for row in range(ones)]
        if begins:
            row = class_of(data, at + one, self._glyph)
            cells += range(row * others, (row + 1) * others)
        starts = (at + 16 + cell * size for cell in cells)
        return any(any(data[start : start + size]) for start in starts)

    # ------------------------------------------------------------ contexts

    def _context(self, at: int, chained: bool) -> tuple[bool, list[int]]:
        """Whether the glyph may stand anywhere in what a rule looks at; the lookups called."""
        data, glyph = self._data, self._glyph
        (form,) = unpack_from(">H", data, at)
        if form == 3:
            parts, called = self._rule(at + 2, chained, 0)
            return any(covered(data, at + cover, glyph) for part in parts for cover in part), called
        touched = covered(data, at + unpack_from(">H", data, at + 2)[0], glyph)
        own, sets = (glyph,) * 3, at + 4
        if form == 2:
            tables = unpack_from(">3H" if chained else ">H", data, at + 4)
            classes = [class_of(data, at + offset, glyph) if offset else 0 for offset in tables]
            own = (classes[0], classes[len(classes) // 2], classes[-1])
            sets += 2 * len(tables)
        found: list[int] = []
        for offset in numbers(data, sets):
            for rule in numbers(data, at + offset) if offset else ():
                parts, called = self._rule(at + offset + rule, chained, 1)
                touched = touched or any(one in part for one, part in zip(own, parts))
                found += called
        return touched, found

    def _rule(
        self, at: int, chained: bool, given: int
    ) -> tuple[list[tuple[int, ...]], list[int]]:
        """What a rule wants before, at and after its place, and the lookups that it calls.

        ``given`` is 1 where the first of its own glyphs is known from elsewhere.
        """
        data = self._data
        parts: list[tuple[int, ...]] = []
        if chained:
            for less in (0, given, 0):
                (count,) = unpack_from(">H", data, at)
                parts.append(unpack_from(f">{count - less}H", data, at + 2))
                at += 2 + 2 * (count - less)
            (calls,) = unpack_from(">H", data, at)
            at += 2
        else:
            count, calls = unpack_from(">2H", data, at)
            parts += [(), unpack_from(f">{count - given}H", data, at + 4), ()]
            at += 4 + 2 * (count - given)
        return parts, list(unpack_from(f">{calls * 2}H", data, at)[1::2])
