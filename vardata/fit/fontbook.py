"""All faces of a run under small, fixed numbers, and chains of them.

In: names of fonts with their paths. Out: faces by number or by name; chains whose fallbacks look
as large as the first font, or are larger or smaller within a text.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from vardata.fit.beside import SizedBy, units_beside
from vardata.fit.fonts import Face
from vardata.job.fontaxes import Axes
from vardata.problems import JobError, fail


class FontBook:
    """All faces of a run, one a file (or a place in it).

    Numbers follow the names in alphabetical order, not the paths: a job moved to another folder
    keeps them, and the order in which a layout mentions its fonts does not matter.
    """

    def __init__(
        self, named_paths: Mapping[str, Path], members: Mapping[str, int] | None = None,
        axes: Mapping[str, Axes] | None = None,
    ) -> None:
        """``members`` are places in collections, ``axes`` those in the designs of variable fonts,
        by the same names."""
        places = {
            name: (path, (members or {}).get(name), (axes or {}).get(name, ()))
            for name, path in named_paths.items()
        }
        files = dict.fromkeys(places[name] for name in sorted(places))
        faces = {
            (path, member, place): Face(path, index, 0, member, place)
            for index, (path, member, place) in enumerate(files)
        }
        self._faces = list(faces.values())
        self._by_name = {name: faces[place] for name, place in places.items()}
        self._sized: dict[tuple[int, int], Face] = {}

    def face(self, index: int) -> Face:
        return self._faces[index]

    def chain(self, names: Sequence[str]) -> tuple[Face, ...]:
        """The faces of a fallback chain, each once. ``KeyError`` for a name not in the book."""
        return tuple(dict.fromkeys(self._by_name[name] for name in names))

    def sized_chain(self, names: Sequence[str], by: SizedBy) -> tuple[Face, ...]:
        """The same, the fallbacks as large as the first font looks. Opens the files.

        Faces of another size have numbers of their own, after all others, in the order in which
        chains are asked for: every process asks for those of a layout's fields, one by one.
        """
        first, *others = self.chain(names)
        return (first, *(self._beside(first, face, by) for face in others))

    def scaled(self, chain: tuple[Face, ...], by: float) -> tuple[Face, ...]:
        """The faces of a chain so much larger. They have numbers of their own, as above.

        CFF fonts keyed by CIDs are left out: every part of them has a size of its own. Raises
        ``JobError`` if the first is one.
        """
        if by == 1.0:
            return chain
        if chain[0].keyed_by_cids:
            what = f"{chain[0].path.name!r} is a CFF font keyed by CIDs: within a text its letters "
            raise fail(JobError, "bad-font", f"{what}have one size",
                       "use a TrueType font for this style, or take scale away")  # fmt: skip
        able = (face for face in chain if not face.keyed_by_cids)
        return tuple(self._of_units(face, round(face.units_per_em / by)) for face in able)

    def _beside(self, first: Face, face: Face, by: SizedBy) -> Face:
        own = face.units_per_em
        units = units_beside(own, first.seen_height(by), face.seen_height(by))
        # A CFF font has its size in its outlines' own matrix too, so it is left as it is.
        if units == own or face.is_cff:
            return face
        return self._of_units(face, units)

    def _of_units(self, face: Face, units: int) -> Face:
        """The face as if it had so many units an em."""
        key = (face.index, units)
        if key not in self._sized:
            self._sized[key] = Face(
                face.path, len(self._faces), units, face.member, face.axes
            )
            self._faces.append(self._sized[key])
        return self._sized[key]

    def __len__(self) -> int:
        return len(self._faces)
