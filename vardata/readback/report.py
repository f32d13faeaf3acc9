"""What a read-back found, in numbers and first failures; for papers and faces."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from vardata.problems import Exit, Problem
from vardata.readback.beds import Weak


class ReadbackReport(NamedTuple):
    """``codes_good`` and ``texts_good`` count those without a failure; ``degraded`` the codes
    that were read degraded. ``problems`` holds the first failures, ``failures`` their number."""

    folder: Path
    run_id: str
    beds: int
    files: int
    slots: int
    codes: int
    codes_good: int
    texts: int
    texts_good: int
    degraded: int
    failures: int
    problems: tuple[Problem, ...]
    weakest: tuple[Weak, ...]

    @property
    def exit_code(self) -> Exit:
        return Exit.READBACK if self.failures else Exit.DONE

    def counts(self) -> dict[str, object]:
        """The numbers, for machines."""
        names = (
            "beds", "files", "slots", "codes", "codes_good", "texts", "texts_good", "degraded",
            "failures",
        )  # fmt: skip
        return {name: getattr(self, name) for name in names}
