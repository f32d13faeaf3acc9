"""The phrases of a field's template: its lines in which a column stands beside something else.

In: a template as Jinja2 has read it. Out: a ``Phrase`` for each such line. A template with logic
({% if %}, a default) looks after empty cells itself and has none.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TYPE_CHECKING

from vardata.intake.checks.phrases import Phrase

if TYPE_CHECKING:
    from jinja2 import nodes

_Piece = tuple[str, str]  # "words" and a text, or "column" and a name


def phrases(tree: nodes.Template, field: str, others: Collection[str]) -> Iterator[Phrase]:
    """``others`` are names that no column has: they are never empty."""
    for line in _lines(tree):
        columns = tuple(dict.fromkeys(
            text for kind, text in line if kind == "column" and text not in others
        ))  # fmt: skip
        words = any(
            text.strip() for kind, text in line if kind == "words" or text in others
        )  # fmt: skip
        if columns and (words or len(columns) > 1):
            shown = "".join(text if kind == "words" else f"{{{{ {text} }}}}" for kind, text in line)
            yield Phrase(field, shown.strip(), columns, words)


def _lines(tree: nodes.Template) -> list[list[_Piece]]:
    """The pieces of each line; nothing for a template with logic."""
    from jinja2 import nodes

    lines: list[list[_Piece]] = [[]]
    for node in tree.body:
        if not isinstance(node, nodes.Output):
            return []
        for child in node.nodes:
            if isinstance(child, nodes.TemplateData):
                first, *more = child.data.split("\n")
                lines[-1].append(("words", first))
                lines += [[("words", text)] for text in more]
                continue
            name = _name(child)
            if name is None:
                return []
            lines[-1].append(("column", name))
    return lines


def _name(node: nodes.Node | None) -> str | None:
    """The column that a node shows, dressed by filters or not."""
    from jinja2 import nodes

    while isinstance(node, nodes.Filter) and node.name not in ("default", "d"):
        node = node.node
    return node.name if isinstance(node, nodes.Name) else None
