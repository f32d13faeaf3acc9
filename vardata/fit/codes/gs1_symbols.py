"""GS1 data in its symbols: GS1-128, GS1 DataMatrix, GS1 QR Code, DataBar Expanded and links.

In: the text of a field with ``gs1``, identifiers in brackets. Out: a ``Symbol`` whose text is
what readers hand on: elements joined, the separator as character 29.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from vardata.fit.codes.code128 import encode_gs1_128
from vardata.fit.codes.matrix import Box, encode_matrix
from vardata.fit.codes.symbol import CodeError, Symbol
from vardata.fit.codes.written import write
from vardata.gs1.error import Gs1Error
from vardata.gs1.link import digital_link
from vardata.gs1.parse import Message, parse
from vardata.job.symbologies import SYMBOLOGIES

# Data characters of a GS1-128, identifiers and separators included (GS1 General
# Specifications, 5.4.4.3, secondary).
_MOST_128 = 48


def link_of(text: str, domain: str) -> str:
    """The Digital Link of a text in brackets. Raises ``CodeError``."""
    try:
        return digital_link(parse(text), domain)
    except Gs1Error as error:
        raise CodeError(error.what, error.remedy) from None


@lru_cache(maxsize=256)  # the pieces of one row share their text
def encode_gs1(symbology: str, text: str, level: str, columns: int | None, box: Box) -> Symbol:
    """The symbol of an element string. Raises ``CodeError``."""
    try:
        message = parse(text)
    except Gs1Error as error:
        raise CodeError(error.what, error.remedy) from None
    if symbology == "code128":
        return _gs1_128(message)
    data, bracketed, name = message.data, message.bracketed, SYMBOLOGIES[symbology].name
    if symbology == "qr":
        return write("QRCode", name, bracketed, text=data, stacked=True, gs1=True, ec_level=level)
    if symbology == "databar-expanded":
        return write("DataBarExp", name, bracketed, text=data, line=message.line)
    if symbology == "databar-expanded-stacked":
        fixed: dict[str, Any] = {} if columns is None else {"columns": columns}
        return write(
            "DataBarExpStk", name, bracketed, text=data, line=message.line, stacked=True, **fixed
        )
    return encode_matrix(symbology, data, level, columns, box, bracketed)


def _gs1_128(message: Message) -> Symbol:
    data = message.data
    if len(data) > _MOST_128:
        raise CodeError(
            f"GS1-128 holds {_MOST_128} characters at most, identifiers and separators "
            f"included; this message has {len(data)}",
            "shorten it, or use a Data Matrix or QR code",
        )
    return encode_gs1_128(data, message.line)
