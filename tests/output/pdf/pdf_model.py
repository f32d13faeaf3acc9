"""A model of PDF objects: which keys each may have, of which type, and which it must have.

The facts are those of the open model of PDF objects that the PDF Association publishes as tables
(Arlington PDF model, for ISO 32000; read there for every object below but simple fonts, shadings
and stitched functions, which are from memory), for the objects that beds hold, and no others: a
key that is not listed here is a fault until somebody has looked it up. GTS_ keys are those of
ISO 19593-1 and ISO 15930-7.

A line is ``Key`` with ``!`` (required) and ``&`` (must be an object of its own), its types, and
what it leads to: ``Name`` of a kind, ``*Name`` a dictionary of such, ``[Name]`` an array of such,
``=value|value`` names or numbers that are allowed. Types: n name, t string, i integer, r number,
b boolean, d dictionary, a array, s stream, R rectangle (4 numbers), M matrix (6 numbers).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any, NamedTuple

import pikepdf

_TABLES = """
Trailer
  Size! i
  Root!& d Catalog
  Info& d Info
  ID! a
  Type n =/XRef
  W a
  Index a
  Length i
  Filter na
  DecodeParms da
Catalog
  Type! n =/Catalog
  Pages!& d Pages
  Metadata& s Metadata
  OutputIntents a [OutputIntent]
  OCProperties d OCProperties
  DPartRoot& d DPartRoot
Pages
  Type! n =/Pages
  Count! i
  Kids! a [Page]
Page
  Type! n =/Page
  Parent!& d
  Resources! d Resources
  MediaBox! R
  BleedBox R
  TrimBox R
  Contents s Stream
  DPart d
Resources
  ExtGState d *GraphicsState
  ColorSpace d *Space
  Shading d *Shading
  XObject d *XObject
  Font d *Font
  Properties d *Layer
  ProcSet a
Info
  Title t
  Subject t
  Producer t
  CreationDate t
  ModDate t
  Trapped n =/True|/False|/Unknown
  GTS_PDFXVersion t
OutputIntent
  Type n =/OutputIntent
  S! n =/GTS_PDFX
  OutputConditionIdentifier! t
  RegistryName t
  Info t
  DestOutputProfile& s Profile
Profile
  N! i =1|3|4
  Alternate n =/DeviceGray|/DeviceRGB|/DeviceCMYK
  Length! i
  Filter na
Metadata
  Type! n =/Metadata
  Subtype! n =/XML
  Length! i
Stream
  Length! i
  Filter na
  DecodeParms da
OCProperties
  OCGs! a [Layer]
  D! d OCConfig
OCConfig
  Name t
  Order a [Layer]
  ON a [Layer]
Layer
  Type! n =/OCG
  Name! t
  GTS_Metadata d Step
Step
  GTS_ProcStepsGroup! n =/Structural|/White|/Varnish
  GTS_ProcStepsType n =/Cutting
DPartRoot
  Type n =/DPartRoot
  DPartRootNode!& d DPart
  RecordLevel i
  NodeNameList! a
DPart
  Type n =/DPart
  Parent! d
  DParts a [Parts]
  Start d
  End& d
  DPM d
GraphicsState
  Type n =/ExtGState
  OP b
  op b
  OPM i =0|1
  SA b
  BM na
  CA r
  ca r
  SMask nd
  AIS b
Form
  Type n =/XObject
  Subtype! n =/Form
  FormType i =1
  BBox! R
  Matrix M
  Resources! d Resources
  Group d Group
  Length! i
  Filter na
  DecodeParms da
Group
  Type n =/Group
  S! n =/Transparency
  CS na
  I b
  K b
Image
  Type n =/XObject
  Subtype! n =/Image
  Width! i
  Height! i
  ColorSpace na
  BitsPerComponent i =1|2|4|8|16
  ImageMask b
  Mask sa
  Decode a
  Interpolate b
  SMask s Image
  Length! i
  Filter na
  DecodeParms da
Type0
  Type! n =/Font
  Subtype! n =/Type0
  BaseFont! n
  Encoding! ns
  DescendantFonts! a [CIDFont]
  ToUnicode s Stream
CIDFont
  Type! n =/Font
  Subtype! n =/CIDFontType0|/CIDFontType2
  BaseFont! n
  CIDSystemInfo! d CIDSystemInfo
  FontDescriptor!& d Descriptor
  DW r
  W a
  CIDToGIDMap ns
CIDSystemInfo
  Registry! t
  Ordering! t
  Supplement! i
Descriptor
  Type! n =/FontDescriptor
  FontName! n
  Flags! i
  FontBBox! R
  ItalicAngle! r
  Ascent! r
  Descent! r
  CapHeight r
  XHeight r
  StemV! r
  MissingWidth r
  FontFile2& s FontFile
  FontFile3& s FontFile
FontFile
  Length! i
  Length1 i
  Subtype n =/CIDFontType0C|/OpenType|/Type1C
  Filter na
TrueType
  Type! n =/Font
  Subtype! n =/TrueType
  BaseFont! n
  Name n
  FirstChar! i
  LastChar! i
  Widths! a
  FontDescriptor!& d Descriptor
  Encoding nd
  ToUnicode s Stream
Shading
  ShadingType! i =2|3
  ColorSpace! na Space
  Coords! a
  Domain a
  Function! da Function
  Extend a
Stitch
  FunctionType! i =3
  Domain! a
  Functions! a [Function]
  Bounds! a
  Encode! a
Function
  FunctionType! i =2
  Domain! a
  Range a
  C0 a
  C1 a
  N! r
"""


class Rule(NamedTuple):
    required: bool
    indirect: bool
    types: str
    leads: str


def _read(text: str) -> dict[str, dict[str, Rule]]:
    kinds: dict[str, dict[str, Rule]] = {}
    for line in text.strip().splitlines():
        if not line.startswith(" "):
            kinds[line.strip()] = rules = {}
            continue
        key, types, leads, *_ = [*line.split(), "", ""]
        found = re.fullmatch(r"(\w+)(!?)(&?)", key)
        assert found, line
        rules["/" + found[1]] = Rule(bool(found[2]), bool(found[3]), types, leads)
    return kinds


MODEL = _read(_TABLES)


def faults(pdf: pikepdf.Pdf) -> list[str]:
    """Everything in a file that the model does not know, from the trailer on."""
    checker = _Checker()
    checker.whole("Trailer", pdf.trailer, "trailer")
    return checker.found


class _Checker:
    def __init__(self) -> None:
        self.found: list[str] = []
        self._seen: set[tuple[str, tuple[int, int]]] = set()

    def whole(self, kind: str, value: Any, at: str) -> None:
        """A dictionary or stream of a kind, and whatever it leads to."""
        if value.is_indirect:
            if (kind, value.objgen) in self._seen:
                return
            self._seen.add((kind, value.objgen))
        kind = _narrowed(kind, value)
        if kind == "Space":
            self._space(value, at)
            return
        if kind == "Parts":
            for n, part in enumerate(value):
                self.whole("DPart", part, f"{at}[{n}]")
            return
        rules = MODEL[kind]
        keys = set(value.keys())
        for key in sorted(keys - rules.keys()):
            self.found.append(f"{at} ({kind}): {key} is not known")
        for key in sorted(key for key, rule in rules.items() if rule.required):
            if key not in keys:
                self.found.append(f"{at} ({kind}): {key} is missing")
        for key in sorted(keys & rules.keys()):
            self._value(rules[key], value.get(key), f"{at}{key}")
        if kind == "DPart" and ("/Start" in keys) == ("/DParts" in keys):
            self.found.append(f"{at}: one of /Start and /DParts")

    def _value(self, rule: Rule, value: Any, at: str) -> None:
        if not any(_is(value, kind) for kind in rule.types):
            self.found.append(f"{at}: {value!r} is not of type {rule.types}")
            return
        if rule.indirect and not value.is_indirect:
            self.found.append(f"{at}: must be an object of its own")
        if rule.leads.startswith("="):
            if str(value) not in rule.leads[1:].split("|"):
                self.found.append(f"{at}: {value} is not allowed")
        elif rule.leads.startswith("*"):
            for name, part in value.items():
                self.whole(rule.leads[1:], part, f"{at}{name}")
        elif rule.leads.startswith("["):
            for n, part in enumerate(value):
                self.whole(rule.leads[1:-1], part, f"{at}[{n}]")
        elif rule.leads:
            self.whole(rule.leads, value, at)

    def _space(self, space: Any, at: str) -> None:
        """A colour space: ISO 32000-1, 8.6, the families that beds use."""
        if isinstance(space, pikepdf.Name):
            if space not in ("/DeviceCMYK", "/DeviceGray", "/DeviceRGB"):
                self.found.append(f"{at}: {space} is no space")
        elif space[0] == "/ICCBased":
            self.whole("Profile", space[1], f"{at}[1]")
        elif space[0] == "/Separation":
            if len(space) != 4 or not isinstance(space[1], pikepdf.Name):
                self.found.append(f"{at}: not name, alternate and function")
                return
            if space[2] not in ("/DeviceCMYK", "/DeviceGray", "/DeviceRGB"):
                self.found.append(f"{at}: alternate {space[2]}")
            if "/FunctionType" in space[3] and space[3].FunctionType == 2:
                self.whole("Function", space[3], f"{at}[3]")
                for key in ("/C0", "/C1"):
                    if len(space[3].get(key)) != 4:
                        self.found.append(f"{at}: {key} has not a number for each ink")
        else:
            self.found.append(f"{at}: the family {space[0]} is not known")


def _narrowed(kind: str, value: Any) -> str:
    """The kind by what an object says of itself."""
    if kind == "XObject":
        return "Image" if value.get("/Subtype") == "/Image" else "Form"
    if kind == "Function" and value.get("/FunctionType") == 3:
        return "Stitch"
    if kind == "Font":
        return "Type0" if value.get("/Subtype") == "/Type0" else "TrueType"
    return kind


def _is(value: Any, kind: str) -> bool:
    number = isinstance(value, int | float | Decimal) and not isinstance(value, bool)
    tests = {
        "n": isinstance(value, pikepdf.Name), "t": isinstance(value, pikepdf.String | str),
        "i": isinstance(value, int) and not isinstance(value, bool), "r": number,
        "b": isinstance(value, bool), "s": isinstance(value, pikepdf.Stream),
        "d": isinstance(value, pikepdf.Dictionary), "a": isinstance(value, pikepdf.Array),
        "R": isinstance(value, pikepdf.Array) and len(value) == 4,
        "M": isinstance(value, pikepdf.Array) and len(value) == 6,
    }  # fmt: skip
    return tests[kind]


def names(pdf: pikepdf.Pdf) -> Iterator[str]:
    """The inks of a file's Separation spaces."""
    for found in pdf.objects:
        if isinstance(found, pikepdf.Array) and len(found) == 4 and found[0] == "/Separation":
            yield str(found[1]).lstrip("/")
