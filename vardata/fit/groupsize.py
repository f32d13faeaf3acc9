"""One size for a group of texts: what all of them carry so that the longest fits.

In: how each text of a group fits alone. Out: the size, squeeze and number of lines that all can
carry, whatever the order in which they come. Setting a text so is ``fit.text``'s business.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from vardata.fit.result import TextFit


class GroupSize(NamedTuple):
    """``size_pt``, ``squeeze`` and ``tracking`` (1/1000 em) are the smallest that any text needs,
    ``lines`` the most.

    Every text in a box fits with these: on its own lines, since it is set no larger, no wider and
    no wider apart than alone; on ``lines`` where it can be broken so often and is low enough. On a
    line that bends a smaller text may come to stand elsewhere, so that it has to be tried.
    """

    size_pt: float
    squeeze: float
    lines: int
    tracking: float


# (number of the field, name of the group) -> what its texts need
GroupSizes = dict[tuple[int, str], GroupSize]


def noted(sizes: GroupSizes, key: tuple[int, str], fit: TextFit) -> None:
    """Takes one more text into its group."""
    merged(sizes, {key: GroupSize(fit.size_pt, fit.squeeze, fit.lines, fit.tracking)}.items())


def merged(sizes: GroupSizes, others: Iterable[tuple[tuple[int, str], GroupSize]]) -> None:
    """Takes groups that were noted elsewhere in."""
    for key, other in others:
        one = sizes.get(key)
        if one is not None:
            other = GroupSize(
                min(one.size_pt, other.size_pt), min(one.squeeze, other.squeeze),
                max(one.lines, other.lines), min(one.tracking, other.tracking),
            )  # fmt: skip
        sizes[key] = other


def kept(sizes: GroupSizes, stored: Mapping[tuple[int, str], GroupSize]) -> GroupSizes:
    """The same, but a group that was printed before keeps what it was printed with."""
    return {key: stored.get(key, size) for key, size in sizes.items()}
