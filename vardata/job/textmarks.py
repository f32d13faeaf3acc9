"""Marks in the text of a field that say in which style its letters are set.

``[first]`` begins the style of that name, ``[/first]`` or ``[/]`` ends it, and ``[[`` stands for a
bracket. They are marks in the layout's own words alone: what a record brings, in ``{{ }}``, is
letters. Fields without styles have no marks.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import NamedTuple

from vardata.job.near import choose

MARK = re.compile(r"\[\[|\[(/?)([^\[\]]*)\]")
_OURS = re.compile(r"\{\{.*?\}\}|\{%.*?%\}|\{#.*?#\}", re.DOTALL)  # of the template language


class MarkFault(NamedTuple):
    what: str
    remedy: str


def mark_faults(text: str, styles: Collection[str]) -> Iterator[MarkFault]:
    """What is wrong with the marks of a text."""
    begun = ""
    used: set[str] = set()
    for found in MARK.finditer(_OURS.sub(" ", text)):
        if found[0] == "[[":
            continue
        ends, name = bool(found[1]), found[2]
        if name not in styles and not (ends and not name):
            what = f"there is no style for the mark '{found[0]}'"
            yield MarkFault(what, choose(name, styles) + '; a bracket of the text is written "[["')
        elif ends and (not begun or name not in ("", begun)):
            what = f"the mark '{found[0]}' ends a style that was not begun"
            yield MarkFault(what, f"write '[{name or next(iter(styles))}]' before it")
        elif not ends and begun:
            what = f"the style {name!r} begins within the style {begun!r}"
            yield MarkFault(what, f"end that with '[/{begun}]' first")
        else:
            begun = "" if ends else name
            used.add(name)
    if begun:
        yield MarkFault(f"the style {begun!r} is not ended", f"write '[/{begun}]' after it")
    for name in styles:
        if name not in used:
            what = f"the style {name!r} is of no use without a mark"
            yield MarkFault(what, f"write '[{name}] ... [/{name}]' in the text")
