"""Why a text holds its record: one line each, with what was found and how to mend it."""

from __future__ import annotations

import math
import unicodedata

from vardata.fit.block import Block
from vardata.fit.fonts import Face
from vardata.fit.groupsize import GroupSize
from vardata.fit.shaping import Unshapable
from vardata.fit.sizing import PLAY, UNIT, Limits
from vardata.job.model import TextField
from vardata.job.textstyle import is_decorated
from vardata.problems import Problem, Severity

_SHOWN = 40  # characters of a text that are shown in a message
_ASKED = 3  # fonts that are named in a message
_NAMED = 4  # characters that are named in a message
_REMEDY = {
    "missing-glyph": "add a font that has it to the field's fonts, or change the text",
    "colour-glyph": "put a font that draws it in outlines alone first, or take it out of the text",
    "no-column-form": "put a font that has one (its feature vert) first, or change the text",
    "no-form": "write synthetic = true in the style, take a font that has it, or change the text",
    "empty-glyph": "put a font that draws it first in the field's fonts, or change the text",
}


def unshapable(found: Unshapable, text: str, chain: tuple[Face, ...]) -> Problem:
    """A character that no font shows, a glyph without ink, or one in colours of its own."""
    part, fonts = found.part, _asked(chain)
    if found.why == "not-stacked":
        return not_stacked(text, part)
    if found.why.startswith("no-form "):
        form = {"superior": "superior", "ordinal": "ordinal mark", "small-caps": "small capital"}
        what = f"no {form[found.why[8:]]} for {shown(part)} in {chain[0].path.stem}"
        return Problem("no-form", Severity.HOLD, what, _REMEDY["no-form"], value=part)
    if found.why == "empty-glyph":
        what = f"the glyph for {shown(part)} ({_names(part)}) is empty; asked: {fonts}"
    elif found.why == "no-column-form":
        what = f"no form of {shown(part)} ({_names(part)}) for columns; asked: {fonts}"
    elif found.why == "colour-glyph":
        what = f"{shown(part)} ({_names(part)}) is drawn in colours of its own, asked: {fonts}"
    else:
        lacking = "".join(char for char in part if not any(face.has(ord(char)) for face in chain))
        what = f"no font has {shown(part)} ({_names(lacking or part)}); asked: {fonts}"
    return Problem(found.why, Severity.HOLD, what, _REMEDY[found.why], value=part)


def _asked(chain: tuple[Face, ...]) -> str:
    names = [face.path.stem for face in chain]
    if len(names) <= _ASKED:
        return ", ".join(names)
    return f"{', '.join(names[: _ASKED - 1])} and {len(names) - _ASKED + 1} more"


def _names(characters: str) -> str:
    """Code points with their Unicode names."""
    names = [f"U+{ord(char):04X} {unicodedata.name(char, 'no name')}" for char in characters]
    return ", ".join(names[:_NAMED]) + (" ..." if len(names) > _NAMED else "")


def not_stacked(text: str, letter: str) -> Problem:
    """A script whose letters cannot stand one under the other."""
    from fontTools.unicodedata import script, script_name

    name = script_name(script(letter), default="this script").replace("_", " ")
    return Problem(
        "not-stacked", Severity.HOLD,
        f"{shown(text)} holds {shown(letter)} ({_names(letter)}): letters of {name} cannot stand "
        "one under the other",
        'take direction = "down" out of the layout, or change the text', value=letter,
    )  # fmt: skip


def no_ink(text: str) -> Problem:
    return Problem(
        "no-ink", Severity.HOLD, f"{shown(text)} has no visible character",
        "fill the cell with a text that can be seen", value=text,
    )  # fmt: skip


def not_as_group(text: str, size: GroupSize) -> Problem:
    squeezed = f", squeezed to {size.squeeze * 100:g} %" if size.squeeze < 1.0 else ""
    lines = f"{size.lines} line{'s' if size.lines > 1 else ''}"
    return Problem(
        "group-size", Severity.HOLD,
        f"{shown(text)} does not fit as its group was printed before: "
        f"{size.size_pt:g} pt{squeezed}, {lines} at most",
        "shorten the text, or build with --new-sizes to give all groups new sizes", value=text,
    )  # fmt: skip


def bent_not_as_group(text: str, size: GroupSize) -> Problem:
    squeezed = f" squeezed to {size.squeeze * 100:g} %" if size.squeeze < 1.0 else ""
    return Problem(
        "group-size", Severity.HOLD,
        f"{shown(text)} passes its line or its box at its group's size, {size.size_pt:g} pt"
        f"{squeezed}",
        "enlarge the box, or move the line that the text stands on away from its edge; if the "
        "group was printed before, build with --new-sizes to give all groups new sizes",
        value=text,
    )  # fmt: skip


def too_many_lines(text: str, lines: int, field: TextField) -> Problem:
    allowed = f"{field.lines} line{'s' if field.lines > 1 else ''}"
    return Problem(
        "text-too-long", Severity.HOLD,
        f"{shown(text)} has {lines} lines of its own, the field takes {allowed}",
        "take line breaks out of the text, or allow more lines in the layout", value=text,
    )  # fmt: skip


def too_long(text: str, field: TextField, limits: Limits, blocks: list[Block]) -> Problem:
    """``blocks`` are the text on every number of lines that the limits allow."""
    wants: list[tuple[float, float, float, int]] = []
    down = field.direction == "down"  # a block of columns lies on its side
    for block in blocks:
        width = block.width * UNIT * limits.smallest * limits.narrowest
        height = (block.top - block.bottom) * UNIT * limits.smallest
        width, height = (height, width) if down else (width, height)
        over = max(width / field.box[2], height / field.box[3])
        wants.append((over, width, height, len(block.lines)))
    _, width, height, lines = min(wants)  # the nearest miss
    at = f"{limits.smallest:g} pt"
    if limits.narrowest < 1.0:
        at += f" squeezed to {limits.narrowest * 100:g} %"
    looser = "min_size or lines" if down else "min_size, squeeze or lines"
    if lines > 1:
        at += f" in {lines} columns" if down else f" on {lines} lines"
    return Problem(
        "text-too-long",
        Severity.HOLD,
        f"{shown(text)} needs {_up(width)} x {_up(height)} mm at {at}, "
        f"the box is {_box(field)}",
        f"shorten the text, enlarge the box, or loosen {looser} in the layout",
        value=text,
    )


def curve_too_short(
    text: str, field: TextField, needed: float, length: float, limits: Limits
) -> Problem:
    at = f"{limits.smallest:g} pt"
    if limits.narrowest < 1.0:
        at += f" squeezed to {limits.narrowest * 100:g} %"
    if needed <= length:
        what = f"{shown(text)} passes its box of {_box(field)} at {at}"
        remedy = "enlarge the box, or move the line that the text stands on away from its edge"
    else:
        what = f"{shown(text)} needs {_up(needed)} mm at {at}, its line is {length:.4g} mm long"
        remedy = "shorten the text, lengthen the line, or loosen min_size or squeeze in the layout"
    return Problem("text-too-long", Severity.HOLD, what, remedy, value=text)


def _box(field: TextField) -> str:
    """The size of a field's box for letters."""
    less = ", less what is drawn round the letters" if is_decorated(field) else ""
    return f"{round(field.box[2], 3):g} x {round(field.box[3], 3):g} mm{less}"


def shown(text: str) -> str:
    return repr(text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "...")


def _up(mm: float) -> str:
    """Millimetres a box would need, rounded up."""
    return f"{math.ceil((mm + 2 * PLAY) * 100) / 100:g}"
