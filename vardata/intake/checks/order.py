"""Near-duplicates within an order: "Jon Smith" and "John Smith".

In: the texts of each row with its order, as the sheet gives them. Out: a finding for a row that
is one letter away from an earlier one of its order. Looks back over a bounded number of rows
of a bounded number of orders, so memory does not grow.
"""

from __future__ import annotations

from collections import deque

from vardata.intake.checks.finding import Found
from vardata.intake.tally import quoted

_ROWS = 24  # looked back within an order
_ORDERS = 512  # orders remembered; the rows of an order mostly stand together
_LEAST = 5  # letters: among shorter texts one letter is a name of its own (Ann, Anna)


class OrderLook:
    """Remembers the latest rows of the latest orders."""

    def __init__(self) -> None:
        self._orders: dict[str, deque[tuple[int, str]]] = {}

    def check(self, number: int, order: str, text: str) -> Found | None:
        rows = self._orders.get(order)
        if rows is None:
            if len(self._orders) >= _ORDERS:
                del self._orders[next(iter(self._orders))]
            self._orders[order] = deque(((number, text),), _ROWS)
            return None
        size = len(text)
        near = None
        if size >= _LEAST:
            for row, other in reversed(rows):
                if -2 < len(other) - size < 2 and other != text and one_apart(other, text):
                    near = (row, other)
                    break
        rows.append((number, text))
        if near is None:
            return None
        return Found(
            "near-duplicate",
            f"{quoted(text)} is nearly {quoted(near[1])} in row {near[0]} of the same order",
            "see which of the two is meant",
        )


def one_apart(one: str, two: str) -> bool:
    """Whether one edit leads from one text to the other: a letter more, less or other, or two
    neighbours swapped. Digits that differ make two texts, not a slip."""
    if len(one) > len(two):
        one, two = two, one
    size = len(one)
    start = 0
    while start < size and one[start] == two[start]:
        start += 1
    left, right = one[start:], two[start:]
    if len(left) < len(right):  # one letter more
        return left == right[1:] and not right[0].isdigit()
    if not left:
        return False
    if start == 0 or one[start - 1] == " ":
        return False  # names that begin with another letter are other names: Mia, Pia
    if left[1:] == right[1:]:  # another letter, or another case
        return not (left[0].isdigit() or right[0].isdigit())
    swapped = left[:2] == right[1::-1] and left[2:] == right[2:]
    return swapped and not any(map(str.isdigit, left[:2]))
