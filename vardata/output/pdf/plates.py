"""Plates in a bed file: which page each is on, its layer, its ink.

In: the layout's plates, the machine's names for them, how pages are wanted. Out: the plates
of each page in painting order, and the file's objects for layers (ISO 32000-1, 8.11) and for
inks of their own (8.6.6.4).
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from vardata.job.model import Bed, Layout, Output
from vardata.job.surfaces import laid_order
from vardata.output.pdf.inks import Ink, process_ink, separation_ink
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.syntax import name, number, text_string

# Colour first keeps art's own knockouts; what comes later overprints and takes nothing away.
_ORDER = {"colour": 0, "white": 1, "gloss": 2}

# How a viewer shows an ink that it does not have, as CMYK at full strength: pale, so that
# white and gloss can be seen on a white page without hiding much. A choice of ours.
_SHOWN = {
    "white": ((0.22, 0.05, 0.0, 0.0), (0.10, 0.20, 0.0, 0.0), (0.20, 0.0, 0.12, 0.0)),
    "gloss": ((0.0, 0.06, 0.25, 0.0), (0.0, 0.14, 0.18, 0.0), (0.10, 0.0, 0.30, 0.0)),
}


def painting_order(layout: Layout) -> tuple[int, ...]:
    """The plates' places in the layout, in the order in which they are painted."""
    plates = layout.plates
    return tuple(sorted(range(len(plates)), key=lambda i: _ORDER[plates[i].role]))


def page_plates(layout: Layout, output: Output) -> tuple[tuple[int, ...], ...]:
    """For each page of a bed its plates, by their places in the layout, in painting order.

    Two plates of the process inks cannot share a page: they would become one. Pages come as the
    plates are laid down, or as the job says.
    """
    colours = sum(plate.role == "colour" for plate in layout.plates)
    if output.pages == "together" and colours <= 1:
        return (painting_order(layout),)
    wanted = {name: place for place, name in enumerate(output.page_order)}
    plates = layout.plates
    order = sorted(laid_order(layout), key=lambda i: wanted.get(plates[i].name, len(wanted)))
    repeat = output.pages == "apart" and output.repeat_passes
    return tuple((i,) for i in order for _ in range(plates[i].passes if repeat else 1))


# ISO 19593-1, names of groups and types as the open model of PDF objects lists them.
_STEPS = {
    "white": b"/GTS_ProcStepsGroup/White",
    "gloss": b"/GTS_ProcStepsGroup/Varnish",
    "cut": b"/GTS_ProcStepsGroup/Structural/GTS_ProcStepsType/Cutting",
}


def step_metadata(kind: str) -> bytes:
    """What a layer's dictionary says of its processing step; nothing for colour."""
    return b"/GTS_Metadata<<%b>>" % _STEPS[kind] if kind in _STEPS else b""


def machine_name(bed: Bed, plate: str) -> str:
    """What this machine calls a plate of the layout."""
    return bed.plate_names.get(plate, plate)


class Plates(NamedTuple):
    """The plates of a file. ``spaces`` and ``layers`` are resource entries; ``catalog`` is the
    catalog's entry for layers."""

    inks: tuple[Ink, ...]
    spaces: bytes
    layers: bytes
    catalog: bytes


def put_plates(
    pdf: PdfFile, bed: Bed, layout: Layout, reach: float = 0.0, *, steps: bool = False, cut: int = 0
) -> Plates:
    """Puts colour spaces and layers into the file; ``reach`` as in ``Ink``.

    ``steps``: layers tell their processing steps; ``cut`` is the layer of cut lines, if any.
    """
    inks: list[Ink] = []
    spaces: list[bytes] = []
    layers: list[bytes] = []
    for i, plate in enumerate(layout.plates):
        called = machine_name(bed, plate.name)
        step = step_metadata(plate.role) if steps else b""
        layer = pdf.put(b"<</Type/OCG/Name%b%b>>" % (text_string(called), step))
        layers.append(b"%d 0 R" % layer)
        if plate.role == "colour":
            inks.append(process_ink())
            continue
        space = pdf.put(separation(called, _shown(bed, layout, i)))
        spaces.append(b"%b %d 0 R" % (space_name(i), space))
        inks.append(separation_ink(space_name(i), reach, plate.density / 100, space))
    more = b" %d 0 R" % cut if cut else b""
    listed = b" ".join(layers) + more
    ordered = b" ".join(layers[i] for i in laid_order(layout)) + more
    called_so = b"/Name(Plates)" if steps else b""
    return Plates(
        tuple(inks),
        b"".join(spaces),
        b"".join(b"%b %b" % (layer_name(i), layer) for i, layer in enumerate(layers)),
        b"/OCProperties<</OCGs[%b]/D<<%b/Order[%b]/ON[%b]>>>>"
        % (listed, called_so, ordered, listed),
    )


def space_name(plate: int) -> bytes:
    """The resource name of a plate's ink; one renderer lost a space with a one-letter name."""
    return b"/Ink%d" % (plate + 1)


def layer_name(plate: int) -> bytes:
    """The resource name of a plate's layer."""
    return b"/Layer%d" % (plate + 1)


@lru_cache(maxsize=256)
def separation(called: str, shown: tuple[float, ...]) -> bytes:
    """A Separation space whose tint goes in a straight line to the shown colour."""
    full = b" ".join(number(part) for part in shown)
    function = b"<</FunctionType 2/Domain[0 1]/C0[0 0 0 0]/C1[%b]/N 1>>" % full
    return b"[/Separation%b/DeviceCMYK%b]" % (name(called), function)


def _shown(bed: Bed, layout: Layout, plate: int) -> tuple[float, ...]:
    """The same name is shown in the same colour, other plates of a role in another one."""
    role = layout.plates[plate].role
    names = [machine_name(bed, p.name) for p in layout.plates if p.role == role]
    place = names.index(machine_name(bed, layout.plates[plate].name))
    return _SHOWN[role][place % len(_SHOWN[role])]
