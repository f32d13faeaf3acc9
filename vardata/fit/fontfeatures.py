"""The OpenType features that a font has.

In: an opened font. Out: the tags of its features, whatever script or language they are for.
"""

from __future__ import annotations

from typing import Any


def feature_tags(tables: Any) -> frozenset[str]:
    """Tags in GSUB and GPOS (OpenType 1.9), and "kern" for the old table of that name."""
    found = {"kern"} if "kern" in tables else set()
    for name in ("GSUB", "GPOS"):
        listed = getattr(tables[name].table, "FeatureList", None) if name in tables else None
        if listed is not None:
            found |= {str(record.FeatureTag) for record in listed.FeatureRecord}
    return frozenset(found)
