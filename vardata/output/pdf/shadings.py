"""Blends of a file as shadings, each stored once.

In: ``Blend`` values of art. Out: shading dictionaries (ISO 32000-1, 8.7.4.5.3 and 8.7.4.5.4: axial
and radial) in DeviceCMYK, whose function is put together from straight stretches (7.10.3, 7.10.4).
"""

from __future__ import annotations

from collections.abc import Sequence

from vardata.marks import Blend, Step
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.syntax import number
from vardata.units import PT_PER_MM

_FINE = 7  # decimals: of places in a space whose unit may be a whole shape


class FileShadings:
    """The shadings of a file, named as they come up."""

    def __init__(self, pdf: PdfFile) -> None:
        self._pdf = pdf
        self._numbers: dict[Blend, int] = {}

    def name(self, blend: Blend) -> bytes:
        """The resource name of a blend's shading."""
        found = self._numbers.get(blend)
        if found is None:
            found = self._numbers[blend] = self._pdf.put(shading(blend))
        return b"/Sh%d" % found

    def resources(self) -> bytes:
        """Entries of the resource dictionary."""
        return b"".join(b"/Sh%d %d 0 R" % (n, n) for n in self._numbers.values())


def shading(blend: Blend) -> bytes:
    """The dictionary of a shading; both its ends go on."""
    kind = 2 if len(blend.ends) == 4 else 3
    return b"<</ShadingType %d/ColorSpace/DeviceCMYK/Coords[%b]/Function%b/Extend[true true]>>" % (
        kind, _list(blend.ends, _FINE), _function(blend.steps),
    )  # fmt: skip


def blend_matrix(blend: Blend) -> bytes:
    """The six numbers for ``cm`` that take a blend's own space to points of a form."""
    return _list([part * PT_PER_MM for part in blend.matrix], _FINE)


def _function(steps: Sequence[Step]) -> bytes:
    parts = [
        b"<</FunctionType 2/Domain[0 1]/C0[%b]/C1[%b]/N 1>>"
        % (_list(step.first, 4), _list(step.last, 4))
        for step in steps
    ]
    if len(parts) == 1:
        return parts[0]
    bounds = _list([step.end for step in steps[:-1]], _FINE)
    return b"<</FunctionType 3/Domain[0 1]/Functions[%b]/Bounds[%b]/Encode[%b]>>" % (
        b"".join(parts), bounds, b" ".join([b"0 1"] * len(parts)),
    )  # fmt: skip


def _list(numbers: Sequence[float], digits: int) -> bytes:
    return b" ".join(number(value, digits) for value in numbers)
