"""JSON Schemas of the files a user writes, for editors that check while one types.

In: the models. Out: draft 2020-12 schemas. They say what one file may hold; rules over several
keys or files are ``job.checks``'s.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from vardata.job.keytexts import key_texts
from vardata.job.model import Bed, Jig, Job, Layout, Model
from vardata.problems import OutputError, fail

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_FILES: dict[str, tuple[type[Model], str]] = {
    "job": (Job, "A job: layout, jig, bed and order sheet, and what the columns mean"),
    "layout": (Layout, "A layout: how one item is dressed"),
    "jig": (Jig, "A jig: the pockets that hold items on the bed"),
    "bed": (Bed, "A bed: the printable area of a machine and its print modes"),
}


def schemas() -> dict[str, dict[str, Any]]:
    """The schema of each kind of file, by its name: job, layout, jig, bed."""
    return {name: _schema(model, title) for name, (model, title) in _FILES.items()}


def export(folder: Path) -> list[Path]:
    """Write ``<kind>.schema.json`` for each kind of file; gives the files written."""
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, schema in schemas().items():
            path = folder / f"{name}.schema.json"
            text = json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
            path.write_text(text, encoding="utf-8", newline="\n")
            written.append(path)
    except OSError as error:
        what = f"the schemas cannot be written ({error.strerror})"
        remedy = "choose another folder"
        raise fail(OutputError, "no-schema", what, remedy, file=str(folder)) from None
    return written


def _schema(model: type[Model], title: str) -> dict[str, Any]:
    schema = model.model_json_schema()
    models = {kind.__name__: kind for kind in _models(Model)}
    for name, table in {model.__name__: schema, **schema.get("$defs", {})}.items():
        for key, text in key_texts(models[name]).items() if name in models else ():
            table["properties"][key]["description"] = text
    schema = _tidy(schema)
    schema = {"$schema": DRAFT, **schema, "title": title}
    if model is Jig:
        schema["oneOf"] = [{"required": ["grid"]}, {"required": ["slots"]}]
        schema["properties"]["slots"]["minItems"] = 1
    if model is Job:  # in a mixed job each product may bring its own
        each = ["layout", "jig", "bed", "print_mode"]
        schema["required"] = [key for key in schema["required"] if key not in each]
        schema["anyOf"] = [{"required": each}, {"required": ["products"]}]
    if model is Layout:
        is_path = {"properties": {"outline": {"const": "path"}}, "required": ["outline"]}
        schema["if"], schema["then"] = is_path, {"required": ["path"]}
    return schema


def _models(parent: type[Model]) -> Iterator[type[Model]]:
    for kind in parent.__subclasses__():
        yield kind
        yield from _models(kind)


def _tidy(node: Any) -> Any:
    """Without what TOML cannot hold (null) and without titles made from the keys' names."""
    if isinstance(node, list):
        return [_tidy(item) for item in node]
    if not isinstance(node, dict):
        return node
    node = {key: _tidy(value) for key, value in node.items()}
    if node.get("default", "") is None:
        del node["default"]
    for inner in node.get("properties", {}).values():
        inner.pop("title", None)
    kinds = [kind for kind in node.get("anyOf", ()) if kind != {"type": "null"}]
    if len(kinds) == 1:  # an optional value: its own description goes before the kind's
        return {**kinds[0], **{key: value for key, value in node.items() if key != "anyOf"}}
    if kinds:
        node["anyOf"] = kinds
    return node
