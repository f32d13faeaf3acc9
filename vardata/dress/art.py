"""The static art of a layout, read and placed in its boxes.

In: the job's ``Setup``. Out: for each art entry its ``Drawing`` in item mm, y up, in painting
order. SVG gives shapes with true curves, anything else a picture. Every fault of every file is
found before the first is told.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from vardata.dress import pictures
from vardata.dress.drawing import Drawing, PlacedPicture
from vardata.dress.framing import Framing, framing
from vardata.dress.page_inks import shared_inks
from vardata.fit.picture import SUFFIXES
from vardata.job.model import Art, Setup
from vardata.problems import JobError, Problem, Severity, VardataError, Where

if TYPE_CHECKING:  # the readers of SVG are heavy, and many layouts have none
    from vardata.dress.svg import SvgArt

KINDS = (".svg", *SUFFIXES)
# By file, guides and what becomes of pictures within.
_Seen: TypeAlias = "dict[tuple[Path, tuple[str, ...], Framing], SvgArt]"


class _Read(NamedTuple):
    placed: tuple[tuple[Art, Drawing], ...]
    problems: tuple[Problem, ...]


def load_art(setup: Setup) -> tuple[tuple[Art, Drawing], ...]:
    """Every art entry of the layout with its drawing. Raises ``JobError`` with every error."""
    read = _read(setup)
    errors = [problem for problem in read.problems if problem.severity == Severity.ERROR]
    if errors:
        raise JobError(errors)
    return read.placed


def check_art(setup: Setup) -> list[Problem]:
    """All problems of the layout's art: errors, warnings and notes. Raises nothing."""
    return list(_read(setup).problems)


def _read(setup: Setup) -> _Read:
    placed: list[tuple[Art, Drawing]] = []
    problems: list[Problem] = []
    seen: _Seen = {}
    for art in setup.layout.art:
        try:
            drawing, notes = drawn(art, setup.files.get(art.file), setup, seen)
        except VardataError as error:
            problems += error.problems
            continue
        placed.append((art, drawing))
        problems += notes
    return _Read(tuple(placed), tuple(dict.fromkeys(problems)))


def drawn(
    art: Art, path: Path | None, setup: Setup, seen: _Seen
) -> tuple[Drawing, list[Problem]]:
    """One entry, read from ``path`` and placed, and what there is to say about it. ``seen`` keeps
    drawings for other entries. Raises ``JobError``."""
    where = Where(art.file)
    kind = Path(art.file).suffix.lower()
    if kind not in KINDS:
        what = f"art is SVG, PDF, EPS or a picture, not {kind or 'a file without a suffix'!r}"
        remedy = f"use one of {', '.join(KINDS)}"
        raise JobError(Problem("art-kind", Severity.ERROR, what, remedy, where))
    if path is None or not path.is_file():
        raise JobError(
            Problem("art-missing", Severity.ERROR, "the art's file is not there",
                    f"put it beside {setup.layout_file.name} or mend its name", where)
        )  # fmt: skip
    if kind == ".svg":
        from vardata.dress import svg

        key = path, art.guides, _within(art, setup)
        if key not in seen:
            seen[key] = svg.read(_bytes(path, where), art.file, art.guides, key[2])
        drawing = place_svg(seen[key], art)
        notes = list(seen[key].notes)
    else:
        loaded = pictures.read_picture(path, art_framing(art, setup), where)
        placed = pictures.place(loaded.picture, art.box, art.fit, art.rotation)
        drawing = Drawing((placed._replace(holes=art.close_holes, specks=art.drop_specks),))
        notes = [*loaded.notes, *shared_inks(loaded.picture, setup, where)]
    if art.guides and not drawing.parts:
        return drawing, notes  # a drawing of guides alone
    return drawing, notes + _remarks(drawing, art.min_ppi, where)


def art_framing(art: Art, setup: Setup) -> Framing:
    """How a picture is taken into its box on this machine."""
    limited = setup.mode.ink_limit is not None
    return framing(art, setup.mode)._replace(
        profile=setup.converts_by, limited=limited, judged_by=setup.judges_by if limited else ""
    )


def _within(art: Art, setup: Setup) -> Framing:
    """What becomes of pictures within a drawing: their colours and their soft edges."""
    wanted = art_framing(art, setup)
    return Framing(
        profile=wanted.profile, limited=wanted.limited, judged_by=wanted.judged_by,
        soft=wanted.soft, fades=wanted.fades,
    )  # fmt: skip


def _bytes(path: Path, where: Where) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise JobError(
            Problem("art-missing", Severity.ERROR, f"the art cannot be opened ({error.strerror})",
                    "mend the rights of the file", where)
        ) from None  # fmt: skip


def place_svg(read: SvgArt, art: Art) -> Drawing:
    """An SVG in the box of an art entry. "cover" cuts off what passes the box."""
    from shapely.geometry import Polygon

    from vardata.dress import svg
    from vardata.svg.place import page_placed
    from vardata.svg.values import turned

    x, y, w, h = art.box
    matrix = page_placed((read.width, read.height), art.box, art.fit, art.rotation)
    window = None
    if art.fit == "cover":
        turn = turned(art.rotation, x + w / 2, y + h / 2)
        corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
        window = Polygon([turn.at(*corner) for corner in corners])
    return Drawing(svg.parts(read, matrix, window))


def _remarks(drawing: Drawing, least: float, where: Where) -> list[Problem]:
    found: list[Problem] = []
    if not drawing.parts:
        found.append(Problem("art-empty", Severity.WARNING, "the art shows nothing",
                             "check that it is the right file", where))  # fmt: skip
    for part in picture_parts(drawing):
        remark = pictures.coarse(part.picture, part.w, part.h, where, least)
        if remark is not None:
            found.append(remark)
    return found


def picture_parts(drawing: Drawing) -> tuple[PlacedPicture, ...]:
    """The pictures of a drawing, in painting order."""
    return tuple(part for part in drawing.parts if isinstance(part, PlacedPicture))
