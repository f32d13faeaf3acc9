"""Every symbology of the table: drawn, and read by decoders that did not draw it.

zxing-cpp's writer is another program than its reader (it wraps the zint library), so its
reader judges what the writer drew; zbar and libdmtx judge wherever they know the kind.
"""

from __future__ import annotations

from typing import get_args

import pytest
from code_fields import EVEN, TEXTS, field, fits, held, mode
from code_judges import dmtx, plain, zbar

from vardata.fit.codes.encode import encode
from vardata.fit.codes.readings import as_read
from vardata.fit.codes.symbol import CodeError
from vardata.fit.result import CodeFit
from vardata.job.model import CodeField
from vardata.job.symbologies import SYMBOLOGIES, SymbologyName

G = "(01)09521234543213(10)ABC123(17)261231"
# GS1 separator rules: facts of GSCN 16-477 (secondary), seen with biip as well.
G_READ = "010952123454321310ABC123\x1d17261231"
WIDE = (0, 0, 150, 40)
# What the reader's symbology identifier says (AIM identifiers, secondary).
GS1_MARKS = {"code128": "]C1", "datamatrix": "]d2", "datamatrix-rectangular": "]d2", "qr": "]Q3"}
ZBAR_READS = {
    "qr", "code128", "code39", "code93", "codabar", "itf", "itf14", "ean13", "upca",
    "databar", "databar-stacked", "databar-stacked-omni", "databar-expanded",
}  # fmt: skip


def test_the_table_the_layout_and_these_tests_name_the_same_kinds() -> None:
    assert tuple(SYMBOLOGIES) == get_args(SymbologyName)
    assert set(SYMBOLOGIES) == set(TEXTS)
    assert {kind.encoder for kind in SYMBOLOGIES.values()} == {"own", "zxing-cpp"}


@pytest.mark.parametrize("symbology", sorted(SYMBOLOGIES))
def test_each_kind_is_read(symbology: str) -> None:
    a_field = field(symbology, box=WIDE)
    symbol = encode(TEXTS[symbology], a_field)
    stride = (symbol.columns + 7) // 8
    assert len(symbol.bits) == symbol.rows * stride
    assert (symbol.rows > 1) == SYMBOLOGIES[symbology].matrix
    assert bool(symbol.line) == SYMBOLOGIES[symbology].lettered
    assert plain(symbol, symbology, scale=4).text == as_read(symbology, symbol.text)


@pytest.mark.parametrize("symbology", sorted(ZBAR_READS))
def test_zbar_reads_what_it_knows(symbology: str) -> None:
    symbol = encode(TEXTS[symbology], field(symbology, box=WIDE))
    read = zbar(symbol, more=("upca",) if symbology == "upca" else ())
    assert read == symbol.text


def test_zbar_reads_upc_e_and_ean_8_and_add_ons() -> None:
    assert zbar(encode("123456", field("upce")), more=("upce",)) == "01234565"
    assert zbar(encode("9638507", field("ean8")), more=("ean8",)) == "96385074"
    # zbar hands on the add-on first.
    five = encode("9783161484100+12345", field("ean13", box=WIDE))
    assert zbar(five, more=("ean5",)) == "123459783161484100"
    two = encode("03600029145+12", field("upca", box=WIDE))
    assert zbar(two, more=("ean2",)) == "120036000291452"


@pytest.mark.parametrize("symbology", ["datamatrix", "datamatrix-rectangular"])
@pytest.mark.parametrize("text", ["123456", "SN-00012345", "lower and UPPER 7"])
def test_libdmtx_reads_data_matrix(symbology: str, text: str) -> None:
    assert dmtx(encode(text, field(symbology, box=WIDE))).decode() == text


def test_data_matrix_123456_is_the_worked_example() -> None:
    # ISO/IEC 16022, worked example: codewords 142 164 186 (secondary), read by libdmtx; the
    # symbol is what the datamatrix encoder of ppf and zxing both draw.
    symbol = encode("123456", field("datamatrix"))
    assert b"142\n164\n186" in dmtx(symbol, "-c").replace(b"d:", b"").replace(b" ", b"")
    rows = [f"{int.from_bytes(symbol.bits[2 * r : 2 * r + 2], 'big'):016b}"[:10] for r in range(10)]
    drawn = (
        "1010101010 1100101101 1100000100 1100011101 1100001000 "
        "1000001111 1110110000 1111011001 1001110100 1111111111"
    )
    assert " ".join(rows) == drawn


@pytest.mark.parametrize("symbology", sorted(GS1_MARKS))
def test_gs1_data_carry_the_mark_of_gs1(symbology: str) -> None:
    symbol = encode(G, field(symbology, box=WIDE, gs1="element"))
    read = plain(symbol, symbology, scale=4)
    assert (read.text, read.symbology_identifier) == (G_READ, GS1_MARKS[symbology])
    assert symbol.text == G_READ
    if symbology == "code128":
        assert symbol.line == G
        assert zbar(symbol) == G_READ
    elif symbology == "qr":
        assert zbar(symbol) == G_READ
    else:
        # libdmtx shows each FNC1, also the first one, as the character asked for.
        assert dmtx(symbol, "-G", "29").decode().lstrip("\x1d") == G_READ


def test_gs1_data_matrix_is_square_and_of_iso_16022() -> None:
    # Left alone, the writer takes 8 x 64 of ISO/IEC 21471 for this, which few readers know.
    square = encode(G, field("datamatrix", gs1="element"))
    assert square.columns == square.rows
    wide = encode(G, field("datamatrix-rectangular", gs1="element", box=(0, 0, 60, 5)))
    assert (wide.rows, wide.columns) in {(8, 18), (8, 32), (12, 26), (12, 36), (16, 36), (16, 48)}


@pytest.mark.parametrize("symbology", ["databar-expanded", "databar-expanded-stacked"])
def test_databar_expanded_is_always_gs1(symbology: str) -> None:
    symbol = encode(G, field(symbology, box=WIDE))
    assert plain(symbol, symbology).text == G_READ
    assert symbol.line == G
    with pytest.raises(CodeError, match="does not begin with an application identifier"):
        encode("ABC123", field(symbology))


@pytest.mark.parametrize("symbology", ["qr", "datamatrix"])
def test_digital_links_are_plain_text(symbology: str) -> None:
    link = "https://id.gs1.org/01/09521234543213/10/ABC123?17=261231"
    symbol = encode(G, field(symbology, box=WIDE, gs1="link"))
    read = plain(symbol, symbology)
    assert (read.text, symbol.text) == (link, link)
    assert read.symbology_identifier in ("]Q1", "]d1")
    own = encode(G, field(symbology, gs1="link", link_domain="https://example.com/p"))
    assert own.text == link.replace("https://id.gs1.org", "https://example.com/p")


@pytest.mark.parametrize("box", [(0, 0, 60, 5), (0, 0, 20, 20), (0, 0, 40, 12), (0, 0, 9, 30)])
def test_rectangular_micro_qr_takes_the_form_of_its_box(box: tuple[float, ...]) -> None:
    # Of the six heights, the one whose whole symbol (text SN-00012345-ABCDEF) gets the largest
    # module: checked against all six, drawn by hand through the writer.
    import zxingcpp

    text = "SN-00012345-ABCDEF"
    symbol = encode(text, field("rmqr", box=box))
    sizes = []
    for version in range(33, 39):
        code = zxingcpp.create_barcode(
            text, zxingcpp.BarcodeFormat.RMQRCode, ec_level="M", version=version
        )
        high, wide = code.to_image(scale=1, add_quiet_zones=False).shape
        sizes.append((min(box[2] / (wide + 4), box[3] / (high + 4)), wide, high))
    best = max(sizes)[0]
    chosen = min(box[2] / (symbol.columns + 4), box[3] / (symbol.rows + 4))
    assert chosen == pytest.approx(best)


def test_pdf417_takes_columns_from_the_box_or_the_layout() -> None:
    text = "Serial 00012345, batch ABC, made 2026-01-31, Example Works, Sheffield"
    flat = encode(text, field("pdf417", box=(0, 0, 60, 8)))
    tall = encode(text, field("pdf417", box=(0, 0, 20, 40)))
    assert flat.columns > tall.columns
    assert flat.rows < tall.rows
    # Rows are three modules high: each is there three times (ISO/IEC 15438, from memory).
    for symbol in (flat, tall):
        stride = (symbol.columns + 7) // 8
        rows = [symbol.bits[at : at + stride] for at in range(0, len(symbol.bits), stride)]
        assert symbol.rows % 3 == 0
        assert rows[0::3] == rows[1::3] == rows[2::3]
        assert plain(symbol, "pdf417").text == text
    fixed = encode(text, field("pdf417", box=(0, 0, 20, 40), columns=5))
    assert fixed.columns == 69 + 17 * 5  # start, stop and indicators 69, a column 17 modules


def test_a_code_that_is_not_square_fits_its_box() -> None:
    fit = fits("SN-00012345", field("rmqr", box=(0, 0, 40, 8)), mode(), EVEN)
    assert isinstance(fit, CodeFit)
    assert fit.w / fit.columns == pytest.approx(fit.module)
    assert fit.h / fit.rows == pytest.approx(fit.module)
    assert fit.columns > fit.rows
    assert fit.w + fit.quiet[0] + fit.quiet[2] <= 40
    assert fit.h + fit.quiet[1] + fit.quiet[3] <= 8
    problem = held("SN-00012345", field("rmqr", box=(0, 0, 6, 4)), mode(), EVEN)
    assert problem.kind == "code-too-small"
    assert problem.what.startswith("the rectangular Micro QR code of ")


def test_levels_reach_the_writer() -> None:
    text = "SN-0042"
    assert encode(text, field("microqr", level="L")).columns < (
        encode(text, field("microqr", level="Q")).columns
    )
    long = "A rather longer text for an Aztec code"
    assert plain(encode(long, field("aztec", level="M")), "aztec").ec_level != ""
    small, large = (encode(long, field("aztec", level=level)).columns for level in "LH")
    assert small < large


REFUSED = [
    ("microqr", "é", "a Micro QR code cannot hold 'é'", "use a QR code"),
    ("microqr", "x" * 40, "the text of 40 characters is too long for a Micro QR code",
     "shorten it, or choose another symbology"),
    ("rmqr", "x" * 400, "the text of 400 characters is too long for a rectangular Micro QR code",
     "shorten it, or choose another symbology"),
    ("datamatrix-rectangular", "x" * 90,
     "the text of 90 characters is too long for a rectangular Data Matrix",
     "shorten it, or choose another symbology"),
    ("aztec", "a\ud800", "the Aztec code cannot hold a broken character", "write the text anew"),
    ("pdf417", "", "the text of the PDF417 is empty", "give the field a text"),
    ("code93", "é", "Code 93 cannot hold 'é'", "use ASCII characters only"),
    ("codabar", "12E4", "Codabar cannot hold 'E'",
     "use 0-9 and - $ : / . +, with A, B, C or D as the first and the last alone"),
    ("codabar", "1", "Codabar of 1 character is too short to be read safely",
     "give it two characters or more"),
    ("ean8", "96385075", "the check digit of EAN-8 96385075 is 5, but 9638507 asks for 4",
     "compare the number with its source; one digit is wrong or two are swapped"),
    ("itf14", "15400141288764",
     "the check digit of ITF-14 15400141288764 is 4, but 1540014128876 asks for 3",
     "compare the number with its source; one digit is wrong or two are swapped"),
    ("upce", "01234567", "the check digit of UPC-E 01234567 is 7, but 0123456 asks for 5",
     "compare the number with its source; one digit is wrong or two are swapped"),
    ("upce", "2123456", "UPC-E begins with 0 or 1, this number with 2", "use UPC-A for it"),
    ("upce", "036000291452", "the UPC-A number 036000291452 has not enough zeros for UPC-E",
     "use UPC-A for it"),
    ("upce", "1234", "UPC-E takes 6 to 8 digits, or the 12 of a UPC-A; this number has 4",
     "mend the number; if leading zeros were lost, format the column as text"),
    ("databar", "09521234543214",
     "the check digit of GS1 DataBar 09521234543214 is 4, but 0952123454321 asks for 3",
     "compare the number with its source; one digit is wrong or two are swapped"),
    ("databar-limited", "29521234543217",
     "GS1 DataBar Limited takes numbers that begin with 0 or 1, found 29521234543217",
     "use GS1 DataBar"),
    ("ean13", "9783161484100+123", "an add-on has 2 or 5 digits, 123 has 3",
     "write it behind a plus, such as 9783161484100+12345"),
]  # fmt: skip


@pytest.mark.parametrize(("symbology", "text", "what", "remedy"), REFUSED)
def test_what_a_kind_cannot_carry(symbology: str, text: str, what: str, remedy: str) -> None:
    with pytest.raises(CodeError) as caught:
        encode(text, field(symbology))
    assert (caught.value.what, caught.value.remedy) == (what, remedy)


def test_upc_e_of_upc_a_numbers() -> None:
    # GS1 General Specifications, examples of zero suppression (from memory): 012345000065 and
    # its short form 01234565; the others follow the four rules by hand.
    for long, short in [
        ("012345000065", "01234565"),
        ("01200000345", "0123450"),
        ("01210000345", "0123451"),
        ("01230000045", "0123453"),
        ("01234000005", "0123454"),
        ("01234500009", "0123459"),
    ]:
        assert encode(long, field("upce")).text.startswith(short)
        assert plain(encode(short[:7], field("upce")), "upce").text.startswith(f"0{long[:11]}")


def test_a_short_gtin_in_databar_gets_its_zeros() -> None:
    assert encode("4006381333931", field("databar")).text == "0104006381333931"
    assert encode("96385074", field("databar")).text == "0100000096385074"


def test_the_model_takes_no_other_kind() -> None:
    with pytest.raises(ValueError, match="symbology"):
        CodeField(type="code", name="c", text="", symbology="morse", box=(0, 0, 1, 1))  # type: ignore[arg-type]
