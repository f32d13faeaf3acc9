"""An SVG file as a tree that is safe to walk.

In: the bytes of a file. Out: its root element. Nothing outside the file is ever read: no
document types, no entities, no network. Files that are no SVG, or too large to be one made
by hand, are refused with one line.
"""

from __future__ import annotations

from typing import Any
from xml.parsers import expat

from lxml import etree

from vardata.problems import JobError, VardataError, fail
from vardata.svg.values import shown

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
XML = "http://www.w3.org/XML/1998/namespace"
MOST_BYTES = 20_000_000  # pictures held inside the file are the only reason to come near it
MOST_ELEMENTS = 50_000
MOST_DEPTH = 100  # readers walk the tree by recursion

_ENTITIES = "the file declares entities"
_PLAIN = "save it as plain SVG, without editing data and with its styles inside"

Element = Any  # an lxml element; the library has no types of its own


class _Stop(Exception):
    """Ends the look at the head of a file; the text is why, or empty."""


def read(data: bytes, name: str) -> Element:
    """The root of an SVG. Raises ``JobError`` (``svg-unreadable``) that names the file."""
    if len(data) > MOST_BYTES:
        raise _refused(
            name,
            f"the file has {len(data) / 1e6:.0f} MB; at most {MOST_BYTES // 1_000_000} are read",
            "simplify the drawing, or save it as PNG",
        )
    if data[:2] == b"\x1f\x8b":
        raise _refused(name, "the file is a compressed SVG", "save it as plain SVG")
    _look_at_head(data, name)
    parser = etree.XMLParser(
        resolve_entities=False,
        load_dtd=False,
        no_network=True,
        huge_tree=False,
        remove_comments=True,
        recover=False,
    )
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise _broken(name, error) from None
    except ValueError as error:
        raise _refused(
            name, f"the file cannot be read ({error})", "save it again as plain SVG"
        ) from None
    dtd = root.getroottree().docinfo.internalDTD
    if dtd is not None and any(True for _ in dtd.iterentities()):
        raise _refused(name, _ENTITIES, _PLAIN)  # in an encoding that the first look cannot read
    _measure(root, name)
    return root


def _refused(name: str, what: str, remedy: str, line: int = 0) -> VardataError:
    return fail(JobError, "svg-unreadable", what, remedy, file=name, line=line)


def _too_deep(name: str) -> VardataError:
    return _refused(name, f"elements are nested more than {MOST_DEPTH} deep", "ungroup the drawing")


def _broken(name: str, error: Any) -> VardataError:
    if "Excessive depth" in str(error.msg):
        return _too_deep(name)
    text = " ".join(str(error.msg or "it is empty").split(", line ")[0].split())[:80]
    return _refused(
        name,
        f"this is not well-formed XML ({text})",
        "save the drawing again as plain SVG",
        (error.position or (0, 0))[0],
    )


def _look_at_head(data: bytes, name: str) -> None:
    """Refuse declarations of entities before any reader could expand them."""
    head = expat.ParserCreate()

    def entity(*_: object) -> None:
        raise _Stop(_ENTITIES)

    def sheet(target: str, _: str) -> None:
        if target == "xml-stylesheet":
            raise _Stop("the file takes its style from another file")

    def start(*_: object) -> None:
        raise _Stop("")

    head.EntityDeclHandler = entity
    head.ProcessingInstructionHandler = sheet
    head.StartElementHandler = start
    try:
        head.Parse(data, True)
    except _Stop as stop:
        if str(stop):
            raise _refused(
                name,
                str(stop),
                _PLAIN,
                head.CurrentLineNumber,
            ) from None
    except (expat.ExpatError, ValueError, LookupError):
        pass  # broken, or in an encoding it does not know: the real reader decides


def _measure(root: Element, name: str) -> None:
    if root.tag != f"{{{SVG}}}svg":
        tag = str(root.tag)
        if tag == "svg":
            raise _refused(
                name,
                "the <svg> element does not say that it is SVG",
                f'add xmlns="{SVG}" to it',
                root.sourceline or 0,
            )
        raise _refused(
            name,
            f"this is not an SVG: it begins with {shown('<' + tag.split('}')[-1] + '>')}",
            "save the drawing as plain SVG",
            root.sourceline or 0,
        )
    count, depth = 0, 0
    for event, _ in etree.iterwalk(root, events=("start", "end")):
        depth += 1 if event == "start" else -1
        count += event == "start"
        if depth > MOST_DEPTH:
            raise _too_deep(name)
    if count > MOST_ELEMENTS:
        raise _refused(
            name,
            f"the file has {count:,} elements; at most {MOST_ELEMENTS:,} are read",
            "simplify the drawing, or save it as PNG",
        )


def local(element: Element) -> str:
    """The name of an SVG element, or "" for comments and for names of other makers."""
    tag = element.tag
    if not isinstance(tag, str) or not tag.startswith(f"{{{SVG}}}"):
        return ""
    return tag[len(SVG) + 2 :]


def described(element: Element) -> str:
    """``<path id="wing">`` as messages show it; class stands in where there is no id."""
    tag = element.tag.split("}")[-1] if isinstance(element.tag, str) else "?"
    for key in ("id", "class"):
        value = element.get(key)
        if value:
            text = value if len(value) <= 40 else value[:37] + "..."
            return f'<{tag} {key}="{text}">'
    return f"<{tag}>"


def href(element: Element) -> str:
    """What an element points to; SVG 2 writes it without xlink."""
    return str(element.get("href") or element.get(f"{{{XLINK}}}href") or "").strip()
