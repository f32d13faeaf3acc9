"""``run.json``: what a run was made from, what came of it, and each of its files.

In: the setup, the report, files whose sha256 is known already. Out: the file in the run's
folder; it is written last, so that it lists all others.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime

from vardata.job.model import Setup
from vardata.report import RunReport
from vardata.runid import product_facts, sha256_of, side_facts, versions


def write_facts(
    setup: Setup, report: RunReport, known: Mapping[str, tuple[int, str]], at: datetime,
    serials: Mapping[str, object], also: Mapping[str, object],
) -> None:
    """Settings, versions, counts and every file with its sha256; ``known`` are the bytes and
    sha256 of files, by name; ``also`` is what else there is to say. Raises ``OSError``."""
    listed = []
    for path in sorted(report.folder.rglob("*")):
        if not path.is_file():
            continue
        name = path.relative_to(report.folder).as_posix()
        size, digest = known.get(name) or (path.stat().st_size, sha256_of(path))
        listed.append({"file": name, "bytes": size, "sha256": digest})
    facts = {
        "run_id": report.run_id,
        "job": setup.job.model_dump(mode="json"),
        "at": at.isoformat(),
        "counts": report.counts(),
        "held_by_kind": dict(sorted(report.kinds.items())),
        "layout": setup.layout.model_dump(mode="json"),
        "jig": setup.jig.model_dump(mode="json"),
        "bed": setup.bed.model_dump(mode="json"),
        **side_facts(setup),
        **({"products": product_facts(setup)} if setup.products else {}),
        "serials": dict(serials),
        **also,
        "versions": versions(),
        "notes": [str(note) for note in report.notes],
        "files": listed,
    }
    text = json.dumps(facts, ensure_ascii=False, indent=1)
    (report.folder / "run.json").write_text(text + "\n", encoding="utf-8")
