"""Fits as plain values and back: what waits on disk between fitting and the bed.

In: ``FieldFit``s. Out: tuples of texts, bytes and numbers alone, which ``marshal`` writes several
times faster than pickle writes named tuples; and the same fits again. How a text is set is
packed by itself: a text that repeats (a role, a town) is packed once and comes back as one object.
"""

from __future__ import annotations

import marshal
from collections.abc import Sequence
from typing import Any, TypeAlias, cast

from vardata.fit.result import CodeFit, FieldFit, PictureFit, Run, TextFit

Plain: TypeAlias = tuple[Any, ...] | None

_TEXT, _CODE, _PICTURE = range(3)
_RUNS = TextFit._fields.index("runs")
_LINE = CodeFit._fields.index("line")  # the ends of it come next
_PLAINLY = 2  # marshal's version that does not look for values it has written before
_KEPT = 2_000  # texts, on either side; some repeat, and there are few of those
_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values


class Packer:
    """Packs the fits of many records."""

    def __init__(self) -> None:
        self._texts: dict[int, tuple[TextFit, Plain]] = {}  # by identity; they are kept alive

    def packed(self, fits: Sequence[FieldFit]) -> tuple[Plain, ...]:
        """Plain values of a record's fits."""
        return tuple([None if fit is None else self._packed(fit) for fit in fits])

    def _packed(self, fit: TextFit | CodeFit | PictureFit) -> Plain:
        if type(fit) is TextFit:
            return self._text(fit)
        if type(fit) is CodeFit:
            if fit.line is None:
                return (_CODE, *fit)
            ends = None if fit.ends is None else self._text(fit.ends)
            return (_CODE, *fit[:_LINE], self._text(fit.line), ends, *fit[_LINE + 2 :])
        return (_PICTURE, *fit)

    def _text(self, fit: TextFit) -> Plain:
        found = self._texts.get(id(fit))
        if found is not None:
            return found[1]
        if len(self._texts) >= _KEPT:
            self._texts.clear()
        values: Any = (*fit[1:_RUNS], tuple(map(tuple, fit.runs)), *fit[_RUNS + 1 :])
        plain = (_TEXT, fit.text, marshal.dumps(values, _PLAINLY))
        self._texts[id(fit)] = fit, plain
        return plain


class Unpacker:
    """Gives the fits that were packed."""

    def __init__(self) -> None:
        self._texts: dict[bytes, TextFit] = {}

    def unpacked(self, plain: Sequence[Plain]) -> tuple[FieldFit, ...]:
        """The fits of a record."""
        fits: list[FieldFit] = []
        for values in plain:
            if values is None:
                fits.append(None)
            elif values[0] == _TEXT:
                fits.append(self._text(values))
            elif values[0] == _PICTURE:
                fits.append(_new(PictureFit, values[1:]))
            elif values[_LINE + 1] is None:  # the kind stands first
                fits.append(_new(CodeFit, values[1:]))
            else:
                fits.append(self._lettered(values))
        return tuple(fits)

    def _lettered(self, plain: tuple[Any, ...]) -> CodeFit:
        """A code with a line."""
        _, *values = plain
        for at in (_LINE, _LINE + 1):
            if values[at] is not None:
                values[at] = self._text(values[at])
        return cast(CodeFit, _new(CodeFit, values))

    def _text(self, plain: tuple[Any, ...]) -> TextFit:
        _, text, packed = plain
        found = self._texts.get(packed)
        if found is not None and found[0] == text:
            return found
        if len(self._texts) >= _KEPT:
            self._texts.clear()
        values = [text, *marshal.loads(packed)]
        values[_RUNS] = tuple([_new(Run, run) for run in values[_RUNS]])
        made = self._texts[packed] = cast(TextFit, _new(TextFit, values))
        return made


def contents_of(plain: Sequence[Plain]) -> list[Any]:
    """What each field prints, without unpacking the rest: a text, a code's text, the path of a
    picture, or None."""
    return [None if values is None else values[1] for values in plain]
