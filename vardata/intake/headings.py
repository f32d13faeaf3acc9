"""The headings of a sheet, and what each of its columns is called and for.

In: the heading row, the job's ``columns`` and ``records``, and the names that templates need.
Out: a ``Plan`` of the columns that are kept, or every fault at once. Nothing is guessed: a
heading that could be meant twice is a fault as soon as anything needs it.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from vardata.intake.columns import Plan
from vardata.intake.missing import Missing, missing_problem
from vardata.intake.parts import Split, splits
from vardata.intake.safenames import RESERVED, fold, safe_name
from vardata.intake.tally import quoted
from vardata.job.near import listed
from vardata.letters import letters
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from vardata.job.model import Column, Records, Work

@dataclass(slots=True)
class _Work:
    """What is known while the plan is made."""

    sheet: str
    row: int
    headings: list[str]
    kept: list[int]
    faults: list[Problem] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    notes: list[Problem] = field(default_factory=list)

    def fault(self, kind: str, what: str, remedy: str, column: str = "", value: str = "") -> None:
        where = Where(sheet=self.sheet, row=self.row, column=column)
        self.faults.append(Problem(kind, Severity.ERROR, what, remedy, where, value))

    def matches(self, heading: str) -> list[int]:
        """Columns with this heading: letter by letter, or else alike but for case and blanks."""
        exact = [i for i in self.kept if self.headings[i].strip() == heading.strip()]
        return exact or [i for i in self.kept if fold(self.headings[i]) == fold(heading)]

    def lacks(
        self, what: str, short: str, wanted: str, otherwise: str, value: str, *, near: str = ""
    ) -> None:
        self.missing.append(Missing(what, short, quoted(wanted), near, otherwise, value))

    def nearest(self, wanted: str) -> str:
        """The nearest heading in quotes, if one is near."""
        by_fold = {fold(self.headings[i]): self.headings[i] for i in reversed(self.kept)}
        by_fold |= {safe_name(h): h for h in by_fold.values() if safe_name(h)}
        close = difflib.get_close_matches(fold(wanted), list(by_fold), 1, 0.6)
        return quoted(by_fold[close[0]]) if close else ""

    def all_faults(self) -> list[Problem]:
        """The faults, with one for all missing columns."""
        if not self.missing:
            return self.faults
        headings = [self.headings[i] for i in self.kept]
        where = Where(sheet=self.sheet, row=self.row)
        return [missing_problem(self.missing, headings, where), *self.faults]


def plan_columns(
    headings: Sequence[str],
    columns: Mapping[str, str | Column],
    records: Records,
    work: Work | None,
    code_names: frozenset[str],
    needed: frozenset[str],
    text_names: frozenset[str] = frozenset(),
    *,
    sheet: str,
    row: int,
) -> tuple[Plan | None, list[Problem], list[Problem]]:
    """The plan (None if there are faults), the faults, and notes on names that were changed."""
    texts = list(headings)
    table = _Work(sheet, row, texts, [i for i, text in enumerate(texts) if text.strip()])
    if not table.kept:
        table.fault(
            "no-headings",
            "the heading row is empty",
            "set header_row under [sheet] to the row that holds the headings",
        )
        return None, table.faults, table.notes
    mapped = _mapped(table, columns)
    if 1 < len(columns) == len(table.missing) and not any(one.near for one in table.missing):
        return None, [_elsewhere(table)], table.notes
    wanted = needed | code_names
    names = _named(table, mapped, wanted)
    parted = splits(columns, names)
    for split in parted:
        _add_parts(table, names, split)
    position = {name: place for place, name in enumerate(names)}
    told = {one.value for one in table.faults} | {one.value for one in table.missing}
    for name in sorted(wanted - position.keys()):
        if name not in told:
            _missing(table, name, names)
    roles = {
        role: _role(table, role, getattr(records, role), position)
        for role in ("order", "line", "quantity", "blank", "product")
    }
    found = {
        role: _role(table, role.replace("_", " "), getattr(work, role, None), position)
        for role in ("ship_by", "priority")
    }
    sort = [_role(table, "sort", name, position) for name in (work.sort if work else ())]
    if faults := table.all_faults():
        return None, faults, table.notes
    kinds = {name: getattr(column, "kind", "auto") for name, column in columns.items()}
    codes = {
        place for name, place in position.items()
        if kinds.get(name) == "code" or (name in code_names and kinds.get(name) != "text")
    }  # fmt: skip
    used = {position[name] for name in wanted}
    parent = {position[name]: split.place for split in parted for name in split.names}
    used |= {place for place in (*roles.values(), *found.values(), *sort) if place is not None}
    used |= {parent[place] for place in used if place in parent}
    plan = Plan(
        tuple(names),
        tuple(texts[i] for i in table.kept),
        tuple(table.kept),
        frozenset(codes),
        frozenset(used),
        roles["order"],
        roles["quantity"],
        roles["blank"],
        table.kept[-1] + 1,
        max(len(texts), table.kept[-1] + 1),
        roles["line"],
        roles["product"],
        found["ship_by"],
        found["priority"],
        tuple(place for place in sort if place is not None),
        parted,
        tuple(parent[place] for place in range(len(table.kept), len(names))),
        frozenset(
            place for place in codes
            if kinds.get(names[place]) == "code" or names[place] not in text_names
        ),
    )
    return plan, [], table.notes


def _missing(table: _Work, name: str, names: Sequence[str]) -> None:
    """A name that the layout uses and no column has."""
    safe = safe_name(name)
    if safe in names:
        table.fault(
            "no-column",
            f"the layout uses column {name!r}, which is no name for templates",
            f"write {{{{ {safe} }}}} in the layout",
            value=name,
        )
    elif f"{name}_" in names:
        table.fault(
            "reserved-name",
            f"the layout uses column {name!r}, but that is a word of the template language",
            f"write {name}_ in the layout",
            value=name,
        )
    else:
        table.lacks(
            f"the layout uses column {name!r}, which is not there", f"{name!r} of the layout", name,
            "add the column, or name its heading under [columns]", name,
            near=_near_name(name, names),
        )  # fmt: skip


def _add_parts(table: _Work, names: list[str], split: Split) -> None:
    """Names of parts after those of columns, none of them twice."""
    for name in split.names:
        if name in names:
            table.fault(
                "same-column",
                f"the part {{{name}}} of column {names[split.place]!r} has the name of a column",
                "give the part a name of its own",
                value=name,
            )
        names.append(name)


def _near_name(name: str, names: Sequence[str]) -> str:
    """The nearest name that a template may use, as it writes it."""
    close = difflib.get_close_matches(safe_name(name), names, 1, 0.6)
    return f"{{{{ {close[0]} }}}}" if close else ""


def _elsewhere(work: _Work) -> Problem:
    """One fault for a heading row that has nothing of what the job looks for."""
    where = Where(sheet=work.sheet, row=work.row)
    shown = listed(quoted(work.headings[i]) for i in work.kept)
    what = f"none of the job's columns is in this heading row; the headings are {shown}"
    remedy = "check file, sheet, header_row and delimiter under [sheet]"
    return Problem("no-headings", Severity.ERROR, what, remedy, where)


def _mapped(work: _Work, columns: Mapping[str, str | Column]) -> dict[int, str]:
    """Sheet columns that the job names itself: index -> name."""
    mapped: dict[int, str] = {}
    for name, column in columns.items():
        heading = column if isinstance(column, str) else column.heading
        if not re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", name) or name.lower() in RESERVED:
            work.fault(
                "bad-name",
                f"{name!r} under [columns] cannot be used in a template",
                "use a name of letters, digits and _ that is no word of the template language",
                value=name,
            )
            continue
        found = work.matches(heading)
        if not found:
            work.lacks(
                f"column {name!r} of the job has heading {quoted(heading)}, which is not there",
                f"{quoted(heading)} of column {name!r}", heading,
                "write the heading as it is in the sheet", name, near=work.nearest(heading),
            )  # fmt: skip
        elif len(found) > 1:
            _twice(work, f"heading {quoted(heading)} of column {name!r}", found, name)
        elif found[0] in mapped:
            work.fault(
                "same-column",
                f"heading {quoted(heading)} is given to both {mapped[found[0]]!r} and {name!r}",
                "give each column one name under [columns]",
                value=name,
            )
        else:
            mapped[found[0]] = name
    return mapped


def _named(work: _Work, mapped: dict[int, str], wanted: frozenset[str]) -> list[str]:
    """A name for each kept column; double names are faults only where something wants them."""
    taken = set(mapped.values())
    candidates: dict[str, list[int]] = {}
    for i in work.kept:
        if i not in mapped:
            candidates.setdefault(safe_name(work.headings[i]), []).append(i)
    names = dict(mapped)
    for name, places in candidates.items():
        if name in wanted and name not in taken and len(places) > 1:
            _twice(work, f"the layout's column {name!r}", places, name)
        alone = bool(name) and len(places) == 1 and name not in taken
        for i in places:
            letter = letters(i).lower()
            other = f"{name}_{letter}" if name else f"column_{letter}"
            names[i] = name if alone else other
            while not alone and (names[i] in taken or names[i] in candidates):
                names[i] += "_"
            taken.add(names[i])
            if not alone:
                heading = work.headings[i]
                why = "is there more than once" if name else "has no letter from a to z"
                where = Where(sheet=work.sheet, row=work.row, column=heading)
                remedy = "give it a name of your own under [columns]"
                what = f"the heading {why}; templates know the column as {names[i]}"
                work.notes.append(
                    Problem("renamed-column", Severity.NOTE, what, remedy, where, names[i])
                )
    return [names[i] for i in work.kept]


def _twice(work: _Work, what: str, places: list[int], name: str) -> None:
    if any(fault.kind == "double-heading" and fault.value == name for fault in work.faults):
        return  # said before, of the same column by another of its names
    shown = " and ".join(f"{quoted(work.headings[i])} in {letters(i)}" for i in places)
    remedy = "give each its own heading in the sheet"
    if len({work.headings[i].strip() for i in places}) > 1:
        remedy += ", or write the one that is meant under [columns]"
    work.fault("double-heading", f"{what} is there more than once: {shown}", remedy, value=name)


def _role(work: _Work, role: str, wanted: str | None, position: dict[str, int]) -> int | None:
    """The position of the column that gives the order, quantity, blank ..."""
    if wanted is None:
        return None
    if wanted in position:
        return position[wanted]
    found = work.matches(wanted)
    if len(found) == 1:
        return work.kept.index(found[0])
    if found:
        _twice(work, f"the {role} column {quoted(wanted)}", found, wanted)
        return None
    work.lacks(
        f"the {role} column {quoted(wanted)} is not there", f"the {role} column {quoted(wanted)}",
        wanted, f"set {role} under [records] to a heading of the sheet", wanted,
        near=work.nearest(wanted),
    )  # fmt: skip
    return None
