"""The order sheet of the benchmark: tags with distinct names, the same for both programs.

Names are drawn from the first and last names of faker's English locale (a general-purpose
library's data), numbered apart, with a fixed seed.
"""

from __future__ import annotations

import csv
import random
from pathlib import Path


def write_sheet(path: Path, count: int) -> None:
    """A CSV of ``count`` rows: order, name, role, code; about three pieces an order."""
    from faker.providers.person.en import Provider

    firsts = sorted(set(Provider.first_names))
    lasts = sorted(set(Provider.last_names))
    rng = random.Random(2026)
    seen: set[str] = set()
    order = 1000
    with path.open("w", newline="", encoding="utf-8") as file:
        sheet = csv.writer(file)
        sheet.writerow(["order", "name", "role", "code"])
        for number in range(count):
            name = f"{rng.choice(firsts)} {rng.choice(lasts)}"
            while name in seen:
                name = f"{rng.choice(firsts)} {rng.choice(lasts)}-{rng.choice(lasts)}"
            seen.add(name)
            order += rng.random() < 0.33
            sheet.writerow(
                [f"A{order:07d}", name, rng.choice(("Crew", "Steward", "Guest", "Marshal")),
                 f"https://t.example/{number:08d}"]
            )
