"""Features that a layout asks for and no font has: told before anything is printed.

In: a job's setup and its fonts. Out: a warning for each such tag of each text field. Shaping
passes an unknown tag over in silence, as OpenType wants it; whether a feature changes anything in
a text is not looked at.
"""

from __future__ import annotations

from vardata.fit.fontbook import FontBook
from vardata.job.fonts import text_chain
from vardata.job.model import Setup, TextField
from vardata.job.near import choose
from vardata.problems import Problem, Severity, Where


def unknown_features(setup: Setup, book: FontBook) -> list[Problem]:
    """One line for each tag that none of a field's fonts knows, the fallback's included."""
    found: list[Problem] = []
    for field in setup.layout.fields:
        if not isinstance(field, TextField) or not field.features:
            continue
        chain = book.chain(text_chain(setup.layout, field))
        known = sorted(frozenset().union(*(face.features for face in chain)))
        where = Where(file=setup.layout_file.name, field=field.name)
        for tag in dict.fromkeys(field.features):
            if (name := tag.removeprefix("-")) not in known:
                found.append(Problem(
                    "unknown-feature", Severity.WARNING,
                    f"none of its fonts has the feature {name!r}, so that it changes nothing",
                    choose(name, known, "take it away, or choose another font").replace(
                        "allowed:", "they have:"), where,
                ))  # fmt: skip
    return found
