"""References in written objects, against a reader of PDF objects by hand."""

from __future__ import annotations

import pikepdf
from hypothesis import given
from hypothesis import strategies as st

from vardata.output.pdf.references import referred, renumbered

# Pieces of dictionaries and arrays (ISO 32000-1, 7.3), and how many references each holds.
_PIECES = st.sampled_from([
    (b"/Parent 12 0 R", 1), (b"/Kids [ 3 0 R 14 0 R]", 2), (b"/BBox [0 0 595.28 841.89]", 0),
    (b"/Size [10 0]", 0), (b"/P 0 /R null", 0), (b"/Title (see 5 0 R \\) there)", 0),
    (b"/ID <35203020>", 0), (b"/Name /5", 0), (b"/X << /P1 7 0 R /P2 81 0 R >>", 2),
])  # fmt: skip


@given(st.lists(_PIECES, max_size=8))
def test_every_reference_is_made_anew_and_nothing_else(pieces: list[tuple[bytes, int]]) -> None:
    inner = b" ".join([b"/K%d [ %b ]" % (at, piece) for at, (piece, _) in enumerate(pieces)])
    written = b"<< %b >>" % inner
    seen: list[int] = []

    def reference(number: int) -> bytes:
        seen.append(number)
        return b"(was %d)" % number

    made = renumbered(written, reference)
    assert len(seen) == sum(count for _, count in pieces)
    assert seen == referred(written)
    # What is left holds no reference: the library reads it, and every one has become a text.
    shown = pikepdf.Object.parse(made).unparse()
    assert shown.count(b"(was ") == len(seen)


def test_a_longer_word_is_no_reference() -> None:
    assert renumbered(b"[ 1 0 RG 2 0 R ]", lambda n: b"<%d>" % n) == b"[ 1 0 RG <2> ]"


def test_what_stands_in_a_text_is_no_reference() -> None:
    head = b"<< /Title (3 0 R) /ID <303030> /Pages 4 0 R >>"
    assert renumbered(head, lambda n: b"9 0 R") == b"<< /Title (3 0 R) /ID <303030> /Pages 9 0 R >>"
