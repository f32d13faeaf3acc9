"""Symbols from the writer of ``zxing-cpp``: its traps, kept away from all others.

In: a text its symbology has been checked for. Out: a ``Symbol`` without quiet zone. The writer
takes unknown options without a word, so each is named here once; a version is always a number
(a text there ends the whole process), and GS1 data go in square brackets, which it takes for
identifiers only when ``gs1`` is set.
"""

from __future__ import annotations

from typing import Any

from vardata.fit.codes.symbol import CodeError, Symbol, one_row

_DIGITS = b"1" + b"0" * 255  # from pixels, 0 is dark


def write(
    kind: str,
    name: str,
    content: str,
    *,
    text: str | None = None,
    line: str = "",
    stacked: bool = False,
    **options: str | int | bool,
) -> Symbol:
    """The symbol of a content.

    ``kind`` is the writer's name of the symbology, ``name`` ours for messages; ``text`` is what
    readers return, by default the content. A ``stacked`` symbol keeps its rows, any other is
    one row of bars. ``options``: ``ec_level`` (text), ``version``, ``columns`` (numbers),
    ``force_square``, ``gs1`` (flags), ``eci`` (text). Raises ``CodeError``.
    """
    width, height, pixels = _drawn(kind, name, content, options)
    said = content if text is None else text
    if not stacked:
        # Bars are alike from top to bottom but for the ends of the guard bars: the middle row.
        middle = pixels[height // 2 * width :][:width]
        return one_row(middle.translate(_DIGITS).decode(), said, line)
    starts = range(0, width * height, width)
    rows = b"".join(_row(pixels[at : at + width]) for at in starts)
    return Symbol(width, height, rows, said, line)


def _drawn(kind: str, name: str, content: str, options: dict[str, Any]) -> tuple[int, int, bytes]:
    """Width, height and one byte a module, 0 is dark."""
    import zxingcpp

    try:
        content.encode()
    except UnicodeEncodeError:
        raise CodeError(
            f"the {name} cannot hold a broken character", "write the text anew"
        ) from None
    try:
        code = zxingcpp.create_barcode(content, getattr(zxingcpp.BarcodeFormat, kind), **options)
    except ValueError as error:
        raise CodeError(*_refusal(str(error), name, content)) from None
    image: Any = code.to_image(scale=1, add_quiet_zones=False)
    height, width = image.shape[:2]
    return width, height, bytes(image)


def _row(pixels: bytes) -> bytes:
    """One row, padded with light modules to whole bytes."""
    size = (len(pixels) + 7) // 8
    return int(pixels.translate(_DIGITS).ljust(size * 8, b"0"), 2).to_bytes(size, "big")


def _refusal(said: str, name: str, content: str) -> tuple[str, str]:
    """What and remedy, from what the writer says."""
    if "too long" in said or "maximum" in said:
        return (
            f"the text of {len(content)} characters is too long for a {name}",
            "shorten it, or choose another symbology",
        )
    reason = said.split(": ", 1)[-1].split(" (retval")[0]
    return f"the {name} cannot hold this text ({reason})", "mend it, or choose another symbology"
