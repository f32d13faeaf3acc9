"""What is wrong with a template, in plain words.

In: the complaint of Jinja2 about a template that it cannot read. Out: what was found and how to
mend it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from vardata.job.near import nearest

_WRITE = 'a column is written as "{{ name }}"'
_TWO_WORDS = "a name in {{ }} is of one word: write first_name, or name the heading under [columns]"
_INNERMOST = re.compile(r"The innermost block that needs to be closed is '(\w+)'")
_UNKNOWN_TAG = re.compile(r"Encountered unknown tag '(\w+)'")
_UNKNOWN = re.compile(r"No (filter|test) named '(.*)'")
_IN_PLACE_OF_AN_END = re.compile(r"expected token 'end of print statement', got '(.*)'")


class TemplateFault(NamedTuple):
    what: str
    remedy: str


def explain(message: str, filters: Iterable[str], tests: Iterable[str]) -> TemplateFault:
    """The fault behind ``message``; ``filters`` and ``tests`` are the names that are known."""
    if found := _INNERMOST.search(message):
        tag = found[1]
        return TemplateFault(f"{{% {tag} %}} is never closed", f"end it with {{% end{tag} %}}")
    if found := _UNKNOWN_TAG.match(message):
        what = f"there is no tag {{% {found[1]} %}} that could stand here"
        return TemplateFault(what, _WRITE)
    if found := _UNKNOWN.match(message):
        near = nearest(found[2], filters if found[1] == "filter" else tests)
        remedy = "leave it out" if near is None else f"did you mean {near!r}?"
        return TemplateFault(f"there is no {found[1]} {found[2]!r}", remedy)
    if found := _IN_PLACE_OF_AN_END.match(message):
        return TemplateFault(f"{found[1]!r} stands where }}}} was expected", _TWO_WORDS)
    if message.startswith("unexpected end of template, expected 'end of print"):
        return TemplateFault("{{ is never closed", _WRITE)
    if message.startswith(("Expected an expression", "unexpected 'end of")):
        return TemplateFault("a name is missing", _WRITE)
    return TemplateFault(message[:1].lower() + message[1:].rstrip("."), _WRITE)
