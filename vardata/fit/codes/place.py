"""From a resolved text to a code that fits: the one door for the fit stage.

In: a field's text, the field, the print mode and the field's net turns on the bed. Out: a
``CodeFit`` in whole dots, or the ``Problem`` that holds the record. Dress moves the symbol to
the nearest dot, at most half a dot each way, for which the box has room.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

from vardata.fit.codes import dots
from vardata.fit.codes.digits import fit_digits, strips
from vardata.fit.codes.encode import encode
from vardata.fit.codes.guards import GUARDS, TAIL, longer_bars
from vardata.fit.codes.line import fit_line, size_of, strip_height
from vardata.fit.codes.quiet import STANDARD, Quiet, quiet_zone
from vardata.fit.codes.room import MIN_BARS, NO_STRIP, Frame, Room, Shortfall, Strip, room
from vardata.fit.codes.symbol import CodeError, Symbol
from vardata.fit.codes.window import with_window
from vardata.fit.fonts import Face
from vardata.fit.result import CodeFit
from vardata.job.applications import size_for
from vardata.job.model import CodeField, PrintMode
from vardata.job.reduction import dots_off
from vardata.job.symbologies import SYMBOLOGIES
from vardata.problems import Problem, Severity
from vardata.units import MM_PER_INCH

# Bars lose less than two dots to the grid of the bed; a tenth of a mm is not seen.
_ROUNDING = 0.1
_new: Any = tuple.__new__  # what ``_make`` does, without asking for the number of values


def fit_code(
    text: str,
    field: CodeField,
    mode: PrintMode,
    turns: frozenset[int],
    chain: tuple[Face, ...],
    reductions: tuple[float, ...] = (),
) -> CodeFit | Problem:
    """One text in a ``CodeFitter`` of its own."""
    return CodeFitter(field, mode, turns, chain, reductions).fit(text)


class CodeFitter:
    """Encodes and places the texts of one field.

    ``turns`` are the net quarter turns (0 to 3) on the bed, ``reductions`` the mm that plates
    take off a module's width.
    """

    def __init__(
        self, field: CodeField, mode: PrintMode, turns: frozenset[int], chain: tuple[Face, ...],
        reductions: tuple[float, ...] = (),
    ) -> None:
        self._field, self._mode, self._turns, self._chain = field, mode, turns, chain
        self._reduction = max(reductions, default=0.0)
        self._zone = quiet_zone(field.symbology, field.quiet)
        # Where a symbol of so many columns and rows, with a line or none, was found to fit.
        self._places: dict[tuple[int, int, bool], Room] = {}

    def fit(self, text: str) -> CodeFit | Problem:
        """Problems, all of them holds: ``code-content`` (the symbology cannot carry the text),
        ``code-quiet-zone`` (less than the standard's asked for), ``code-turn`` (no right
        angle), ``code-too-small``, ``code-height`` (lower bars than its use allows),
        ``code-reduction``, and those of the text's fit for a human-readable line.
        """
        field = self._field
        try:
            symbol = encode(text, field)
        except CodeError as error:
            return _held("code-content", error.what, error.remedy, text)
        with_line = field.text_line and bool(symbol.line)
        columns, rows = symbol.columns, symbol.rows
        place = self._places.get((columns, rows, with_line))
        if place is None:
            found = self._placed(symbol, text, with_line)
            if isinstance(found, Problem):
                return found
            place = self._places[columns, rows, with_line] = found
        if with_line:
            return self._lettered(symbol, place)
        if field.window:
            symbol = with_window(symbol, field.window)
        start = (symbol.text, columns, rows, symbol.bits, *place[:6])
        fit: CodeFit = _new(CodeFit, (*start, None, None, None, None))
        return fit

    def _lettered(self, symbol: Symbol, place: Room) -> CodeFit | Problem:
        """The code with its human-readable line."""
        field = self._field
        start = (symbol.text, symbol.columns, symbol.rows, symbol.bits, *place[:6])
        if field.symbology not in GUARDS:
            line = fit_line(symbol.line, field, place.x + place.w / 2, self._chain)
            return line if isinstance(line, Problem) else CodeFit(*start, line)
        digits = fit_digits(field, symbol, place, self._chain)
        if isinstance(digits, Problem):
            return digits
        below, above = longer_bars(field.symbology, symbol.columns, symbol.bits, place.tail > 0)
        bands = ((below, place.tail) if below else None, (above, place.head) if above else None)
        return CodeFit(*start, *digits, *bands)

    def _placed(self, symbol: Symbol, text: str, with_line: bool) -> Room | Problem:
        """Where a symbol of this size lies, or why it cannot lie there."""
        field, mode, turns = self._field, self._mode, self._turns
        if self._zone is None:
            return _quiet_problem(field, text)
        if not turns:
            return _held(
                "code-turn",
                "the code would lie at an angle on the bed, off the dots",
                "turn the field and its slots by whole quarter turns",
                text,
            )
        frame = _frame(field, mode, turns, self._zone)
        if with_line:
            frame = _with_line(frame, field, symbol.columns, self._chain)
        place = room(frame, symbol.columns, symbol.rows)
        if isinstance(place, Shortfall):
            return _held("code-too-small", *_too_small(place, symbol, field, mode), text)
        problem = None
        if field.application is not None:
            problem = _too_low(place, field, dots.step(mode.dpi, turns, upright=False))
        if problem is None and self._reduction:
            problem = _reduced_away(place, symbol, field, mode, turns, self._reduction)
        return place if problem is None else problem._replace(value=text)


def _too_low(place: Room, field: CodeField, step: Fraction) -> Problem | None:
    """Bars that are lower than GS1 asks for where the code is used."""
    size = size_for(field.application, field.symbology)
    need = max(size.height, size.modules_high * place.module)
    bars = place.h + place.head
    if SYMBOLOGIES[field.symbology].matrix or bars >= need - _ROUNDING:
        return None
    name = SYMBOLOGIES[field.symbology].name
    high = math.ceil((field.box[3] + need - bars) * 100) / 100
    remedy = f"make the box {high:g} mm high"
    if size.modules_high:
        narrow = math.floor(bars / size.modules_high / step) * float(step)
        if narrow >= max(size.least, field.min_module):
            remedy += f', or set "module" to {math.ceil(narrow * 1000) / 1000:g} mm'
    what = (
        f"bars of {bars:.2f} mm are lower than the {need:.2f} mm that {name} with a module of "
        f"{place.module:.3f} mm needs for {field.application}"
    )
    return _held("code-height", what, remedy, "")


def _reduced_away(
    place: Room, symbol: Symbol, field: CodeField, mode: PrintMode, turns: frozenset[int],
    mm: float,
) -> Problem | None:
    """What a bar width reduction leaves of a module: half of it and a dot at the least."""
    matrix = SYMBOLOGIES[field.symbology].matrix
    sides = (place.module, place.h / symbol.rows)
    for turn in turns:
        for axis, off in enumerate(dots_off(mm, mode, turn, matrix)):
            pitch = MM_PER_INCH / mode.dpi[(turn + axis) % 2]
            dots = round(sides[axis] / pitch)
            if off and (off >= dots or 2 * off > dots):
                what = (
                    f"a reduction of {mm:g} mm takes {off} of the {dots} dots of a module, more "
                    "than half"
                )
                remedy = f"make the module at least {2 * off * pitch:.3f} mm, or reduce by less"
                return _held("code-reduction", what, remedy, "")
    return None


def _with_line(
    frame: Frame, field: CodeField, columns: int, chain: tuple[Face, ...]
) -> Frame:
    """The frame with room for the line and, in an EAN or UPC, for longer guard bars."""
    if field.symbology not in GUARDS:
        return frame._replace(foot=Strip(strip_height(size_of(field))))
    foot, head = strips(field, columns, chain)
    return frame._replace(
        foot=foot, head=head, tail=TAIL if field.guard_bars == "long" else 0.0
    )


def _frame(field: CodeField, mode: PrintMode, turns: frozenset[int], zone: Quiet) -> Frame:
    size = size_for(field.application, field.symbology)
    most = min(size.most, math.inf if field.module is None else field.module)
    return Frame(
        w=field.box[2],
        h=field.box[3],
        most=most if most < math.inf else None,
        least=max(field.min_module, size.least),
        foot=NO_STRIP,
        quiet=zone,
        dpi=mode.dpi,
        turns=turns,
        square=SYMBOLOGIES[field.symbology].matrix,
    )


def _held(kind: str, what: str, remedy: str, text: str) -> Problem:
    return Problem(kind, Severity.HOLD, what, remedy, value=text)


def _quiet_problem(field: CodeField, text: str) -> Problem:
    least, name = max(STANDARD[field.symbology]), SYMBOLOGIES[field.symbology].name
    return _held(
        "code-quiet-zone",
        f"a quiet zone of {field.quiet} modules is less than the {least} of {name}",
        f'set "quiet" to {least} or more, or leave it out',
        text,
    )


def _too_small(
    short: Shortfall, symbol: Symbol, field: CodeField, mode: PrintMode
) -> tuple[str, str]:
    """What and remedy of a symbol that finds no room."""
    name, (_, _, w, h) = SYMBOLOGIES[field.symbology].name, field.box
    smallest = f"{short.smallest:.3f} mm"
    stepped = ""
    if short.smallest > 2 * field.min_module:
        x, y = mode.dpi
        stepped = f" (whole dots at {x:g} x {y:g} dpi come in steps of {short.step:.3f} mm)"
    if short.most is not None:
        enough = math.ceil(short.smallest * 1000 - 1e-6) / 1000  # rounded down it would not do
        remedy = f'raise "module" to {enough:.3f} mm'
        if size_for(field.application, field.symbology).least > field.min_module:
            remedy += f" for {field.application}"
        else:
            remedy += f', or lower "min_module" ({field.min_module:g} mm)'
        return (
            f"the module of {short.most:g} mm is below the smallest one allowed, "
            f"{smallest}{stepped}",
            remedy,
        )
    size = f"{symbol.columns} x {symbol.rows}" if symbol.rows > 1 else str(symbol.columns)
    gives = (
        f"gives a module of {short.gives:.3f} mm, the smallest allowed is {smallest}{stepped}"
        if not short.low
        else f"leaves no room for bars of {MIN_BARS:g} mm"
    )
    what = f"the {name} of {size} modules is too large: the box of {w:g} x {h:g} mm {gives}"
    remedy = f"make the box at least {short.box[0]:g} x {short.box[1]:g} mm"
    if SYMBOLOGIES[field.symbology].follows_text and not short.low:
        remedy += ", or shorten the text"
    return what, remedy
