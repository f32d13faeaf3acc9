"""Which of the eight masks a QR symbol gets: the ``qrcode`` package's penalties, on integers.

The package's rules (``qrcode.util.lost_point``) are those of ISO/IEC 18004:2015, 7.8.3
(clause from memory), scored on a symbol whose format and version information is still light:
same score, same mask, same modules as the package.

A *lane* is one integer that holds a symbol twice, as it stands and transposed, so that one
pass along the rows scores rows and columns. Each row is padded to whole bytes with bits that
are never set (a side is odd, so there is at least one), and each of the two is followed by a
row of such bits: a rule that looks at neighbours can never reach over an edge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

MASKS = 8


class Lane:
    """The shape of a lane for symbols of ``n`` by ``n`` modules."""

    def __init__(self, n: int) -> None:
        self.n = n
        self.stride = n // 8 * 8 + 8  # bits from row to row
        self.half = self.stride * (n + 1)  # bits of one symbol with its blank row
        self.size = self.half // 4  # bytes of the lane
        self.symbol = n * self.stride // 8  # its first bytes, which are the symbol as it stands
        row = ((1 << n) - 1) << (self.stride - n)
        block = sum(row << self.stride * (1 + above) for above in range(n))
        self.cells = block << self.half | block
        # Ten points for each whole 5 % off half dark, by the number of dark modules: the
        # package's own float arithmetic.
        self.balance = tuple(
            int(abs(float(dark) / (n**2) * 100 - 50) / 5) * 10 for dark in range(n * n + 1)
        )

    def row_start(self, row: int, transposed: bool) -> int:
        """The index of a row's first module, counted from the lane's highest bit."""
        return row * self.stride + (self.half if transposed else 0)


def best_mask(blank: int, masks: Sequence[int], lane: Lane) -> int:
    """The mask (0 to 7) of least penalty, the first among equals.

    ``blank`` is the unmasked data as a lane, ``masks`` are the masks with the function
    patterns, as lanes.
    """
    best, least = 0, math.inf
    for number, mask in enumerate(masks):
        score = penalty(blank ^ mask, lane, least)
        if score < least:
            best, least = number, score
    return best


def penalty(dark: int, lane: Lane, enough: float = math.inf) -> int:
    """All four penalties of a lane: what ``qrcode.util.lost_point`` gives for its symbol.

    Once they come to ``enough`` the rest is left out: the mask is not the best.
    Bit operations stand for the package's loops: in ``x & (x >> k)`` a bit that stays has its
    like k modules before it in the row.
    """
    light = dark ^ lane.cells
    dark_pair = dark & (dark >> 1)
    light_pair = light & (light >> 1)

    # 3 points for a run of five of one colour, 1 more for each module further. A run of
    # L >= 5 leaves L - 4 bits in ``runs`` and L - 5 in ``longer``; L - 2 is the price.
    runs = dark_pair | light_pair
    runs &= runs >> 1
    runs &= runs >> 2
    longer = runs & (runs >> 1)
    score = 3 * runs.bit_count() - 2 * longer.bit_count()

    # 3 points for each 2 x 2 block of one colour; the transposed half shows it again.
    stride = lane.stride
    blocks = dark_pair & (dark_pair >> stride) | light_pair & (light_pair >> stride)
    score += 3 * (blocks.bit_count() >> 1) + lane.balance[dark.bit_count() >> 1]
    if score >= enough:
        return score

    # 40 points for 1:1:3:1:1 with four light modules of the symbol before or after it. The
    # two cannot hold at one place, since their eleven modules differ.
    ring = dark & (light >> 1) & (dark >> 2)
    core = ring & (ring >> 4) & (dark >> 3)
    four = light_pair & (light_pair >> 2)
    return score + 40 * (core & (four >> 7) | four & (core >> 4)).bit_count()
