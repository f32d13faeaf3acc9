"""Fits every field of a record, or says why the record must be held.

In: one resolved string a field. Out: one ``FieldFit`` a field, or all the problems.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from vardata.fit.decorated import DecoratedFitter, FitOne, Fitted
from vardata.fit.fontbook import FontBook
from vardata.fit.fonts import Face
from vardata.fit.groupsize import GroupSize
from vardata.fit.picture import PictureFinder
from vardata.fit.result import FieldFit
from vardata.job.fonts import font_chain, text_chain
from vardata.job.model import CodeField, PictureField, Setup, TextField
from vardata.job.owncolours import takes_layers
from vardata.job.textstyle import is_decorated
from vardata.problems import Problem, Severity, Where

if TYPE_CHECKING:
    from vardata.fit.columns import ColumnFitter
    from vardata.fit.oncurve import CurveFitter
    from vardata.fit.styled import StyleSetting


class Fitter:
    """Fits records of one job. ``turns(rotation)`` gives a field's net quarter turns."""

    def __init__(
        self, setup: Setup, book: FontBook, turns: Callable[[float], frozenset[int]]
    ) -> None:
        self._names = [field.name for field in setup.layout.fields]
        pictures = PictureFinder(setup.job_file.parent, setup.job.outside)

        self._layout = layout = setup.layout
        self._book = book

        def chain(font: str | tuple[str, ...]) -> tuple[Face, ...]:
            return book.chain(font_chain(layout, font))

        def fitter(field: object) -> FitOne | None:
            if isinstance(field, TextField):
                if field.styles:
                    from vardata.fit.stylebook import style_settings

                    return _styled_fitter(field, style_settings(layout, field, book))
                names = text_chain(layout, field)
                faces = book.sized_chain(names, layout.fallback_size)
                return _text_fitter(field, faces, takes_layers(layout, field))
            if isinstance(field, CodeField):
                return _code_fitter(field, setup, turns(field.rotation), chain(field.text_font))
            if isinstance(field, PictureField):
                return _picture_fitter(field, pictures)
            return None

        self._fitters = [fitter(field) for field in setup.layout.fields]

    def fit(
        self, records: Sequence[Sequence[str | None]],
        sizes: Sequence[Mapping[int, GroupSize]] | None = None,
    ) -> list[tuple[FieldFit, ...] | list[Problem]]:
        """For each record all fits, or (if any field fails) the list of all problems, each with
        its field.

        ``sizes`` are those of the groups that texts belong to, for each record by the number of
        the field.
        """
        columns: list[list[Fitted]] = []
        for index, (fit_one, texts) in enumerate(zip(self._fitters, zip(*records))):
            if fit_one is None:
                columns.append([None] * len(records))
            elif sizes:
                own = (groups.get(index) for groups in sizes)
                columns.append([self._sized(index, *one) for one in zip(texts, own)])
            else:
                columns.append([None if text is None else fit_one(text) for text in texts])
        found: list[Any] = list(zip(*columns)) if columns else [()] * len(records)
        if any(Problem in map(type, column) for column in columns):
            found = [self._problems(fits) or fits for fits in found]
        return found

    def _problems(self, fits: Sequence[Fitted]) -> list[Problem]:
        return [
            one._replace(where=Where(field=name))
            for name, one in zip(self._names, fits) if isinstance(one, Problem)
        ]  # fmt: skip

    def _sized(self, index: int, text: str | None, size: GroupSize | None) -> Fitted:
        """One fit, as the group of its text wants it."""
        fit_one = self._fitters[index]
        if fit_one is None or text is None:
            return None
        return self._in_group(index, text, size) if size and text else fit_one(text)

    def _in_group(self, index: int, text: str, size: GroupSize) -> Fitted:
        field, fit_one = self._layout.fields[index], self._fitters[index]
        assert isinstance(field, TextField)
        if isinstance(fit_one, DecoratedFitter):
            inside = self._alike(fit_one.fit, fit_one.field, text, size)
            return fit_one.whole(inside)
        return self._alike(fit_one, field, text, size)

    def _alike(
        self, fit_one: FitOne | None, field: TextField, text: str, size: GroupSize
    ) -> Fitted:
        from vardata.fit.text import fit_in_group

        if isinstance(fit_one, _SetFitter | _StyledFitter):
            return fit_one.as_group(text, size)
        chain = self._book.sized_chain(
            text_chain(self._layout, field), self._layout.fallback_size
        )
        return fit_in_group(text, field, chain, size, takes_layers(self._layout, field))


def _empty(optional: bool, word: str) -> Problem | None:
    if optional:
        return None
    return Problem(
        "empty-field",
        Severity.HOLD,
        f"the {word} is empty",
        'fill the cell, or set "optional = true" in the layout',
    )


def _text_fitter(field: TextField, chain: tuple[Face, ...], layers: bool) -> FitOne:
    if is_decorated(field):
        return DecoratedFitter(field, lambda inner: _letters_fitter(inner, chain))
    return _letters_fitter(field, chain, layers)


def _letters_fitter(
    field: TextField, chain: tuple[Face, ...], layers: bool = False
) -> FitOne:
    if field.arc is not None or field.along or field.direction == "down":
        return _SetFitter(field, chain)

    from vardata.fit.text import TextFitter, fit_text

    first, alone = chain[0], len(chain) == 1
    fitter = TextFitter(field, chain, layers)

    def fit(text: str) -> Fitted:
        if not text:
            return _empty(field.optional, "text")
        if alone or first.characters.issuperset(text):
            return fitter.fit(text)
        return fit_text(text, field, chain, layers)

    return fit


def _styled_fitter(field: TextField, settings: tuple[StyleSetting, ...]) -> FitOne:
    if is_decorated(field):
        return DecoratedFitter(field, lambda inner: _StyledFitter(inner, settings))
    return _StyledFitter(field, settings)


class _StyledFitter:
    """Fits one text field in several styles."""

    def __init__(self, field: TextField, settings: tuple[StyleSetting, ...]) -> None:
        from vardata.fit.styled import StyledFitter

        self._optional = field.optional
        self._fitter = StyledFitter(field, settings)

    def __call__(self, text: str) -> Fitted:
        return self._fitter.fit(text) if text else _empty(self._optional, "text")

    def as_group(self, text: str, size: GroupSize) -> Fitted:
        return self._fitter.fit_as(text, size)


class _SetFitter:
    """Fits one text field that is set on a line that bends, or in columns."""

    def __init__(self, field: TextField, chain: tuple[Face, ...]) -> None:
        self._field, self._chain = field, chain
        self._fitters: dict[tuple[Face, ...], CurveFitter | ColumnFitter] = {}

    def __call__(self, text: str) -> Fitted:
        if not text:
            return _empty(self._field.optional, "text")
        return self._fitter(text).fit(text)

    def as_group(self, text: str, size: GroupSize) -> Fitted:
        return self._fitter(text).fit_as(text, size)

    def _fitter(self, text: str) -> CurveFitter | ColumnFitter:
        """That with the font in front that can set the whole text."""
        from vardata.fit.columns import ColumnFitter
        from vardata.fit.oncurve import CurveFitter
        from vardata.fit.text import led

        faces = led(self._chain, text)
        found = self._fitters.get(faces)
        if found is None:
            kind = ColumnFitter if self._field.direction == "down" else CurveFitter
            found = self._fitters[faces] = kind(self._field, faces)
        return found


def _code_fitter(
    field: CodeField, setup: Setup, turns: frozenset[int], chain: tuple[Face, ...]
) -> FitOne:
    from vardata.fit.codes.place import CodeFitter
    from vardata.job.reduction import carriers, reduction

    plates = carriers(field, setup.layout)
    reductions = tuple(mm for plate in plates if (mm := reduction(field, plate, setup.mode)))

    fitter = CodeFitter(field, setup.mode, turns, chain, reductions)

    def fit(text: str) -> Fitted:
        return fitter.fit(text) if text else _empty(field.optional, "code")

    return fit


def _picture_fitter(field: PictureField, finder: PictureFinder) -> FitOne:
    def fit(name: str) -> Fitted:
        return finder.find(name) if name else _empty(field.optional, "picture's name")

    return fit
