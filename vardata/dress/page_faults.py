"""What a page of a PDF must not hold, because it would not be printed as it is seen.

In: a page as pikepdf gives it. Out: nothing, or a ``JobError``: layers that are off, fonts that
are used and not there, and content that comes from outside the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vardata.problems import JobError, Problem, Severity, Where

_OUTSIDE = ("/OPI", "/Ref", "/FFilter")  # content in another file, ISO 32000-1, 7.3.8 and 8.10.4
_SHOWS = ("Tj", "TJ", "'", '"')  # operators that show text, ISO 32000-1, 9.4.3


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


    for font in _shown_fonts(page):
        if not _embedded(font):
            name = str(font.get("/BaseFont", "?")).lstrip("/")
            raise refused("page-font", f"the font {name!r} is not in the PDF",
                          "export it with all fonts embedded", where)  # fmt: skip


def _shown_fonts(page: Any) -> Iterator[Any]:
    """The fonts that show text on a page and in its forms and patterns; programs name others
    that they never use."""
    import pikepdf

    forms = [
        found for found in reached(page.get("/Resources"))
        if isinstance(found, pikepdf.Stream) and "/Resources" in found
        and found.get("/Subtype") != "/Image"
    ]  # fmt: skip
    for holder in (page, *forms):
        fonts = holder.get("/Resources", {}).get("/Font", {})
        chosen, shown = "", set()
        for step in pikepdf.parse_content_stream(holder):
            operator = str(step.operator)
            if operator == "Tf":
                chosen = str(step.operands[0])
            elif operator in _SHOWS:
                shown.add(chosen)
        yield from (fonts[name] for name in sorted(shown) if name in fonts)


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


def _embedded(font: Any) -> bool:
    if font.get("/Subtype") == "/Type3":
        return True  # drawn in the file itself
    if font.get("/Subtype") == "/Type0":
        return all(_embedded(descendant) for descendant in font.DescendantFonts)
    told = font.get("/FontDescriptor")
    return told is not None and any(
        key in told for key in ("/FontFile", "/FontFile2", "/FontFile3")
    )


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
