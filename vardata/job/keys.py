"""Keys that no model knows: found, reported once, and mended so that checking can go on.

In: a ``Source`` and the model it is meant for. Out: problems; ``source.data`` then holds each
misspelt key under the name that was most likely meant, so that its value is judged too and
nothing is called missing that is only misspelt. What cannot be guessed is taken out.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, TypeAlias, Union, get_args, get_origin

from pydantic import BaseModel

from vardata.job.found import clipped
from vardata.job.keytexts import key_texts
from vardata.job.lines import KeyPath
from vardata.job.near import choose, nearest
from vardata.job.toml import Source
from vardata.problems import Problem

_TAG = "type"  # the key that tells the kinds of field apart
Table: TypeAlias = dict[str, Any]
ModelType: TypeAlias = type[BaseModel]


def mend_keys(source: Source, model: ModelType) -> list[Problem]:
    """Walk the file's tables along the model's."""
    return list(_Mender(source, model).table(model, source.data, ()))


def other_kind(data: Table, model: ModelType, others: Mapping[str, ModelType]) -> str:
    """Which other kind of file this one is, or "": a jig named where a bed belongs."""

    def strange(kind: ModelType) -> int:
        return sum(key not in kind.model_fields for key in data)

    if not strange(model):
        return ""
    return next((name for name, kind in others.items() if strange(kind) == 0), "")


class _Mender:
    def __init__(self, source: Source, root: ModelType) -> None:
        self.source = source
        self.root = root

    def table(self, model: ModelType, data: Table, path: KeyPath) -> Iterator[Problem]:
        for key in [key for key in data if key not in model.model_fields]:
            yield self._unknown(model, data, path, key)
        for name, info in model.model_fields.items():
            if name in data:
                yield from self._value(info.annotation, data[name], (*path, name))

    def _unknown(self, model: ModelType, data: Table, path: KeyPath, key: str) -> Problem:
        """The problem of one unknown key; the key is mended or taken out."""
        # Of two names that are as near, one that is not there yet.
        allowed = sorted(model.model_fields, key=lambda name: name in data)
        meant = nearest(key, allowed)
        stray = key in self.root.model_fields and key not in self.source.data
        if stray:
            remedy = f"{key!r} belongs at the top of the file, before the first [table]"
        elif meant is not None:
            remedy = f"did you mean {meant!r}?"
        else:
            remedy = f"allowed here: {', '.join(model.model_fields)}"
        what = f"unknown key {clipped(key)}"
        problem = self.source.problem((*path, key), "unknown-key", what, remedy, key)
        value = data.pop(key)
        if stray:
            self._put(self.source.data, (), key, value, (*path, key))
        elif meant is not None:
            self._put(data, path, meant, value, (*path, key))
        return problem

    def _put(self, data: Table, path: KeyPath, key: str, value: Any, origin: KeyPath) -> None:
        """Give ``data`` the value under its right key; join it to what stands there."""
        moved = self.source.moved
        there = data.get(key)
        if key not in data:
            data[key] = value
            moved[(*path, key)] = origin
        elif isinstance(value, list) and isinstance(there, list):
            # One [[field]] among [[fields]]: its tables go to the others.
            for index, item in enumerate(value):
                moved[(*path, key, len(there))] = (*origin, index)
                there.append(item)
        elif isinstance(value, dict) and isinstance(there, dict):
            for name in [name for name in value if name not in there]:
                moved[(*path, key, name)] = (*origin, name)
                there[name] = value[name]

    def _value(self, annotation: Any, value: Any, path: KeyPath) -> Iterator[Problem]:
        """Go down into tables, lists of tables and tables of tables."""
        origin, inner = get_origin(annotation), get_args(annotation)
        if origin is Annotated:
            yield from self._value(_bare(annotation), value, path)
        elif _is_model(annotation):
            if isinstance(value, dict):
                yield from self.table(annotation, value, path)
        elif origin is tuple and isinstance(value, list):
            for index, item in enumerate(value):
                yield from self._value(inner[0], item, (*path, index))
        elif origin is dict and isinstance(value, dict):
            for name, item in value.items():
                yield from self._value(inner[1], item, (*path, name))
        elif origin in (Union, types.UnionType) and isinstance(value, dict):
            models = [bare for member in inner if _is_model(bare := _bare(member))]
            if len(models) == 1:
                yield from self.table(models[0], value, path)
            elif models:
                yield from self._one_of(models, value, path)

    def _one_of(self, models: list[ModelType], data: Table, path: KeyPath) -> Iterator[Problem]:
        """A table whose ``type`` says which model it is."""
        kinds = {_tags(model)[0]: model for model in models}
        known = {name for model in models for name in model.model_fields}
        if _TAG not in data:
            wrong = nearest(_TAG, [key for key in data if key not in known])
            if wrong is not None:
                what, remedy = f"unknown key {clipped(wrong)}", f"did you mean {_TAG!r}?"
                yield self.source.problem((*path, wrong), "unknown-key", what, remedy, wrong)
                self._put(data, path, _TAG, data.pop(wrong), (*path, wrong))
        tag = data.get(_TAG)
        if isinstance(tag, str) and tag not in kinds and (near := nearest(tag, kinds)) is not None:
            what, remedy = f"unknown value {clipped(tag)}", choose(tag, kinds)
            yield self.source.problem((*path, _TAG), "unknown-value", what, remedy, tag)
            data[_TAG] = tag = near
        if isinstance(tag, str) and tag in kinds:
            yield from self.table(kinds[tag], data, path)


def described(data: Any, model: ModelType, path: KeyPath) -> str:
    """What the model says about the key at ``path``, or ""."""
    annotation: Any = model
    text = ""
    for part in path:
        annotation = _member(_bare(annotation), data)
        if _is_model(annotation):
            info = annotation.model_fields.get(part)
            text = key_texts(annotation).get(str(part), "")
            annotation = info.annotation if info else None
        else:
            annotation = get_args(annotation)[0 if isinstance(part, int) else 1]
        data = data.get(part) if isinstance(data, dict) else data[part]
    return text


def _member(annotation: Any, data: Any) -> Any:
    """The member of a union that ``data`` is meant for."""
    if get_origin(annotation) not in (Union, types.UnionType):
        return annotation
    models = [bare for member in get_args(annotation) if _is_model(bare := _bare(member))]
    tagged = (m for m in models if _TAG in m.model_fields and data.get(_TAG) in _tags(m))
    return next(tagged, models[0])


def _tags(model: ModelType) -> tuple[Any, ...]:
    return get_args(model.model_fields[_TAG].annotation)


def _bare(annotation: Any) -> Any:
    return get_args(annotation)[0] if get_origin(annotation) is Annotated else annotation


def _is_model(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)
