"""The intake stage: an order sheet becomes a stream of records, held rows and skipped rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from vardata.intake.opening import open_intake
    from vardata.intake.reader import Intake

__all__ = ["Intake", "open_intake"]


def __getattr__(name: str) -> Any:
    """Load the stage when it is asked for: later stages import only its values."""
    if name == "open_intake":
        from vardata.intake.opening import open_intake

        return open_intake
    if name == "Intake":
        from vardata.intake.reader import Intake

        return Intake
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
