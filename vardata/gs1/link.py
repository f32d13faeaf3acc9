"""GS1 Digital Links: a message as a web address (GS1 Digital Link standard: URI syntax).

``https://id.gs1.org/01/09521234543213/10/ABC123?17=261231``: one key and its qualifiers in
their set order make the path, everything else the query, in the order it was written.
"""

from __future__ import annotations

import re
from urllib.parse import quote

from vardata.gs1.error import Gs1Error
from vardata.gs1.parse import Element, Message

DOMAIN = "https://id.gs1.org"  # GS1's own resolver
_ADDRESS = re.compile(
    r"https?://[a-z0-9]([a-z0-9.-]*[a-z0-9])?(:[0-9]{1,5})?(/[A-Za-z0-9._~-]+)*/?", re.I
)


def digital_link(message: Message, domain: str = DOMAIN) -> str:
    """The address of a message at a domain, uncompressed. Raises ``Gs1Error``.

    ``domain`` is a scheme and host, with a path before the key if there is one.
    """
    if not _ADDRESS.fullmatch(domain):
        raise Gs1Error(
            f"{domain!r} cannot begin a Digital Link",
            f"write a scheme and a domain such as {DOMAIN}",
        )
    path = _path(message)
    rest = [element for element in message.elements if element not in path]
    for element in rest:
        if not element.identifier.query:
            key = path[0]
            raise Gs1Error(
                f"({element.ai}) {element.identifier.title} has no place in a Digital Link that "
                f"begins with ({key.ai}) {key.identifier.title}",
                "take it away, or encode the element string",
            )
    steps = "".join(f"/{element.ai}/{_quoted(element)}" for element in path)
    query = "&".join(f"{element.ai}={_quoted(element)}" for element in rest)
    return domain.rstrip("/") + steps + (f"?{query}" if query else "")


def _path(message: Message) -> list[Element]:
    """The first key and the longest row of its qualifiers that the message has."""
    key = next((e for e in message.elements if e.identifier.qualifiers is not None), None)
    if key is None:
        names = ", ".join(f"({element.ai})" for element in message.elements)
        raise Gs1Error(
            f"no key to begin a Digital Link with among {names}",
            "add the number of the thing itself, such as (01), (8003) or (8004)",
        )
    by_number = {element.ai: element for element in message.elements if element is not key}
    rows = [
        [by_number[ai] for ai in row if ai in by_number]
        for row in key.identifier.qualifiers or ((),)
    ]
    return [key, *max(rows, key=len)]


def _quoted(element: Element) -> str:
    # RFC 3986: all but unreserved characters are percent-encoded, so that data can neither end
    # a step of the path nor a parameter.
    return quote(element.data, safe="")
