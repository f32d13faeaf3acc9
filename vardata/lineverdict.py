"""What becomes of a line that earlier runs may have built: one decision, nothing read or written.

In: the pieces that the ledger has of the line, its content and quantity now, and what a person
decided. Out: a ``Verdict``. The rule: what was printed and is wanted as it was is never printed
again; what was held is printed; what has changed waits for a person.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from vardata.ledger.lines import Piece, Told


class Verdict(NamedTuple):
    """``state`` is new, rest (some pieces were held before), built, changed, reprint or settled.

    ``pieces`` are those to print, None for all. ``reason`` stands in the list of skipped rows
    where something of the row is not printed, or says what has changed.
    """

    state: str
    pieces: frozenset[int] | None
    reason: str = ""


class Now(NamedTuple):
    """The line as the sheet has it now."""

    content: bytes
    quantity: int
    mended: bool  # the sheet is one of held rows: it asks only for what was held


NEW = Verdict("new", None)
Changed = Callable[[bytes, int], tuple[str, ...]]  # content, run -> columns that differ now


def judge(
    now: Now,
    pieces: Sequence[Piece],
    told: Callable[[], Sequence[Told]],
    changed: Changed,
    place: Callable[[Piece], str],
    decided: str,
) -> Verdict:
    """The verdict on a line. ``told`` gives its other contents, ``changed`` compares a content
    of a run with that of now, ``place`` says where a piece lies; ``decided`` is hold, print or
    keep."""
    if not pieces:
        return NEW
    missing = frozenset(range(1, now.quantity + 1)) - {piece.piece for piece in pieces}
    last = max(pieces, key=lambda piece: piece.seq)
    columns = changed(last.content, last.seq)
    if not (columns or missing) and last.quantity == now.quantity:
        return Verdict("built", frozenset(), f"built before: {_told_of(pieces, place)}")
    others = {piece.piece for piece in pieces if not changed(piece.content, piece.seq)}
    same_told = [one for one in told() if not changed(one.content, one.seq)]
    known = not columns or bool(others) or bool(same_told)
    as_was = now.quantity in {last.quantity, *(one.quantity for one in same_told)}
    built = _told_of(pieces, place)
    if known and as_was:
        if missing:
            return _rest(missing, now.quantity, built)
        how = "built before"
        if columns and not others:  # what lies in the slots is not what the sheet shows
            held = any(one.why == "held" for one in same_told)
            how = "held before, mended and built" if held else "built before and kept"
        return Verdict("built", frozenset(), f"{how}: {built}")
    if now.mended and missing and last.quantity == now.quantity:
        return _rest(missing, now.quantity, built)
    what = _difference(columns if not known else (), last.quantity, now.quantity)
    if decided == "keep":
        return Verdict("settled", frozenset(), f"{what} since it was built, kept: {built}")
    if decided == "print":
        wanted = missing if known else frozenset(range(1, now.quantity + 1))
        if not wanted:
            return Verdict("settled", wanted, f"{what} since it was built: {built}")
        part = "" if len(wanted) == now.quantity else f"the other pieces were built before: {built}"
        return Verdict("reprint", wanted, part)
    return Verdict("changed", frozenset(), f"{what} since it was built: {built}")


def _rest(missing: frozenset[int], quantity: int, built: str) -> Verdict:
    done = quantity - len(missing)
    return Verdict(
        "rest", missing, f"{done} of {quantity} pieces built before: {built}; the rest is new"
    )


def _difference(columns: tuple[str, ...], before: int, now: int) -> str:
    """What has changed, as the start of a sentence."""
    parts = []
    if columns:
        parts.append(" and ".join(repr(name) for name in columns[:3]) + (
            f" and {len(columns) - 3} more" if len(columns) > 3 else ""
        ))  # fmt: skip
    if before != now:
        parts.append(f"the quantity ({before} before, {now} now)")
    many = len(columns) + (before != now) > 1
    return f"{' and '.join(parts) or 'the line'} {'have' if many else 'has'} changed"


def _told_of(pieces: Sequence[Piece], place: Callable[[Piece], str]) -> str:
    """Where the built pieces lie: the first and the last of them."""
    if len(pieces) == 1:
        return place(pieces[0])
    first, last = pieces[0], pieces[-1]
    end = f"bed {last.bed}, slot {last.slot}" if first.seq == last.seq else place(last)
    return f"{len(pieces)} pieces, {place(first)} to {end}"
