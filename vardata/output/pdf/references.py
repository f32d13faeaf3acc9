"""References between objects of a PDF, in their written form.

In: an object's bytes, its stream apart. Out: the same with its references made anew.
"""

from __future__ import annotations

import re
from collections.abc import Callable

# Texts come first, so that no reference is found in one (ISO 32000-1, 7.3.4 and 7.3.10).
_REFERENCE = re.compile(rb"\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f]*>|(\d+) 0 R\b", re.DOTALL)


def renumbered(data: bytes, reference: Callable[[int], bytes]) -> bytes:
    """An object's bytes with each reference replaced by what ``reference`` gives for it."""

    def replaced(found: re.Match[bytes]) -> bytes:
        number = found.group(1)
        return found.group() if number is None else reference(int(number))

    return _REFERENCE.sub(replaced, data)


def referred(data: bytes) -> list[int]:
    """The objects that an object refers to, in the order in which it names them."""
    return [int(number) for number in _REFERENCE.findall(data) if number]
