"""Fonts of a page of a PDF: those that show text must be in the file, the others go.

In: a page as pikepdf gives it, in a PDF of its own. Out: a ``JobError`` where a font shows text
and is not embedded. A font that is named and never shows anything, as programs write it at the
start of each page, is taken out with the words that choose it: printing standards want every
font embedded that a file names (ISO 15930-7, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vardata.dress.page_faults import reached, refused
from vardata.problems import Where

_SHOWS = ("Tj", "TJ", "'", '"')  # operators that show text, ISO 32000-1, 9.4.3


def settle_fonts(page: Any, where: Where) -> None:
    """Refuses fonts that are used and missing; removes those that are missing and idle."""
    holders = list(_holders(page))
    steps = [list(_steps(holder)) for holder in holders]
    shown = [_shown(each) for each in steps]
    inherited = any("" in names for names in shown)  # a form that shows text in its caller's font
    missing = [_not_embedded(holder) for holder in holders]
    for fonts, names in zip(missing, shown):
        for name in sorted(fonts):
            if inherited or name in names:
                raise _missing(fonts[name], where)
    for found in reached(page.get("/Resources")):
        for font in _elsewhere(found):
            if not _embedded(font):
                raise _missing(font, where)
    for holder, its_steps, fonts in zip(holders, steps, missing):
        if fonts:  # after all was looked at: holders may share their resources
            _drop(holder, its_steps, set(fonts))


def _holders(page: Any) -> Iterator[Any]:
    """The page, and its forms and patterns."""
    import pikepdf

    yield page
    for found in reached(page.get("/Resources")):
        drawn = isinstance(found, pikepdf.Stream) and found.get("/Subtype") != "/Image"
        if drawn and "/Resources" in found:
            yield found


def _not_embedded(holder: Any) -> dict[str, Any]:
    fonts = holder.get("/Resources", {}).get("/Font", {})
    return {name: font for name, font in fonts.items() if not _embedded(font)}


def _steps(holder: Any) -> Iterator[tuple[str, Any]]:
    import pikepdf

    for step in pikepdf.parse_content_stream(holder):
        yield str(step.operator), step


def _shown(steps: list[tuple[str, Any]]) -> set[str]:
    """The fonts that show text; "" for one that was chosen before this content begins."""
    chosen, kept, shown = "", list[str](), set[str]()
    for operator, step in steps:
        if operator == "Tf":
            chosen = str(step.operands[0])
        elif operator == "q":
            kept.append(chosen)
        elif operator == "Q" and kept:
            chosen = kept.pop()
        elif operator in _SHOWS:
            shown.add(chosen)
    return shown


def _drop(holder: Any, steps: list[tuple[str, Any]], idle: set[str]) -> None:
    """Takes fonts out of a resource dictionary, and what chooses them out of the content."""
    import pikepdf

    fonts = holder.Resources.Font
    for name in idle & set(fonts.keys()):
        del fonts[name]
    kept = [
        step for operator, step in steps
        if not (operator == "Tf" and str(step.operands[0]) in idle)
    ]  # fmt: skip
    if len(kept) == len(steps):
        return
    content = pikepdf.unparse_content_stream(kept)
    if isinstance(holder, pikepdf.Stream):
        holder.write(content)
    else:
        holder.Contents.write(content)


def _elsewhere(found: Any) -> Iterator[Any]:
    """Fonts that a graphics state chooses (8.4.5), and those of glyphs that are drawn (9.6.5)."""
    chosen = found.get("/Font")
    if found.get("/Type") == "/Font" and found.get("/Subtype") == "/Type3":
        yield from dict(found.get("/Resources", {}).get("/Font", {}).items()).values()
    elif chosen is not None and _is_array(chosen) and len(chosen):
        yield chosen[0]


def _is_array(value: Any) -> bool:
    import pikepdf

    return isinstance(value, pikepdf.Array)


def _missing(font: Any, where: Where) -> Exception:
    name = str(font.get("/BaseFont", "?")).lstrip("/")
    return refused("page-font", f"the font {name!r} is not in the PDF",
                   "export it with all fonts embedded", where)  # fmt: skip


def _embedded(font: Any) -> bool:
    if font.get("/Subtype") == "/Type3":
        return True  # drawn in the file itself
    if font.get("/Subtype") == "/Type0":
        return all(_embedded(descendant) for descendant in font.DescendantFonts)
    told = font.get("/FontDescriptor")
    return told is not None and any(
        key in told for key in ("/FontFile", "/FontFile2", "/FontFile3")
    )
