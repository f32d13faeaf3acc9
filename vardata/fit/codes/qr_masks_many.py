"""The masks of many QR symbols at once: the penalties of ``qr_masks``, on whole arrays.

In: lanes of symbols of one version, unmasked. Out: the mask of each, the same that
``qr_masks.best_mask`` finds one by one, and tests hold the two together. Rows must fit in a
machine word, so versions above 11 are left to the other way.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vardata.fit.codes.qr_masks import Lane

WIDEST = 64  # bits of a row
_AT_ONCE = 16  # symbols: their eight masks stay in a processor's own memory

Rows = NDArray[np.unsignedinteger]


class MaskChooser:
    """Chooses masks for symbols of one version."""

    def __init__(self, lane: Lane, masks: Sequence[int]) -> None:
        """``masks`` are those of ``qr_canvas.Canvas``, as lanes."""
        self._lane = lane
        self._masks = self._rows(masks)
        self._cells = self._rows([lane.cells])[:, None]
        self._balance = np.array(lane.balance, np.uint16)

    def choose(self, blanks: Sequence[int]) -> list[int]:
        """The mask (0 to 7) of each unmasked lane."""
        chosen: list[int] = []
        for start in range(0, len(blanks), _AT_ONCE):
            rows = self._rows(blanks[start : start + _AT_ONCE])
            scores = self._penalties(rows[..., None] ^ self._masks[:, None])
            chosen += scores.argmin(axis=1).tolist()  # the first among equals
        return chosen

    def _rows(self, lanes: Sequence[int]) -> Rows:
        """Words by row and lane; rows are the symbol's, a blank, its columns, a blank."""
        lane = self._lane
        joined = b"".join([each.to_bytes(lane.size, "big") for each in lanes])
        width = lane.stride // 8
        cells = np.frombuffer(joined, np.uint8).reshape(len(lanes), -1, width)
        word = 4 if width <= 4 else 8
        if width < word:
            cells = np.pad(cells, ((0, 0), (0, 0), (0, word - width)))
        whole = np.ascontiguousarray(cells).view(f">u{word}")[:, :, 0].T
        return np.ascontiguousarray(whole, whole.dtype.newbyteorder("="))

    def _penalties(self, dark: Rows) -> NDArray[np.uint16]:
        """Scores by symbol and mask; the rules are explained in ``qr_masks.penalty``."""
        side = self._lane.n + 1
        count = np.bitwise_count
        light = dark ^ self._cells
        dark_pair = dark & (dark >> 1)
        light_pair = light & (light >> 1)

        runs = dark_pair | light_pair
        runs &= runs >> 1
        runs &= runs >> 2
        points = count(runs) * np.uint8(3)
        points -= count(runs & (runs >> 1)) * np.uint8(2)

        upper, lower = slice(0, side - 1), slice(1, side)
        blocks = dark_pair[upper] & dark_pair[lower]
        blocks |= light_pair[upper] & light_pair[lower]

        ring = dark & (light >> 1) & (dark >> 2)
        core = ring & (ring >> 4) & (dark >> 3)
        four = light_pair & (light_pair >> 2)
        finders = core & (four >> 7) | four & (core >> 4)

        score: NDArray[np.uint16] = points.sum(axis=0, dtype=np.uint16)
        score += 3 * count(blocks).sum(axis=0, dtype=np.uint16)
        score += 40 * count(finders).sum(axis=0, dtype=np.uint16)
        score += self._balance[count(dark[upper]).sum(axis=0, dtype=np.uint16)]
        return score
