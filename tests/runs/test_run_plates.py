"""Each plate of a bed, pixel for pixel, with and without the others. Ghostscript separates."""

from __future__ import annotations

import numpy as np
import pytest
from run_kit import HELD, Run
from run_pages import PROCESS, SPOTS, Pixels, layers_off, layers_only, part, plates
from run_sheets import OrderSheet

INKS = {"Colour": PROCESS, "White": ("White",), "Gloss": ("Gloss",)}  # of each layer
DPI = "240"


@pytest.fixture(scope="module")
def together(medals: Run, tags: Run) -> dict[str, dict[str, Pixels]]:
    """The plates of a full bed of each example, from the file as it is."""
    return {
        run.out.parent.name: plates(run.bed_file(bed_of(run)), 1, DPI) for run in (medals, tags)
    }


def bed_of(run: Run) -> int:
    """A full bed in the middle of the run."""
    return run.beds[len(run.beds) // 2]


@pytest.fixture(params=["medals", "tags"])
def run(request: pytest.FixtureRequest) -> Run:
    found: Run = request.getfixturevalue(request.param)
    return found


def same(one: dict[str, Pixels], other: dict[str, Pixels], layer: str) -> None:
    """The layer's plates are the same, and not by being blank both times."""
    assert any(one[ink].any() for ink in INKS[layer]), f"{layer} is blank: nothing is compared"
    for ink in INKS[layer]:
        assert np.array_equal(one[ink], other[ink]), f"{ink} differs"


def blank(found: dict[str, Pixels], layer: str) -> None:
    for ink in INKS[layer]:
        assert not found[ink].any(), f"{ink} is not blank"


@pytest.mark.parametrize("layer", INKS)
def test_a_plate_is_the_same_when_the_others_are_cut_out(
    run: Run, layer: str, together: dict[str, dict[str, Pixels]]
) -> None:
    alone = plates(layers_only(run.bed_file(bed_of(run)), (layer,)), 1, DPI)
    same(together[run.out.parent.name], alone, layer)
    for other in INKS.keys() - {layer}:
        blank(alone, other)


@pytest.mark.parametrize(
    ("example", "layer"),
    [
        *(("medals", layer) for layer in INKS),
        ("tags", "Colour"),
        ("tags", "White"),
        ("tags", "Gloss"),
    ],
)
def test_a_plate_is_the_same_when_the_others_are_off(
    request: pytest.FixtureRequest,
    example: str,
    layer: str,
    together: dict[str, dict[str, Pixels]],
) -> None:
    run: Run = request.getfixturevalue(example)
    others = INKS.keys() - {layer}
    alone = plates(layers_off(run.bed_file(bed_of(run)), others), 1, DPI)
    same(together[run.out.parent.name], alone, layer)
    for other in others:
        blank(alone, other)


@pytest.mark.parametrize("layer", INKS)
def test_a_plate_is_the_same_on_a_page_of_its_own(
    medals: Run, medals_apart: Run, layer: str, together: dict[str, dict[str, Pixels]]
) -> None:
    """The job built with ``pages = "apart"`` against the job as shipped."""
    assert medals_apart.code == HELD
    slot = medals_apart.on_bed(bed_of(medals))[0]
    assert sorted(slot["pages"].values()) == [1, 2, 3] and slot["page"] == slot["pages"]["Colour"]
    alone = plates(medals_apart.bed_file(slot["bed"]), slot["pages"][layer], DPI)
    same(together["medals"], alone, layer)
    for other in INKS.keys() - {layer}:
        blank(alone, other)


def test_runs_apart_and_together_place_the_same_things(medals: Run, medals_apart: Run) -> None:
    ignored = ("file", "page", "pages")
    one, other = (
        [{key: slot[key] for key in slot if key not in ignored} for slot in run.slots]
        for run in (medals, medals_apart)
    )
    assert one == other


@pytest.mark.parametrize("half", [0, 1])
def test_white_goes_where_the_blank_asks_for_it(
    medals: Run, medal_sheet: OrderSheet, half: int
) -> None:
    """No white on blanks with ``white = "none"``, white on every other one; colour on all."""
    seen = set()
    for bed in medals.beds[half::2]:
        found = plates(medals.bed_file(bed), 1, "120")
        for slot in medals.on_bed(bed):
            blank = medal_sheet.blank(medal_sheet.row(slot["record"]))
            assert blank is not None
            bare = blank[1].get("white") == "none"
            seen.add(bare)
            box, dpi = slot["box_mm"], (120.0, 120.0)
            assert part(found["White"], box, dpi, grow=1.0).any() != bare, slot["record"]
            assert any(part(found[ink], box, dpi).any() for ink in PROCESS), slot["record"]
    assert seen == {True, False}, "the example lost one of its kinds of blanks"


def test_nothing_is_printed_beside_the_items(run: Run) -> None:
    """Outside the boxes of the items there are only the four anchor marks, on every plate."""
    bed, dpi = bed_of(run), (150.0, 150.0)
    found = plates(run.bed_file(bed), 1, "150")
    size = run.toml("bed")
    for slot in run.on_bed(bed):
        for ink in (*PROCESS, *SPOTS):
            part(found[ink], slot["box_mm"], dpi, grow=1.0)[:] = 0
    corner = 1.0  # mm; the marks are smaller
    for ink in ("Black", *SPOTS):
        for x in (0.0, size["width"] - corner):
            for y in (0.0, size["height"] - corner):
                mark = part(found[ink], (x, y, corner, corner), dpi, grow=0.5)
                assert mark.any(), f"{ink} has no anchor mark at {x}, {y}"
                mark[:] = 0
    for ink in (*PROCESS, *SPOTS):
        assert not found[ink].any(), f"{ink} beside the items"
