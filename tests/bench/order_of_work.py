"""What an order of work does to beds: counted on the examples and on invented orders.

Run ``python tests/bench/order_of_work.py``. Nothing is built: the records of each example are
read and fitted, and their beds planned three times: in sheet order, with whole orders, and with
whole orders after days to ship by that are drawn at random (fixed seed). Printed for each: beds,
changes of the jig, orders spread over beds though they fit one, and how many orders are complete
after each tenth of the beds.
"""

from __future__ import annotations

import random
from array import array
from collections import Counter
from pathlib import Path

from vardata.impose.arrange import Arrangement, Keys, arrange
from vardata.impose.slots import usable_slots
from vardata.job.load import load_setup
from vardata.merge import gathered

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SEED = 7


def _line(name: str, found: Arrangement, keys: Keys, slots: list[int]) -> str:
    sizes: Counter[tuple[int, int]] = Counter()
    beds_of: dict[tuple[int, int], set[int]] = {}
    last: dict[int, int] = {}
    for plan in found.plans():
        for record in plan.records:
            order = keys.ordinals[record]
            sizes[order, plan.product] += 1
            beds_of.setdefault((order, plan.product), set()).add(plan.number)
            last[order] = plan.number
    spread = sum(
        len(beds) > 1 and sizes[key] <= slots[key[1]] for key, beds in beds_of.items()
    )
    changes = sum(a != b for a, b in zip(found.products, found.products[1:]))
    done = Counter(last.values())
    tenths = [
        sum(done[bed] for bed in range(1, found.beds * tenth // 10 + 1)) for tenth in range(1, 11)
    ]
    complete = " ".join(f"{number:5d}" for number in tenths)
    return f"{name:34s} {found.beds:5d} {changes:5d} {spread:7d}  {complete}"


def _days(keys: Keys) -> array[int]:
    """A day for each order, drawn at random."""
    draw = random.Random(SEED)
    days: dict[int, int] = {}
    return array("Q", [days.setdefault(order, draw.randrange(30)) for order in keys.ordinals])


def _show(name: str, keys: Keys, slots: list[int]) -> None:
    print(_line(f"{name}, sheet order", arrange(keys, slots), keys, slots))
    print(_line(f"{name}, whole orders", arrange(keys, slots, whole=True), keys, slots))
    due = keys._replace(ranks=_days(keys))
    print(_line(f"{name}, whole orders, by day", arrange(due, slots, whole=True), due, slots))


def _invented(orders: int, slots: int) -> Keys:
    """Orders as shops get them: mostly of a few pieces, some of a whole bed and more."""
    draw = random.Random(SEED)
    ordinals = array("I")
    for order in range(orders):
        size = min(int(draw.paretovariate(1.1)), 2 * slots)
        ordinals.extend([order] * size)
    return Keys(ordinals)


def main() -> None:
    print(f"{'':34s}  beds  jigs  spread  orders complete after each tenth of the beds")
    for name in ("medals", "mixed", "tags"):
        setup = load_setup(EXAMPLES / name / "job.toml")
        slots = [len(usable_slots(part.jig)) for part in setup.parts()]
        with gathered(setup) as (_, found, _scratch):
            _show(name, found.index.keys(), slots)
    _show("2,000 invented orders, beds of 24", _invented(2000, 24), [24])


if __name__ == "__main__":
    main()
