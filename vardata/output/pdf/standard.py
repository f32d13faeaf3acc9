"""What makes a bed file one of the printing standards: PDF/X-4 and PDF/VT-1.

In: the wanted standard, the machine's ICC profile, what the file says of itself. Out: entries
of the catalogue, of the document's information and of resources, as objects of the file.
ISO 15930-7 (PDF/X-4) asks for an output intent with an embedded profile, XMP metadata that
names the standard, page boxes, and colours that the profile can tell; ISO 16612-2 (PDF/VT-1)
is PDF/X-4 with a tree of document parts. The texts of both are known to us from memory and
from open tools, not from bought copies; the structures themselves are in ISO 32000-1.
"""

from __future__ import annotations

import html
import uuid
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from typing import Literal, NamedTuple

from vardata import __version__
from vardata.output.pdf.objects import PdfFile
from vardata.output.pdf.syntax import text_string

Wanted = Literal["pdf/x-4", "pdf/vt-1"]
X4, VT1 = "PDF/X-4", "PDF/VT-1"
_SPACE = uuid.UUID("b5ef7a14-95ce-5d38-9c5b-6f1ad0f1b2c7")  # of our document ids; ours alone


class Standard(NamedTuple):
    """What is asked for: ``condition`` names the printing condition of ``profile``."""

    wanted: Wanted
    profile: bytes
    condition: str

    @property
    def parts(self) -> bool:
        """Whether beds are document parts."""
        return self.wanted == "pdf/vt-1"


class DocPart(NamedTuple):
    """One bed as a document part: object numbers of its node and its pages, its records."""

    node: int
    pages: tuple[int, ...]
    records: tuple[str, ...]


def put_intent(pdf: PdfFile, standard: Standard) -> bytes:
    """The catalogue's output intent (ISO 32000-1, 14.11.5): what the CMYK values mean."""
    stream = pdf.put_stream(b"/N 4", standard.profile)
    condition = text_string(standard.condition)
    return (
        b"/OutputIntents[<</Type/OutputIntent/S/GTS_PDFX/OutputConditionIdentifier%b/Info%b"
        b"/DestOutputProfile %d 0 R>>]" % (condition, condition, stream)
    )


def put_default_rgb(pdf: PdfFile) -> bytes:
    """A colour-space resource that tells what RGB pictures mean (ISO 32000-1, 8.6.5.6)."""
    stream = pdf.put_stream(b"/N 3/Alternate/DeviceRGB", srgb_profile())
    return b"/DefaultRGB[/ICCBased %d 0 R]" % stream


@lru_cache(maxsize=1)
def srgb_profile() -> bytes:
    """sRGB (IEC 61966-2-1) as littlecms builds it, without the time at which it did so."""
    from PIL import ImageCms

    made = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    date = b"".join(part.to_bytes(2, "big") for part in (2000, 1, 1, 0, 0, 0))
    return made[:24] + date + made[36:84] + bytes(16) + made[100:]


def put_metadata(
    pdf: PdfFile, standard: Standard, title: str, run_id: str, beds: Sequence[int], at: datetime
) -> bytes:
    """The catalogue's metadata (ISO 32000-1, 14.3.2), not compressed, so that any program
    finds it."""
    identity = uuid.uuid5(_SPACE, f"{run_id}/{','.join(map(str, beds))}")
    packet = _packet(standard, title, identity, at.isoformat(timespec="seconds"))
    number = pdf.put_stream(b"/Type/Metadata/Subtype/XML", packet.encode(), raw=True)
    return b"/Metadata %d 0 R" % number


def info_entries() -> bytes:
    """What the information dictionary says beside its usual entries."""
    return b"/GTS_PDFXVersion%b" % text_string(X4)


def put_parts(
    pdf: PdfFile, root: int, beds: Sequence[tuple[int, DocPart]], run_id: str
) -> bytes:
    """The tree of document parts (ISO 16612-2): the run, and below it each bed with its
    records. ``root`` is the number kept for the run's node."""
    for number, bed in beds:
        records = b"".join(text_string(record) for record in bed.records)
        pdf.put(
            b"<</Type/DPart/Parent %d 0 R/Start %d 0 R/End %d 0 R/DPM<</Bed %d/Records[%b]>>>>"
            % (root, bed.pages[0], bed.pages[-1], number, records),
            bed.node,
        )
    nodes = b" ".join(b"%d 0 R" % bed.node for _, bed in beds)
    top = pdf.reserve()
    pdf.put(
        b"<</Type/DPart/Parent %d 0 R/DParts[[%b]]/DPM<</Run%b>>>>"
        % (top, nodes, text_string(run_id)),
        root,
    )
    pdf.put(
        b"<</Type/DPartRoot/DPartRootNode %d 0 R/NodeNameList[/Run/Bed]/RecordLevel 1>>" % root,
        top,
    )
    return b"/DPartRoot %d 0 R" % top


def _packet(standard: Standard, title: str, identity: uuid.UUID, at: str) -> str:
    versions = f"<pdfxid:GTS_PDFXVersion>{X4}</pdfxid:GTS_PDFXVersion>"
    if standard.parts:
        versions += (
            f"<pdfvtid:GTS_PDFVTVersion>{VT1}</pdfvtid:GTS_PDFVTVersion>"
            f"<pdfvtid:GTS_PDFVTModDate>{at}</pdfvtid:GTS_PDFVTModDate>"
        )
    shown = html.escape(title, quote=False)
    return f"""\
<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
 xmlns:pdfxid="http://www.npes.org/pdfx/ns/id/"
 xmlns:pdfvtid="http://www.npes.org/pdfvt/ns/id/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{shown}</rdf:li></rdf:Alt></dc:title>
<xmp:CreateDate>{at}</xmp:CreateDate>
<xmp:ModifyDate>{at}</xmp:ModifyDate>
<xmp:MetadataDate>{at}</xmp:MetadataDate>
<xmpMM:DocumentID>uuid:{identity}</xmpMM:DocumentID>
<xmpMM:VersionID>1</xmpMM:VersionID>
<xmpMM:RenditionClass>default</xmpMM:RenditionClass>
<pdf:Producer>vardata {__version__}</pdf:Producer>
<pdf:Trapped>False</pdf:Trapped>
{versions}
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>
"""
