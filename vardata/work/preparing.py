"""From records to fits: resolve, fit, and the checks of dress that need no slot.

In: records of one layout, many at once: each step is done for all of them before the next, which
takes a machine half the time that it takes to do every step for each. Out: for each record what
became of it. What holds a record first is told; a record that is held goes no further.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from vardata.fit.codes.encode import foresee, foreseeable
from vardata.fit.field import Fitter
from vardata.fit.groupsize import GroupSize, GroupSizes
from vardata.fit.result import FieldFit, TextFit
from vardata.intake.record import Record
from vardata.job.model import Setup, TextField
from vardata.problems import Problem, Where
from vardata.resolve.groups import Grouper
from vardata.resolve.paints import Painter
from vardata.resolve.templates import Resolver
from vardata.resolve.titlecase import kept_words, title_case
from vardata.work.fitted import Fitted, HeldRecord

Strings = list[str | None]
Fits = tuple[FieldFit, ...]
# Why a record with these strings and fits on a blank cannot be printed.
Judge = Callable[[str, Strings, Fits], Problem | None]
_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values


class Preparing:
    """Prepares records of one layout; ``first`` is the number of its first field in the job."""

    def __init__(self, setup: Setup, names: tuple[str, ...], first: int, fitter: Fitter) -> None:
        fields = setup.layout.fields
        self._file, self._locale = setup.sheet_file.name, setup.job.locale
        self._fields, self._first, self._fitter = fields, first, fitter
        self._resolver = Resolver(setup, names)
        self._grouper = Grouper(setup, names)
        self._painter = Painter(setup, names)
        self._cased = frozenset(
            n for n, field in enumerate(fields)
            if isinstance(field, TextField) and field.case == "title"
        )  # fmt: skip
        self.recases = bool(self._cased)
        self._kept = kept_words(setup.layout.keep_case, setup.job.keep_case)
        self._codes = tuple((n, field) for n, field in enumerate(fields) if foreseeable(field))

    def groups(self, record: Record) -> dict[int, str]:
        """The groups that the record's texts share a size with; none if they cannot be told."""
        found = self._grouper.groups(record) if self._grouper else {}
        return {} if isinstance(found, Problem) else found

    def prepare(
        self, records: Sequence[Record], sizes: GroupSizes, judge: Judge
    ) -> list[Fitted | HeldRecord]:
        """What becomes of each record; ``sizes`` are those of groups."""
        held: dict[int, tuple[Problem, ...]] = {}
        strings = self._resolved(records, held)
        given = self._given(records, sizes, held) if self._grouper else None
        written = strings
        if self._cased:
            strings = [self._recased(one) for one in strings]
        for index, field in self._codes:
            foresee([text for one in strings if (text := one[index]) is not None], field)
        fits: list[Any] = self._fitter.fit(strings, given)
        for at, found in enumerate(fits):
            if type(found) is list:
                self._hold(held, at, records[at], *found)
                fits[at] = ()
        if self._painter:
            self._paint(records, fits, held)
        if self._cased:
            fits = [_as_written(*one) for one in zip(fits, written, strings)]
        out: list[Fitted | HeldRecord] = []
        for at, (record, texts, fit) in enumerate(zip(records, strings, fits)):
            if at not in held and (problem := judge(record.blank, texts, fit)) is not None:
                self._hold(held, at, record, problem)
            out.append(_new(Fitted, (record.key, record.order, record.blank, fit)))
        for at, problems in held.items():
            one = records[at]
            out[at] = HeldRecord(one.row, one.piece, one.order, one.values, problems)
        return out

    def _hold(
        self, held: dict[int, tuple[Problem, ...]], at: int, record: Record, *problems: Problem
    ) -> None:
        """Holds a record for what is wrong with fields of it, unless it is held already."""
        where = Where(file=self._file, row=record.row, record=record.key)
        told = (p._replace(where=where._replace(field=p.where.field)) for p in problems)
        held.setdefault(at, tuple(told))

    def _resolved(
        self, records: Sequence[Record], held: dict[int, tuple[Problem, ...]]
    ) -> list[Strings]:
        """The strings of each record; none of one that is held."""
        found = list(map(self._resolver.resolve, records))
        if Problem in map(type, found):
            held.update((at, (one,)) for at, one in enumerate(found) if isinstance(one, Problem))
        nothing: Strings = [None] * len(self._fields)
        return [nothing if isinstance(one, Problem) else one for one in found]

    def _given(
        self, records: Sequence[Record], sizes: GroupSizes, held: dict[int, tuple[Problem, ...]]
    ) -> list[dict[int, GroupSize]]:
        """The sizes of the groups of each record's texts, by the number of the field."""
        out: list[dict[int, GroupSize]] = []
        for at, record in enumerate(records):
            groups = self._grouper.groups(record)
            if isinstance(groups, Problem):
                self._hold(held, at, record, groups)
                groups = {}
            keys = ((n, (self._first + n, name)) for n, name in groups.items())
            out.append({n: sizes[key] for n, key in keys if key in sizes})
        return out

    def _recased(self, strings: Strings) -> Strings:
        return [
            title_case(text, self._locale, self._kept) if text and n in self._cased else text
            for n, text in enumerate(strings)
        ]

    def _paint(
        self, records: Sequence[Record], fits: list[Any], held: dict[int, tuple[Problem, ...]]
    ) -> None:
        """Gives texts the colours that their records choose."""
        for at, record in enumerate(records):
            if at in held:
                continue
            paints = self._painter.paints(record)
            if isinstance(paints, Problem):
                self._hold(held, at, record, paints)
                continue
            fits[at] = tuple(
                fit._replace(paint=paints[n]) if n in paints and isinstance(fit, TextFit) else fit
                for n, fit in enumerate(fits[at])
            )


def _as_written(fits: Fits, written: Strings, strings: Strings) -> Fits:
    """Fits that know how a text was written before its case was changed."""
    if written == strings:
        return fits
    return tuple(
        fit._replace(written=was) if isinstance(fit, TextFit) and was and was != now else fit
        for fit, was, now in zip(fits, written, strings)
    )
