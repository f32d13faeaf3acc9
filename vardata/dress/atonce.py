"""What tells at once that nothing is wrong with a fit, as nothing is with nearly all of them.

In: the variable fields of a layout on one kind of blank. Out: a quick question for each field. A
"no" says nothing yet: then ``Dresser.check`` looks at everything, and finds the reason if any.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from vardata.dress.blanks import OnBlank
from vardata.dress.codefield import CodeVariable
from vardata.dress.colourletters import ColourLetters
from vardata.dress.variable import TextVariable, Variable
from vardata.fit.result import CodeFit, FieldFit, TextFit

Judge = Callable[[Any], bool]

_PLACE = slice(CodeFit._fields.index("module"), CodeFit._fields.index("quiet") + 1)
_PLACES = 1000  # of the codes of one field that are remembered


def judges(
    fields: Sequence[Variable], inside: Sequence[bool], on: OnBlank, craft: bool,
    holds: Callable[[int, FieldFit], bool],
) -> list[tuple[int, Judge]]:
    """By the number of its fit, the question for each field. ``inside``: a field's ink passes no
    limit as long as it lies in its box; ``craft``: texts may be too fine; ``holds(n, fit)`` looks
    whether a field's fit keeps within the limits."""

    def judge(n: int, field: Variable) -> Judge:
        if on.refused[n] is None and inside[n]:
            if isinstance(field, CodeVariable):
                return _of_codes(lambda fit: holds(n, fit))
            if isinstance(field, TextVariable) and not isinstance(field, ColourLetters):
                lies = field.lettering.inside
                if not craft:
                    return lambda fit: type(fit) is TextFit and lies(fit.ink)
        return lambda fit: False

    return [(field.index, judge(n, field)) for n, field in enumerate(fields)]


def _of_codes(holds: Judge) -> Judge:
    """Codes of one size lie in one place, unless they have a line."""
    known: dict[object, bool] = {}

    def judge(fit: Any) -> bool:
        if type(fit) is not CodeFit or fit.line is not None:
            return False
        place = fit[_PLACE]
        found = known.get(place)
        if found is None:
            if len(known) >= _PLACES:
                known.clear()
            found = known[place] = holds(fit)
        return found

    return judge
