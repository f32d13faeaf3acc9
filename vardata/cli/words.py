"""Numbers with their nouns, as people write them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from vardata.report import Earlier


def count(number: int, noun: str) -> str:
    """``1 row``, ``2 rows``."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def earlier_line(earlier: Earlier) -> str:
    """How the rows stand to what was built before."""
    return (
        f"against earlier runs: {earlier.new} new, {earlier.built} built before, "
        f"{earlier.changed} changed since, {earlier.gone} gone since"
    )
