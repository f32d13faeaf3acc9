"""A finished file cut into its objects: pikepdf, an independent reader, is the judge."""

from __future__ import annotations

import io

import pikepdf
import pytest
from reportlab.pdfgen.canvas import Canvas

from vardata.output.pdf.references import referred
from vardata.output.pdf.slices import sliced, text_entry


def by_reportlab() -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=1, invariant=1)
    canvas.setTitle("Orders (7) to 9 \\ Änne Ω")
    for word in ("one", "endobj stream endstream"):
        canvas.drawString(72, 72, word)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def by_qpdf() -> bytes:
    with pikepdf.open(io.BytesIO(by_reportlab())) as pdf:
        out = io.BytesIO()
        pdf.save(out, static_id=True, object_stream_mode=pikepdf.ObjectStreamMode.disable)
        return out.getvalue()


@pytest.mark.parametrize("make", [by_reportlab, by_qpdf])
def test_objects_are_those_that_another_reader_finds(make) -> None:  # type: ignore[no-untyped-def]
    data = make()
    cut = sliced(data)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert cut.root == pdf.Root.objgen[0] and cut.info == pdf.docinfo.objgen[0]
        assert text_entry(b"Title", cut.bodies[cut.info].head) == str(pdf.docinfo["/Title"])
        assert len(cut.bodies) == len(pdf.objects)
        for number, body in cut.bodies.items():
            found = pdf.get_object(number, 0)
            if isinstance(found, pikepdf.Stream):
                raw = found.read_raw_bytes()
                assert body.stream == b"stream\n" + raw + b"\nendstream"
            else:
                assert body.stream == b""
                if not referred(body.head):  # the reader parses no references by themselves
                    assert pikepdf.Object.parse(body.head) == found


def test_a_file_with_a_cross_reference_stream_is_refused() -> None:
    with pikepdf.open(io.BytesIO(by_reportlab())) as pdf:
        out = io.BytesIO()
        pdf.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    with pytest.raises(ValueError, match="no plain cross-reference table"):
        sliced(out.getvalue())


@pytest.mark.parametrize(("written", "text"), [
    (rb"/Title (a\(b\)\\ \101\n)", "a(b)\\ A\n"),  # ISO 32000-1, table 3
    (b"/Title <FEFF00C4>", "\xc4"),
    (b"/Subject (x)", ""),
])  # fmt: skip
def test_texts(written: bytes, text: str) -> None:
    assert text_entry(b"Title", written) == text
