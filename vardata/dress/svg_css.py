"""What each element of an SVG declares about its look, in one table.

In: a tree. Out: for each element the declared properties by name, with presentation
attributes, ``<style>`` rules and style="" in the order that CSS gives them (CSS Cascading 3,
6; SVG 1.1, 6.4). Values are not judged here, except that rules which need a reader's
surroundings (@media, @import) are refused.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import cssselect2
import tinycss2

from vardata.dress.svg_guard import ATTRIBUTES, Report
from vardata.svg import source as svg_source
from vardata.svg.source import Element

# Rules that change nothing where there is no text and no reader's window.
_EMPTY_RULES = frozenset({"charset", "namespace", "font-face", "page", "keyframes"})


class Declared(NamedTuple):
    name: str
    value: str
    important: bool


class Looks:
    """The declared properties of every element of one tree."""

    def __init__(self, root: Element, report: Report) -> None:
        self._report = report
        self._matcher: Any = cssselect2.Matcher()
        self._rules = 0
        self._found: dict[Element, dict[str, str]] = {}
        for element in root.iter(f"{{{svg_source.SVG}}}style"):
            self._read_sheet(element)
        for wrapped in cssselect2.ElementWrapper.from_xml_root(root).iter_subtree():
            self._cascade(wrapped)

    def of(self, element: Element) -> dict[str, str]:
        """Declared properties of an element: lower-case name to value."""
        return self._found[element]

    def _read_sheet(self, element: Element) -> None:
        if (element.get("type") or "text/css").strip().lower() != "text/css":
            return
        media = (element.get("media") or "all").strip().lower()
        if media not in ("all", "print", "screen"):
            self._report.add(
                element, f"the style sheet is for the medium {media!r} only", "remove media="
            )
        text = "".join(element.itertext())
        for rule in tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True):
            line = (element.sourceline or 1) + rule.source_line - 1
            if rule.type == "at-rule":
                if rule.lower_at_keyword not in _EMPTY_RULES:
                    self._report.add(
                        element,
                        f"the style rule @{rule.at_keyword} depends on the reader",
                        "save the drawing with its styles as attributes",
                        line=line,
                    )
            elif rule.type == "qualified-rule":
                self._add_rule(element, rule, line)
            else:
                self._report.add(
                    element,
                    "the style sheet cannot be read",
                    "mend it, or save the drawing with its styles as attributes",
                    line=line,
                )

    def _add_rule(self, element: Element, rule: Any, line: int) -> None:
        payload = self._declarations(rule.content, element, line)
        try:
            selectors = cssselect2.compile_selector_list(rule.prelude)
        except cssselect2.SelectorError:
            prelude = tinycss2.serialize(rule.prelude).strip()
            self._report.add(
                element,
                f"the style rule for {prelude[:40]!r} is not understood",
                "save the drawing with its styles as attributes",
                line=line,
            )
            return
        for selector in selectors:
            self._matcher.add_selector(selector, payload)
            self._rules += 1

    def _declarations(self, content: Any, element: Element, line: int) -> list[Declared]:
        found = []
        for node in tinycss2.parse_declaration_list(
            content, skip_comments=True, skip_whitespace=True
        ):
            if node.type == "declaration":
                tokens = [token for token in node.value if token.type != "comment"]
                value = tinycss2.serialize(tokens).strip()
                found.append(Declared(node.lower_name, value, node.important))
            elif node.type == "error":
                what = "a style cannot be read"
                self._report.add(element, what, 'write it like style="fill:#c00"', line=line)
        return found

    def _cascade(self, wrapped: Any) -> None:
        element = wrapped.etree_element
        rules: list[Declared] = []
        if self._rules:
            for _, _, pseudo, payload in self._matcher.match(wrapped):
                if pseudo is None:
                    rules += payload
        own = self._declarations(element.get("style") or "", element, element.sourceline or 0)
        looks = {
            name: value.strip()
            for name, value in element.attrib.items()
            if name in ATTRIBUTES and value.strip()
        }
        ordered = [d for d in rules + own if not d.important]
        ordered += [d for d in rules + own if d.important]
        looks.update((d.name, d.value) for d in ordered)
        self._found[element] = looks
