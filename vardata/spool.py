"""Values kept on disk between stages, so that memory does not grow with the run.

In: picklable values. Out: a place (offset, length) that any process can read them back from.
One file has one writer and any number of readers.
"""

from __future__ import annotations

import pickle
from pathlib import Path
from typing import Any


class SpoolWriter:
    """Appends values to a file of its own."""

    def __init__(self, path: Path) -> None:
        self._file = path.open("wb")
        self._offset = 0

    def put(self, value: Any) -> tuple[int, int]:
        blob = pickle.dumps(value, protocol=5)
        self._file.write(blob)
        place = (self._offset, len(blob))
        self._offset += len(blob)
        return place

    def flush(self) -> None:
        """Makes what was put readable for other processes."""
        self._file.flush()

    def close(self) -> None:
        self._file.close()


class SpoolReader:
    """Reads values back by their place."""

    def __init__(self, path: Path) -> None:
        self._file = path.open("rb", buffering=0)

    def get(self, offset: int, length: int) -> Any:
        self._file.seek(offset)
        return pickle.loads(self._file.read(length))

    def close(self) -> None:
        self._file.close()
