"""Mixed jobs: a product takes from the top of the job what it does not say itself.

In: a job file with tables ``[products.NAME]``. Out: for each product the job as if it were
written for that product alone, with every key still known by the line it was written on; and
what is wrong with the products. Nothing of other files is read here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Generic, NamedTuple, TypeVar

from vardata.job.claims import Claim
from vardata.job.found import clipped
from vardata.job.model import Job, Model
from vardata.job.near import choose
from vardata.job.toml import Source

M_co = TypeVar("M_co", bound=Model, covariant=True)

# Keys that a product may say itself.
OWN = ("layout", "jig", "bed", "print_mode", "blank", "side_b")
_MOST = 100


class Known(NamedTuple, Generic[M_co]):
    """A model and the file it was read from."""

    model: M_co
    source: Source


def spread(source: Source) -> None:
    """A key that only products say is missing at the top for no fault of the person: the first
    product that says it stands in."""
    products = source.data.get("products")
    if not isinstance(products, dict) or not products:
        return
    if not all(isinstance(table, dict) for table in products.values()):
        return
    first = next(iter(products))
    for key in OWN[:4]:
        if key not in source.data and all(key in table for table in products.values()):
            source.data[key] = products[first][key]
            source.moved[key,] = ("products", first, key)


def views_of(
    job: Known[Job] | None, source: Source
) -> list[tuple[str, Known[Job] | None, Source]]:
    """Name, job and file of each product; of a job without products itself, named ""."""
    if job is None or not job.model.products:
        return [("", job, source)]
    views: list[tuple[str, Known[Job] | None, Source]] = []
    for name, product in job.model.products.items():
        own = {key: value for key in OWN if (value := getattr(product, key)) is not None}
        moved = {(key,): ("products", name, key) for key in own}
        view = replace(source, data=source.data | own, moved=source.moved | moved)
        views.append((name, Known(job.model.model_copy(update=own), view), view))
    return views


def product_claims(job: Job, source: Source) -> Iterator[Claim]:
    """Rules over the tables ``[products.NAME]``."""
    if not job.products:
        if job.records.product is not None:
            what = "a column chooses the product, but the job has no products"
            remedy = "add tables [products.<name>], or take this away"
            yield Claim(source, ("records", "product"), "no-products", what, remedy)
        return
    if len(job.products) > _MOST:
        what, remedy = f"the job has {len(job.products)} products", f"at most {_MOST} are allowed"
        yield Claim(source, ("products",), "too-many-products", what, remedy)
    yield from _choosing(job, source)
    yield from _own_blanks(job, source)


def _choosing(job: Job, source: Source) -> Iterator[Claim]:
    """Each value chooses one product, and something gives the value."""
    chosen: dict[str, str] = {}
    for name, product in job.products.items():
        path = ("products", name, "when")
        if product.condition is not None:
            continue
        if job.records.product is None:
            what = f"nothing says which records are {clipped(name)}"
            remedy = "name the column in records.product, or write a condition in {{ }} as when"
            yield Claim(source, path, "no-product-column", what, remedy)
            continue
        words = (product.when,) if isinstance(product.when, str) else product.when
        for word in words or (name,):
            folded = " ".join(word.split()).casefold()
            other = chosen.setdefault(folded, name)
            if other != name:
                what = f"the products {other!r} and {name!r} are both chosen by {clipped(word)}"
                remedy = "let each value choose one product, whatever its capitals"
                yield Claim(source, path, "ambiguous-product", what, remedy, word)


def _own_blanks(job: Job, source: Source) -> Iterator[Claim]:
    for name, product in job.products.items():
        if product.blank is None:
            continue
        path = ("products", name, "blank")
        if product.blank not in job.blanks:
            what = f"there is no blank {clipped(product.blank)}"
            remedy = choose(product.blank, job.blanks, "add a table [blanks.<key>] for it")
            yield Claim(source, path, "unknown-blank", what, remedy, product.blank)
        elif job.records.blank is not None:
            what = "a column chooses the blank, so the product cannot"
            yield Claim(source, path, "two-blanks", what, "take one of the two away")
