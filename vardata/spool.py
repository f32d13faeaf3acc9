"""Values kept on disk between stages, so that memory does not grow with the run.

In: values. Out: a place (offset, length) that any process can read them back from.
One file has one writer and any number of readers. Plain values (tuples of texts, bytes and
numbers) are quicker to keep: the caller says that they are.
"""

from __future__ import annotations

import marshal
import pickle
from array import array
from collections.abc import Iterable
from itertools import accumulate
from pathlib import Path
from typing import Any

_AHEAD = 8192  # bytes read at a time
_PLAINLY = 2  # marshal's version that does not look for values it has written before


class SpoolWriter:
    """Appends values to a file of its own. ``plain`` values alone are taken if it says so."""

    def __init__(self, path: Path, plain: bool = False) -> None:
        self._file = path.open("wb")
        self._offset = 0
        self._plain = plain

    def put(self, value: Any) -> tuple[int, int]:
        (offset,), (length,) = self.put_all([value])
        return offset, length

    def put_all(self, values: Iterable[Any]) -> tuple[array[int], array[int]]:
        """The offsets and the lengths of many values, one behind the other."""
        blobs = [
            marshal.dumps(value, _PLAINLY) if self._plain else pickle.dumps(value, protocol=5)
            for value in values
        ]
        lengths = array("I", map(len, blobs))
        offsets = array("Q", accumulate(lengths, initial=self._offset))
        self._offset = offsets.pop()
        self._file.write(b"".join(blobs))
        return offsets, lengths

    def flush(self) -> None:
        """Makes what was put readable for other processes."""
        self._file.flush()

    def close(self) -> None:
        self._file.close()


class SpoolReader:
    """Reads values back by their place; ``plain`` as they were written."""

    def __init__(self, path: Path, plain: bool = False) -> None:
        self._file = path.open("rb")
        self._plain = plain
        self._start, self._block = 0, b""

    def get(self, offset: int, length: int) -> Any:
        at = offset - self._start
        if at < 0 or at + length > len(self._block):  # neighbours are asked for one by one
            self._file.seek(offset)
            self._start, at = offset, 0
            self._block = self._file.read(max(length, _AHEAD))
        blob = self._block[at : at + length]
        return marshal.loads(blob) if self._plain else pickle.loads(blob)

    def close(self) -> None:
        self._file.close()
