"""Fonts, layouts and ICC profiles that come with the program.

In an installed program fonts and layouts lie beside the code, in a source checkout at its top.
Profiles always lie beside the code.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parents[1]
FONT_SUFFIXES = (".ttf", ".otf")


def _folder(name: str) -> Path:
    installed = _PACKAGE / "_shipped" / name
    return installed if installed.is_dir() else _PACKAGE.parent / name


def fonts_dir() -> Path:
    """The folder of the shipped fonts."""
    return _folder("fonts")


def layouts_dir() -> Path:
    """The folder of the shipped layouts."""
    return _folder("layouts")


def _named(folder: Path, suffixes: tuple[str, ...]) -> dict[str, Path]:
    if not folder.is_dir():
        return {}
    files = sorted(path for path in folder.iterdir() if path.suffix.lower() in suffixes)
    return {path.stem: path for path in files}


def fonts() -> dict[str, Path]:
    """The shipped fonts by the name a layout calls them."""
    return _named(fonts_dir(), FONT_SUFFIXES)


def profiles() -> dict[str, Path]:
    """The shipped profiles of process inks by the name a job calls them."""
    return _named(_PACKAGE / "profiles", (".icc",))


def layouts() -> dict[str, Path]:
    """The shipped layouts by the name a job calls them."""
    return _named(layouts_dir(), (".toml",))
