"""What each key of a file means: the text under the key where its model defines it.

In: a model. Out: texts by key. They are read from the source when somebody asks (for a schema,
or for a key that is missing), because reading them takes longer than making all the models.
"""

from __future__ import annotations

import ast
import inspect
import sys
from functools import cache

from pydantic import BaseModel


@cache
def key_texts(model: type[BaseModel]) -> dict[str, str]:
    """The text of each key that has one, those of the models it builds on included."""
    texts: dict[str, str] = {}
    for parent in reversed(model.__mro__):
        if issubclass(parent, BaseModel) and parent is not BaseModel:
            texts |= _of_module(parent.__module__).get(parent.__name__, {})
    return texts


@cache
def _of_module(name: str) -> dict[str, dict[str, str]]:
    """Texts by class and key, in all of a module."""
    tree = ast.parse(inspect.getsource(sys.modules[name]))
    return {node.name: _of_class(node) for node in tree.body if isinstance(node, ast.ClassDef)}


def _of_class(node: ast.ClassDef) -> dict[str, str]:
    texts = {}
    for key, text in zip(node.body, node.body[1:]):
        if (
            isinstance(key, ast.AnnAssign)
            and isinstance(key.target, ast.Name)
            and isinstance(text, ast.Expr)
            and isinstance(text.value, ast.Constant)
            and isinstance(text.value.value, str)
        ):
            texts[key.target.id] = inspect.cleandoc(text.value.value)
    return texts
