"""What a picture for eyes shows: which plates, and how the ink of each acts on light.

In: a layout and what is wanted of it. Out: plates in the order in which light meets them, their
inks, and the blend modes (ISO 32000-1, 11.3.5) that stand for what inks do.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from vardata.job.model import Layout
from vardata.job.surfaces import unseen_plates
from vardata.output.pdf.inks import Ink, light_ink, process_ink, shade_ink
from vardata.output.pdf.plates import painting_order

# Screen with the tint as light mixes the ground with white; Exclusion makes dark grounds a
# little lighter and light ones a little darker (ISO 32000-1, table 136).
BLENDS = {"white": b"/Lighten1", "colour": b"/Filter1", "gloss": b"/Sheen1"}
STATES = b"<</Lighten1<</BM/Screen>>/Filter1<</BM/Multiply>>/Sheen1<</BM/Exclusion>>>>"
LIT = {"white": b"/Filter1", "colour": b"/Filter1"}
_THROUGH = 0.35  # of the light that a full white lets through; an estimate, no source
_SHEEN = (0.075, 0.07, 0.06)
_GLOSS_ON_PAPER = (0.32, 0.30, 0.27)  # a plate on its own is meant to be seen


class View(NamedTuple):
    """What a picture shows. ``plates`` are places in the layout, None for all of them.

    ``background`` is a colour such as #e6e6e6 around the items, empty for none. Where plates
    are chosen and white is not among them, items are shown on paper instead of their
    substrate: on a dark blank there would be nothing to see. ``lit``: light comes through the
    blanks from behind; white dims it by its density, colour on either side of the white filters
    it.
    """

    plates: frozenset[int] | None = None
    background: str = ""
    with_gloss_sheen: bool = True
    lit: bool = False


def shown_plates(layout: Layout, view: View) -> tuple[int, ...]:
    """The plates to be shown: white first, since colour lies on it, gloss last. Without a choice,
    what the white of a sandwich hides is left out."""
    ranks = {"white": 0, "colour": 1, "gloss": 2}
    unseen = unseen_plates(layout)
    plates = [
        i
        for i in painting_order(layout)
        if (i in view.plates if view.plates is not None else view.lit or i not in unseen)
    ]
    if view.lit:
        return tuple(i for i in plates if layout.plates[i].role != "gloss")
    plates.sort(key=lambda i: ranks[layout.plates[i].role])
    only_gloss = all(layout.plates[i].role == "gloss" for i in plates)
    if not view.with_gloss_sheen and not only_gloss:
        plates = [i for i in plates if layout.plates[i].role != "gloss"]
    return tuple(plates)


def view_inks(layout: Layout, shown: Sequence[int], view: View) -> list[Ink]:
    """Inks of a picture: white of less than full density covers by as much. The choke of runs is
    shown where white is alone.

    Beside colour it is finer than a screen's dots: drawn there, it would eat thin letters that
    ink, which spreads, fills on the press.
    """
    roles = {layout.plates[i].role for i in shown}
    gloss = _GLOSS_ON_PAPER if roles == {"gloss"} else _SHEEN
    alone = "colour" not in roles
    found = []
    for plate in layout.plates:
        dense = plate.density / 100
        if plate.role == "colour":
            found.append(process_ink())
        elif plate.role == "gloss":
            red, green, blue = (part * dense for part in gloss)
            found.append(light_ink(red, green, blue, chokes=True))
        elif view.lit:
            through = 1.0 - dense * (1.0 - _THROUGH)
            found.append(shade_ink(through, chokes=alone, times=plate.passes))
        else:
            covers = 1.0 - (1.0 - dense) ** plate.passes
            found.append(light_ink(covers, covers, covers, chokes=alone))
    return found
