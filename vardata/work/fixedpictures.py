"""Pictures that a layout names itself, the same on every piece: looked for before a row is read.

In: the setup of one side. Out: a problem for each that is missing or cannot be printed. Without
this every record would be held for the same fault.
"""

from __future__ import annotations

from collections.abc import Iterator

from vardata.dress.framing import framing
from vardata.fit.picture import PictureFinder
from vardata.job.model import PictureField, Setup
from vardata.problems import Problem, Severity, Where
from vardata.work.pictures import PictureStore


def fixed_faults(setup: Setup) -> Iterator[Problem]:
    """What is wrong with the layout's own pictures; nothing for those that a record names."""
    fixed = [
        field for field in setup.layout.fields
        if isinstance(field, PictureField) and field.file and "{" not in field.file
    ]  # fmt: skip
    if not fixed:
        return
    finder = PictureFinder(setup.job_file.parent, setup.job.outside)
    store = PictureStore.of(setup)
    for field in fixed:
        found = finder.find(field.file)
        if not isinstance(found, Problem):
            taken = framing(field, setup.mode)
            fault = store.fault(found.path, taken, field.name, field.file)
            if fault is None:
                continue
            found = fault
        where = Where(file=setup.layout_file.name, field=field.name)
        remedy = found.remedy.replace("in the cell", "in the layout")
        yield found._replace(severity=Severity.ERROR, remedy=remedy, where=where, value="")
