"""The settings of a field's styles: fonts, sizes, heights, features.

In: a layout's field and the font book. Out: a ``StyleSetting`` for letters without a style and for
each style, in the field's order. Letters are made smaller or larger as faces of their own, so that
a text has one size all the same, and whatever makes it fit keeps what its styles are to each other.
"""

from __future__ import annotations

import struct

from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.styled import Made, StyleSetting
from vardata.job.fonts import style_chain, text_chain
from vardata.job.model import Layout, TextField
from vardata.job.textstyle import Style

_SUPERSCRIPT = (0.6, 0.35)  # size and height where a font says nothing; common practice, no source


def style_settings(layout: Layout, field: TextField, book: FontBook) -> tuple[StyleSetting, ...]:
    """Opens the fonts."""
    own = book.sized_chain(text_chain(layout, field), layout.fallback_size)
    found = [StyleSetting(own, field.features)]
    for style in field.styles.values():
        chain = own
        if style.font:
            names = style_chain(layout, field, style)
            chain = book.sized_chain(names, layout.fallback_size)
        chain = book.scaled(chain, style.scale / 100)
        features = tuple(dict.fromkeys((*field.features, *style.features)))
        found.append(
            StyleSetting(chain, features, style.rise * 10, style.form or "",
                         _made(style, chain, book))
        )  # fmt: skip
    return tuple(found)


def _made(style: Style, chain: tuple[Face, ...], book: FontBook) -> Made | None:
    """What stands in for letters of a form that a font has not."""
    if not style.synthetic:
        return None
    face = chain[0]
    if style.form == "small-caps":  # capitals as high as small letters are
        ratio = face.x_height / face.cap_height if face.cap_height else 0.0
        return Made(book.scaled(chain, ratio or _SUPERSCRIPT[0]), 0.0)
    size, height = _superscript(face)
    return Made(book.scaled(chain, size), 1000 * height * style.scale / 100)


def _superscript(face: Face) -> tuple[float, float]:
    """How large a font wants superscripts and how high, in em: ySuperscriptYSize and
    ySuperscriptYOffset (OpenType 1.9, OS/2)."""
    table = face.font.face.reference_table("OS/2").data
    em = face.font.face.upem
    if len(table) >= 26:
        size, _, height = struct.unpack_from(">3h", table, 20)
        if 0.3 <= size / em <= 1.0 and height > 0:
            return size / em, height / em
    return _SUPERSCRIPT
