"""Fits as plain values and back: what waits on disk between fitting and the bed.

In: ``FieldFit``s. Out: tuples of tuples, texts, bytes and numbers alone, which ``marshal``
writes several times faster than pickle writes named tuples; and the same fits again.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias, cast

from vardata.fit.result import CodeFit, FieldFit, PictureFit, Run, TextFit

Plain: TypeAlias = tuple[Any, ...] | None

_TEXT, _CODE, _PICTURE = range(3)
_RUNS = TextFit._fields.index("runs") + 1  # the kind stands first
_LINE = CodeFit._fields.index("line") + 1
_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values


def packed(fits: Sequence[FieldFit]) -> tuple[Plain, ...]:
    """Plain values of a record's fits."""
    return tuple([None if fit is None else _packed(fit) for fit in fits])


def _packed(fit: Any) -> Plain:
    kind = type(fit)
    if kind is TextFit:
        return (_TEXT, *fit[: _RUNS - 1], tuple(map(tuple, fit[_RUNS - 1])), *fit[_RUNS:])
    if kind is CodeFit:
        line: TextFit | None = fit[_LINE - 1]
        if line is None:
            return (_CODE, *fit)
        return (_CODE, *fit[: _LINE - 1], _packed(line), *fit[_LINE:])
    return (_PICTURE, *fit)


def unpacked(plain: Sequence[Plain]) -> tuple[FieldFit, ...]:
    """The fits that were packed."""
    return tuple([None if values is None else _unpacked(values) for values in plain])


def texts_of(plain: Sequence[Plain]) -> tuple[list[str | None], list[str | None]]:
    """What each field says, without unpacking the rest: in texts, in codes."""
    texts: list[str | None] = []
    codes: list[str | None] = []
    for values in plain:
        kind = None if values is None else values[0]
        texts.append(values[1] if values is not None and kind == _TEXT else None)
        codes.append(values[1] if values is not None and kind == _CODE else None)
    return texts, codes


def _unpacked(plain: tuple[Any, ...]) -> TextFit | CodeFit | PictureFit:
    kind, *values = plain
    if kind == _TEXT:
        values[_RUNS - 1] = tuple([_new(Run, run) for run in values[_RUNS - 1]])
        return cast(TextFit, _new(TextFit, values))
    if kind == _CODE:
        if values[_LINE - 1] is not None:
            values[_LINE - 1] = _unpacked(values[_LINE - 1])
        return cast(CodeFit, _new(CodeFit, values))
    return cast(PictureFit, _new(PictureFit, values))
