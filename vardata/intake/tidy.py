"""Texts made fit for print without a letter being changed, and what makes a text unfit.

In: a cell's text. Out: the text in Unicode form NFC (UAX 15), white space at the ends taken
out and inside made single; line breaks stay, each line trimmed. Codes never come here.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection

from vardata.intake.cellfault import CellFault
from vardata.intake.checks.encoding import before, is_suspect
from vardata.intake.tally import quoted

# Line breaks of the platforms and Unicode's own two (UAX 14, class BK).
_BREAKS = re.compile("\r\n|[\n\r\u2028\u2029]")
# Controls other than tab and line breaks, the replacement character and noncharacters.
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffd\ufdd0-\ufdef\ufffe\uffff]")
# Characters of format that a person cannot see. The joiners U+200C and U+200D are left out:
# they belong to the spelling of scripts and to emoji.
_UNSEEN = re.compile("[\u00ad\u061c\u180e\u200b\u200e\u200f\u202a-\u202e\u2060-\u2069\ufeff]")


def is_clean(text: str) -> bool:
    """Whether nothing can be wrong with a text: a quick yes, for most texts.

    Many cells may be asked for at once, joined by "|". False only means: look closer.
    """
    if (
        not text.isprintable()  # also finds white space other than the plain blank
        or "  " in text
        or " |" in text
        or "| " in text
        or text[:1] == " "
        or text[-1:] == " "
    ):
        return False
    if text.isascii():
        return True
    return unicodedata.is_normalized("NFC", text) and "\ufffd" not in text and not is_suspect(text)


def tidy(text: str) -> str:
    """The text as it is printed; see the module's docstring."""
    text = unicodedata.normalize("NFC", text)
    if _BREAKS.search(text):
        return "\n".join(" ".join(line.split()) for line in _BREAKS.split(text)).strip("\n")
    return " ".join(text.split())


def unfit(text: str) -> str:
    """The first character that must not be printed, as "U+0007", or an empty text."""
    match = _UNFIT.search(text)
    return f"U+{ord(match[0]):04X}" if match else ""


def unfit_code(text: str) -> str:
    """The same for a code, which may hold any control character but NUL."""
    return "U+FFFD" if "\ufffd" in text else "U+0000" if "\0" in text else ""


def unseen(text: str) -> bool:
    """Whether the text holds characters that print nothing but may matter."""
    return _UNSEEN.search(text) is not None


def looked_through(
    index: int, text: str, code: bool, spared: Collection[str] = ()
) -> tuple[str, list[CellFault]]:
    """A text as it is printed, and what is wrong with it. A code is not touched.

    ``index`` is the column's on the sheet, ``spared`` are kinds that are not looked for.
    """
    if not code and not text.strip():
        return "", []
    bad = unfit_code(text) if "control-character" in spared else unfit(text)
    if bad:
        return text, [_unfit_fault(index, text, bad)]
    better = text if code else tidy(text)
    if "garbled" not in spared and is_suspect(better) and (meant := before(better)):
        what = (
            f"the text {quoted(better)} looks as if it was read in a wrong encoding before: it "
            f"may mean {quoted(meant)}"
        )
        remedy = "mend the sheet if the letters are wrong"
        return better, [CellFault(index, "garbled", what, remedy, better)]
    if "unseen-characters" not in spared and unseen(better):
        what = f"the text {quoted(better)} holds characters that cannot be seen; they are kept"
        remedy = "take them out of the sheet if they should not be there"
        return better, [CellFault(index, "unseen-characters", what, remedy, better)]
    return better, []


def _unfit_fault(index: int, text: str, bad: str) -> CellFault:
    if bad == "U+FFFD":
        what = "the text holds U+FFFD, the mark of a letter that was lost in an earlier conversion"
        return CellFault(index, "lost-letter", what, "write the text again", text)
    what = f"the text holds the control character {bad}, which cannot be printed"
    return CellFault(index, "control-character", what, "take it out, or write the text again", text)
