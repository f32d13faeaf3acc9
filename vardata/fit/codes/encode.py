"""The door to all symbologies: a field's text becomes a ``Symbol``, or a ``CodeError``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, TypeGuard, cast

from vardata.fit.codes.qr import encode_qr, foresee_qr
from vardata.fit.codes.symbol import Symbol
from vardata.job.model import CodeField

if TYPE_CHECKING:
    from vardata.fit.codes.linear import Linear

_LINEAR = frozenset({"code128", "ean13", "ean8", "upca", "code39", "itf", "itf14"})
_MATRIX = frozenset({"microqr", "rmqr", "datamatrix", "datamatrix-rectangular", "aztec", "pdf417"})
_WITH_ADDON = frozenset({"ean13", "upca", "upce"})
_ALWAYS_GS1 = frozenset({"databar-expanded", "databar-expanded-stacked"})


def encode(text: str, field: CodeField) -> Symbol:
    """The field's symbol of a text. Raises ``CodeError``."""
    kind = field.symbology
    box = (field.box[2], field.box[3])
    if field.gs1 == "link":
        from vardata.fit.codes.gs1_symbols import link_of

        text = link_of(text, field.link_domain)
    elif field.gs1 == "element" or kind in _ALWAYS_GS1:
        from vardata.fit.codes.gs1_symbols import encode_gs1

        return encode_gs1(kind, text, field.level, field.columns, box)
    if kind == "qr":
        return encode_qr(text, field.level)
    if kind in _MATRIX:
        from vardata.fit.codes.matrix import encode_matrix

        return encode_matrix(kind, text, field.level, field.columns, box)
    number, plus, addon = text.partition("+") if kind in _WITH_ADDON else (text, "", "")
    symbol = _bars(kind, number, field.check_digit)
    if plus:
        from vardata.fit.codes.bars import with_addon

        return with_addon(kind, symbol, addon)
    return symbol


def foreseeable(field: object) -> TypeGuard[CodeField]:
    """Whether many symbols of a field are made faster together than one by one."""
    return isinstance(field, CodeField) and field.symbology == "qr" and not field.gs1


def foresee(texts: Iterable[str], field: CodeField) -> None:
    """Makes the symbols of a foreseeable field, for ``encode`` to find."""
    foresee_qr(texts, field.level)


def _bars(kind: str, text: str, check_digit: bool) -> Symbol:
    if kind in _LINEAR:
        from vardata.fit.codes.linear import encode_linear

        return encode_linear(cast("Linear", kind), text, check_digit)
    from vardata.fit.codes.bars import encode_bars

    return encode_bars(kind, text)
