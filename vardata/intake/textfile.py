"""In which encoding a text file is written: by its mark, by trial, or by an honest guess.

In: a path and the job's word. Out: an ``Encoding`` that reads the whole file without a fault.
Raises ``SheetError`` naming the line of the first byte that does not fit. UTF-8 is tried over
the whole file, because a sample proves nothing about the rest.
"""

from __future__ import annotations

import codecs
import re
from pathlib import Path
from typing import NamedTuple

from vardata.intake.readings import is_rubbish, listed, plain_readings
from vardata.intake.tally import quoted
from vardata.problems import Problem, Severity, SheetError, Where, fail

_PIECE = 1 << 18
_SAMPLE = 1 << 16
# Unicode 15.0, 23.8: byte order marks; the longer ones come first.
_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
# What spreadsheet programs of the last thirty years wrote where they did not write Unicode.
_CANDIDATES = [
    "cp1252", "cp1250", "cp1251", "cp1253", "cp1254", "cp1257", "cp932", "gb18030", "big5",
    "cp949", "mac_roman", "cp850", "cp437", "cp852", "koi8_r",
]  # fmt: skip
_OTHER_SCRIPTS = {"cp1251", "cp1253", "cp932", "gb18030", "big5", "cp949", "koi8_r"}
# The Windows code page of a language, from memory; 1252 for all others.
_CODE_PAGES = {
    "pl": "cp1250", "cs": "cp1250", "sk": "cp1250", "hu": "cp1250", "ro": "cp1250",
    "ru": "cp1251", "uk": "cp1251", "el": "cp1253", "tr": "cp1254",
}  # fmt: skip
_REMEDY = 'name the encoding under [sheet], such as encoding = "cp1252", or save it as UTF-8'


class Encoding(NamedTuple):
    name: str
    remark: Problem | None = None  # set where it was guessed


class _Misfit(NamedTuple):
    line: int
    byte: int


def find_encoding(path: Path, declared: str | None, language: str) -> Encoding:
    """The encoding of a file; ``declared`` is what the job says, ``language`` of its locale."""
    with path.open("rb") as file:
        head = file.read(_SAMPLE)
    marked = next((name for mark, name in _MARKS if head.startswith(mark)), None)
    if declared is not None:
        name = _checked_name(declared, path)
        if marked is not None:
            if name.split("-")[:2] != marked.split("-")[:2]:
                raise fail(
                    SheetError,
                    "wrong-encoding",
                    f"the file is marked as {_plain(marked)}, but the job says {declared}",
                    "take encoding out of [sheet]",
                    file=path.name,
                )
            name = marked  # so that the mark is not read as a letter
        _must_fit(path, name, f"is not {declared}, which the job says it is")
        return Encoding(name)
    if marked is not None:
        _must_fit(path, marked, f"is marked as {_plain(marked)} but is not")
        return Encoding(marked)
    if _looks_like_utf16(head):
        raise fail(
            SheetError,
            "wrong-encoding",
            "every other byte is 0, as in UTF-16, but the mark at the start is missing",
            'name the encoding under [sheet], such as encoding = "utf-16-le", or save it as UTF-8',
            file=path.name,
        )
    misfit = _misfit(path, "utf-8")
    return Encoding("utf-8") if misfit is None else _guess(path, misfit, language)


def _plain(marked: str) -> str:
    return marked.removesuffix("-sig").upper()


def _checked_name(declared: str, path: Path) -> str:
    try:
        info = codecs.lookup(declared)
    except LookupError:
        info = None
    # codecs also knows conversions of bytes, such as base64, that are no encodings of text
    if info is None or not getattr(info, "_is_text_encoding", True):
        raise fail(
            SheetError,
            "unknown-encoding",
            f"encoding {declared!r} is not known",
            "use a name such as utf-8, utf-16, cp1252 or mac_roman",
            file=path.name,
        )
    return info.name


def _looks_like_utf16(head: bytes) -> bool:
    """Whether the zero bytes stand where half of UTF-16's do in a sheet of mostly ASCII."""
    if b"\0" not in head:
        return False
    even, odd = head[::2].count(0), head[1::2].count(0)
    return max(even, odd) > len(head) / 8 and min(even, odd) < max(even, odd) / 4


def _misfit(path: Path, name: str) -> _Misfit | None:
    """The first byte that the encoding cannot read, or None."""
    decoder = codecs.getincrementaldecoder(name)()
    lines = 1
    with path.open("rb") as file:
        while True:
            piece = file.read(_PIECE)
            try:
                lines += decoder.decode(piece, final=not piece).count("\n")
            except UnicodeDecodeError as error:
                good = error.object[: error.start].decode(name, "ignore")
                return _Misfit(lines + good.count("\n"), error.object[error.start])
            except UnicodeError:
                return _Misfit(lines, -1)
            if not piece:
                return None


def _must_fit(path: Path, name: str, what: str) -> None:
    misfit = _misfit(path, name)
    if misfit is None:
        return
    byte = f" (first at byte 0x{misfit.byte:02X})" if misfit.byte >= 0 else ""
    raise fail(
        SheetError, "wrong-encoding", f"this line {what}{byte}", _REMEDY,
        file=path.name, line=misfit.line,
    )  # fmt: skip


def _guess(path: Path, misfit: _Misfit, language: str) -> Encoding:
    """The most likely of the encodings that can read the whole file, with a warning.

    The letters of western and of central Europe cannot be told apart by statistics over a few
    names, so between those the code page of the job's language decides.
    """
    import charset_normalizer

    sample = _telling_lines(path)
    best = charset_normalizer.from_bytes(sample, cp_isolation=_CANDIDATES).best()
    native = _CODE_PAGES.get(language, "cp1252")
    order = [native]
    if best is not None:
        high = [byte for byte in sample if byte > 0x7F]
        # In the Windows pages letters lie from 0xC0 up; in those of the Mac and DOS below.
        letters = sum(byte >= 0xC0 for byte in high) * 2 > len(high)
        foreign = best.encoding in _OTHER_SCRIPTS or not letters
        order = [best.encoding, native] if foreign else [native, best.encoding]
    for name in order:
        if _misfit(path, name) is None:
            name = _checked_guess(path, sample, name, native)
            return Encoding(name, _warning(path, sample.decode(name, "replace"), name))
    raise fail(
        SheetError,
        "wrong-encoding",
        f"this line is not UTF-8 (byte 0x{misfit.byte:02X}), and no other encoding fits",
        _REMEDY,
        file=path.name,
        line=misfit.line,
    )


def _checked_guess(path: Path, sample: bytes, name: str, native: str) -> str:
    """The guess, or the one encoding that reads letters where the guess reads rubbish.

    Raises ``SheetError`` where several do, each of them otherwise.
    """
    rubbish = is_rubbish(sample.decode(name, "replace"))
    if not rubbish and (name == native or name in _OTHER_SCRIPTS):
        return name
    found = [one for one in plain_readings(sample) if _misfit(path, one.name) is None]
    if len(found) > 1:
        raise fail(
            SheetError, "wrong-encoding",
            f"the file is not UTF-8, and may be {listed(found)}",
            f'name the encoding under [sheet], such as encoding = "{found[0].name}", or save it '
            "as UTF-8", file=path.name,
        )  # fmt: skip
    return found[0].name if found else name


def _telling_lines(path: Path) -> bytes:
    """Lines that are not plain ASCII, from all of the file, up to the size of a sample."""
    lines: list[bytes] = []
    size = 0
    with path.open("rb") as file:
        while size < _SAMPLE and (line := file.readline(_SAMPLE)):
            if not line.isascii():
                lines.append(line)
                size += len(line)
    return b"".join(lines)


def _warning(path: Path, text: str, name: str) -> Problem:
    words = dict.fromkeys(word for word in re.findall(r"\w+", text) if not word.isascii())
    shown = ", ".join(quoted(word) for word in list(words)[:5])
    others = (one.name for one in plain_readings(text.encode(name, "replace")))
    other = next((one for one in others if one != name), "cp1250" if name != "cp1250" else "cp1252")
    return Problem(
        "guessed-encoding",
        Severity.WARNING,
        f"the file is not UTF-8; it is read as {name}, which is a guess and shows {shown}",
        f'name the encoding under [sheet], such as encoding = "{other}", if letters are wrong',
        Where(file=path.name),
        name,
    )
