"""Inks that a placed page brings: is one of them called as a plate of this machine is?

In: a page as a ``Picture``, the setup. Out: a warning, or under a printing standard a
``JobError``: the page prints in that ink as it is, whatever the layout says of the plate, and a
standard wants an ink to mean the same all over a file (ISO 15930-7, from memory). The reserved
name All prints on every plate (ISO 32000-1, 8.6.6.4).
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from vardata.dress.drawing import Picture
from vardata.dress.page_faults import reached, refused
from vardata.job.model import Setup
from vardata.job.platerules import CUT
from vardata.problems import Problem, Severity, Where

_EVERY = "All"
_RENAME = "rename it in the PDF, or the plate under plate_names in the bed file"


def shared_inks(picture: Picture, setup: Setup, where: Where) -> list[Problem]:
    """What there is to say of a page's inks. Raises ``JobError`` (``page-ink``)."""
    if picture.space != "Page":
        return []
    found = ink_names(picture.data)
    own = plate_inks(setup)
    notes = []
    for name in sorted(found & own):
        if setup.job.output.standard != "plain":
            raise refused("page-ink", _twice(name), _RENAME, where)
        what = f"{_called(name)}: it prints there as it is, without choke or density"
        notes.append(Problem("page-ink", Severity.WARNING, what, _RENAME, where))
    if _EVERY in found and own:
        what = "the PDF has marks in the ink All, which prints on every plate, white and gloss too"
        remedy = "see that they lie outside its trim box"
        notes.append(Problem("page-ink", Severity.WARNING, what, remedy, where))
    return notes


def plate_inks(setup: Setup) -> frozenset[str]:
    """What the machine calls the plates that have an ink of their own."""
    called = setup.bed.plate_names
    names = [plate.name for plate in setup.layout.plates if plate.role != "colour"]
    if setup.job.output.cut_lines:
        names.append(CUT)
    return frozenset(called.get(name, name) for name in names)


def ink_twice(picture: Picture, own: frozenset[str]) -> Problem | None:
    """Why a standard refuses a page that a record names: an ink of it is one of ``own``."""
    for name in sorted(ink_names(picture.data) & own) if picture.space == "Page" else ():
        return Problem("page-ink", Severity.ERROR, _twice(name), _RENAME)
    return None


def _called(name: str) -> str:
    return f"the PDF has an ink called {name!r}, as a plate is called"


def _twice(name: str) -> str:
    return f"{_called(name)}, and a printing standard wants one meaning for it"


def ink_names(data: bytes) -> set[str]:
    """The names of inks, of Separation and DeviceN spaces, that the first page of a PDF may use."""
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as pdf:
        resources = pdf.pages[0].obj.get("/Resources")
        return {
            name
            for found in reached(resources)
            for _, value in found.items()
            for name in _named(value)
        }


def _named(value: Any) -> Iterator[str]:
    """Names of a colour space that is an array, and of those that lie in it."""
    import pikepdf

    if not isinstance(value, pikepdf.Array) or not len(value):
        return
    family = str(value[0]) if isinstance(value[0], pikepdf.Name) else ""
    if family in ("/Separation", "/DeviceN") and len(value) > 1:
        inks = [value[1]] if family == "/Separation" else list(value[1])
        yield from (str(ink).lstrip("/") for ink in inks)
    for part in value:
        yield from _named(part)
