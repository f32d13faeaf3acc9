"""Letters that cannot be seen: in a colour that hardly differs from what lies round them.

In: a text field in its place, a kind of blank, the covers of the white plates on it. Out: a
warning (``text-unseen``), or None where letters show or where nobody can tell: over art, over
other fields, on clear and on printed stock, within a ground of their own. Values are nominal, as
those of ``contrast``; only the field's own colour is judged.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from vardata.dress.contrast import WHITE, Seen, blank_seen, contrast, grade, ink_seen
from vardata.dress.ink import Cover, Ink
from vardata.job import model
from vardata.problems import Problem, Severity, Where

# Codes of this grade are not read, by a camera (ISO/IEC 15415, secondary) or in red light.
_UNREAD = 0
# WCAG 2 asks for a ratio of 3 for large letters ((L1 + 0.05) / (L2 + 0.05), relative luminance);
# below 2 few people find them (common practice, no source).
_FLARE, _LEAST = 0.05, 2.0
Below = Literal["white", "blank"]


def hides(letters: Seen, around: Seen) -> bool:
    """Whether letters hardly differ from what lies round them, in lightness and in red light."""
    found = contrast(letters, around)
    light, dark = max(letters.camera, around.camera), min(letters.camera, around.camera)
    return (
        grade(found.camera) == _UNREAD
        and grade(found.red) == _UNREAD
        and (light + _FLARE) / (dark + _FLARE) < _LEAST
    )


def unseen(
    field: model.TextField, ink: Ink, blank: model.Blank, covers: Mapping[int, Cover],
    under: Below,
) -> Problem | None:
    """What is to be said of a text on a blank; ``under`` is what its colour lies on."""
    if blank.surface == "clear" or ink.kind == "gloss" or field.contour or field.shadow:
        return None
    bare = blank_seen(blank.substrate)
    flooded = any(cover in ("flood", "knockout") for cover in covers.values())
    around = WHITE if flooded else bare
    if ink.kind == "white":
        letters, lined = WHITE, WHITE
    else:
        letters = ink_seen(ink.paint, WHITE if under == "white" else bare)
        lined = ink_seen(ink.paint, WHITE)
    if field.outline is not None or not hides(letters, around):
        return None
    label = blank.label or f"{blank.surface} surface"
    if flooded:
        what = f"its colour hardly shows on the white that is printed on this blank ({label})"
    else:
        what = f"its colour hardly shows on this blank ({label}, {blank.substrate})"
    remedy = "choose another colour"
    if under == "blank" and ink.kind == "colour" and not hides(lined, around):
        what += " without white under it"
        remedy = (
            'let white lie under it (a white plate with cover = "art"), or choose a colour that '
            "shows"
        )
    return Problem("text-unseen", Severity.WARNING, what, remedy, Where(field=field.name))
