"""Texts in several styles: each stretch of letters shaped with the fonts of its style.

In: a ``StyledText``, the settings of its styles. Out: lines as ``fit.shaping`` gives them, with the
style of each run; a fit whose sizes, squeeze and breaks are those of the text as a whole. Letters
do not join, kern or form ligatures across a change of style.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from vardata.fit.bidi import in_visual_order, levels_of, runs_both_ways
from vardata.fit.block import Block
from vardata.fit.clusters import is_blank
from vardata.fit.fonts import Face
from vardata.fit.placing import NOTHING, ShapedLine, Strip, union
from vardata.fit.result import TextFit
from vardata.fit.shaping import Shaper, Unshapable, shaper
from vardata.fit.sizing import Setting
from vardata.fit.text import TextFitter, led
from vardata.fit.tracking import TrackedShaper
from vardata.job.model import TextField
from vardata.problems import Problem
from vardata.resolve.styledtext import StyledText

_TAGS = {"superior": "sups", "ordinal": "ordn", "small-caps": "smcp"}


class Made(NamedTuple):
    """What stands in for letters that a font has not: smaller faces, 1/1000 em above the line."""

    chain: tuple[Face, ...]
    rise: float


class StyleSetting(NamedTuple):
    """One style, its faces as large as it asks for; ``rise`` in 1/1000 em."""

    chain: tuple[Face, ...]
    features: tuple[str, ...]
    rise: float = 0.0
    form: str = ""
    made: Made | None = None


class StyledLine(ShapedLine):
    """A line that knows the number of the style of each of its runs."""

    styles: tuple[int, ...]


class StyledShaper(Shaper):
    """Shapes texts in several styles; the first setting is that of letters without one."""

    def __init__(self, settings: tuple[StyleSetting, ...]) -> None:
        super().__init__(settings[0].chain, settings[0].features)
        self._settings = settings

    def strip(self, text: str, edges: object) -> Strip | None:
        """None: each part of a line is shaped by itself."""
        return None

    def shape(self, text: str, levels: tuple[int, ...] | None = None) -> ShapedLine | Unshapable:
        styles = text.styles if isinstance(text, StyledText) else bytes(len(text))
        if levels is None:
            levels = tuple(levels_of(text)) if runs_both_ways(text) else (0,) * len(text)
        items: list[tuple[int, tuple[int, str]]] = []
        start = 0
        for (level, style), group in groupby(zip(levels, styles)):
            end = start + len(list(group))
            items.append((level, (style, str(text)[start:end])))
            start = end
        line: ShapedLine = NOTHING
        numbers: list[int] = []
        for level, (style, stretch) in in_visual_order(items):
            for part in self._parts(self._settings[style], stretch, level):
                if isinstance(part, Unshapable):
                    return part
                line = union(line, _moved(part, line.advance))
                numbers += [style] * len(part.runs)
        whole = StyledLine(*line)
        whole.styles = tuple(numbers)
        return whole

    def _parts(
        self, setting: StyleSetting, text: str, level: int
    ) -> Iterator[ShapedLine | Unshapable]:
        """A stretch of one style and one direction."""
        levels = (level,) * len(text) if level else None
        chain, features = led(setting.chain, text), setting.features
        plain = shaper(chain, features)
        if not setting.form:
            yield _raised(plain.shape(text, levels), setting.rise)
            return
        formed = shaper(chain, (*features, _TAGS[setting.form]))
        lacking = _lacking(plain, formed, setting.form, text)
        if not lacking:
            yield _raised(formed.shape(text, levels), setting.rise)
        elif setting.made is None:
            yield Unshapable(f"no-form {setting.form}", lacking)
        else:
            small = shaper(led(setting.made.chain, text), features)
            for made, letters in _cases(text, setting.form):
                if made:
                    found = small.shape(letters, levels)
                    yield _raised(found, setting.rise + setting.made.rise)
                else:
                    yield _raised(plain.shape(letters, levels), setting.rise)


def _cases(text: str, form: str) -> Iterator[tuple[bool, str]]:
    """Stretches that are made of smaller letters: of small capitals only small letters are."""
    if form != "small-caps":
        yield True, text
        return
    for small, group in groupby(text, str.islower):
        letters = "".join(group)
        yield small, letters.upper() if small else letters


def _lacking(plain: Shaper, formed: Shaper, form: str, text: str) -> str:
    """The first letter that a font has not in a form; "" if it has all of them."""
    if form == "ordinal":  # which letters change may depend on the figures before them
        one, other = plain.shape(text), formed.shape(text)
        same = not isinstance(one, Unshapable) and one.runs == getattr(other, "runs", None)
        return text if same and not all(map(is_blank, text)) else ""
    for letter in dict.fromkeys(text):
        if is_blank(letter) or (form == "small-caps" and not letter.islower()):
            continue
        shaped = plain.shape(letter)
        if not isinstance(shaped, Unshapable) and shaped == formed.shape(letter):
            return letter
    return ""


def _raised(line: ShapedLine | Unshapable, rise: float) -> ShapedLine | Unshapable:
    if isinstance(line, Unshapable) or not rise:
        return line
    runs = tuple(run._replace(y=run.y + rise) for run in line.runs)
    ink = line.ink and (line.ink[0], line.ink[1] + rise, line.ink[2], line.ink[3] + rise)
    return line._replace(runs=runs, ink=ink)


def _moved(line: ShapedLine, by: float) -> ShapedLine:
    if not by:
        return line
    runs = tuple(run._replace(x=run.x + by) for run in line.runs)
    ink = line.ink and (line.ink[0] + by, line.ink[1], line.ink[2] + by, line.ink[3])
    return line._replace(runs=runs, ink=ink)


class StyledFitter(TextFitter):
    """One field with styles; its first setting is that of letters without one."""

    def __init__(self, field: TextField, settings: tuple[StyleSetting, ...]) -> None:
        self._styled = StyledShaper(settings)
        chain = dict.fromkeys(face for setting in settings for face in setting.chain)
        super().__init__(field, tuple(chain))

    def _tracked(self, room: float) -> Shaper | TrackedShaper:
        return self._styled

    def fit(self, text: str) -> TextFit | Problem:
        return _plainly(self._fit(text))  # the same letters may be styled otherwise

    def fit_as(self, text: str, size: object) -> TextFit | Problem:
        return _plainly(super().fit_as(text, size))  # type: ignore[arg-type]

    def _placed(
        self, text: str, block: Block, setting: Setting, tracking: float | None = None
    ) -> TextFit:
        fit = super()._placed(str(text), block, setting, tracking)
        inked = (line for line in block.lines if line.ink is not None)
        styles = tuple(n for line in inked if isinstance(line, StyledLine) for n in line.styles)
        return fit._replace(styles=styles)


def _plainly(found: TextFit | Problem) -> TextFit | Problem:
    """A problem that names the letters alone."""
    return found._replace(value=str(found.value)) if isinstance(found, Problem) else found
