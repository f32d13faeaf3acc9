"""QR symbols (ISO/IEC 18004, model 2), module for module those of the ``qrcode`` package.

The package draws one symbol in milliseconds, most of it spent on trying the eight masks
module by module. A symbol of one version and level depends on its codewords by XOR alone, so
its constants are taken from the package once (``qr_canvas``, ``qr_correction``) and each text
costs a few operations on whole symbols.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from vardata.fit.codes.qr_canvas import Press, press
from vardata.fit.codes.qr_masks import best_mask
from vardata.fit.codes.qr_stream import LEVELS, Chunk, bits_after, chunks, codewords, version_of
from vardata.fit.codes.symbol import CodeError, Symbol

_FEWEST = 8  # symbols of a version from which on their masks are chosen together
_REMEMBERED = 4096  # symbols made beforehand: those of a chunk of records, a few fields of them
_made: dict[tuple[str, str], Symbol] = {}


class _Alike(NamedTuple):
    """Texts of one mode and length in one version: one of them with its lane, and how many bits
    of the data codewords follow its own."""

    plate: Press
    value: int
    lane: int
    after: int


def encode_qr(text: str, level: str = "M", mask: int | None = None) -> Symbol:
    """The symbol of a text at a level (L, M, Q, H), in the smallest version that holds it.

    ``mask`` (0 to 7) is chosen by penalty when not given. Raises ``CodeError`` for a text that
    is empty or too long.
    """
    found = _made.get((text, level)) if mask is None else None
    return _encoded(text, level, mask) if found is None else found


@lru_cache(maxsize=256)  # the pieces of one row share their text
def _encoded(text: str, level: str, mask: int | None) -> Symbol:
    parts = chunks(text)
    plate, lane = _lane(parts, level)
    if mask is None:
        mask = best_mask(lane, plate.canvas.lanes, plate.canvas.lane)
    return _symbol(text, plate, lane, mask)


def foresee_qr(texts: Iterable[str], level: str) -> None:
    """Makes the symbols of many texts at once, for ``encode_qr`` to find: the same symbols in a
    third of the time. A text that cannot be encoded is left to ``encode_qr`` to refuse."""
    lanes: dict[int, tuple[Press, list[tuple[str, int]]]] = {}
    alike: dict[tuple[int, int], _Alike] = {}
    if len(_made) > _REMEMBERED:
        _made.clear()
    for text in texts:
        if (text, level) not in _made:
            try:
                plate, lane = _lane_beside(chunks(text), level, alike)
            except CodeError:
                continue
            lanes.setdefault(id(plate), (plate, []))[1].append((text, lane))
    for plate, found in lanes.values():
        if len(found) >= _FEWEST and plate.canvas.chooser is not None:
            masks = plate.canvas.chooser.choose([lane for _, lane in found])
            for (text, lane), mask in zip(found, masks):
                _made[text, level] = _symbol(text, plate, lane, mask)


def _lane(parts: list[Chunk], level: str) -> tuple[Press, int]:
    """What a text of these parts leaves in the modules, unmasked."""
    version = version_of(parts, level)
    plate = press(version, LEVELS[level])
    return plate, plate.written(codewords(parts, version, plate.correction.count))


def _lane_beside(
    parts: list[Chunk], level: str, alike: dict[tuple[int, int], _Alike]
) -> tuple[Press, int]:
    """The same; ``alike`` are texts before it by mode and length, from which a text often differs
    in a few characters only."""
    first = parts[0]
    key = first.mode, first.length
    known = alike.get(key) if len(parts) == 1 else None
    if known is None:
        plate, lane = _lane(parts, level)
        if len(parts) > 1 or not plate.sums:
            return plate, lane
        version = version_of(parts, level)
        after = bits_after(first, version, plate.correction.count)
    else:
        plate, after = known.plate, known.after
        lane = plate.changed(known.lane, (first.value ^ known.value) << after)
    alike[key] = _Alike(plate, first.value, lane, after)
    return plate, lane


def _symbol(text: str, plate: Press, lane: int, mask: int) -> Symbol:
    shape = plate.canvas.lane
    modules = lane >> (shape.size - shape.symbol) * 8
    bits = (modules ^ plate.finals[mask]).to_bytes(shape.symbol, "big")
    return Symbol(shape.n, shape.n, bits, text)


def qr_version(text: str, level: str = "M") -> int:
    """The version (1 to 40) that ``encode_qr`` takes; (4 * version + 17) modules a side."""
    return version_of(chunks(text), level)

