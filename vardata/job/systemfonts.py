"""Fonts that are installed on this machine, found by their names.

In: a font's name as people know it, such as "Noto Sans CJK JP". Out: the file, and its place in it
where the file is a collection. Folders are those of the platforms: fontconfig's and the XDG base
directories', macOS's, Windows's. Nothing is asked of the system but its files.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from vardata.job.fontaxes import Axes

_SUFFIXES = (".ttf", ".otf", ".ttc", ".otc")
_FAMILIES, _WHOLE = (16, 1), (4, 6)  # name ids of OpenType 1.9: family; full and PostScript name
_STYLES = (17, 2)
_PLAIN = ("regular", "normal", "book", "roman", "medium", "w3")


class FontFile(NamedTuple):
    """One font: its file, for a collection its place in it, from 0, for a variable font the value
    of each axis."""

    path: Path
    member: int | None = None
    axes: Axes = ()


def font_folders() -> list[Path]:
    """Where fonts are installed, a person's own first."""
    home, env = Path.home(), os.environ
    data = [env.get("XDG_DATA_HOME") or str(home / ".local/share"),
            *(env.get("XDG_DATA_DIRS") or "/usr/local/share:/usr/share").split(":")]  # fmt: skip
    folders = [Path(folder) / "fonts" for folder in data if folder]
    folders += [home / ".fonts", home / "Library/Fonts", Path("/Library/Fonts"),
                Path("/System/Library/Fonts")]  # fmt: skip
    for name, below in (("LOCALAPPDATA", "Microsoft/Windows/Fonts"), ("WINDIR", "Fonts")):
        if env.get(name):
            folders.append(Path(env[name]) / below)
    return [folder for folder in dict.fromkeys(folders) if folder.is_dir()]


@cache
def _files(folder: Path) -> tuple[Path, ...]:
    found = (path for path in folder.rglob("*") if path.suffix.lower() in _SUFFIXES)
    return tuple(sorted(path for path in found if path.is_file()))


def members(path: Path) -> Iterator[tuple[FontFile, Any]]:
    """Each font of a file, opened; nothing of a file that cannot be read."""
    from fontTools.ttLib import TTCollection, TTFont

    try:
        with path.open("rb") as file:
            several = file.read(4) == b"ttcf"
        if several:
            with TTCollection(path, lazy=True) as collection:
                for number, font in enumerate(collection):
                    yield FontFile(path, number), font
        else:
            with TTFont(path, lazy=True) as font:
                yield FontFile(path), font
    except Exception:  # fontTools raises whatever a damaged file makes it stumble on
        return


def system_font(name: str) -> FontFile | None:
    """The font of that name: by its full or PostScript name, else the plain one of a family."""
    wanted = " ".join(name.split()).casefold()
    family: FontFile | None = None
    for folder in font_folders():
        for path in _files(folder):
            for file, font in members(path):
                if "name" not in font:
                    continue
                if wanted in _names(font, _WHOLE):
                    return file
                if family is None and wanted in _names(font, _FAMILIES):
                    styles = _names(font, _STYLES)
                    family = file if not styles or styles & set(_PLAIN) else None
    return family


def _names(font: Any, ids: tuple[int, ...]) -> set[str]:
    found = (str(record) for record in font["name"].names if record.nameID in ids)
    return {" ".join(text.split()).casefold() for text in found}
