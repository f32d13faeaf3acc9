"""What one check says of one text, before it is known how much is made of it."""

from __future__ import annotations

from typing import NamedTuple


class Found(NamedTuple):
    """``kind`` is the check's slug; ``what`` and ``remedy`` are the two halves of one line."""

    kind: str
    what: str
    remedy: str
