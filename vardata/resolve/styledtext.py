"""A text in several styles: plain letters, and the number of each letter's style.

It is a ``str`` of its letters alone, so whoever knows nothing of styles sees the plain text. Slices
keep their styles; all else that a ``str`` can do gives plain text.
"""

from __future__ import annotations

from typing import Any

_ENDS = dict.fromkeys(map(ord, "\x0b\x0c\x85\u2028\u2029\r"), "\n") | {9: " "}


class StyledText(str):
    """``styles`` holds a byte for each letter: the number of its style from 1, 0 for none."""

    styles: bytes

    def __new__(cls, text: str, styles: bytes) -> StyledText:
        made = super().__new__(cls, text)
        made.styles = styles
        return made

    def __getitem__(self, key: Any) -> str:
        letters = super().__getitem__(key)
        return StyledText(letters, self.styles[key]) if isinstance(key, slice) else letters

    def __reduce__(self) -> tuple[Any, ...]:
        return StyledText, (str(self), self.styles)


def collapsed(text: str, styles: bytes) -> StyledText:
    """One with its lines ended by "\\n", tabs as spaces, and no space at the end of a line or
    beside another, whatever the style of either."""
    letters: list[str] = []
    kept = bytearray()
    for letter, style in zip(text.replace("\r\n", "\r ").translate(_ENDS), styles):
        before = letters[-1] if letters else "\n"
        if letter == " " and before in " \n":
            continue
        if letter == "\n" and before == " ":
            del letters[-1], kept[-1]
        letters.append(letter)
        kept.append(style)
    joined = "".join(letters)
    start, end = len(joined) - len(joined.lstrip(" \n")), len(joined.rstrip(" \n"))
    return StyledText(joined, bytes(kept))[start:end]  # type: ignore[return-value]
