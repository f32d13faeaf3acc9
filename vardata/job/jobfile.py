"""The job file: which sheet, columns, blanks, products and checks, and what is written."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag, model_validator

from vardata.job.frozen import Model
from vardata.job.serials import SerialRule
from vardata.job.sheetchecks import Checks, Expect
from vardata.job.sides import SideB
from vardata.job.values import (
    Delimiter,
    Encoding,
    Flag,
    HexColour,
    JobName,
    Locale,
    Name,
    Parts,
    Surface,
    Whole,
    Words,
)


class Sheet(Model):
    """Where the order sheet is and how it is read."""

    file: str = ""
    """the order sheet, relative to the job file: .xlsx, .ods, .csv, .tsv or .jsonl"""
    database: str | None = Field(default=None, exclude=True)  # it may hold a password
    """a database instead of a file, as an SQLAlchemy URL; it is only read"""
    query: str | None = None
    """the SELECT that gives the database's rows, with ORDER BY"""
    sheet: Name | None = None
    """the worksheet's name; by default the first"""
    header_row: Annotated[Whole, Field(ge=1, le=1_048_576)] = 1
    """the row of the headings, counted from 1"""
    hidden_rows: Literal["use", "skip"] | None = None
    """whether rows that are hidden or filtered out are printed; by default they are, with a
    warning"""
    encoding: Encoding | None = None
    """a CSV's text encoding; by default it is found out"""
    delimiter: Delimiter | None = None
    """the character between a CSV's columns; by default it is found out"""


class Column(Model):
    """One column of the order sheet."""

    heading: str
    """the column's heading in the order sheet"""
    kind: Literal["auto", "text", "code"] = "auto"
    """code: white space and letters are never touched, and the style of texts is not judged"""
    parts: Parts | None = None
    """labelled parts of its cells, each a column of its own for templates, such as
    "Name: {name} / Date: {date}"; what is in [ ] may be missing"""


class Records(Model):
    """Columns with a meaning of their own, by safe name or heading."""

    order: str | None = None
    """the column that says which items go to one customer together"""
    line: str | None = None
    """the column that tells the rows of an order apart: rows are compared with earlier runs"""
    changed: Literal["hold", "print", "keep"] = "hold"
    """what becomes of a row that has changed since an earlier run built it"""
    quantity: str | None = None
    """the column that says how many pieces a row asks for; by default 1"""
    quantity_max: Annotated[Whole, Field(ge=1, le=1_000_000)] = 100
    """a row that asks for more pieces is held"""
    blank: str | None = None
    """the column that chooses the blank"""
    product: str | None = None
    """the column that chooses the product in a mixed job"""


class Card(Model):
    """How a material is treated, as its supplier or your own tests say."""

    film: str = ""
    """protective film: on or off, when"""
    wipe: str = ""
    """what it is wiped with before printing"""
    primer: str = ""
    """what it is primed with"""
    cure: str = ""
    """how long it rests or cures after printing"""
    cautions: str = ""
    """what to beware of"""


class Blank(Model):
    """The unprinted object, chosen per record by the blank column's value."""

    label: str = ""
    """what people call it; by default its key"""
    match: tuple[str, ...] = ()
    """values of the blank column that choose it, besides its key and its label"""
    surface: Surface = "dark"
    """light, dark or clear: decides whether a code needs a ground"""
    substrate: HexColour = "#202020"
    """its colour in pictures and for contrasts; by default #202020, of a light one #f2f2f2"""
    photo: str | None = None
    """a picture of one blank, for vardata preview: it fills the item's box, its middle kept, and is
    cut to the outline"""
    white: Literal["layout", "none", "art", "flood", "knockout"] = "layout"
    """the white plate's cover on this blank; by default the layout's"""
    card: Card | None = None
    """how its material is treated, for job tickets"""

    @model_validator(mode="before")
    @classmethod
    def _light(cls, values: object) -> object:
        """A light blank is light, where nothing more is said of its colour."""
        if isinstance(values, dict) and values.get("surface") == "light":
            return {"substrate": "#f2f2f2", **values}
        return values


class Product(Model):
    """One kind of item of a mixed job. What it does not say is as at the top of the job."""

    when: Words = ()
    """the value or values of the product column that choose it, by default its name; or a
    condition over the row's columns in {{ }}, such as {{ size == "50 mm" }}"""
    layout: str | None = None
    """a layout file, or the name of a shipped layout"""
    jig: str | None = None
    """the jig file"""
    bed: str | None = None
    """the bed file"""
    print_mode: str | None = None
    """one of the bed's print modes"""
    blank: str | None = None
    """the blank of its records, where no column says"""
    side_b: SideB | None = None
    """the second side of its pieces"""

    @property
    def condition(self) -> str | None:
        """The template that chooses it, if it is no list of values."""
        return self.when if isinstance(self.when, str) and "{{" in self.when else None


class Work(Model):
    """The order of work: which orders are printed first, and how pieces lie within an order."""

    ship_by: str | None = None
    """the column of the day by which an order leaves: the nearest is printed first"""
    priority: str | None = None
    """the column of an order's priority: it counts before the day"""
    priorities: tuple[str, ...] = ()
    """the values of the priority column, the first to be printed first"""
    whole_orders: Flag = False
    """an order that fits one bed is not spread over two unless that costs a bed"""
    sort: tuple[str, ...] = ()
    """columns by which the pieces of an order are sorted, as people count; then as in the sheet"""
    bag: Annotated[Whole, Field(ge=1, le=100_000)] | None = None
    """so many pieces of an order go into one bag"""


class Output(Model):
    """What the bed files look like."""

    pages: Literal["together", "apart"] = "together"
    """all plates of a bed on one page, or a page for each plate"""
    page_order: tuple[str, ...] = ()
    """the plates in the order of their pages, for pages = "apart"; by default as they are laid down"""  # noqa: E501
    repeat_passes: Flag = False
    """a plate with several passes has as many pages, for pages = "apart\""""
    standard: Literal["plain", "pdf/x-4", "pdf/vt-1"] = "plain"
    """the printing standard that bed files keep; any but plain needs a profile"""
    profile: str | None = None
    """the ICC profile of the machine's process inks, for a standard, to convert pictures or to
    tell how much ink their RGB becomes: a file, or the shipped cgats-tr-001 (offset on coated
    paper), where the machine has none"""
    pictures: Literal["keep", "convert"] = "keep"
    """RGB pictures: kept for the machine to split into inks, or converted by the profile"""
    colours: Literal["keep", "convert"] = "keep"
    """RGB colours of layouts and SVG art: split into inks by plain arithmetic, or converted by the
    profile; greys stay black alone, and colours that are written in inks stay as they are"""
    condition: str = ""
    """the name of the printing condition, such as FOGRA39; by default the profile's own"""
    tickets: Flag = False
    """a job ticket for each bed, in tickets.pdf"""
    contact_sheet: Flag = False
    """every bed as it will look, in contact.pdf: six to a page, one or two larger"""
    cut_lines: Flag = False
    """the items' outlines as an ink called Cut, on a layer of its own"""
    beds_per_file: Annotated[Whole, Field(ge=1, le=10_000)] = 1
    """how many bed loads go into one PDF"""


def _column(value: object) -> object:
    if isinstance(value, str | dict | Column):
        return value
    raise ValueError(
        f"{value!r} is not a column; write its heading, or a table like "
        '{ heading = "Item no", kind = "code" }'
    )


def _column_kind(value: object) -> str:
    return "heading" if isinstance(value, str) else "table"


AnyColumn = Annotated[
    Annotated[str, Tag("heading")] | Annotated[Column, Tag("table")],
    Discriminator(_column_kind),
    BeforeValidator(_column),
]


class Job(Model):
    """One job: which layout, jig, bed and order sheet, and what the columns mean."""

    name: JobName
    """the job's name, used in file names: A-Z a-z 0-9 . _ -"""
    layout: str
    """a layout file, or the name of a shipped layout"""
    jig: str
    """the jig file"""
    bed: str
    """the bed file"""
    print_mode: str
    """one of the bed's print modes"""
    locale: Locale = "en"
    """the language the order sheet shows numbers and dates in, such as en or de"""
    keep_case: tuple[str, ...] = ()
    """words that ``case`` of a text writes as they stand here, besides those of the layout"""
    outside: Flag = False
    """files outside the job's folder are allowed"""
    sheet: Sheet
    """where the order sheet is and how it is read"""
    columns: dict[str, AnyColumn] = Field(default_factory=dict)
    """safe names for columns, to be used in templates"""
    records: Records = Records()
    """columns with a meaning of their own"""
    blanks: dict[Name, Blank] = Field(default_factory=dict)
    """the unprinted objects by key"""
    blank: str | None = None
    """the blank of every record, when no column says"""
    personal: tuple[str, ...] = ()
    """columns with data of persons, by heading or name: never logged, and erased from runs by
    vardata erase"""
    checks: Checks = Checks()
    """what is looked for in the order sheet before ink is spent"""
    expect: Expect = Expect()
    """totals that the order sheet must have"""
    work: Work | None = None
    """the order of work; without it orders are printed as they come in the sheet"""
    side_b: SideB | None = None
    """the second side of every piece; without it pieces have one side"""
    products: dict[Name, Product] = Field(default_factory=dict)
    """the kinds of item of a mixed job by name, in the order in which they are printed"""
    output: Output = Output()
    """what the bed files look like"""
    serials: dict[str, SerialRule] = Field(default_factory=dict)
    """numbers that are never given twice, by the name that layouts use"""
    ledger: str = "ledger.sqlite"
    """the ledger's file, relative to the job file"""
