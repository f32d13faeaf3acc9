"""One size for a group of texts: what all of them carry so that the longest fits.

In: how each text of a group fits alone. Out: the size, squeeze and number of lines that all can
carry, whatever the order in which they come. Setting a text so is ``fit.text``'s business.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from vardata.fit.result import TextFit


class GroupSize(NamedTuple):
    """``size_pt`` and ``squeeze`` are the smallest that any text needs, ``lines`` the most.

    Every text fits with these: on its own lines, since it is set no larger and no wider than
    alone; on ``lines`` where it can be broken so often and is low enough.
    """

    size_pt: float
    squeeze: float
    lines: int


# (number of the field, name of the group) -> what its texts need
GroupSizes = dict[tuple[int, str], GroupSize]


def noted(sizes: GroupSizes, key: tuple[int, str], fit: TextFit) -> None:
    """Takes one more text into its group."""
    merged(sizes, {key: GroupSize(fit.size_pt, fit.squeeze, fit.lines)}.items())


def merged(sizes: GroupSizes, others: Iterable[tuple[tuple[int, str], GroupSize]]) -> None:
    """Takes groups that were noted elsewhere in."""
    for key, other in others:
        one = sizes.get(key)
        if one is not None:
            other = GroupSize(
                min(one.size_pt, other.size_pt), min(one.squeeze, other.squeeze),
                max(one.lines, other.lines),
            )  # fmt: skip
        sizes[key] = other


def kept(sizes: GroupSizes, stored: Mapping[tuple[int, str], GroupSize]) -> GroupSizes:
    """The same, but a group that was printed before keeps what it was printed with."""
    return {key: stored.get(key, size) for key, size in sizes.items()}
