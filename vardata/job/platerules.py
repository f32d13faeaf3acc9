"""Rules over the plates of a layout and the names a machine gives them."""

from __future__ import annotations

from collections.abc import Iterator

from vardata.job.claims import Claim, twice
from vardata.job.lines import KeyPath
from vardata.job.model import Bed, Layout, Plate
from vardata.job.near import choose, nearest
from vardata.job.surfacerules import surface_claims
from vardata.job.toml import Source
from vardata.units import Dots

# ISO 32000-1, 8.6.6.4: All and None are reserved; the process inks' names mean the process inks.
_RESERVED = ("Cyan", "Magenta", "Yellow", "Black", "All", "None")
_LONGEST_NAME = 63  # bytes; common practice, no source: longer names are cut by some machines
# The usual choke is 0.05 to 0.2 mm, common practice, no source; more than this is a slip.
_MOST = 1.0  # mm
_MOST_DOTS = 30  # 1.06 mm at 720 dpi
_COVERS = {
    "colour": ("none",),
    "white": ("none", "art", "flood", "knockout"),
    "gloss": ("none", "fields", "art", "flood", "inverse"),
}


def plate_claims(layout: Layout, source: Source) -> Iterator[Claim]:
    """Names, roles and covers of a layout's plates."""
    plates = layout.plates
    for index, plate in enumerate(plates):
        path: KeyPath = ("plates", index)
        yield from name_claims(source, (*path, "name"), plate.name)
        if plate.cover not in _COVERS[plate.role]:
            what = f"a {plate.role} plate cannot have the cover {plate.cover!r}"
            remedy = f"allowed: {', '.join(_COVERS[plate.role])}"
            yield Claim(source, (*path, "cover"), "unknown-value", what, remedy, plate.cover)
        yield from _only_for(source, path, plate)
        yield from _spread(source, path, plate)
        yield from _too_far(source, path, plate)
    names = ((("plates", i, "name"), plate.name) for i, plate in enumerate(plates))
    yield from twice(source, names, "plate")
    colour = [index for index, plate in enumerate(plates) if plate.role == "colour"]
    if not colour:
        what = 'no plate has the role "colour"'
        remedy = 'add one, such as { name = "Colour", role = "colour" }'
        yield Claim(source, ("plates",), "colour-plates", what, remedy)
    else:
        yield from surface_claims(layout, source)


def _only_for(source: Source, path: KeyPath, plate: Plate) -> Iterator[Claim]:
    """Keys that say nothing on a plate of another role."""
    for key, roles, used in (
        ("density", ("white", "gloss"), plate.density != 100.0),
        ("under", ("white",), plate.under != "all"),
        ("colours", ("white", "gloss"), bool(plate.colours)),
        ("pattern", ("gloss",), plate.pattern is not None),
        ("choke_holes", ("white",), plate.choke_holes is not None),
        ("choke_texts", ("white",), plate.choke_texts is not None),
        ("spread", ("white",), plate.spread > 0),
    ):
        if used and plate.role not in roles:
            what = f"{key} is for plates with the role {' or '.join(roles)}"
            yield Claim(source, (*path, key), "wrong-role", what, "take it away")


def _spread(source: Source, path: KeyPath, plate: Plate) -> Iterator[Claim]:
    """White either reaches beyond colour or is drawn in from its edges."""
    if not plate.spread or plate.role != "white":
        return
    if plate.cover in ("flood", "knockout"):
        what = f"spread says nothing of a plate with the cover {plate.cover!r}"
        yield Claim(source, (*path, "spread"), "spread", what, "take it away")
    for key in ("choke", "choke_holes", "choke_texts"):
        if key in plate.model_fields_set and getattr(plate, key):
            what = f"the plate {plate.name!r} has a spread and a {key}"
            yield Claim(source, (*path, key), "spread", what, "take one of the two away")


def _too_far(source: Source, path: KeyPath, plate: Plate) -> Iterator[Claim]:
    """A choke or spread that can only be a slip; "0.08" and "8" look alike in a hurry."""
    for key in ("choke", "choke_holes", "choke_texts", "spread"):
        value = getattr(plate, key)
        if value is None or plate.role != "white":
            continue
        if isinstance(value, Dots):
            far, said = value > _MOST_DOTS, f"{value:g} dots"
            most = f"{_MOST_DOTS} dots"
        else:
            far, said, most = value > _MOST, f"{value:g} mm", f"{_MOST:g} mm"
        if far:
            what = f"a {key.partition('_')[0]} of {said} is more than {most}"
            remedy = "write it in mm: 0.05 to 0.2 is usual"
            yield Claim(source, (*path, key), "bad-value", what, remedy, f"{value:g}")


def name_claims(source: Source, path: KeyPath, name: str) -> Iterator[Claim]:
    """A name that can stand for an ink in a PDF and in the files of other programs."""
    if name.casefold() in (reserved.casefold() for reserved in _RESERVED):
        what = f"{name!r} cannot name a plate, because PDF means something else by it"
        yield Claim(source, path, "plate-name", what, "choose another name", name)
    elif not (name.isascii() and name.isprintable()):
        what = f"{name!r} has characters outside ASCII"
        yield Claim(source, path, "plate-name", what, "use A-Z a-z 0-9 and signs only", name)
    elif len(name) > _LONGEST_NAME:
        what = f"the plate's name has {len(name)} characters"
        yield Claim(source, path, "plate-name", what, f"at most {_LONGEST_NAME} are allowed", name)


CUT = "Cut"  # what cut lines are called, unless the bed file says otherwise


def bed_name_claims(
    bed: Bed, source: Source, layout: Layout, *, cut_lines: bool = False
) -> Iterator[Claim]:
    """What the machine calls the plates; a bed file may name plates of other layouts too."""
    plates = [plate.name for plate in layout.plates] + [CUT] * cut_lines
    final: dict[str, str] = {}
    for plate in plates:
        name = bed.plate_names.get(plate, plate)
        other = final.setdefault(name.casefold(), plate)
        if other != plate and other.casefold() != plate.casefold():
            path = ("plate_names", plate if plate in bed.plate_names else other)
            what = f"the plates {other!r} and {plate!r} are both called {name!r}"
            yield Claim(source, path, "duplicate-name", what, "give each its own name", name)
    unnamed = [plate for plate in plates if plate not in bed.plate_names and plate != CUT]
    for plate, name in bed.plate_names.items():
        path = ("plate_names", plate)
        yield from name_claims(source, path, name)
        if plate not in (*plates, CUT) and nearest(plate, unnamed) is not None:
            what = f"the layout {layout.name!r} has no plate {plate!r}"
            yield Claim(source, path, "unknown-plate", what, choose(plate, plates), plate)
