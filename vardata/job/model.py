"""The frozen values that a job is made of: ``Job``, ``Layout``, ``Jig``, ``Bed``.

They are pydantic models, so the same definition validates TOML, types the code and exports
JSON Schema. Reading files, line numbers and near names are ``job.load``'s business; rules
that need two files at once (item against slot) are ``job.checks``'s. Lengths are mm.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from vardata import units

_LENGTH_SCHEMA = {
    "anyOf": [{"type": "number"}, {"type": "string", "pattern": r"^\s*[+-]?[\d.]+\s*(mm|cm|in|pt|um)?\s*$"}],
    "description": "a length: a number is mm; a text may carry mm, cm, in, pt or um",
}
_SIZE_SCHEMA = {
    "type": "string",
    "pattern": r"^\s*[\d.]+\s*(pt|mm|cm|in)\s*$",
    "description": "a font size with its unit, such as 14pt",
}
Mm = Annotated[float, BeforeValidator(units.to_mm), WithJsonSchema(_LENGTH_SCHEMA)]
Pt = Annotated[float, BeforeValidator(units.to_pt), WithJsonSchema(_SIZE_SCHEMA)]
PositiveMm = Annotated[Mm, Field(gt=0)]
PositivePt = Annotated[Pt, Field(gt=0)]
Box = tuple[Mm, Mm, PositiveMm, PositiveMm]  # x, y of the lower left corner, width, height
Percent = Annotated[float, Field(gt=0, le=100)]
# A name of ours ("black", "white"), "#rrggbb", [c, m, y, k] in percent, or a plate's name.
Colour = str | tuple[float, float, float, float]

WhiteCover = Literal["none", "art", "flood", "knockout"]
GlossCover = Literal["none", "fields", "art", "flood"]
Surface = Literal["light", "dark", "clear"]


class Model(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


# ---------------------------------------------------------------- layout


class Plate(Model):
    """One separation. ``cover`` says where ink goes of its own accord."""

    name: str
    role: Literal["colour", "white", "gloss"]
    cover: Literal["none", "art", "flood", "knockout", "fields"] = "none"
    choke: Annotated[Mm, Field(ge=0)] = 0.1  # common practice, no source: 0.05 to 0.2 mm
    bleed: Mm = 0.0  # of a flood, beyond the item's outline; negative: an inset


def default_plates() -> tuple[Plate, ...]:
    return (
        Plate(name="Colour", role="colour"),
        Plate(name="White", role="white", cover="art"),
        Plate(name="Gloss", role="gloss", cover="fields"),
    )


class Placed(Model):
    """What art and fields share: a box in item mm, turned about the box's centre."""

    box: Box
    rotation: float = 0.0
    white: bool = True  # the white plate lies under it where the plate covers art
    gloss: bool = False  # the gloss plate lies over it where the plate covers fields


class Art(Placed):
    """Static art: SVG as vectors, PNG or JPEG as a picture."""

    file: str
    fit: Literal["contain", "cover", "stretch"] = "contain"


FitStep = Literal["shrink", "lines", "smaller", "squeeze"]
Align = Literal["left", "centre", "right"]
Valign = Literal["top", "middle", "bottom"]


class TextField(Placed):
    type: Literal["text"]
    name: str
    text: str  # a template over the record's columns
    font: str | tuple[str, ...]  # a key of the layout's fonts, a font, or a fallback chain
    size: PositivePt
    min_size: PositivePt | None = None  # default: half the size
    size_step: PositivePt = 0.25
    shrink_to: Percent = 75.0  # how far "shrink" may go, in percent of the size
    lines: Annotated[int, Field(ge=1, le=20)] = 1
    leading: Annotated[float, Field(gt=0)] = 1.2  # baseline distance in sizes
    squeeze: Percent = 90.0  # the narrowest the text may be set
    fit: tuple[FitStep, ...] = ("shrink", "lines", "smaller", "squeeze")
    align: Align = "centre"
    valign: Valign = "middle"
    align_by: Literal["ink", "metrics"] = "ink"
    colour: Colour = "black"
    optional: bool = False  # an empty text prints nothing; otherwise it holds the record


class CodeField(Placed):
    type: Literal["code"]
    name: str
    text: str
    symbology: Literal["qr", "code128", "ean13", "upca", "code39", "itf"]
    level: Literal["L", "M", "Q", "H"] = "M"  # QR only
    module: PositiveMm | None = None  # the largest module; default: as large as the box allows
    min_module: PositiveMm = 0.25  # common practice for UV inkjet, no source
    quiet: Annotated[int, Field(ge=0)] | None = None  # modules; default: the standard's
    text_line: bool = False  # the human-readable line under a linear code
    text_font: str | tuple[str, ...] = "NotoSansMono-Regular"
    text_size: PositivePt = 6.0
    check_digit: bool = False  # Code 39 and ITF: append the optional check character
    ground: Literal["auto", "always", "never"] = "auto"
    colour: Colour = "black"
    optional: bool = False


class PictureField(Placed):
    type: Literal["picture"]
    name: str
    file: str  # a template that gives a file's name
    fit: Literal["contain", "cover", "stretch"] = "contain"
    optional: bool = False


class ShapeField(Placed):
    type: Literal["shape"]
    name: str
    shape: Literal["rectangle", "rounded", "ellipse", "line", "path"]
    corner: Annotated[Mm, Field(ge=0)] = 0.0
    path: str = ""  # SVG path data in item mm, y up, for shape = "path"
    fill: Colour | None = None
    stroke: Colour | None = None
    stroke_width: PositiveMm = 0.3


AnyField = Annotated[
    TextField | CodeField | PictureField | ShapeField, Field(discriminator="type")
]


class Layout(Model):
    """How one item is dressed."""

    name: str
    width: PositiveMm
    height: PositiveMm
    outline: Literal["rectangle", "rounded", "circle", "ellipse", "path"] = "rectangle"
    corner: Annotated[Mm, Field(ge=0)] = 0.0
    path: str = ""  # SVG path data in item mm, y up, for outline = "path"
    bleed: Annotated[Mm, Field(ge=0)] = 0.0  # how far ink may pass the outline
    fonts: dict[str, str | tuple[str, ...]] = {}
    plates: tuple[Plate, ...] = Field(default_factory=default_plates)
    art: tuple[Art, ...] = ()
    fields: tuple[AnyField, ...] = ()


# ---------------------------------------------------------------- jig and bed


class Grid(Model):
    rows: Annotated[int, Field(ge=1, le=500)]
    columns: Annotated[int, Field(ge=1, le=500)]
    pitch: tuple[PositiveMm, PositiveMm]  # along x, along y
    offset: tuple[Mm, Mm]  # the centre of the first slot, A1, at the front left
    rotation: float = 0.0


class Slot(Model):
    """One pocket: its centre on the bed, turned counter-clockwise."""

    name: str
    x: Mm
    y: Mm
    rotation: float = 0.0


class Jig(Model):
    name: str
    grid: Grid | None = None
    slots: tuple[Slot, ...] = ()
    pocket: tuple[PositiveMm, PositiveMm] | None = None  # the largest item a slot takes
    blocked: tuple[str, ...] = ()
    fill: Literal["rows", "columns", "serpentine"] = "rows"


class PrintMode(Model):
    """A way the machine prints a bed: dots per inch along x and y."""

    dpi: tuple[Annotated[float, Field(ge=50, le=10000)], Annotated[float, Field(ge=50, le=10000)]]


class Bed(Model):
    """The printable area of the machine; a bed PDF's page is exactly this large."""

    name: str
    width: PositiveMm
    height: PositiveMm
    modes: Annotated[dict[str, PrintMode], Field(min_length=1)]
    anchor_marks: bool = False
    plate_names: dict[str, str] = {}  # the layout's plate name -> what this machine calls it


# ---------------------------------------------------------------- job


class Sheet(Model):
    file: str
    sheet: str | None = None  # a worksheet's name; default: the first
    header_row: Annotated[int, Field(ge=1)] = 1
    encoding: str | None = None
    delimiter: Annotated[str, Field(min_length=1, max_length=1)] | None = None


class Column(Model):
    heading: str
    kind: Literal["auto", "text", "code"] = "auto"  # code: never touched


class Records(Model):
    """Columns with a meaning of their own, by safe name or heading."""

    order: str | None = None
    quantity: str | None = None
    quantity_max: Annotated[int, Field(ge=1, le=1_000_000)] = 100
    blank: str | None = None


class Blank(Model):
    """The unprinted object, chosen per record by the blank column's value."""

    label: str = ""
    match: tuple[str, ...] = ()  # values of the blank column; default: the blank's own key
    surface: Surface = "dark"
    substrate: str = "#202020"  # for pictures only
    white: Literal["layout", "none", "art", "flood", "knockout"] = "layout"


class Output(Model):
    pages: Literal["together", "apart"] = "together"
    page_order: tuple[str, ...] = ()  # plates, for "apart"; default: as in the layout
    beds_per_file: Annotated[int, Field(ge=1, le=10_000)] = 1


class Job(Model):
    name: Annotated[str, Field(min_length=1, pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*$")]
    layout: str  # a TOML file, or the name of a shipped layout
    jig: str
    bed: str
    print_mode: str
    locale: str = "en"
    outside: bool = False  # files outside the job's folder are allowed
    sheet: Sheet
    columns: dict[str, str | Column] = {}
    records: Records = Records()
    blanks: dict[str, Blank] = {}
    blank: str | None = None  # the blank of every record, when no column says
    output: Output = Output()
    ledger: str = "ledger.sqlite"


# ---------------------------------------------------------------- loaded


class Setup(BaseModel):
    """Everything a run is made from, read and checked: what later stages take."""

    model_config = ConfigDict(frozen=True, arbitrary_types_allowed=True)

    job: Job
    layout: Layout
    jig: Jig
    bed: Bed
    mode: PrintMode
    sheet_file: Path
    job_file: Path
    layout_file: Path
    files: dict[str, Path] = {}  # every file a static part names, by the name it is written with
    fonts: dict[str, Path] = {}  # every font named, by the name it is written with
