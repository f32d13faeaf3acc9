"""Problems of many rows that say the same, joined to one line for people.

In: problems. Out: those that differ only in their row, slot and values as one ``Alike``, in the
order of first sight. Answers for machines keep each problem and do not come here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from vardata.job.found import clipped
from vardata.problems import Problem

_SHOWN = 3  # further places that a line names
_LONGEST = 30  # characters of a value beside them
# What may differ: a value in quotes (an apostrophe is none), a letter with its name, a number.
_VALUE = re.compile(r"(?<!\w)'.*?'(?!\w)|(?<!\w)\".*?\"(?!\w)|\(U\+[^)]*\)|\d+(?:[.,]\d+)*")


@dataclass(slots=True)
class Alike:
    """Problems of one shape: the first, the next few, and how many there are."""

    first: Problem
    count: int = 1
    others: list[Problem] = field(default_factory=list)

    def add(self, problem: Problem) -> None:
        self.count += 1
        if len(self.others) < _SHOWN:
            self.others.append(problem)

    def __str__(self) -> str:
        if not self.others:
            return str(self.first)
        return f"{self.first}; likewise {self._places()}"

    def _places(self) -> str:
        own = self.first.value
        named = ", ".join(
            _place(other) + (f" ({clipped(other.value)})" if shown else "")
            for other in self.others
            for shown in (other.value != own and 0 < len(other.value) <= _LONGEST,)
        )
        more = self.count - 1 - len(self.others)
        rows = "" if not self.others[0].where.row else "row " if self.count == 2 else "rows "
        return rows + named + (f" and {more:,} more" if more else "")


def joined(problems: Iterable[Problem]) -> list[Alike]:
    """Problems joined where they are about rows or slots and say the same."""
    found: dict[object, Alike] = {}
    for problem in problems:
        where = problem.where
        key: object = problem
        if where.row or where.slot or where.record:
            words = (_VALUE.sub("'", problem.what), _VALUE.sub("'", problem.remedy))
            place = where._replace(row=int(where.row > 0), record="", bed=0, slot="")
            key = (problem.kind, problem.severity, place, words)
        if key in found:
            found[key].add(problem)
        else:
            found[key] = Alike(problem)
    return list(found.values())


def _place(problem: Problem) -> str:
    """A row, a slot, or else a record, without what the first of its kind has said."""
    where = problem.where
    if where.row:
        return str(where.row)
    if where.slot:
        return f"bed {where.bed} slot {where.slot}" if where.bed else f"slot {where.slot}"
    return f"record {where.record}"
