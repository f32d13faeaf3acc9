"""The masks of many QR symbols at once: the penalties of ``qr_masks``, on whole arrays.

In: lanes of symbols of one version, unmasked. Out: the mask of each, the same that
``qr_masks.best_mask`` finds one by one, and tests hold the two together. Rows must fit in a
machine word, so versions above 11 are left to the other way; where two fit, a row and the column
of the same number share a word. Between them lie bits of no module, which no rule passes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vardata.fit.codes.qr_masks import Lane

WIDEST = 64  # bits of a row
_AT_ONCE = 16384  # words: a handful of arrays of so many stay in a processor's own memory
_ARRAYS = 6  # that are needed at a time

Words = NDArray[np.uint64]


class MaskChooser:
    """Chooses masks for symbols of one version."""

    def __init__(self, lane: Lane, masks: Sequence[int]) -> None:
        """``masks`` are those of ``qr_canvas.Canvas``, as lanes."""
        self._lane = lane
        self._halves = 1 if lane.stride <= WIDEST // 2 else 2
        self._masks = self._words(masks)[..., None]
        self._cells = self._words([lane.cells])[..., None]
        # Twice the points, as of all rules here: blocks are seen twice, in rows and in columns.
        self._balance = 2 * np.array(lane.balance, np.uint32)
        self._most = max(1, _AT_ONCE // self._masks.size)
        self._room: list[Words] = []

    def choose(self, blanks: Sequence[int]) -> list[int]:
        """The mask (0 to 7) of each unmasked lane."""
        chosen: list[int] = []
        for start in range(0, len(blanks), self._most):
            words = self._words(blanks[start : start + self._most])
            scores = self._penalties(words[:, :, None])
            chosen += scores.argmin(axis=0).tolist()  # the first among equals
        return chosen

    def _words(self, lanes: Sequence[int]) -> Words:
        """Words by half (if they have one each), row and lane."""
        lane = self._lane
        joined = b"".join([each.to_bytes(lane.size, "big") for each in lanes])
        width, word = lane.stride // 8, WIDEST // 8 // (3 - self._halves)
        cells = np.frombuffer(joined, np.uint8).reshape(len(lanes), 2, lane.n + 1, width)
        cells = cells[:, :, : lane.n]
        if width < word:
            cells = np.pad(cells, ((0, 0), (0, 0), (0, 0), (0, word - width)))
        whole = np.ascontiguousarray(cells).view(f">u{word}")[..., 0].transpose(1, 2, 0)
        words = whole.astype(np.uint64)
        return words if self._halves == 2 else words[:1] << np.uint64(WIDEST // 2) | words[1:]

    def _arrays(self, count: int) -> list[Words]:
        """Room to reckon in: making arrays of this size anew takes longer than filling them."""
        if not self._room:
            size = self._masks.size * self._most
            self._room = [np.empty(size, np.uint64) for _ in range(_ARRAYS)]
        shape = (*self._masks.shape[:-1], count)
        return [room[: self._masks.size * count].reshape(shape) for room in self._room]

    def _penalties(self, blanks: Words) -> NDArray[np.uint32]:
        """Scores by mask and symbol, twice over; the rules are explained in ``qr_masks.penalty``.

        ``blanks`` are words by half, row, mask (one for all) and symbol.
        """
        both, shift = np.bitwise_and, np.right_shift
        dark, light, dark_pair, light_pair, one, other = self._arrays(blanks.shape[-1])
        np.bitwise_xor(blanks, self._masks, out=dark)
        np.bitwise_xor(dark, self._cells, out=light)
        both(dark, shift(dark, 1, out=one), out=dark_pair)
        shift(light, 1, out=other)
        both(light, other, out=light_pair)

        ring = both(both(dark, other, out=other), shift(dark, 2, out=one), out=other)
        core = both(ring, shift(ring, 4, out=one), out=other)
        both(core, shift(dark, 3, out=one), out=core)
        four = both(light_pair, shift(light_pair, 2, out=one), out=one)
        finders = both(core, shift(four, 7, out=light), out=light)
        finders |= both(four, shift(core, 4, out=other), out=other)
        score = 80 * _count(finders)
        score += self._balance[_count(dark) >> 1]

        blocks = both(dark_pair[:, :-1], dark_pair[:, 1:], out=one[:, :-1])
        blocks |= both(light_pair[:, :-1], light_pair[:, 1:], out=other[:, :-1])
        score += 3 * _count(blocks)

        runs = np.bitwise_or(dark_pair, light_pair, out=one)
        runs &= shift(runs, 1, out=other)
        runs &= shift(runs, 2, out=other)
        score += 6 * _count(runs)
        score -= 4 * _count(both(runs, shift(runs, 1, out=other), out=other))
        return score


def _count(words: Words) -> NDArray[np.uint32]:
    """The bits that are set, by mask and symbol."""
    counts: Any = np.bitwise_count(words)
    found: NDArray[np.uint32] = counts.sum(axis=(0, 1), dtype=np.uint32)
    return found
