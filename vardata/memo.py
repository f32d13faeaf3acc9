"""Answers that the workers of a run share, so that none works out what another has.

In: a folder of the run's own, a function whose answer follows from its arguments alone. Out: the
same function, which looks on disk first. What is slow and asked for seldom belongs here, such
as the geometry of a glyph; not what is asked for with every record.
"""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

Answer = TypeVar("Answer")


class Memo:
    """Keeps answers in ``folder``, which is made when the first one comes; None keeps nothing."""

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder

    def shared(
        self, name: str, work_out: Callable[..., Answer]
    ) -> Callable[..., Answer]:
        """The function; arguments are told apart by how they are written."""
        folder = self._folder
        if folder is None:
            return work_out

        def asked(*arguments: object) -> Answer:
            key = hashlib.sha256(repr(arguments).encode()).hexdigest()[:24]
            place = folder / f"{name}-{key}"
            try:
                answer: Answer = pickle.loads(place.read_bytes())
            except OSError:
                answer = work_out(*arguments)
                _keep(place, pickle.dumps(answer, protocol=5))
            return answer

        return asked


def _keep(place: Path, data: bytes) -> None:
    """Whole or not at all; a disk that refuses costs time only."""
    part = place.with_name(f"{place.name}.{os.getpid()}")
    try:
        place.parent.mkdir(exist_ok=True)
        part.write_bytes(data)
        part.replace(place)
    except OSError:
        return
