"""Names by which templates call columns, made of headings; headings as they are compared.

In: a heading as a person wrote it. Out: an identifier, or the heading without what people
write now this way, now that.
"""

from __future__ import annotations

import re
import unicodedata

# Letters that NFKD does not take apart.
_LETTERS = str.maketrans({
    "ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "ł": "l", "ı": "i",
})  # fmt: skip
# Words that templates cannot use as a name, or know already; "Range" becomes range_.
RESERVED = {
    "and", "or", "not", "in", "is", "if", "else", "none", "true", "false", "self", "loop",
    "super", "caller", "range", "dict", "lipsum", "cycler", "joiner", "namespace",
}  # fmt: skip


def safe_name(heading: str) -> str:
    """A heading as a lower-case ASCII identifier, or an empty text if no letter is left.

    Accents are taken off, all else but letters and digits becomes one "_"; a name that would
    start with a digit gets "c_" before it, a word of the template language "_" after it.
    """
    plain = unicodedata.normalize("NFKD", heading.lower().translate(_LETTERS))
    plain = "".join(char for char in plain if not unicodedata.combining(char)).lower()
    name = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")
    if name[:1].isdigit():
        return f"c_{name}"
    return f"{name}_" if name in RESERVED else name


def fold(heading: str) -> str:
    """A heading as it is compared when it is not found letter by letter."""
    plain = unicodedata.normalize("NFKD", heading)
    return "".join(
        char for char in plain.casefold() if not unicodedata.combining(char) and not char.isspace()
    )
