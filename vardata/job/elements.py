"""Boxes and lines of fields that are drawn in the layout's art, and guides that are not printed.

In: a layout's ``Source`` before it is judged. Out: the same with every ``box = "#id"`` and
``along = "#id"`` as the numbers and the path data that the drawing gives, in item mm, and with
the elements that fields name among the guides of their art; problems for what is not there. A
name is ``"#id"``, or ``"crest.svg#id"`` where several drawings have such an id. Nothing is drawn
here, and art with faults of its own is left to those who tell them.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from vardata.job.found import clipped
from vardata.job.lines import KeyPath
from vardata.job.near import choose, listed
from vardata.job.paths import PathFault, find_file
from vardata.job.placing import Art
from vardata.job.toml import Source
from vardata.problems import Problem, Severity, VardataError, Where

if TYPE_CHECKING:  # few layouts name elements, and the reader is heavy
    from vardata.svg.named import NamedShapes

_SOME_BOX = [0.0, 0.0, 1.0, 1.0]  # in place of one that a problem was told of


def draw_elements(source: Source, base: Path, inside: Path | None) -> list[Problem]:
    """Puts numbers in place of names in ``source.data``; names of files start from ``base``."""
    named = list(_named(source.data))
    art = _tables(source.data, "art")
    if not named and not any("guides" in entry for entry in art):
        return []
    return list(_Elements(source, art, base, inside).drawn(named))


def _tables(data: dict[str, Any], key: str) -> list[dict[str, Any]]:
    found = data.get(key)
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def _named(data: dict[str, Any]) -> Iterator[tuple[KeyPath, dict[str, Any], str]]:
    """Place, table and key of every value that names an element."""
    fields = data.get("fields")
    for index, field in enumerate(fields if isinstance(fields, list) else ()):
        for key in ("box", "along") if isinstance(field, dict) else ():
            if isinstance(field.get(key), str) and "#" in field[key]:
                yield ("fields", index, key), field, key


class _Elements:
    """The drawings of one layout, each read once."""

    def __init__(
        self, source: Source, art: list[dict[str, Any]], base: Path, inside: Path | None
    ) -> None:
        self._source, self._art = source, art
        self._base, self._inside = base, inside
        self._drawings: dict[str, NamedShapes | None] = {}
        self._problems: list[Problem] = []

    def drawn(self, named: list[tuple[KeyPath, dict[str, Any], str]]) -> Iterator[Problem]:
        for path, field, key in named:
            fault = self._draw(field, key)
            if fault:
                what, remedy = fault
                yield self._source.problem(path, "no-element", what, remedy, field[key])
            if fault or (isinstance(field[key], str) and "#" in field[key]):
                self._source.doubted.add(path)
                field[key] = list(_SOME_BOX) if key == "box" else ""
        yield from self._guides()
        yield from self._problems

    # ------------------------------------------------------------ names

    def _draw(self, field: dict[str, Any], key: str) -> tuple[str, str] | None:
        """Puts the element's geometry into the field; what was wrong, if anything."""
        file, _, name = field[key].rpartition("#")
        files = list(dict.fromkeys(entry["file"] for entry in self._svgs()))
        if file and file not in files:
            return f"there is no drawing {clipped(file)} among the art", choose(
                file, files, "add it as [[art]]"
            )
        if not files:
            return "there is no SVG among the art to find it in", "add the drawing as [[art]]"
        asked = [file] if file else files
        drawings = {one: found for one in asked if (found := self._drawing(one)) is not None}
        if len(drawings) < len(asked):
            return None  # a drawing with a fault of its own: told elsewhere
        having = [one for one, drawing in drawings.items() if name in drawing.ids]
        if len(having) != 1:
            return self._lost(name, asked, drawings) if not having else (
                f"both {having[0]} and {having[1]} have an element {clipped(name)}",
                f'write "{having[0]}#{name}", for example',
            )  # fmt: skip
        return self._put(field, key, having[0], name)

    def _lost(
        self, name: str, asked: list[str], drawings: dict[str, NamedShapes]
    ) -> tuple[str, str]:
        ids = list(dict.fromkeys(one for drawing in drawings.values() for one in drawing.shapes))
        what = f"there is no element {clipped(name)} in {', '.join(asked)}"
        return what, choose(name, ids, "give the shape an id in the drawing program")

    def _put(
        self, field: dict[str, Any], key: str, file: str, name: str
    ) -> tuple[str, str] | None:
        entries = [entry for entry in self._svgs() if entry["file"] == file]
        drawing = self._drawings[file]
        assert drawing is not None
        if len(entries) > 1:
            what = f"{file} is placed {len(entries)} times, so that {clipped(name)} has more places"
            return what, "place it once, or write the numbers"
        try:
            art = Art.model_validate({**entries[0], "guides": ()})
        except ValidationError:
            return None
        try:
            _place(field, key, drawing, name, art)
        except ValueError as error:
            others = listed(one for one in drawing.shapes if one != name)
            remedy = f"name a shape with a place of its own{': ' if others else ''}{others}"
            return f"the element {clipped(name)} in {file} {error}", remedy
        guides = entries[0].setdefault("guides", [])
        if isinstance(guides, list) and name not in guides:
            entries[0]["guides"] = [*guides, name]
        return None

    # ------------------------------------------------------------ drawings

    def _svgs(self) -> list[dict[str, Any]]:
        return [
            entry for entry in self._art
            if isinstance(entry.get("file"), str) and entry["file"].lower().endswith(".svg")
        ]  # fmt: skip

    def _drawing(self, file: str) -> NamedShapes | None:
        """A drawing of the art; None where it cannot be read, which is told once."""
        if file not in self._drawings:
            from vardata.svg import source as svg_source
            from vardata.svg.named import NamedShapes

            self._drawings[file] = None
            try:
                data = find_file(file, self._base, self._inside).read_bytes()
                self._drawings[file] = NamedShapes(svg_source.read(data, file))
            except PathFault:
                pass  # told with the art
            except VardataError as error:
                self._problems += error.problems
            except (OSError, ValueError) as error:
                remedy = 'save it again as plain SVG with width, height and viewBox="0 0 w h"'
                self._problems.append(
                    Problem("svg-unreadable", Severity.ERROR, str(error), remedy, Where(file))
                )
        return self._drawings[file]

    def _guides(self) -> Iterator[Problem]:
        """Every guide of the art must be there: a misspelt one would be printed."""
        for index, entry in enumerate(self._source.data.get("art") or ()):
            guides = entry.get("guides") if isinstance(entry, dict) else None
            file = entry.get("file") if isinstance(entry, dict) else None
            if not isinstance(guides, list) or not isinstance(file, str):
                continue
            path: KeyPath = ("art", index, "guides")
            if entry not in self._svgs():
                what = f"{clipped(file)} is no SVG, and has no elements"
                yield self._source.problem(path, "no-element", what, "take guides away")
                continue
            drawing = self._drawing(file)
            for at, name in enumerate(guides if drawing is not None else ()):
                if isinstance(name, str) and drawing is not None and name not in drawing.ids:
                    what = f"there is no element {clipped(name)} in {file}"
                    remedy = choose(name, drawing.ids, "give it an id in the drawing program")
                    yield self._source.problem((*path, at), "no-element", what, remedy, name)


def _place(field: dict[str, Any], key: str, drawing: NamedShapes, name: str, art: Art) -> None:
    """The geometry of one element as the field's own. Raises ``ValueError``."""
    from vardata.svg.place import page_placed

    placed = page_placed(drawing.size, art.box, art.fit, art.rotation)
    if key == "along":
        field[key] = drawing.line(name, placed)
        return
    *box, turn = drawing.box(name, placed)
    field[key] = box
    if turn:  # the field's own turn is added to that of the element
        own = field.get("rotation", 0)
        if isinstance(own, int | float) and not isinstance(own, bool):
            field["rotation"] = round((own + turn) % 360.0, 6)
