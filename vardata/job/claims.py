"""What a rule over several keys finds wrong, before it becomes a problem with a line.

In: claims of the rules. Out: problems, without those that only follow from a value that was
reported already.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from vardata.job.lines import KeyPath
from vardata.job.toml import Source
from vardata.problems import Problem


class Claim(NamedTuple):
    source: Source
    path: KeyPath
    kind: str
    what: str
    remedy: str
    value: str = ""


def believed(claims: Iterable[Claim]) -> list[Problem]:
    """A table with a wrong value is not judged as a whole until that value is mended."""
    return [
        claim.source.problem(*claim[1:])
        for claim in claims
        if not any(_touches(doubt, claim.path) for doubt in claim.source.doubted)
    ]


def _touches(doubt: KeyPath, path: KeyPath) -> bool:
    return doubt[:-1] == path[:-1] or path[: len(doubt)] == doubt or doubt[: len(path)] == path


def twice(
    source: Source, names: Iterable[tuple[KeyPath, str]], noun: str, kind: str = "duplicate-name"
) -> Iterable[Claim]:
    """A claim for each name that came before; capital letters make no difference."""
    first: dict[str, tuple[KeyPath, str]] = {}
    for path, name in names:
        before = first.setdefault(name.casefold(), (path, name))
        if before[0] != path:
            line = source.where(before[0]).line
            also = f"as {before[1]!r} on line {line}" if name != before[1] else f"on line {line}"
            yield Claim(
                source, path, kind, f"a second {noun} is called {name!r}, first {also}",
                "give each its own name", name,
            )  # fmt: skip
