"""What the models refuse, in our own words: one problem for each place.

In: a ``Source`` whose keys are mended, and its model. Out: the model, or None, and the problems.
A wrong value is replaced by the nearest valid one or left to its default, so that the rules
over several keys can be checked in the same go; the problem stays. pydantic's wording never
reaches a person.
"""

from __future__ import annotations

import math
import re
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from vardata.job.found import clipped, kind_of, plain
from vardata.job.keys import described
from vardata.job.lines import KeyPath
from vardata.job.near import choose, nearest
from vardata.job.toml import Source, look_up
from vardata.problems import Problem

M = TypeVar("M", bound=BaseModel)

_TAG = "type"
_PARTS = {  # lists of fixed length: what their numbers mean
    "box": "x, y, width, height",
    "pitch": "along x, along y",
    "offset": "x, y",
    "pocket": "width, height",
    "dpi": "along x, along y",
}
_WANTED = {  # pydantic's name for a wrong type -> what belongs there
    "string_type": 'a text in "quotes"',
    "bool_type": "true or false",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "tuple_type": "a list in [ ]",
    "list_type": "a list in [ ]",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
}
_QUOTED = re.compile(r"'([^']*)'")


def judge(source: Source, model: type[M]) -> tuple[M | None, list[Problem]]:
    """Validate ``source.data``; every wrong value gives one problem."""
    problems: list[Problem] = []
    seen: set[KeyPath] = set()
    for _ in range(2):  # the second time with the wrong values out of the way
        try:
            return model.model_validate(source.data), problems
        except ValidationError as error:
            places: dict[KeyPath, ErrorDetails] = {}
            for detail in error.errors(include_url=False):
                places.setdefault(_place(detail, source.data), detail)
        # What was set aside may leave a table empty or a key missing: no fault of its own.
        told = {before[:cut] for before in seen for cut in range(len(before) + 1)}
        fresh = {path: detail for path, detail in places.items() if path not in told}
        seen.update(fresh)
        problems += [_problem(source, model, path, fresh[path]) for path in fresh]
        seen.update([_set_aside(source, path, detail) for path, detail in fresh.items()])
    try:
        return model.model_validate(source.data), problems
    except ValidationError:
        return None, problems


def _place(detail: ErrorDetails, data: dict[str, Any]) -> KeyPath:
    """The key path in the file: pydantic's without the names of union members."""
    path: list[str | int] = [part for part in detail["loc"] if part != "[key]"]
    if path and path[0] == "fields" and len(path) > 2:
        del path[2]  # the kind of field
    if path and path[0] == "columns" and len(path) > 2:
        del path[2]  # heading or table
    if detail["type"] in ("union_tag_invalid", "union_tag_not_found"):
        path.append(_TAG)
    # A list that is too short is one fault, not one for each number that is missing.
    if detail["type"] == "missing" and isinstance(path[-1], int):
        path.pop()
    return tuple(path)


def _set_aside(source: Source, path: KeyPath, detail: ErrorDetails) -> KeyPath:
    """Put the nearest valid value in place of a wrong one, or take its key out.

    Gives the path of the key, which is not to be called missing for that.
    """
    parent = look_up(source.data, path[:-1])
    found = look_up(source.data, path)
    last = path[-1]
    if detail["type"] == "literal_error" and isinstance(found, str):
        near = nearest(found, _allowed(detail))
        if near is not None and isinstance(parent, dict | list):
            parent[last] = near  # type: ignore[index]
            return path
    source.doubted.add(path)
    while path and not isinstance(path[-1], str):
        path = path[:-1]
    table = look_up(source.data, path[:-1])
    if isinstance(table, dict):
        table.pop(path[-1], None)
    return path


def _allowed(detail: ErrorDetails) -> list[str]:
    context = detail.get("ctx", {})
    return _QUOTED.findall(str(context.get("expected") or context.get("expected_tags") or ""))


def _problem(
    source: Source, model: type[BaseModel], path: KeyPath, detail: ErrorDetails
) -> Problem:
    kind, found = detail["type"], look_up(source.data, path)
    if kind in ("missing", "union_tag_not_found") and found is None:
        what = f"the key {str(path[-1])!r} is missing"
        remedy = f"add it: {described(source.data, model, path)}"
        return source.problem(path, "missing-key", what, remedy)
    slug, what, remedy = _words(path, detail, found)
    return source.problem(path, slug, what, remedy, plain(found))


def _words(path: KeyPath, detail: ErrorDetails, found: object) -> tuple[str, str, str]:
    """Slug, what was found, what is allowed."""
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "value_error":  # our own words, from job.values and units
        text = str(context.get("error", "the value is not valid"))
        if isinstance(found, bool):  # True is Python's word, true is TOML's
            text = text.replace(repr(found), plain(found), 1)
        what, _, remedy = text.partition("; ")
        return "bad-value", _short(what), _short(remedy)
    if kind in ("literal_error", "union_tag_invalid"):
        return _unknown(found, _allowed(detail))
    if isinstance(found, float) and not math.isfinite(found):
        return "bad-value", f"{found} is no number to work with", "write a plain number"
    if kind in _WANTED:
        return "wrong-type", f"found {kind_of(found)}", _wanted(kind, path, found)
    if kind in ("missing", "too_long", "too_short"):
        return _wrong_length(kind, path, context, found)
    return ("bad-value", *_out_of_range(kind, context, found))


def _unknown(found: object, allowed: list[str]) -> tuple[str, str, str]:
    if isinstance(found, str):
        return "unknown-value", f"unknown value {clipped(found)}", choose(found, allowed)
    return "wrong-type", f"found {kind_of(found)}", f"allowed: {', '.join(allowed)}"


def _wanted(kind: str, path: KeyPath, found: object) -> str:
    """What to write instead; where the value shows what was meant, that."""
    if kind == "string_type" and isinstance(found, int | float) and not isinstance(found, bool):
        return f'a text is wanted: write "{found}"'
    if kind == "bool_type" and isinstance(found, str) and found.lower() in ("true", "false"):
        return f"write {found.lower()} without quotes"
    if kind in ("int_type", "float_type") and isinstance(found, str):
        return f"{_WANTED[kind]} without quotes is wanted"
    if kind in ("tuple_type", "list_type") and isinstance(found, dict):
        return f"write [[{path[-1]}]] with two brackets, once for each"
    if kind in ("model_type", "dict_type") and isinstance(found, list):
        return f"write [{path[-1]}] with one bracket"
    if kind == "tuple_type" and path[-1] in _PARTS:
        return f"a list is wanted: [{_PARTS[str(path[-1])]}]"
    return f"{_WANTED[kind]} is wanted"


def _wrong_length(
    kind: str, path: KeyPath, context: dict[str, Any], found: object
) -> tuple[str, str, str]:
    size = len(found) if isinstance(found, list | dict | str) else 0
    parts = _PARTS.get(str(path[-1]), "")
    if parts:
        what = f"found {size} number{'s' * (size != 1)}"
        return "bad-value", what, f"{len(parts.split(', '))} are wanted: {parts}"
    if kind == "too_short":
        return "bad-value", "it is empty", f"write at least {context.get('min_length', 1)}"
    return "bad-value", f"found {size}", f"at most {context.get('max_length', size)} are allowed"


def _out_of_range(kind: str, context: dict[str, Any], found: object) -> tuple[str, str]:
    what = f"{plain(found)} is out of range"
    if kind == "greater_than":
        return what, f"it must be more than {context['gt']:g}"
    if kind == "greater_than_equal":
        return what, f"it must be at least {context['ge']:g}"
    if kind == "less_than":
        return what, f"it must be less than {context['lt']:g}"
    if kind == "less_than_equal":
        return what, f"it must be at most {context['le']:g}"
    if kind == "finite_number":
        return what, "write a smaller number"
    if kind == "string_too_short":
        return "the text is empty", "write at least one character"
    return f"{plain(found)} is not valid here", "the schema of this file says what is"


def _short(text: str) -> str:
    return text if len(text) <= 200 else text[:197] + "..."
