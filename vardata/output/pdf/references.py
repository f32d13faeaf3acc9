"""References between objects of a PDF, in their written form.

In: an object's bytes, its stream apart. Out: the same with its references made anew.
"""

from __future__ import annotations

import re
from collections.abc import Callable

_MARK = b" 0 R"  # what ends a reference, of objects that were never changed
_DIGITS = b"0123456789"
# Texts come first, so that no reference is found in one (ISO 32000-1, 7.3.4 and 7.3.10).
_REFERENCE = re.compile(rb"\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f]*>|(\d+) 0 R\b", re.DOTALL)


def renumbered(data: bytes, reference: Callable[[int], bytes]) -> bytes:
    """An object's bytes with each reference replaced by what ``reference`` gives for it."""
    if _MARK not in data:
        return data
    if _may_hold_texts(data):

        def replaced(found: re.Match[bytes]) -> bytes:
            number = found.group(1)
            return found.group() if number is None else reference(int(number))

        return _REFERENCE.sub(replaced, data)
    before, *others = data.split(_MARK)  # a third of the time
    out: list[bytes] = []
    for after in others:
        head = before.rstrip(_DIGITS)
        if len(head) == len(before) or after[:1].isalnum() or after[:1] == b"_":
            out += (before, _MARK)  # no number, or the R begins a longer word
        else:
            out += (head, reference(int(before[len(head) :])))
        before = after
    return b"".join([*out, before])


def referred(data: bytes) -> list[int]:
    """The objects that an object refers to, in the order in which it names them."""
    if _MARK not in data:
        return []
    return [int(number) for number in _REFERENCE.findall(data) if number]


def may_refer(data: bytes) -> bool:
    """Whether an object may refer to another; a quick answer, that takes a text for more."""
    return _MARK in data


def _may_hold_texts(data: bytes) -> bool:
    """Whether there is a text, in which what looks like a reference is none."""
    return b"(" in data or data.count(b"<") > 2 * data.count(b"<<")
