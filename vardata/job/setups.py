"""How the setups of products and of sides are put together from what was read.

In: a setup of one side, what the other side has of its own, names of products. Out: whole setups.
Nothing is read or checked here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from vardata.job.dots import in_mm
from vardata.job.model import Jig, Layout, Setup
from vardata.job.systemfonts import FontFile
from vardata.job.turning import jig_of_b


class OtherSide(NamedTuple):
    """What side B is made from: its jig, if it has one of its own, its layout and its files, as
    a setup has them."""

    jig: Jig | None
    layout: Layout
    files: dict[str, Any]


def fonts_of(fonts: Mapping[str, FontFile]) -> dict[str, Any]:
    """What a setup says of its fonts."""
    return {
        "fonts": {name: font.path for name, font in fonts.items()},
        "members": {n: font.member for n, font in fonts.items() if font.member is not None},
        "axes": {name: font.axes for name, font in fonts.items() if font.axes},
    }


def called(part: Setup, name: str) -> Setup:
    """A product's setup whose layouts are called by it."""
    update: dict[str, Any] = {"layout": part.layout.model_copy(update={"name": name})}
    if part.side_b is not None:
        update["side_b"] = called(part.side_b, name)
    return part.model_copy(update=update)


def with_side_b(setup: Setup, other: OtherSide) -> Setup:
    """A setup with its side B, whose slots are those of side A after the turn.

    Fields of side B say so in their names, wherever those of both sides are told of.
    """
    side = setup.job.side_b
    assert side is not None
    update = {"layout": side.layout} | ({"jig": side.jig} if side.jig is not None else {})
    behind = setup.model_copy(
        update={
            **other.files,
            "job": setup.job.model_copy(update=update),
            "jig": jig_of_b(setup.jig, side, setup.bed, other.jig),
            "layout": _named(in_mm(other.layout, setup.mode), setup.layout.name),
            "side": "B",
        }
    )
    return setup.model_copy(update={"side": "A", "side_b": behind})


def _named(layout: Layout, name: str) -> Layout:
    fields = (
        field.model_copy(update={"name": f"{field.name} (side B)"}) for field in layout.fields
    )
    return layout.model_copy(update={"name": name, "fields": tuple(fields)})
