"""Rules over the keys of ``[sheet]``.

In: the job and its source. Out: claims. Whether the sheet can be read is intake's business.
"""

from __future__ import annotations

from collections.abc import Iterator

from vardata.job.claims import Claim
from vardata.job.model import Job
from vardata.job.toml import Source


def sheet_claims(job: Job, source: Source) -> Iterator[Claim]:
    """An order sheet is a file, or a database with a query."""
    sheet = job.sheet
    if source.doubts("sheet"):
        return
    if sheet.database is None:
        if not sheet.file:
            what, remedy = "the key 'file' is missing", "add it: the order sheet"
            yield Claim(source, ("sheet", "file"), "missing-key", what, remedy)
        elif sheet.query is not None:
            what, remedy = "a query needs a database", "add database, or take the query away"
            yield Claim(source, ("sheet", "query"), "no-database", what, remedy)
    elif sheet.file:
        what, remedy = "there is both a file and a database", "keep one of them"
        yield Claim(source, ("sheet", "database"), "two-sheets", what, remedy)
    elif not sheet.query:
        what, remedy = "the key 'query' is missing", "add it: a SELECT with ORDER BY"
        yield Claim(source, ("sheet", "query"), "missing-key", what, remedy)
