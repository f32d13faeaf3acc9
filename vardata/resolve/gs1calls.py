"""GS1 identifiers in templates: ``{{ gs1.sgtin(item, serial) }}`` gives an element string.

In: a parsed template. Out: whether it calls them, and the columns that it hands them; a
function that does not exist is told in one line. What each does is ``gs1.identifiers``'s.
"""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType
from typing import TYPE_CHECKING

from vardata.gs1.identifiers import check_digit, giai, grai, gtin, sgtin, sscc
from vardata.job.near import choose

if TYPE_CHECKING:
    from jinja2 import nodes

NAME = "gs1"  # a column of this name is shadowed only where a function is called on it
FUNCTIONS: MappingProxyType[str, Callable[..., str]] = MappingProxyType(
    {
        "gtin": gtin,
        "sgtin": sgtin,
        "giai": giai,
        "grai": grai,
        "sscc": sscc,
        "check_digit": check_digit,
    }
)


def uses(tree: nodes.Template) -> bool:
    """Whether a template calls a GS1 function; then it cannot read a column of that name."""
    return any(_attributes(tree))


def unknown(tree: nodes.Template) -> tuple[str, str] | None:
    """What and remedy of the first function that does not exist."""
    for name in _attributes(tree):
        if name not in FUNCTIONS:
            return f"there is no {NAME}.{name}", choose(name, FUNCTIONS)
    return None


def handed(tree: nodes.Template) -> tuple[str, ...]:
    """The names of the columns that are handed to the functions, in order."""
    from jinja2 import nodes

    found: dict[str, None] = {}
    for call in tree.find_all(nodes.Call):
        if isinstance(call.node, nodes.Getattr) and _is_ours(call.node):
            for argument in (*call.args, *(pair.value for pair in call.kwargs)):
                names = [argument] if isinstance(argument, nodes.Name) else []
                names += argument.find_all(nodes.Name)
                found.update(dict.fromkeys(name.name for name in names))
    return tuple(found)


def _attributes(tree: nodes.Template) -> list[str]:
    from jinja2 import nodes

    return [got.attr for got in tree.find_all(nodes.Getattr) if _is_ours(got)]


def _is_ours(node: nodes.Getattr) -> bool:
    from jinja2 import nodes

    return isinstance(node.node, nodes.Name) and node.node.name == NAME
