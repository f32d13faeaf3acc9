"""The kinds of value that a user's files hold: lengths, sizes, names, colours, fonts.

In: what TOML gives. Out: plain Python values. Every refusal is a ``ValueError`` of one line,
"what was found; what is allowed", which ``job.wording`` turns into a problem.
"""

from __future__ import annotations

import codecs
import math
import re
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    ValidatorFunctionWrapHandler,
    WithJsonSchema,
    WrapValidator,
)

from vardata import units
from vardata.job.near import choose

# Units may be written in small or capital letters; JSON Schema's patterns cannot say that shorter.
_UNITS = "[mM][mM]|[cC][mM]|[iI][nN]|[pP][tT]|[uUµ][mM]"
_FIGURE = r"(\d+(\.\d*)?|\.\d+)\s*"
_LENGTH = rf"^\s*[+-]?{_FIGURE}({_UNITS})?\s*$"
_NOT_NEGATIVE = rf"^\s*[+]?{_FIGURE}({_UNITS})?\s*$"
_OR_DOTS = rf"^\s*[+]?{_FIGURE}({_UNITS}|[dD][oO][tT][sS]?)?\s*$"
_SIZE = rf"^\s*[+]?{_FIGURE}({_UNITS})\s*$"
_JOB_NAME = r"^[A-Za-z0-9][A-Za-z0-9._-]*$"
_LOCALE = r"^[A-Za-z]{2,3}([-_][A-Za-z0-9]{2,8})*$"
_HEX = r"^#[0-9A-Fa-f]{6}$"

# Names a colour may have, in percent of cyan, magenta, yellow, black: full and half tints of the
# process inks (common practice, no source). "white" is not among them, because it is the ink of
# the white plate (see WHITE).
COLOUR_NAMES: dict[str, tuple[float, float, float, float]] = {
    "black": (0.0, 0.0, 0.0, 100.0),
    "grey": (0.0, 0.0, 0.0, 50.0),
    "cyan": (100.0, 0.0, 0.0, 0.0),
    "magenta": (0.0, 100.0, 0.0, 0.0),
    "yellow": (0.0, 0.0, 100.0, 0.0),
    "red": (0.0, 100.0, 100.0, 0.0),
    "green": (100.0, 0.0, 100.0, 0.0),
    "blue": (100.0, 100.0, 0.0, 0.0),
    "orange": (0.0, 50.0, 100.0, 0.0),
    "purple": (50.0, 100.0, 0.0, 0.0),
    "brown": (0.0, 50.0, 100.0, 50.0),
    "gray": (0.0, 0.0, 0.0, 50.0),
}
WHITE = "white"  # full ink of the layout's white plate

# Text encodings an order sheet is likely to have; others that Python knows are accepted too.
_ENCODINGS = ("utf-8", "utf-16", "cp1252", "cp1250", "cp1251", "latin-1", "mac-roman", "shift_jis")


def _named(value: str) -> str:
    """A name as people read it in lists and messages: one line, no stray white space."""
    if not value.strip():
        raise ValueError("the name is empty; write at least one letter")
    if value != value.strip():
        raise ValueError(f"{value!r} begins or ends with a space; take it away")
    if not value.isprintable():
        raise ValueError(f"{value!r} holds a control character; use printable characters only")
    if len(value) > 80:
        raise ValueError(f"the name has {len(value)} characters; at most 80 are allowed")
    return value


def _filed(value: str) -> str:
    """A name that becomes part of a file's name on any system."""
    _named(value)
    if bad := sorted(set(value) & set('/\\:*?"<>|')):
        raise ValueError(
            f"{value!r} holds {' '.join(bad)}, which a file's name cannot have; leave it out"
        )
    return value


def _job_name(value: str) -> str:
    if not re.fullmatch(_JOB_NAME, value) or len(value) > 80:
        raise ValueError(
            f"{value!r} cannot name a job; use up to 80 of A-Z a-z 0-9 . _ - and begin with a "
            "letter or a digit"
        )
    return value


def _locale(value: str) -> str:
    if not re.fullmatch(_LOCALE, value):
        raise ValueError(f'{value!r} is not a locale; write one like "en", "de" or "en-GB"')
    return value


def _encoding(value: str) -> str:
    try:
        # _is_text_encoding tells utf-8 from byte codecs such as base64; bytes.decode uses it too.
        if codecs.lookup(value)._is_text_encoding:
            return value
    except (LookupError, ValueError):
        pass
    raise ValueError(f"{value!r} is not a text encoding; {choose(value, _ENCODINGS)}")


def _delimiter(value: str) -> str:
    if len(value) != 1 or value in '"\r\n':
        raise ValueError(
            f'{value!r} cannot part columns; write one character such as "," ";" or "\\t"'
        )
    return value


def _hex(value: str) -> str:
    if not re.fullmatch(_HEX, value):
        raise ValueError(f'{value!r} is not a colour for pictures; write one like "#202020"')
    return value


def _colour(value: object) -> object:
    """A colour's form; whether a name is known needs the layout's plates (``job.checks``)."""
    how = 'write a name like "black", a "#rrggbb" or [c, m, y, k] in percent'
    if isinstance(value, str):
        if not value.strip():
            raise ValueError(f"the colour is empty; {how}")
        if value.startswith("#") and not re.fullmatch(_HEX, value):
            raise ValueError(f"{value!r} is not a colour; {how}")
        return value
    if isinstance(value, list | tuple):
        parts = [p for p in value if isinstance(p, int | float) and not isinstance(p, bool)]
        if len(value) != 4 or len(parts) != 4:
            raise ValueError(f"{list(value)} is not a colour; write [c, m, y, k], four percentages")
        for part in parts:
            if not (math.isfinite(part) and 0 <= part <= 100):
                raise ValueError(f"{part} in {list(value)} is not a percentage; write 0 to 100")
        return tuple(float(part) for part in parts)
    raise ValueError(f"{value!r} is not a colour; {how}")


def _fonts(value: object) -> object:
    """One font or a list of them, each a key of the layout's fonts, a shipped name or a file."""
    names = list(value) if isinstance(value, list | tuple) else [value]
    for name in names:
        if not isinstance(name, str):
            raise ValueError(f"{name!r} is not a font; write its name or a list of names")
        if not name.strip():
            raise ValueError("the font's name is empty; write its name or a list of names")
    if not names:
        raise ValueError("the list of fonts is empty; name at least one")
    return tuple(names) if isinstance(value, list | tuple) else value


def _fallback(value: object) -> object:
    """The same, but there may be none."""
    return () if value == [] or value == () else _fonts(value)


def _group(value: object) -> object:
    """Whose texts share one size."""
    if value in ("batch", "order") or (isinstance(value, str) and "{{" in value):
        return value
    raise ValueError(
        f"{value!r} is no group; write batch, order, or a template such as {{{{ team }}}}"
    )


def _words(value: object) -> object:
    """One text or a list of them."""
    for word in value if isinstance(value, list | tuple) else [value]:
        if not isinstance(word, str):
            raise ValueError(f"{word!r} is no text; write a text or a list of texts")
    return tuple(value) if isinstance(value, list | tuple) else value


def _feature(value: object) -> object:
    """A tag of OpenType: four letters or figures, behind a minus to switch it off."""
    if isinstance(value, str) and re.fullmatch("-?[A-Za-z0-9]{4}", value):
        return value
    raise ValueError(f'{value!r} is no feature; write its tag, such as "smcp", or "-liga" for off')


def _maybe_dots(value: object, checked: ValidatorFunctionWrapHandler) -> float:
    """A length whose dots, if it is written in dots, stay marked as such."""
    read = units.to_mm_or_dots(value)
    number: float = checked(float(read))
    return units.Dots(number) if isinstance(read, units.Dots) else number


def _schema(text: str, **more: object) -> WithJsonSchema:
    return WithJsonSchema({**more, "description": text})


def _any_of(text: str, *kinds: dict[str, object]) -> WithJsonSchema:
    return _schema(text, anyOf=list(kinds))


_LIST_OF_TEXT: dict[str, Any] = {"type": "array", "minItems": 1, "items": {"type": "string"}}
_CMYK: dict[str, Any] = {
    "type": "array",
    "minItems": 4,
    "maxItems": 4,
    "items": {"type": "number", "minimum": 0, "maximum": 100},
}

# Strict: "yes" is not a switch, "3" is not a number, and 1 is not true.
Flag = Annotated[bool, Field(strict=True)]
Whole = Annotated[int, Field(strict=True)]
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Percent = Annotated[Number, Field(gt=0, le=100)]

_LENGTH_TEXT = "a length: a number is mm; a text may carry mm, cm, in, pt or um"
_LENGTH_OR_DOTS = (
    "a length: a number is mm; a text may carry mm, cm, in, pt, um, or dots of the print mode "
    "(the larger where its two differ)"
)
_LENGTH_ABOVE_0 = "a length above 0: a number is mm; a text may carry mm, cm, in, pt or um"
_SIZE_TEXT = "a font size with its unit, such as 14pt"

# Far beyond any bed, and small enough that outlines are never computed with infinities.
_LONGEST = 100_000

Mm = Annotated[
    float, BeforeValidator(units.to_mm), Field(ge=-_LONGEST, le=_LONGEST, allow_inf_nan=False),
    _any_of(_LENGTH_TEXT, {"type": "number", "minimum": -_LONGEST, "maximum": _LONGEST},
            {"type": "string", "pattern": _LENGTH}),
]  # fmt: skip
SomeMm = Annotated[
    float, BeforeValidator(units.to_mm), Field(ge=0, le=_LONGEST, allow_inf_nan=False),
    _any_of(_LENGTH_TEXT, {"type": "number", "minimum": 0, "maximum": _LONGEST},
            {"type": "string", "pattern": _NOT_NEGATIVE}),
]  # fmt: skip
SomeMmOrDots = Annotated[
    float, Field(ge=0, le=_LONGEST, allow_inf_nan=False), WrapValidator(_maybe_dots),
    _any_of(_LENGTH_OR_DOTS, {"type": "number", "minimum": 0, "maximum": _LONGEST},
            {"type": "string", "pattern": _OR_DOTS}),
]  # fmt: skip
PositiveMm = Annotated[
    float, BeforeValidator(units.to_mm), Field(gt=0, le=_LONGEST, allow_inf_nan=False),
    _any_of(_LENGTH_ABOVE_0, {"type": "number", "exclusiveMinimum": 0, "maximum": _LONGEST},
            {"type": "string", "pattern": _NOT_NEGATIVE}),
]  # fmt: skip
PositivePt = Annotated[
    float, BeforeValidator(units.to_pt), Field(gt=0, allow_inf_nan=False),
    _schema(_SIZE_TEXT, type="string", pattern=_SIZE),
]  # fmt: skip
Pt = PositivePt
# ISO 32000-1, annex C, from memory: a page is at most 14,400 units wide and high.
_LARGEST_PAGE = 14_400 * units.MM_PER_PT
BedMm = Annotated[
    float, BeforeValidator(units.to_mm), Field(gt=0, le=_LARGEST_PAGE, allow_inf_nan=False),
    _any_of(_LENGTH_ABOVE_0,
            {"type": "number", "exclusiveMinimum": 0, "maximum": _LARGEST_PAGE},
            {"type": "string", "pattern": _NOT_NEGATIVE}),
]  # fmt: skip
Box = tuple[Mm, Mm, PositiveMm, PositiveMm]  # x, y of the lower left corner, width, height


class _OrElement:
    """In a schema: or a text that names an element of the art (``job.elements``)."""

    @staticmethod
    def __get_pydantic_json_schema__(core: Any, handler: Any) -> dict[str, Any]:
        return {"anyOf": [handler(core), {"type": "string", "pattern": "#."}]}


FieldBox = Annotated[Box, _OrElement]

Name = Annotated[str, AfterValidator(_named), Field(min_length=1)]
FileName = Annotated[str, AfterValidator(_filed), Field(min_length=1)]
JobName = Annotated[
    str, AfterValidator(_job_name), _schema("a name", type="string", pattern=_JOB_NAME)
]
Locale = Annotated[str, AfterValidator(_locale)]
Encoding = Annotated[str, AfterValidator(_encoding)]
Delimiter = Annotated[str, AfterValidator(_delimiter)]
HexColour = Annotated[str, AfterValidator(_hex), _schema("a colour", type="string", pattern=_HEX)]

# A name ("black", "white"), "#rrggbb", [c, m, y, k] in percent, or a plate's name.
Colour = Annotated[
    str | tuple[float, float, float, float], BeforeValidator(_colour),
    _any_of("a colour: a name, #rrggbb, [c, m, y, k] in percent, or the name of a plate",
            {"type": "string", "pattern": r"^([^#]|#[0-9A-Fa-f]{6}$)"}, _CMYK),
]  # fmt: skip
FontNames = Annotated[
    str | tuple[str, ...], BeforeValidator(_fonts),
    _any_of("a font or a list of fonts, the first that has a glyph being used",
            {"type": "string", "minLength": 1}, _LIST_OF_TEXT),
]  # fmt: skip

FeatureTag = Annotated[
    str, BeforeValidator(_feature),
    _schema("an OpenType feature", type="string", pattern="^-?[A-Za-z0-9]{4}$"),
]  # fmt: skip
Tracking = Annotated[Number, Field(ge=-200, le=1000)]
GroupName = Annotated[
    str, BeforeValidator(_group),
    _schema("which texts share one size: batch, order, or a template over the columns",
            type="string", minLength=1),
]  # fmt: skip
FallbackFonts = Annotated[
    str | tuple[str, ...], BeforeValidator(_fallback),
    _any_of("a font or a list of fonts, which may be empty",
            {"type": "string", "minLength": 1}, _LIST_OF_TEXT),
]  # fmt: skip

Words = Annotated[
    str | tuple[str, ...], BeforeValidator(_words),
    _any_of("a text or a list of texts", {"type": "string"}, _LIST_OF_TEXT),
]  # fmt: skip

WhiteCover = Literal["none", "art", "flood", "knockout"]
GlossCover = Literal["none", "fields", "art", "flood"]
Surface = Literal["light", "dark", "clear"]


def _parts(value: str) -> str:
    """A pattern of labelled parts: every part named once, with a label between any two."""
    names = re.findall(r"\{(\w*)\}", value)
    bare = re.sub(r"\{\w*\}", "", value)
    if not names or "{" in bare or "}" in bare:
        like = "Name: {name} / Date: {date}"
        raise ValueError(f'{value!r} names no parts; write it like "{like}"')
    wrong = [name for name in names if not (name.isascii() and name.isidentifier())]
    if wrong or len(set(names)) < len(names):
        bad = wrong[0] if wrong else next(name for name in names if names.count(name) > 1)
        raise ValueError(f"{{{bad}}} cannot name a part; use a-z, 0-9 and _, each name once")
    if re.search(r"\}[\s\[\]]*\{", value):
        raise ValueError(f"{value!r} has two parts side by side; put a label between them")
    depths = [value[:i].count("[") - value[:i].count("]") for i in range(len(value) + 1)]
    if min(depths) < 0 or max(depths) > 1 or depths[-1]:
        raise ValueError(f"{value!r} has a bracket too many; write [ ] around what may be missing")
    return value


Parts = Annotated[str, AfterValidator(_parts)]
"""A pattern by which a cell is taken apart."""
