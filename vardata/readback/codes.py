"""One code judged: found in its slot, read, and looked at for what a decoder forgives.

In: a bed file's plates, a code's line of ``slots.jsonl``. Out: a ``CodeResult``.
"""

from __future__ import annotations

from typing import Any

from vardata.dress.ink import Plates
from vardata.job.model import Blank, CodeField, Layout, PrintMode
from vardata.job.reduction import carriers, reduction
from vardata.job.symbologies import SYMBOLOGIES
from vardata.readback import decode, qrform, seen, symbol
from vardata.readback.decode import Reading
from vardata.readback.hard import Hardest, hardest, subject
from vardata.readback.place import CodePlace, place_code
from vardata.readback.plates import BedUnreadable, BedView
from vardata.readback.result import CodeResult, Fault
from vardata.readback.symbol import Symbol
from vardata.units import percent

# Symbol contrast of ISO/IEC 15416 and 15415: below 20 % the grade is 0 (secondary source).
LEAST_CONTRAST = 0.20
# What a logo must leave of the error correction for the world outside. Common practice, no source.
LEAST_UNUSED = 0.25
_PIXELS = 1.5  # how far the symbol's extent may be off
_MOST_PIXELS = 100_000_000  # of one code; a code as large as a door has fewer

_AGAIN = "build the run again and do not print this file"


# Kinds without dark ends or corners: their polarity is the decoder's word, their size goes by
# the text that they read.
_OPEN = frozenset(
    name for name in SYMBOLOGIES if name in ("aztec", "codabar") or name.startswith("databar")
)


class CodeJudge:
    """Judges the codes of one layout and print mode."""

    def __init__(self, layout: Layout, mode: PrintMode) -> None:
        self._mode = mode
        self._roles = seen.roles(layout)
        plates = Plates(layout)
        self._fields = {f.name: f for f in layout.fields if isinstance(f, CodeField)}
        self._inks = {name: plates.ink(f.colour, name) for name, f in self._fields.items()}
        self._reductions = {
            name: max((reduction(f, plate, mode) for plate in carriers(f, layout)), default=0.0)
            for name, f in self._fields.items()
        }

    def judge(
        self, view: BedView, slot: dict[str, Any], code: dict[str, Any], blank: Blank, *, hard: bool
    ) -> CodeResult:
        """Raises ``plates.BedUnreadable``."""
        field = self._fields[code["field"]]
        place = self._place(field, code, slot)
        if place.window.columns * place.window.rows > _MOST_PIXELS:
            raise BedUnreadable(f"the box of its code {field.name!r} is too large to be looked at")
        ink = seen.ink_in(view, slot["pages"], self._roles, place.window)
        in_white = self._inks[field.name].kind == "white"
        picture = seen.as_seen(seen.spread(ink, place.spread, in_white), blank.substrate)
        looked = symbol.look(picture, None if in_white else ink.colour, place)
        if looked is None:
            reading, faults = None, [_nothing(int(ink.colour.min()) < symbol.INKED)]
        else:
            reading = decode.read(picture, field.symbology, inverted=in_white)
            if field.symbology in _OPEN and reading is not None:
                looked = looked._replace(inverted=False)  # the decoder was told not to invert
            faults = _faults(field, code["text"], place, looked, reading)
        if ink.gloss is not None and int(symbol.within(ink.gloss).min()) < symbol.INKED:
            faults.append(
                Fault("code-gloss", "there is gloss on the code or its quiet zone", _AGAIN)
            )
        degraded = None
        if hard and reading is not None:
            degraded = self._degrade(view, slot, code, field, blank, in_white)
        return CodeResult(
            field.name, field.symbology, code["text"], reading.text if reading else None,
            _dots(looked), round(looked.contrast, 3) if looked else None,
            round(reading.unused, 3) if reading and field.symbology == "qr" else None,
            degraded, tuple(faults),
        )

    def _place(
        self, field: CodeField, code: dict[str, Any], slot: dict[str, Any], one_dot: bool = False
    ) -> CodePlace:
        return place_code(
            field, code, slot["rotation_deg"], self._mode, one_dot=one_dot,
            reduction=self._reductions[field.name],
        )

    def _degrade(
        self, view: BedView, slot: dict[str, Any], code: dict[str, Any], field: CodeField,
        blank: Blank, in_white: bool,
    ) -> Hardest:
        place = self._place(field, code, slot, one_dot=True)
        ink = seen.ink_in(view, slot["pages"], self._roles, place.window)
        picture = seen.as_seen(seen.spread(ink, place.spread, in_white), blank.substrate)
        module = min(place.px, place.py) if place.rows > 1 else place.px
        return hardest(
            subject(picture, module, field.symbology, code["text"], inverted=in_white)
        )


def _dots(looked: Symbol | None) -> tuple[float, ...] | None:
    if looked is None:
        return None
    return tuple(round(dots, 2) for dots in looked.dots if dots)


def _nothing(inked: bool) -> Fault:
    if inked:
        return Fault(
            "code-ground", "the code's ink cannot be told from what lies under it",
            f"there is no light ground under it; {_AGAIN}",
        )
    return Fault("code-missing", "nothing is printed where the code should be", _AGAIN)


def _faults(
    field: CodeField, text: str, place: CodePlace, looked: Symbol, reading: Reading | None
) -> list[Fault]:
    """Everything that is wrong, what explains most first."""
    found: list[Fault] = []
    mirrored = _mirrored(field, looked, reading)
    if looked.inverted:
        found.append(Fault("code-inverted", "light and dark are exchanged", _AGAIN))
    if mirrored:
        found.append(mirrored)
    if reading is None:
        if not found:
            found.append(Fault("code-unreadable", "the code does not read", _AGAIN))
    elif not decode.says(reading, field.symbology, text):
        found.append(Fault(
            "code-wrong", f"the code says {_shown(reading.text)} and should say {_shown(text)}",
            _AGAIN, reading.text,
        ))
    found += _marks(field, place, looked, reading, mirrored is not None)
    if looked.quiet_ink:
        found.append(Fault("code-quiet-ink", "there is colour ink in the quiet zone", _AGAIN))
    elif looked.quiet_dark:
        found.append(Fault(
            "code-quiet-dark", "the quiet zone is not light all over",
            f"its ground is missing or too small; {_AGAIN}",
        ))
    if looked.contrast < LEAST_CONTRAST:
        found.append(Fault(
            "code-contrast",
            f"light and dark differ by {percent(looked.contrast, LEAST_CONTRAST)} of full light, "
            f"less than {LEAST_CONTRAST:.0%}",
            "give the code a darker colour or a ground",
        ))
    # Stray ink would be measured too, and a symbol with light ends shows less than its extent.
    size = None if found or field.symbology in _OPEN else _size(place, looked)
    return [size] if size else found


def _marks(
    field: CodeField, place: CodePlace, looked: Symbol, reading: Reading | None, mirrored: bool
) -> list[Fault]:
    """Faults of single modules."""
    found: list[Fault] = []
    if looked.uneven:
        found.append(Fault(
            "code-modules",
            f"{looked.uneven} of {looked.modules.size} modules are not of one tone, or do not lie "
            "where they should",
            f"something was painted over the code, or it was moved; {_AGAIN}",
        ))
    elif reading is not None and place.hole and reading.unused < LEAST_UNUSED:
        found.append(Fault(
            "code-window",
            f"the window for a logo leaves {percent(reading.unused, LEAST_UNUSED)} of the error "
            f"correction, less than {LEAST_UNUSED:.0%}",
            'make "window" smaller, or the logo, or shorten the text',
        ))
    elif reading is not None and reading.unused < 1.0 and not place.hole:
        found.append(Fault(
            "code-damaged",
            f"modules are wrong and were mended in reading ({1 - reading.unused:.0%} of the "
            "error correction is used up)",
            f"something was painted over the code; {_AGAIN}",
        ))
    elif field.symbology == "qr" and reading is not None and not mirrored:
        wrong = _damage(place, looked, reading)
        if wrong:
            found.append(Fault("code-patterns", wrong, f"the symbol was changed; {_AGAIN}"))
    return found


def _size(place: CodePlace, looked: Symbol) -> Fault | None:
    """A module of another size than was planned, by the extent of the symbol."""
    stated = tuple(float(dots) for dots in place.dots if dots)
    pixel = tuple(dots / side for dots, side in zip(stated, (place.px, place.py)))
    share = (place.columns, place.rows)
    measured = tuple(dots for dots in looked.dots if dots)
    off = len(measured) != len(stated) or any(
        abs(a - b) > _PIXELS * one / n for a, b, one, n in zip(measured, stated, pixel, share)
    )
    if off:
        shown = " x ".join(f"{dots:.2f}" for dots in measured)
        wanted = " x ".join(f"{dots:.0f}" for dots in stated)
        return Fault(
            "code-module-size", f"a module measures {shown} dots and should be {wanted}", _AGAIN
        )
    return None


def _damage(place: CodePlace, looked: Symbol, reading: Reading) -> str:
    if reading.version * 4 + 17 != place.columns:
        return f"the symbol has version {reading.version}, not {(place.columns - 17) // 4}"
    wrong = qrform.damaged(looked.modules, reading.level, reading.mask, place.hole)
    return f"{wrong} modules of its fixed patterns are wrong" if wrong else ""


def _mirrored(field: CodeField, looked: Symbol, reading: Reading | None) -> Fault | None:
    """A mirrored QR symbol is told by its format; a linear code reads from its other end."""
    if reading is None:
        return None
    if field.symbology == "qr":
        modules = ~looked.modules if looked.inverted else looked.modules
        known = (reading.level, reading.mask)
        fits = len(modules) == reading.version * 4 + 17
        if fits and qrform.damaged(modules, *known) and qrform.is_mirrored(modules, *known):
            return Fault("code-mirrored", "the code is mirrored", _AGAIN)
        if reading.turn % 360 != 0:
            return Fault("code-turned", f"the code is turned by {-reading.turn} degrees", _AGAIN)
        return None
    if field.symbology in ("datamatrix", "datamatrix-rectangular"):
        # ISO/IEC 16022: solid sides at the left and below (secondary)
        modules = ~looked.modules if looked.inverted else looked.modules
        if not (modules[:, 0].all() and modules[-1].all()):
            return Fault("code-mirrored", "the code is mirrored or turned", _AGAIN)
        return None
    if reading.turn % 360 == 180:
        return Fault(
            "code-mirrored", "the code reads from its other end: it is mirrored or upside down",
            _AGAIN,
        )
    return None


def _shown(text: str) -> str:
    short = text if len(text) <= 60 else text[:57] + "..."
    return repr(short)
