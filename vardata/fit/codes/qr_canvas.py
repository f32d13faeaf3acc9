"""Where the bits of a QR symbol go, and everything in it that is not data.

Drawn by the ``qrcode`` package once for each version: function patterns, the order in which
modules are filled, the eight masks, format and version information. What is kept are
constants that one XOR applies to the data of any text.
"""

from __future__ import annotations

from functools import cache, reduce
from operator import getitem, xor
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from qrcode.main import QRCode

from vardata.fit.codes.qr_correction import Correction
from vardata.fit.codes.qr_masks import MASKS, Lane
from vardata.fit.codes.qr_masks_many import WIDEST, MaskChooser

Grid = NDArray[np.bool_]
_MOST = 8_000_000  # bytes of sums, about


class Canvas(NamedTuple):
    """What all symbols of a version share.

    ``filled`` lists the (row, column) of each data module in the order of filling. ``masks``
    are the symbols of all-zero data, format and version information still light; ``lanes``
    are the same as lanes. ``chooser`` finds the masks of many symbols; None where rows are
    too long for it.
    """

    n: int
    lane: Lane
    filled: NDArray[np.intp]
    masks: tuple[Grid, ...]
    lanes: tuple[int, ...]
    chooser: MaskChooser | None


class Press(NamedTuple):
    """What all symbols of a version and level share.

    ``pick`` says for each bit of a lane which bit of the codewords stands there; the bit after
    the last codeword is 0 and stands everywhere else. ``finals`` are the symbols of all-zero
    data by mask, complete. ``sums`` has for each data codeword, by its value, all that it adds
    to a lane, check codewords included; it is empty where it would take more than ``_MOST``
    bytes.
    """

    canvas: Canvas
    correction: Correction
    pick: NDArray[np.intp]
    finals: tuple[int, ...]
    sums: tuple[tuple[int, ...], ...]

    def written(self, data: bytes) -> int:
        """The codewords' bits in their places, unmasked, as a lane."""
        if self.sums:  # a symbol is linear in its data: the sum of what each codeword adds
            return reduce(xor, map(getitem, self.sums, data))
        return int.from_bytes(_written(self.correction, self.pick, data), "big")

    def changed(self, lane: int, change: int) -> int:
        """A lane after bits of its data codewords changed, those that are set in ``change``: by
        the same sums, of those codewords alone."""
        data = change.to_bytes(self.correction.count, "big").lstrip(b"\0")
        sums = self.sums[self.correction.count - len(data) :]
        return reduce(xor, map(getitem, sums, data.rstrip(b"\0")), lane)


def _written(correction: Correction, pick: NDArray[np.intp], data: bytes) -> bytes:
    stream = np.frombuffer(correction.plain(data) + b"\0", dtype=np.uint8)
    return np.packbits(np.unpackbits(stream).take(pick)).tobytes()


def _sums(correction: Correction, pick: NDArray[np.intp]) -> tuple[tuple[int, ...], ...]:
    count = correction.count
    if count * 256 * len(pick) // 8 > _MOST:
        return ()
    tables = []
    for place in range(count):
        values = [0]
        for bit in range(8):  # values of one more bit at a time
            data = bytes(place) + bytes((1 << bit,)) + bytes(count - place - 1)
            adds = int.from_bytes(_written(correction, pick, data), "big")
            values += [value ^ adds for value in values]
        tables.append(tuple(values))
    return tuple(tables)


@cache
def canvas(version: int) -> Canvas:
    recorder = _Recorder(version)
    masks = tuple(recorder.blank(mask) for mask in range(MASKS))
    lane = Lane(len(masks[0]))
    lanes = tuple(as_lane(grid, lane) for grid in masks)
    filled = np.array(recorder.filled, dtype=np.intp)
    chooser = MaskChooser(lane, lanes) if lane.stride <= WIDEST else None
    return Canvas(lane.n, lane, filled, masks, lanes, chooser)


@cache
def press(version: int, error_correction: int) -> Press:
    sheet = canvas(version)
    lane = sheet.lane
    correction = Correction(version, error_correction)
    order = np.array(correction.order(), dtype=np.intp)
    sources = (order[:, None] * 8 + np.arange(8)).ravel()
    rows, columns = sheet.filled[: len(sources)].T  # a few last modules may stay without data

    pick = np.full(lane.size * 8, len(sources), dtype=np.intp)
    pick[lane.row_start(rows, False) + columns] = sources
    pick[lane.row_start(columns, True) + rows] = sources

    recorder = _Recorder(version)
    finals = tuple(
        int.from_bytes(
            np.packbits(grid ^ recorder.information(error_correction, mask), axis=1).tobytes(),
            "big",
        )
        for mask, grid in enumerate(sheet.masks)
    )
    return Press(sheet, correction, pick, finals, _sums(correction, pick))


def as_lane(grid: Grid, lane: Lane) -> int:
    """A symbol's modules (row, column; True is dark) as a lane."""
    n = lane.n
    bits = np.zeros(lane.size * 8, dtype=np.bool_)
    for start, half in ((0, grid), (lane.half, grid.T)):
        bits[start : start + lane.half].reshape(n + 1, lane.stride)[:n, :n] = half
    return int.from_bytes(np.packbits(bits).tobytes(), "big")


class _Row(list[Any]):
    """A row of modules that notes which column is set, and when."""

    def __init__(self, cells: list[Any], row: int, notes: list[tuple[int, int]]) -> None:
        super().__init__(cells)
        self._row = row
        self._notes = notes

    def __setitem__(self, column: Any, value: Any) -> None:
        self._notes.append((self._row, column))
        super().__setitem__(column, value)


class _Recorder(QRCode):  # type: ignore[misc]
    """The package's own drawing, watched."""

    modules: list[list[Any]]
    data_cache: list[int] | None

    def __init__(self, version: int) -> None:
        super().__init__(version=version, border=0)
        self.filled: list[tuple[int, int]] = []

    def map_data(self, data: Any, mask_pattern: int) -> None:
        self.filled = []
        self.modules = [_Row(cells, row, self.filled) for row, cells in enumerate(self.modules)]
        super().map_data(data, mask_pattern)

    def blank(self, mask: int) -> Grid:
        """The symbol of no data under a mask, as the package scores it."""
        self.data_cache = []
        self.makeImpl(True, mask)
        return np.array(self.modules, dtype=np.bool_)

    def information(self, error_correction: int, mask: int) -> Grid:
        """Format and version information alone."""
        self.error_correction = error_correction
        self.modules_count = self.version * 4 + 17
        self.modules = [[False] * self.modules_count for _ in range(self.modules_count)]
        self.setup_type_info(False, mask)
        if self.version >= 7:
            self.setup_type_number(False)
        return np.array(self.modules, dtype=np.bool_)
