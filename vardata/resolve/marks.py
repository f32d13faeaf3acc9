"""Marks of styles in a field's text: from a template to letters with their styles.

In: a template with marks (``job.textmarks``), and what it renders to. Out: a ``StyledText``. Marks
are read in the template's own words alone and travel through rendering as noncharacters, which no
text may hold (Unicode 15.0, 23.7): a record that brings one is held, so it cannot bring a mark.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from vardata.job.textmarks import MARK
from vardata.resolve.styledtext import StyledText, collapsed

if TYPE_CHECKING:
    import jinja2
    from jinja2 import nodes

_END = 0xFDD0  # the first of 32 noncharacters; style n begins with the n-th after it
_ANY = re.compile("[\ufdd0-\ufdef]")
FOREIGN_REMEDY = "take it out of the cell: it is no letter"


def reading_marks(environment: jinja2.Environment, styles: Sequence[str]) -> jinja2.Environment:
    """The environment, from now on turning marks in the words of templates into noncharacters."""
    from jinja2 import nodes

    parse = environment.parse
    numbers = {name: chr(_END + number) for number, name in enumerate(styles, 1)}

    def mark(found: re.Match[str]) -> str:
        if found[0] == "[[":
            return "["
        return chr(_END) if found[1] else numbers.get(found[2], found[0])

    def parse_marks(
        source: str, name: str | None = None, filename: str | None = None
    ) -> nodes.Template:
        tree = parse(source, name, filename)
        for words in tree.find_all(nodes.TemplateData):
            words.data = MARK.sub(mark, words.data)
        return tree

    environment.parse = parse_marks  # type: ignore[method-assign]
    return environment


def without_marks(tree: nodes.Template) -> None:
    """Takes the marks out of a template's own words."""
    from jinja2 import nodes

    for words in tree.find_all(nodes.TemplateData):
        words.data = MARK.sub(lambda found: "[" if found[0] == "[[" else "", words.data)


def foreign_mark(values: Sequence[str]) -> str:
    """The first noncharacter in a record's values that would be taken for a mark; "" for none."""
    found = _ANY.search("\n".join(values))
    return found[0] if found else ""


def styled(text: str) -> StyledText:
    """What a template rendered to, its marks taken out."""
    letters: list[str] = []
    styles = bytearray()
    style = 0
    for letter in text:
        if _ANY.match(letter):
            style = ord(letter) - _END
        else:
            letters.append(letter)
            styles.append(style)
    return collapsed("".join(letters), bytes(styles))
