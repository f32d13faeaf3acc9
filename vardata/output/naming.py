"""Names of bed files: unique for ever, and readable by the person who loads the bed."""

from __future__ import annotations

import re


def _safe(word: str) -> str:
    """A word for a file name on every system."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", word).strip("-.") or "x"


def bed_file_name(
    job: str, run_id: str, jig: str, first: int, last: int, total: int, side: str = ""
) -> str:
    """``job-run-jig-bed-0003-of-0157.pdf``; several beds: ``beds-0001-0010-of-0157``;
    of two-sided pieces ``bed-0003-B-of-0157``."""
    digits = max(4, len(str(total)))
    beds = (
        f"bed-{first:0{digits}d}" if first == last else f"beds-{first:0{digits}d}-{last:0{digits}d}"
    )
    beds += f"-{side}" if side else ""
    return f"{_safe(job)}-{run_id}-{_safe(jig)}-{beds}-of-{total:0{digits}d}.pdf"
