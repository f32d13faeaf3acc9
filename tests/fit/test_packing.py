"""Fits that wait on disk: they come back as they were, and a text that repeats as one object."""

from __future__ import annotations

import marshal

from vardata.fit.packing import Packer, Unpacker, contents_of
from vardata.fit.result import CodeFit, FieldFit, PictureFit, Run, TextFit

ROLE = TextFit(
    "Crew", 9.0, 1.0, 1, (Run(1, 0.5, 1.25, b"\0A\0B", (0.0, -12.5)),), (0.5, 1.0, 9.0, 4.0),
)  # fmt: skip
BENT = TextFit(
    "Øy", 7.25, 0.95, 2, (Run(0, 0.0, 2.0, b"\0A", ()), Run(2, 3.0, 2.0, b"\0C", ())),
    (0.0, 0.0, 5.0, 5.0), 20.0, (10.0, -10.0), 3, "ØY", (0, 1),
)  # fmt: skip
CODE = CodeFit("A1", 21, 21, b"\1\2\3", 0.5, 1.0, 1.0, 10.5, 10.5, (2.0,) * 4, None)
LABELLED = CODE._replace(line=BENT)
FITS: tuple[FieldFit, ...] = (ROLE, None, CODE, LABELLED, PictureFit("/a.png"), BENT)


def test_fits_come_back_as_they_were() -> None:
    kept = marshal.loads(marshal.dumps(Packer().packed(FITS)))
    found = Unpacker().unpacked(kept)
    assert found == FITS
    assert [type(fit) for fit in found] == [type(fit) for fit in FITS]
    text, line = found[0], found[3]
    assert isinstance(text, TextFit) and isinstance(text.runs[0], Run)
    assert isinstance(line, CodeFit) and isinstance(line.line, TextFit)


def test_what_the_fields_print_is_told_without_the_rest() -> None:
    kept = Packer().packed(FITS)
    assert contents_of(kept) == ["Crew", None, "A1", "A1", "/a.png", "Øy"]


def test_a_text_that_repeats_is_packed_once_and_comes_back_as_one_object() -> None:
    packer, unpacker = Packer(), Unpacker()
    records = [packer.packed((ROLE, BENT)), packer.packed((ROLE,))]
    assert records[0][0] is records[1][0]
    first, second = (unpacker.unpacked(marshal.loads(marshal.dumps(kept))) for kept in records)
    assert first[0] is second[0]


def test_texts_that_are_set_alike_keep_their_own_letters() -> None:
    """A no-break space is shown by the glyph of a space."""
    packer, unpacker = Packer(), Unpacker()
    both = (ROLE._replace(text="a b"), ROLE._replace(text="a\u00a0b"))
    for _ in range(2):
        found = unpacker.unpacked(packer.packed(both))
        assert found == both
