"""The frozen values of a layout file: ``Layout`` and its fields.

One definition validates TOML, types the code and exports the JSON Schema; the text under a
key is its description there. Plates stand in ``job.plate``, art and boxes in ``job.placing``.
Other code takes all these classes from ``job.model``. Lengths are mm.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from vardata.job.applications import Application
from vardata.job.frozen import Model
from vardata.job.placing import Art, Boxed, Pictured
from vardata.job.plate import Plate, default_plates
from vardata.job.symbologies import SymbologyName
from vardata.job.textstyle import Contour, Outline, Shadow, Style
from vardata.job.values import (
    Colour,
    FallbackFonts,
    FeatureTag,
    FileName,
    Flag,
    FontNames,
    GroupName,
    Name,
    Number,
    Percent,
    PositiveMm,
    PositivePt,
    SomeMm,
    Tracking,
    Whole,
)

FitStep = Literal["shrink", "lines", "smaller", "tracking", "squeeze"]
Align = Literal["left", "centre", "right"]
Valign = Literal["top", "middle", "bottom"]

# Shipped fonts for what a layout's own fonts lack, script by script.
SCRIPT_FONTS = (
    "NotoSans-Regular", "NotoNaskhArabic-Regular", "NotoSansHebrew-Regular",
    "NotoSansDevanagari-Regular", "NotoSansBengali-Regular", "NotoSansTamil-Regular",
    "NotoSansThai-Regular",
)  # fmt: skip


BATCH, ORDER = "batch", "order"  # of ``TextField.one_size``


class Arc(Model):
    """Part of a circle for text to stand on; its centre is the centre of the field's box."""

    radius: PositiveMm
    """from the centre to the foot of the letters"""
    at: Number = 90.0
    """where the middle of the arc lies: degrees counter-clockwise from the right, 90 is the top"""
    side: Literal["outside", "inside"] = "outside"
    """outside: letters point away from the centre; inside: to the centre, for the lower half"""
    sweep: Annotated[Number, Field(gt=0, le=360)] = 180.0
    """how long the arc is, in degrees: text must fit in"""


class TextField(Boxed):
    """A line or lines of text, set as large as the box allows."""

    type: Literal["text"]
    """what the field holds: text, code, picture or shape"""
    name: Name
    """the field's name in messages and records"""
    text: str
    """what to print: a template over the record's columns"""
    font: FontNames
    """a key of the layout's fonts, a font, or a list to fall back through; a variable font with its axes or an instance, as "Own.ttf#wght=650" or "Own.ttf#Bold\""""  # noqa: E501
    size: PositivePt
    """the wanted font size"""
    min_size: PositivePt | None = None
    """the smallest font size; by default half the wanted"""
    size_step: PositivePt = 0.25
    """sizes are whole multiples of this"""
    shrink_to: Percent = 75.0
    """how far the step "shrink" may go, in percent of the wanted size"""
    lines: Annotated[Whole, Field(ge=1, le=20)] = 1
    """the most lines the text may be broken into"""
    leading: Annotated[Number, Field(gt=0)] = 1.2
    """the distance of baselines, in font sizes"""
    squeeze: Percent = 90.0
    """the narrowest the letters may be set, in percent of their width"""
    features: tuple[FeatureTag, ...] = ()
    """OpenType features by their tags, where the font has them: "smcp" switches on, "-liga" off"""
    tracking: Tracking = 0.0
    """what is added between letters, in thousandths of the font size"""
    tightest: Tracking = -20.0  # common practice, no source
    """how close the step "tracking" may bring letters, in thousandths of the font size"""
    fit: tuple[FitStep, ...] = ("shrink", "lines", "smaller", "squeeze")
    """the steps that make a long text fit, in the order they are tried"""
    one_size: GroupName | None = None
    """all texts of a group get the size, squeeze, tracking and lines that its longest needs: "batch", "order", or a template over the columns"""  # noqa: E501
    align: Align = "centre"
    """where the text stands across the box"""
    valign: Valign = "middle"
    """where the text stands up and down the box"""
    align_by: Literal["ink", "metrics"] = "ink"
    """up and down, place by the letters' ink or by the font's own heights"""
    direction: Literal["across", "down"] = "across"
    """down: letters stand upright, one under the other, in columns from right to left; lines are columns then"""  # noqa: E501
    arc: Arc | None = None
    """the text stands on an arc, on one line"""
    along: str = ""
    """the text stands on this line, on one line: SVG path data in item mm, y up, or "#id" of a shape in an SVG of the art, which is then not printed"""  # noqa: E501
    mirror: Flag = False
    """the text is printed mirrored across the middle of its box: for a transfer, or to be read from behind"""  # noqa: E501
    colour: Colour = "black"
    """the colour of the letters"""
    case: Literal["as-is", "title"] = "as-is"
    """title: a text in all capitals gets small letters, by the job's language; others stay"""
    colour_by: str = ""
    """a template over the record's columns that chooses one of ``colours``; empty: ``colour``"""
    colours: dict[Name, Colour] = Field(default_factory=dict)
    """colours in process inks by the values of ``colour_by``"""
    styles: Annotated[dict[Name, Style], Field(max_length=30)] = Field(default_factory=dict)
    """styles for parts of the text by name: in the text, [name] begins one and [/name] ends it"""
    outline: Outline | None = None
    """a stroke along the edges of the letters"""
    contour: Contour | None = None
    """a ground round the text, under all of it"""
    shadow: Shadow | None = None
    """a copy of the letters behind them"""
    optional: Flag = False
    """an empty text prints nothing; otherwise it holds the record"""


class CodeField(Boxed):
    """A bar code, in whole dots of the machine."""

    type: Literal["code"]
    """what the field holds: text, code, picture or shape"""
    name: Name
    """the field's name in messages and records"""
    text: str
    """what to encode: a template over the record's columns; {{ gs1.sgtin(item, serial) }} and its like (gtin, giai, grai, sscc, check_digit) make GS1 element strings"""  # noqa: E501
    symbology: SymbologyName
    """the kind of code"""
    level: Literal["L", "M", "Q", "H"] = "M"
    """QR, Micro QR and Aztec: how much damage the code survives, from L (least) to H"""
    columns: Annotated[Whole, Field(ge=1, le=30)] | None = None
    """PDF417 and stacked DataBar Expanded: how many columns; by default as the box suggests"""
    gs1: Literal["element", "link"] | None = None
    """the text is GS1 data such as (01)09521234543213(10)ABC123, encoded as elements or as a Digital Link"""  # noqa: E501
    link_domain: str = "https://id.gs1.org"
    """gs1 = "link" only: what the link begins with"""
    module: PositiveMm | None = None
    """the largest width of a module; by default as large as the box allows"""
    min_module: PositiveMm = 0.25  # common practice for UV inkjet, no source
    """the smallest width of a module that is printed"""
    modules: Literal["square", "round"] = "square"
    """QR and Data Matrix: the form of the modules; round ones are always read back when they are built"""  # noqa: E501
    window: Annotated[Number, Field(ge=0, le=40)] = 0.0
    """QR of level H: percent of its side left light in the middle for a logo, which is a picture field behind it in the list; always read back when built"""  # noqa: E501
    application: Application | None = None
    """where the code is used: its modules and bars keep to the sizes that GS1 asks for there"""
    reduction: SomeMm | None = None
    """how much narrower the modules are drawn, for ink that spreads; by default as the print mode says"""  # noqa: E501
    quiet: Annotated[Whole, Field(ge=0, le=100)] | None = None
    """the quiet zone in modules; by default the standard's"""
    text_line: Flag = False
    """print the content in plain letters under a linear code"""
    text_font: FontNames = "NotoSansMono-Regular"
    """the font of the text line"""
    text_size: PositivePt | None = None
    """the font size of the text line; by default 6pt, but the digits of EAN and UPC grow with the module, to 8 1/3 modules of height as the standard draws them (outer digits of UPC at most 4 wide)"""  # noqa: E501
    guard_bars: Literal["long", "level"] = "long"
    """EAN and UPC with text_line: long guard bars go on for 5 modules between the digits; level ones end with the other bars"""  # noqa: E501
    check_digit: Flag = False
    """Code 39 and ITF: append the optional check character"""
    ground: Literal["auto", "always", "never"] = "auto"
    """a light area under the code: auto puts it on dark and clear blanks"""
    colour: Colour = "black"
    """the colour of the code's dark parts"""
    optional: Flag = False
    """an empty content prints nothing; otherwise it holds the record"""


class PictureField(Boxed, Pictured):
    """A picture chosen by the record."""

    type: Literal["picture"]
    """what the field holds: text, code, picture or shape"""
    name: Name
    """the field's name in messages and records"""
    file: str
    """a template over the record's columns that gives a file's name"""
    optional: Flag = False
    """an empty name, or an empty value in it, prints nothing; otherwise it holds the record"""


class ShapeField(Boxed):
    """A drawn shape, the same on every item."""

    type: Literal["shape"]
    """what the field holds: text, code, picture or shape"""
    name: Name
    """the field's name in messages and records"""
    shape: Literal["rectangle", "rounded", "ellipse", "line", "path"]
    """the kind of shape; it fills its box"""
    corner: SomeMm = 0.0
    """the corner radius of a rounded shape"""
    path: str = ""
    """SVG path data in item mm, y up, for shape = "path\""""
    fill: Colour | None = None
    """the colour of its area; by default none"""
    stroke: Colour | None = None
    """the colour of its line; by default none"""
    stroke_width: PositiveMm = 0.3
    """the width of its line"""


AnyField = Annotated[TextField | CodeField | PictureField | ShapeField, Field(discriminator="type")]


class Craft(Model):
    """What the machine can print: a record whose text would be finer is held. 0 asks nothing."""

    min_stroke: SomeMm = 0.0
    """the thinnest stroke of letters"""
    min_knockout: SomeMm = 0.0
    """the thinnest stroke of letters in white ink, which are left out of the colour around them"""
    min_white: SomeMm = 0.0
    """the thinnest white under a stroke, after the choke"""
    min_counter: SomeMm = 0.0
    """the narrowest counter: what a letter encloses, the mouth of an open one (c), a channel (n)"""
    min_gap: SomeMm = 0.0
    """the least distance between the parts of a letter, such as an accent and what it stands on"""
    min_x_height: SomeMm = 0.0
    """the least height of small letters"""
    keep_safe: Flag = False
    """ink of texts keeps within the layout's safe edge"""


class Layout(Model):
    """How one item is dressed: its size, plates, art and fields."""

    name: FileName
    """the layout's name in lists and records"""
    width: PositiveMm
    """the item's width"""
    height: PositiveMm
    """the item's height"""
    outline: Literal["rectangle", "rounded", "circle", "ellipse", "path"] = "rectangle"
    """the item's form"""
    corner: SomeMm = 0.0
    """the corner radius of a rounded outline"""
    path: str = ""
    """SVG path data in item mm, y up, for outline = "path\""""
    bleed: SomeMm = 0.0
    """how far ink may pass the outline"""
    safe: SomeMm = 0.0
    """how far ink ought to keep from the outline: drawn on proofs as the safe edge"""
    craft: Craft | None = None
    """what the machine can print of letters: by default nothing is asked"""
    fonts: dict[Name, FontNames] = Field(default_factory=dict)
    """short names for fonts (of variable ones with axes, "Own.ttf#wght=650") or for lists to fall back through"""  # noqa: E501
    keep_case: tuple[str, ...] = ()
    """words that ``case`` writes as they stand here, such as DJ or MacLeod"""
    fallback: FallbackFonts = SCRIPT_FONTS
    """fonts behind those of every text, for letters that those lack; by default the shipped fonts of other scripts"""  # noqa: E501
    fallback_size: Literal["cap-height", "x-height", "none"] = "cap-height"
    """by which height of letters fallback fonts are made as large as the first font"""
    plates: tuple[Plate, ...] = Field(default_factory=default_plates)
    """the separations; by default Colour, White and Gloss"""
    surface: Literal["first", "second", "both"] | None = None
    """first: seen from the printed side; second: seen through a clear blank, printed mirrored; both: colour, white, colour, what lies before the white mirrored"""  # noqa: E501
    plate_order: tuple[str, ...] = ()
    """the plates in the order they are laid down; by default white, colour, gloss (second surface: colour, white, gloss; two colour plates: as listed)"""  # noqa: E501
    art: tuple[Art, ...] = ()
    """static art, painted in this order under the fields"""
    fields: tuple[AnyField, ...] = ()
    """the variable things, painted in this order"""
