"""The most ink that anything on a page of a PDF is painted with.

In: a PDF of one page, the path of the machine's profile if it is known. Out: percent of the
process inks, and whether RGB is there that nobody can judge. Colours of operators, pictures and
shadings are looked at one by one: inks that overprint or shine through each other are not added
up, and inks of their own (spot colours) are none of the process inks.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from vardata.dress import icc, picture_bands
from vardata.problems import Where

_PLAIN = {"k": 4, "K": 4, "rg": 3, "RG": 3, "g": 1, "G": 1}
_PARTS = {"/DeviceGray": 1, "/CalGray": 1, "/DeviceRGB": 3, "/CalRGB": 3, "/DeviceCMYK": 4}


class PageInk(NamedTuple):
    heaviest: float
    unjudged: bool


def heaviest(data: bytes, profile: str, where: Where) -> PageInk:
    """The page's heaviest ink in percent. Raises ``JobError`` where a profile is no good."""
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as pdf:
        search = _Search(profile, where)
        search.content(pdf.pages[0].obj, pdf.pages[0].obj.get("/Resources"))
        return PageInk(search.most, search.unjudged)


class _Search:
    def __init__(self, profile: str, where: Where) -> None:
        self._profile, self._where = profile, where
        self._seen: set[tuple[int, int]] = set()
        self.most = 0.0
        self.unjudged = False

    def content(self, stream: Any, resources: Any) -> None:
        """A page, a form or a pattern, and all that it names."""
        import pikepdf

        chosen: dict[str, Any] = {}  # colour spaces by the operator that uses them
        for step in pikepdf.parse_content_stream(stream):
            operands, name = step.operands, str(step.operator)
            if name in _PLAIN:
                self._colour(_numbers(operands), _PLAIN[name])
            elif name in ("cs", "CS"):
                chosen[name[0]] = self._space(operands[0], resources)
            elif name in ("sc", "scn", "SC", "SCN"):
                self._chosen(chosen.get(name[0].replace("s", "c").replace("S", "C")), operands)
        for found in _named(resources, "/XObject"):
            if self._is_new(found):
                if found.get("/Subtype") == "/Image":
                    self._picture(found)
                elif found.get("/Subtype") == "/Form":
                    self.content(found, found.get("/Resources", resources))
        for found in _named(resources, "/Pattern"):
            if self._is_new(found):
                if "/Shading" in found:
                    self._shading(found.Shading)
                elif isinstance(found, pikepdf.Stream):
                    self.content(found, found.get("/Resources", resources))
        for found in _named(resources, "/Shading"):
            self._shading(found)

    def _is_new(self, found: Any) -> bool:
        fresh = not found.is_indirect or found.objgen not in self._seen
        self._seen.add(found.objgen)
        return fresh

    @staticmethod
    def _space(name: Any, resources: Any) -> Any:
        spaces = resources.get("/ColorSpace", {}) if resources is not None else {}
        return spaces.get(str(name), name)

    def _chosen(self, space: Any, operands: Any) -> None:
        parts = _parts(space)
        if parts:
            self._colour(_numbers(operands), parts)
        elif _family(space) == "/Indexed" and _parts(space[1]):
            self._table(space)

    def _table(self, space: Any) -> None:
        import pikepdf

        parts = _parts(space[1])
        table = space[3]
        data = table.read_bytes() if isinstance(table, pikepdf.Stream) else bytes(table)
        for at in range(0, len(data) - parts + 1, parts):
            self._colour([value / 255 for value in data[at : at + parts]], parts)

    def _colour(self, values: list[float], parts: int) -> None:
        if len(values) != parts:
            return
        if parts == 3:
            self._rgb(np.array([[values]]))
        else:
            self.most = max(self.most, 100.0 * sum(values if parts == 4 else [1 - values[0]]))

    def _rgb(self, values: Any) -> None:
        if len({round(float(value), 4) for value in values.ravel()}) == 1:
            return  # a grey: black alone
        if not self._profile:
            self.unjudged = True
            return
        pixel = (values.clip(0, 1) * 255).round().astype(np.uint8)
        inks = icc.converted(pixel, None, self._profile, self._where)
        self.most = max(self.most, float(inks.sum(dtype=np.uint16)) / 2.55)

    def _picture(self, found: Any) -> None:
        import pikepdf

        if found.get("/ImageMask", False):
            return
        try:
            image = pikepdf.PdfImage(found).as_pil_image()
        except (pikepdf.PdfError, NotImplementedError, ValueError, OSError):
            self.unjudged = True
            return
        if image.mode not in ("RGB", "CMYK"):
            image = image.convert("RGB") if image.mode == "P" else image
        change = None
        if image.mode == "RGB":
            self.unjudged |= not self._profile
            if self._profile:
                own = image.info.get("icc_profile")
                change = partial(
                    icc.converted, own=own, profile=self._profile, where=self._where
                )
        self.most = max(self.most, picture_bands.heaviest(image, change))

    def _shading(self, found: Any) -> None:
        """The colours at the ends of each stretch of a shading's function."""
        parts = _parts(found.get("/ColorSpace"))
        for end in _ends(found.get("/Function")) if parts else ():
            self._colour(end, parts)


def _named(resources: Any, kind: str) -> Iterator[Any]:
    found: Any = resources.get(kind) if resources is not None else None
    if found is not None:
        for key in sorted(found.keys()):
            yield found[key]


def _numbers(operands: Any) -> list[float]:
    return [float(value) for value in operands if not str(value).startswith("/")]


def _family(space: Any) -> str:
    import pikepdf

    return str(space[0]) if isinstance(space, pikepdf.Array) and len(space) else str(space)


def _parts(space: Any) -> int:
    """How many parts a colour of grey, RGB or process inks has; 0 for other spaces."""
    family = _family(space)
    if family == "/ICCBased":
        return int(space[1].get("/N", 0))
    return _PARTS.get(family, 0)


def _ends(function: Any) -> Iterator[list[float]]:
    import pikepdf

    if isinstance(function, pikepdf.Dictionary | pikepdf.Stream):
        for key in ("/C0", "/C1"):
            if key in function:
                yield [float(value) for value in function[key]]
        for inner in function.get("/Functions", ()):
            yield from _ends(inner)
