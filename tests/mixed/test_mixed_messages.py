"""What is wrong with the products of a job, word for word."""

from __future__ import annotations

import pytest
from mixedshop import Shop, shop

__all__ = ["shop"]

CASES = [
    ('product = "Item"\n', "",
     ["job.toml:37, products.medal.when: nothing says which records are 'medal'; name the column "
      "in records.product, or write a condition in {{ }} as when",
      "job.toml:42, products.badge.when: nothing says which records are 'badge'; name the column "
      "in records.product, or write a condition in {{ }} as when",
      "job.toml:48, products.plate.when: nothing says which records are 'plate'; name the column "
      "in records.product, or write a condition in {{ }} as when"]),
    ('when = "Desk plate"', 'when = "MEDAL"',
     ["job.toml:49, products.plate.when: the products 'medal' and 'plate' are both chosen by "
      "'MEDAL'; let each value choose one product, whatever its capitals"]),
    ('blank = "tin"', 'blank = "tim"',
     ["job.toml:46, products.badge.blank: there is no blank 'tim'; did you mean 'tin'? "
      "allowed: enamel, tin, slate"]),
    ('print_mode = "draft"', 'print_mode = "drafty"',
     ["job.toml:52, products.plate.print_mode: the bed 'flatbed-420' has no print mode 'drafty'; "
      "did you mean 'draft'? allowed: draft, fine"]),
    ('jig = "badge-jig.toml"', 'jig = "badge-jug.toml"',
     ["job.toml:45, products.badge.jig: there is no file 'badge-jug.toml'; did you mean "
      "'badge-jig.toml'?"]),
    ('jig = "badge-jig.toml"\n', "",
     ["job.toml, jig: the key 'jig' is missing; add it: the jig file"]),
    ('quantity = "Pieces"', 'quantity = "Pieces"\nblank = "Item"',
     ["job.toml:42, products.medal.blank: a column chooses the blank, so the product cannot; take "
      "one of the two away",
      "job.toml:47, products.badge.blank: a column chooses the blank, so the product cannot; take "
      "one of the two away",
      "job.toml:54, products.plate.blank: a column chooses the blank, so the product cannot; take "
      "one of the two away"]),
    ('when = "Desk plate"', "when = 3",
     ["job.toml:49, products.plate.when: 3 is no text; write a text or a list of texts"]),
    ('when = "Desk plate"', "when = '{{ what == }}'",
     ["job.toml, products.plate.when: the condition '{{ what == }}' cannot be read: a name is "
      'missing; a column is written as "{{ name }}"']),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "lines"), CASES)
def test_a_fault_is_told_by_its_line(shop: Shop, old: str, new: str, lines: list[str]) -> None:
    shop.swap("job.toml", old, new)
    assert shop.faults() == lines


def test_a_column_without_products_is_a_fault(shop: Shop) -> None:
    text = (shop.path / "job.toml").read_text("utf-8")
    head = text[: text.index("[products.medal]")].replace(
        'bed = "bed.toml"', 'bed = "bed.toml"\nlayout = "medal.toml"\njig = "medal-jig.toml"\n'
        'blank = "enamel"'
    )
    (shop.path / "job.toml").write_text(head, encoding="utf-8")
    assert shop.faults() == [
        "job.toml:23, records.product: a column chooses the product, but the job has no products; "
        "add tables [products.<name>], or take this away"
    ]
