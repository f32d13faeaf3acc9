"""Rules for the colours of a field: names must be known, and a plate must print them.

In: a layout and one of its fields. Out: claims. A separation's name stands for its full ink.
"""

from __future__ import annotations

from collections.abc import Iterator

from vardata.job.claims import Claim
from vardata.job.found import clipped
from vardata.job.lines import KeyPath
from vardata.job.model import CodeField, Colour, Layout, TextField
from vardata.job.near import choose
from vardata.job.toml import Source
from vardata.job.values import COLOUR_NAMES, WHITE


def _colours(field: object) -> Iterator[tuple[KeyPath, Colour]]:
    """The colours of a field with their keys."""
    for key in ("colour", "fill", "stroke"):
        if getattr(field, key, None) is not None:
            yield (key,), getattr(field, key)
    if isinstance(field, TextField):
        for name, style in field.styles.items():
            if style.colour is not None:
                yield ("styles", name, "colour"), style.colour
        for key in ("outline", "contour", "shadow"):
            if getattr(field, key) is not None:
                yield (key, "colour"), getattr(field, key).colour


def colour_claims(layout: Layout, source: Source, path: KeyPath) -> Iterator[Claim]:
    field = layout.fields[int(path[1])]
    roles = {plate.name: plate.role for plate in layout.plates}
    inks = [name for name, role in roles.items() if role != "colour"]
    known = [name for name in (*COLOUR_NAMES, WHITE, *inks) if name != "gray"]
    for key, name in _colours(field):
        place = (*path, *key)
        if _is_white(name) and name not in roles and "white" not in roles.values():
            what = "the colour is white, but the layout has no white plate"
            remedy = 'add a plate with role = "white", or choose another colour'
            yield Claim(source, place, "no-plate", what, remedy, str(name))
        elif not isinstance(name, str) or name.startswith("#"):
            continue
        elif roles.get(name) == "colour":
            what = f"the plate {name!r} holds all process colours"
            remedy = f"name one of them; allowed: {', '.join(known)}"
            yield Claim(source, place, "unknown-colour", what, remedy, name)
        elif isinstance(field, CodeField) and roles.get(name) == "gloss":
            what = f"no scanner sees a code of gloss, and {name!r} is a gloss plate"
            remedy = "choose a process colour, or white"
            yield Claim(source, place, "unknown-colour", what, remedy, name)
        elif name not in known and name not in COLOUR_NAMES:
            remedy = choose(name, known) + ', "#rrggbb" or [c, m, y, k] in percent'
            what = f"unknown colour {clipped(name)}"
            yield Claim(source, place, "unknown-colour", what, remedy, name)


def _is_white(colour: Colour) -> bool:
    """A colour without any process ink is white ink."""
    if isinstance(colour, str):
        return colour == WHITE or colour.lower() == "#ffffff"
    return not any(colour)
