"""Fonts a layout names: where they are, and whether they can be used.

In: a layout and its file. Out: a path for every font named, in the order of first mention. A
font is named by a key of the layout's ``fonts``, by the bare name of a shipped font, by a
file's name relative to the layout file (one of a collection as "file.ttc#2"), or by the name of
a font that is installed; a variable font with axes ("file.ttf#wght=650") or the name of an
instance behind it. Only fonts with outlines of their own are taken.
"""

from __future__ import annotations

from pathlib import Path

from vardata.job import shipped
from vardata.job.fontaxes import Axes, instanced, settled
from vardata.job.found import clipped
from vardata.job.lines import KeyPath
from vardata.job.model import CodeField, Layout, TextField
from vardata.job.near import choose, listed, nearest
from vardata.job.paths import PathFault, find_file, is_there
from vardata.job.systemfonts import FontFile, members, system_font
from vardata.job.textstyle import Style

# Files that a person may take for a usable font.
_FONT_FILES = (*shipped.FONT_SUFFIXES, ".ttc", ".otc", ".woff", ".woff2", ".pfb", ".pfa", ".dfont")
_NEEDED = ("cmap", "head", "hhea", "hmtx", "maxp")  # OpenType 1.9, required tables that are used


def font_chain(layout: Layout, font: str | tuple[str, ...]) -> tuple[str, ...]:
    """The fonts behind a field's ``font``, keys expanded; the first that has a glyph wins.

    A key that stands in its own list means the font of that name.
    """
    chain: dict[str, None] = {}  # keeps the order, drops what comes again
    _expand(layout, font, set(), (), chain)
    return tuple(chain)


def _expand(
    layout: Layout, font: str | tuple[str, ...], done: set[str], within: tuple[str, ...],
    chain: dict[str, None],
) -> None:  # fmt: skip
    for name in (font,) if isinstance(font, str) else font:
        if name not in layout.fonts or name in within:
            chain.setdefault(name)
        elif name not in done:  # a key that was expanded before adds nothing
            _expand(layout, layout.fonts[name], done, (*within, name), chain)
            done.add(name)


def text_chain(layout: Layout, field: TextField) -> tuple[str, ...]:
    """The fonts of a text field, the layout's fallback behind its own."""
    return tuple(dict.fromkeys((*font_chain(layout, field.font), *_fallback(layout))))


def style_chain(layout: Layout, field: TextField, style: Style) -> tuple[str, ...]:
    """The fonts of one style of a text field, the field's and the fallback behind its own."""
    return tuple(dict.fromkeys((*font_chain(layout, style.font or ()), *text_chain(layout, field))))


def _fallback(layout: Layout) -> tuple[str, ...]:
    return font_chain(layout, layout.fallback) if layout.fallback else ()


def named_fonts(layout: Layout) -> dict[str, KeyPath]:
    """Every font that is named, with the key that names it first."""
    places: dict[str, KeyPath] = {}
    for key in layout.fonts:
        for name in font_chain(layout, key):
            places.setdefault(name, _place(layout.fonts[key], name, ("fonts", key)))
    for index, field in enumerate(layout.fields):
        if isinstance(field, TextField):
            font, key = field.font, "font"
            for style, own in field.styles.items():
                for name in font_chain(layout, own.font or ()):
                    place = ("fields", index, "styles", style, "font")
                    places.setdefault(name, _place(own.font or (), name, place))
        elif isinstance(field, CodeField):
            font, key = field.text_font, "text_font"
        else:
            continue
        for name in font_chain(layout, font):
            places.setdefault(name, _place(font, name, ("fields", index, key)))
    if any(isinstance(field, TextField) for field in layout.fields):
        for name in _fallback(layout):
            places.setdefault(name, _place(layout.fallback, name, ("fallback",)))
    return places


def _place(font: str | tuple[str, ...], name: str, path: KeyPath) -> KeyPath:
    """The entry of a list that names the font, or the list."""
    if isinstance(font, tuple) and name in font:
        return (*path, font.index(name))
    return path


def find_font(name: str, layout: Layout, base: Path, inside: Path | None) -> FontFile:
    """The file of one font, its place in a collection, its axes. Raises ``PathFault``."""
    bare, member, place = _apart(name)
    if _is_file(bare):
        try:
            path = find_file(bare, base, inside)
        except PathFault as fault:
            if fault.kind == "no-file" and Path(bare).stem in shipped.fonts():
                fault.remedy = f"the shipped font is called {Path(bare).stem!r}"
            raise
        found = FontFile(path, member)
    elif bare in shipped.fonts():
        found = FontFile(shipped.fonts()[bare])
        if not place:
            return found
    elif (installed := system_font(bare)) is not None:
        found = installed
    else:
        raise _unknown(bare, layout, base)
    return found._replace(axes=check_font(name, found.path, found.member, place))


def _apart(name: str) -> tuple[str, int | None, str]:
    """A font's name, its place in a collection ("#2" is 1), what is said of its axes."""
    bare, sign, last = name.rpartition("#")
    if not sign or _has_suffix(name) or name in shipped.fonts():
        return name, None, ""
    if last.isdigit() and _has_suffix(bare):
        return bare, int(last) - 1, ""
    file, sign, number = bare.rpartition("#")
    if sign and number.isdigit() and _has_suffix(file):
        return file, int(number) - 1, last
    return bare, None, last


def _has_suffix(name: str) -> bool:
    return Path(name).suffix.lower() in _FONT_FILES


def _is_file(name: str) -> bool:
    """Whether a font's name is that of a file."""
    return "/" in name or "\\" in name or _has_suffix(name)


def _unknown(name: str, layout: Layout, base: Path) -> PathFault:
    """Why there is no font of a bare name."""
    fonts = shipped.fonts()
    for suffix in shipped.FONT_SUFFIXES:
        if is_there(base / f"{name}{suffix}"):
            remedy = f"the file beside the layout is called {name + suffix!r}"
            return PathFault("unknown-font", f"unknown font {clipped(name)}", remedy)
    near = nearest(name, layout.fonts)
    if near is not None:
        remedy = f"did you mean {near!r} of the layout's fonts? shipped: {listed(fonts)}"
    else:
        remedy = choose(name, fonts, "no fonts are shipped").replace("allowed:", "shipped:")
    return PathFault("unknown-font", f"unknown font {clipped(name)}", remedy)


def check_font(name: str, path: Path, member: int | None = None, place: str = "") -> Axes:
    """The axes of a font at a ``place`` in its design; none if it is not variable.

    Raises ``PathFault`` unless the file, or its ``member``, is one font with outlines.
    """
    from fontTools.ttLib import TTFont

    shown = clipped(name)
    with path.open("rb") as file:
        head = file.read(4)
    count = sum(1 for _ in members(path)) if head == b"ttcf" else 0
    if head == b"ttcf" and (member is None or not 0 <= member < count):
        what = f"{shown} is a collection of fonts"
        if member is not None:
            what = f"{shown}: the collection has {count} fonts"
        bare = Path(name.rpartition("#")[0] or name).name
        remedy = f"name one of them, from '{bare}#1' to '{bare}#{count}'"
        raise PathFault("bad-font", what, remedy)
    if head in (b"wOFF", b"wOF2"):
        raise PathFault("bad-font", f"{shown} is a web font", "use its .ttf or .otf file")
    if head not in (b"\0\1\0\0", b"OTTO", b"true", b"ttcf"):
        raise PathFault("bad-font", f"{shown} is not a font", "use a .ttf or .otf file")
    try:
        with TTFont(path, lazy=True, fontNumber=member or 0) as font:
            tables = set(font.keys())
            entries = font.reader.tables.values()
            cut_off = any(e.offset + e.length > path.stat().st_size for e in entries)
            unmapped = "cmap" in tables and not font.getBestCmap()
            empty = "maxp" in tables and font["maxp"].numGlyphs == 0
            for table in tables & {"head", "hhea", "OS/2"}:
                font[table]  # decoded only to see that it can be
            axes = settled(shown, place, font)
    except PathFault:
        raise
    except Exception:  # fontTools raises whatever a damaged file makes it stumble on
        raise PathFault("bad-font", f"{shown} is a damaged font", "get the file anew") from None
    if cut_off:
        raise PathFault("bad-font", f"{shown} is cut off", "get the file anew")
    if not {"glyf", "loca"} <= tables and not {"CFF ", "CFF2"} & tables:
        raise PathFault("bad-font", f"{shown} has no outlines, only bitmaps", "use a font with "
                        "TrueType or CFF outlines")  # fmt: skip
    if missing := [table for table in _NEEDED if table not in tables]:
        raise PathFault("bad-font", f"{shown} lacks the table {missing[0]}", "get the file anew")
    if unmapped or empty:
        raise PathFault("bad-font", f"{shown} has no letters by Unicode", "use another font")
    if axes:
        try:
            instanced(path, member, axes)
        except Exception:  # as above: a variable font has more tables that may be damaged
            what = f"{shown} cannot be set at its axes: it is damaged"
            raise PathFault("bad-font", what, "get the file anew") from None
    return axes
