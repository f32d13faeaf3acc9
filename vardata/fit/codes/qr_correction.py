"""Reed-Solomon error correction by tables: the codewords of a block as one XOR of integers.

Error correction is linear, so the check codewords of a block are the sum (XOR) of what each
data codeword adds by its value and its distance from the block's end. The generator
polynomial and the field come from the ``qrcode`` package; only the adding up is done here.
ISO/IEC 18004:2015, 7.5 (clause from memory).
"""

from __future__ import annotations

from functools import cache, reduce
from operator import getitem, xor

from qrcode import LUT, base

Table = tuple[int, ...]  # by value of a data codeword: the check codewords it adds, as one int


class Correction:
    """Check codewords for all the blocks of one version and level.

    ``blocks`` are (from, to) slices of the data codewords, ``size`` is the number of check
    codewords that each block gets.
    """

    def __init__(self, version: int, error_correction: int) -> None:
        blocks = base.rs_blocks(version, error_correction)
        self.size: int = blocks[0].total_count - blocks[0].data_count
        self.data_counts: tuple[int, ...] = tuple(block.data_count for block in blocks)
        self.count = sum(self.data_counts)
        longest = max(self.data_counts)
        tables = _tables(self.size, longest)
        self._parts: list[tuple[int, int, tuple[Table, ...]]] = []
        start = 0
        for data_count in self.data_counts:
            self._parts.append((start, start + data_count, tables[longest - data_count :]))
            start += data_count

    def plain(self, data: bytes) -> bytes:
        """The data followed by each block's check codewords, blocks not interleaved."""
        size = self.size
        checks = [
            reduce(xor, map(getitem, tables, data[start:stop])).to_bytes(size, "big")
            for start, stop, tables in self._parts
        ]
        return data + b"".join(checks)

    def order(self) -> list[int]:
        """For each codeword as it is placed, its index in ``plain``: blocks take turns.

        ISO/IEC 18004:2015, 7.6 (clause from memory).
        """
        starts = [start for start, _, _ in self._parts]
        placed = [
            start + i
            for i in range(max(self.data_counts))
            for start, count in zip(starts, self.data_counts)
            if i < count
        ]
        blocks = len(starts)
        placed += [self.count + b * self.size + i for i in range(self.size) for b in range(blocks)]
        return placed


def _generator(size: int) -> list[int]:
    """The generator polynomial's coefficients below its leading 1, highest power first."""
    if size in LUT.rsPoly_LUT:
        return list(LUT.rsPoly_LUT[size][1:])
    polynomial = base.Polynomial([1], 0)
    for i in range(size):
        polynomial = polynomial * base.Polynomial([1, base.gexp(i)], 0)
    return list(polynomial)[1:]


@cache
def _tables(size: int, longest: int) -> tuple[Table, ...]:
    """One table for each place in a block of ``longest`` data codewords, the first place first.

    The last codeword adds its value times (x ** size mod generator); each place further from
    the end multiplies by x once more.
    """
    low_bits = int.from_bytes(b"\x7f" * size, "big")
    ones = int.from_bytes(b"\x01" * size, "big")
    reduction = base.gexp(8)  # what the field's x ** 8 comes to: 0x1D in ISO/IEC 18004

    def table(remainder: int) -> Table:
        values = [0]
        for _ in range(8):  # values of one more bit at a time; the remainder doubles with it
            values += [value ^ remainder for value in values]
            carry = (remainder >> 7) & ones
            remainder = ((remainder & low_bits) << 1) ^ (carry * reduction)
        return tuple(values)

    remainder = int.from_bytes(bytes(_generator(size)), "big")
    last = table(remainder)
    tables = [last]
    top = 8 * (size - 1)
    below = (1 << top) - 1
    for _ in range(longest - 1):
        remainder = ((remainder & below) << 8) ^ last[remainder >> top]
        tables.append(table(remainder))
    return tuple(reversed(tables))
