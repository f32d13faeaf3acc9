"""What a page of a PDF must not hold, because it would not be printed as it is seen.

In: a page as pikepdf gives it. Out: nothing, or a ``JobError``: layers that are off, and content
that comes from outside the file; a warning of what is left out. Fonts: see ``page_fonts``.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vardata.problems import JobError, Problem, Severity, Where

_CURVES = {"/TR": "/Identity", "/TR2": "/Default"}  # of a graphics state, and what changes nothing
_OUTSIDE = ("/OPI", "/Ref", "/FFilter")  # content in another file, ISO 32000-1, 7.3.8 and 8.10.4


def check_layers(pdf: Any, page: Any, where: Where) -> None:
    off = _layers_off(pdf)
    for found in reached(page.get("/Resources")) if off else ():
        if found.objgen in off:
            name = str(found.get("/Name", ""))
            raise refused("page-layer", f"the layer {name!r} is off and would be printed",
                          "take it out of the PDF, or switch it on", where)  # fmt: skip


def check_page(page: Any, where: Where) -> None:
    for found in reached(page.get("/Resources"), page.get("/Contents"), page.get("/Group")):
        if found.get("/Subtype") == "/PS" or any(key in found for key in _OUTSIDE):
            raise refused("page-outside", "the PDF takes content from outside itself",
                          "export it with everything embedded", where)  # fmt: skip


def settle_states(page: Any, where: Where) -> None:
    """Refuses transfer curves, which machines take or leave, and takes halftones out: each machine
    has its own (ISO 32000-1, 10.4 and 10.5; PDF/X-4 forbids the first, from memory)."""
    import pikepdf

    for found in reached(page.get("/Resources")):
        if not isinstance(found, pikepdf.Dictionary) or "/Subtype" in found:
            continue
        if any(found.get(key, plain) != plain for key, plain in _CURVES.items()):
            raise refused("page-curve", "the PDF changes its tones by a transfer curve",
                          "export it without", where)  # fmt: skip
        for key in ("/HT", *_CURVES):
            if key in found:
                del found[key]


def left_out(page: Any, where: Where) -> list[Problem]:
    """A warning of comments and form fields that a viewer would print: a page is placed without.

    Those that are for the screen alone are no loss (ISO 32000-1, 12.5.3: the flags Hidden, 2, and
    Print, 4; 12.5.5: without an appearance there is nothing to see).
    """
    count = sum(
        int(note.get("/F", 0)) & 6 == 4 and "/AP" in note for note in page.get("/Annots", [])
    )
    if not count:
        return []
    what = f"{count} comments or form fields that a viewer would print are left out"
    if count == 1:
        what = "a comment or form field that a viewer would print is left out"
    remedy = "flatten the PDF to have what they show"
    return [Problem("page-notes", Severity.WARNING, what, remedy, where)]


def _layers_off(pdf: Any) -> set[tuple[int, int]]:
    """The optional-content groups that are off when the file is opened (ISO 32000-1, 8.11.4.3)."""
    layers = pdf.Root.get("/OCProperties")
    shown = layers.get("/D") if layers is not None else None
    if shown is None:
        return set()
    off = {group.objgen for group in shown.get("/OFF", [])}
    if shown.get("/BaseState") == "/OFF":
        off |= {group.objgen for group in layers.get("/OCGs", [])}
        off -= {group.objgen for group in shown.get("/ON", [])}
    return off


def reached(*starts: Any) -> Iterator[Any]:
    """Every dictionary and stream that can be reached, each once; pages are not entered."""
    import pikepdf

    waiting, seen = list(starts), set()
    while waiting:
        found = waiting.pop()
        if not isinstance(found, pikepdf.Object):
            continue
        if found.is_indirect:
            if found.objgen in seen:
                continue
            seen.add(found.objgen)
        if isinstance(found, pikepdf.Array):
            waiting += list(found)
        elif isinstance(found, pikepdf.Dictionary | pikepdf.Stream):
            if found.get("/Type") in ("/Page", "/Pages", "/Catalog"):
                continue
            yield found
            waiting += [found.get(key) for key in found.keys()]  # noqa: SIM118


def refused(kind: str, what: str, remedy: str, where: Where) -> JobError:
    return JobError(Problem(kind, Severity.ERROR, what, remedy, where))
