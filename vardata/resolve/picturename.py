"""The name of a picture that may be left out.

In: the template of an optional picture's file. Out: what makes a record's name of it: empty as
soon as a value in it is, for a folder or an ending alone names no picture.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from vardata.intake.record import Record

if TYPE_CHECKING:
    import jinja2

Render = Callable[[tuple[str, ...], Record], str]


class _Nothing(Exception):
    """A value came out empty."""


def _filled(value: object) -> object:
    if value is None or value == "":
        raise _Nothing
    return value


def optional_name(
    make: Callable[[jinja2.Environment], Render], environment: jinja2.Environment, template: str,
    names: tuple[str, ...],
) -> Render:
    """``make`` gives what renders the template in an environment. A template with logic has a
    value wherever it prints one: ``{{ pic or 'none.png' }}`` is never empty."""
    from jinja2 import nodes

    strict = make(environment.overlay(finalize=_filled))
    bare = [
        names.index(child.name)
        for node in environment.parse(template).body
        if isinstance(node, nodes.Output)
        for child in node.nodes
        if isinstance(child, nodes.Name) and child.name in names
    ]

    def render(values: tuple[str, ...], record: Record) -> str:
        if not all(values[at] for at in bare):
            return ""
        try:
            return strict(values, record)
        except _Nothing:
            return ""

    return render
