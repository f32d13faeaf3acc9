"""Records that cannot be printed: held.csv's reason, line by line, and exit code 3.

Exit codes are those of README.md. Good rows stand before and after the bad ones and must be
printed: one bad row must never keep the others from the bed.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterator

import pytest
from badjob import HEADING, SHEET, Answer, Shop, Spoil, every, png, swap
from PIL import Image

HELD = 3
OWNER, NUMBER, PHOTO, PIECES = (
    "field 'owner'", "field 'number'", "field 'photo'", "column 'Pieces'"
)  # fmt: skip
WHOLE = "write a whole number from 0 to 20"
FILL = 'fill the cell, or set "optional = true" in the layout'
MISSING = "put it there, below the job's folder, or mend the name in the cell"
INSIDE = 'move it inside, or set "outside = true" in the job'
Reason = tuple[str, str, str]


def image(kind: str) -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (40, 40)).save(data, kind)
    return data.getvalue()


def moving() -> bytes:
    """A PNG of two frames (PNG 3, 11.3.6)."""
    data = io.BytesIO()
    frames = [Image.new("RGB", (40, 40), colour) for colour in ("red", "blue")]
    frames[0].save(data, "PNG", save_all=True, append_images=frames[1:])
    return data.getvalue()


PICTURES = {
    "../out.png": png(), "folder.png/x": b"", "empty.png": b"", "cut.png": png()[:100],
    "cut.jpg": image("JPEG")[:400], "text.png": b"hello", "gif.png": image("GIF"),
    "moves.png": moving(),
}  # fmt: skip
LINKS = {"link.png": "../out.png", "circle.png": "circle.png"}


NO_PICTURE = "the file is none of PNG, JPEG, TIFF, WebP and HEIF"


def unreadable(name: str, what: str, remedy: str) -> Reason:
    return PHOTO, f"the picture {name!r} cannot be printed: {what}", remedy


LONG = "Wilhelmina-" * 10 + "Anna"
# 600 digits of a QR code at level M are version 11, 61 x 61 modules (ISO/IEC 18004, from memory:
# 604 digits); in 18 mm, with 4 modules of quiet zone each side, that is less than 0.282 mm, the
# least whole number of dots of 1/720 inch from 0.25 mm on.
TOO_MANY = "0123456789" * 60

# Rows of one sheet: each is held for its own reason.
ROWS: list[tuple[str, str, str, Reason]] = [
    ("glyph", "1,43,Ada 漢,photos/ada.png,1", "missing-glyph",
     (OWNER, "no font has '漢' (U+6F22 CJK UNIFIED IDEOGRAPH-6F22); asked: NotoSans-Regular, "
      "NotoNaskhArabic-Regular and 5 more",
      "add a font that has it to the field's fonts, or change the text")),
    ("no text", "1,43,,photos/ada.png,1", "empty-field", (OWNER, "the text is empty", FILL)),
    ("no code", "1,,Grace,photos/ada.png,1", "empty-field", (NUMBER, "the code is empty", FILL)),
    ("no picture", "1,43,Grace,,1", "empty-field", (PHOTO, "the picture's name is empty", FILL)),
    ("code too small", f"1,{TOO_MANY},Grace,photos/ada.png,1", "code-too-small",
     (NUMBER, "the QR code of 61 x 61 modules is too large: the box of 18 x 18 mm gives a module "
      "of 0.260 mm, the smallest allowed is 0.282 mm",
      "make the box at least 19.51 x 19.51 mm, or shorten the text")),
    # ------------------------------------------------------------ pictures
    ("picture missing", "1,43,Grace,photos/adaa.png,1", "picture-missing",
     (PHOTO, "the picture 'photos/adaa.png' is not there", MISSING)),
    ("folder for a picture", "1,43,Grace,folder.png,1", "picture-missing",
     (PHOTO, "the picture 'folder.png' is not there", MISSING)),
    ("picture of another kind", "1,43,Grace,photos/ada.gif,1", "picture-kind",
     (PHOTO, "'photos/ada.gif' is no picture by its name",
      "use one of .png, .jpg, .jpeg, .tif, .tiff, .webp, .heic, .heif, .pdf, .eps")),
    ("picture outside", "1,43,Grace,../out.png,1", "picture-outside",
     (PHOTO, "the picture '../out.png' lies outside the job's folder", INSIDE)),
    ("link outside", "1,43,Grace,link.png,1", "picture-outside",
     (PHOTO, "the picture 'link.png' lies outside the job's folder", INSIDE)),
    ("link in a circle", "1,43,Grace,circle.png,1", "picture-missing",
     (PHOTO, "'circle.png' cannot be the name of a picture", "mend the name in the cell")),
    ("name too long", f"1,43,Grace,{'x' * 300}.png,1", "picture-missing",
     (PHOTO, f"'{'x' * 57}...' cannot be the name of a picture", "mend the name in the cell")),
    ("picture empty", "1,43,Grace,empty.png,1", "picture-unreadable",
     unreadable("empty.png", "the file is empty", "put the whole file in its place")),
    ("picture cut off", "1,43,Grace,cut.png,1", "picture-unreadable",
     unreadable("cut.png", "the picture is cut short", "copy or export the file again")),
    ("JPEG cut off", "1,43,Grace,cut.jpg,1", "picture-unreadable",
     unreadable("cut.jpg", "the picture is cut short", "copy or export the file again")),
    ("text for a picture", "1,43,Grace,text.png,1", "picture-unreadable",
     unreadable("text.png", NO_PICTURE, "save it again as PNG or JPEG")),
    ("GIF called PNG", "1,43,Grace,gif.png,1", "picture-unreadable",
     unreadable("gif.png", NO_PICTURE, "save it again as PNG or JPEG")),
    ("picture that moves", "1,43,Grace,moves.png,1", "picture-unreadable",
     unreadable("moves.png", "the picture moves", "save one frame of it as PNG")),
    # ------------------------------------------------------------ what the row asks for
    ("quantity in words", "1,43,Grace,photos/ada.png,two", "bad-quantity",
     (PIECES, "quantity 'two' is not a number", WHOLE)),
    ("part of a piece", "1,43,Grace,photos/ada.png,1.5", "bad-quantity",
     (PIECES, "quantity '1.5' is not a whole number", WHOLE)),
    ("less than none", "1,43,Grace,photos/ada.png,-1", "bad-quantity",
     (PIECES, "quantity '-1' is below 0", WHOLE)),
    ("no quantity", "1,43,Grace,photos/ada.png,", "no-quantity",
     (PIECES, "the quantity is empty", WHOLE)),
    ("quantity of two meanings", "1,43,Grace,photos/ada.png,1.000", "quantity-unclear",
     (PIECES, "quantity '1.000' can mean 1 or 1,000", "write 1 or 1000")),
    ("too many pieces", "1,43,Grace,photos/ada.png,21", "quantity-too-large",
     (PIECES, "quantity '21' is more than 20",
      f"{WHOLE}, or raise records.quantity_max in the job")),
    ("no order", ",43,Grace,photos/ada.png,1", "no-order",
     ("column 'Order'", "the order is empty, so the piece could not be brought back to it",
      "write the order in every row, or delete a row that is no item")),
    ("cell too many", "1,43,Grace,Hopper,photos/ada.png,1", "too-many-cells",
     ("sheet 'orders', row ROW", "the row has 6 cells, but there are 5 headings",
      "put quotes around each text that holds the delimiter")),
    ("text after a quote", '1,43,"Grace"H,photos/ada.png,1', "stray-quote",
     ("sheet 'orders', row ROW", "line ROW of the file has a text after a closing quote",
      'double each quote that is part of a text ("Ann ""Annie"" Lee") and quote the whole cell')),
    ("letter lost", "1,43,Zo\ufffd,photos/ada.png,1", "lost-letter",
     ("column 'Owner'", "the text holds U+FFFD, the mark of a letter that was lost in an earlier "
      "conversion", "write the text again")),
    ("control character", "1,43,Zo\x07,photos/ada.png,1", "control-character",
     ("column 'Owner'", "the text holds the control character U+0007, which cannot be printed",
      "take it out, or write the text again")),
]  # fmt: skip
FIRST = 3  # row 2 is good, as is the last

TEMPLATE = 'text = "{{ owner }}"'
MEND = "mend the template or the row's values"

# Jobs in which one row of three is held.
JOBS: list[tuple[str, Spoil, str, Reason]] = [
    ("blank unknown", every(
        swap("job.toml", '\nblank = "black"', ""),
        swap("job.toml", "[records]", '[records]\nblank = "Owner"'),
        swap("job.toml", "[blanks.black]", '[blanks.black]\nmatch = ["Ada Byron", "Mary '
             'Jackson"]')), "unknown-blank",
     ("column 'Owner'", "there is no blank 'Grace'", "write one of Ada Byron")),
    ("template fails", swap("tag.toml", TEMPLATE, "text = \"{{ owner.split(' ')[1] }}\""),
     "template", (OWNER, "its template fails: list object has no element 1", MEND)),
    ("division by zero", swap("tag.toml", TEMPLATE, 'text = "{{ 9 // (owner|length - 5) }}"'),
     "template", (OWNER, "its template fails: integer division or modulo by zero", MEND)),
    ("endless text", swap(
        "tag.toml", TEMPLATE,
        "text = \"{{ owner|center(5000) if owner == 'Grace' else owner }}\""),
     "template", (OWNER, "its text is longer than 4000 characters", "shorten the row's value")),
]  # fmt: skip


def reasons(shop: Shop) -> list[list[str]]:
    """Row, place, what and remedy of each row of held.csv."""
    text = (shop.path / "run/held.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.reader(io.StringIO(text, newline="")))
    reasons = ["held: row", "held: place", "held: what", "held: how to mend"]
    assert rows[0][-5:] == [*reasons, "held: seal"]
    return [cells[-5:-1] for cells in rows[1:]]


def printed(shop: Shop) -> list[str]:
    lines = (shop.path / "run/slots.jsonl").read_text(encoding="utf-8").splitlines()
    return [json.loads(line)["record"] for line in lines]


@pytest.fixture(scope="module")
def bad_rows(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Shop, Answer, Answer]]:
    """A build and a check of one sheet with every bad row between two good ones."""
    path = tmp_path_factory.mktemp("bad") / "shop"
    path.mkdir()
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(path)
        shop = Shop(path)
        for name, data in PICTURES.items():
            shop.write(name, data)
        for name, target in LINKS.items():
            (path / name).symlink_to(target)
        good = SHEET.splitlines()[1]
        lines = [good, *(text for _, text, _, _ in ROWS), good]
        shop.write("orders.csv", HEADING + "\n".join(lines) + "\n")
        yield shop, shop.build(), shop.check()


def test_bad_rows_keep_no_other_from_the_bed(bad_rows: tuple[Shop, Answer, Answer]) -> None:
    shop, build, check = bad_rows
    assert (build.code, check.code) == (HELD, HELD)
    assert printed(shop) == ["orders!2#1", f"orders!{FIRST + len(ROWS)}#1"]
    assert len(reasons(shop)) == len(ROWS)
    kinds = Counter(kind for _, _, kind, _ in ROWS)
    told = ", ".join(f"{number} {kind}" for kind, number in sorted(kinds.items()))
    assert build.out.splitlines()[-1] == f"{len(ROWS)} rows held ({told}): see run/held.csv"
    assert check.out.splitlines()[-1] == (
        f"{len(ROWS) + 2} rows: 2 records for 1 bed; {len(ROWS)} rows held, 0 skipped"
    )


@pytest.mark.parametrize("number", range(len(ROWS)), ids=[row[0] for row in ROWS])
def test_a_row_is_held_with_its_reason(
    bad_rows: tuple[Shop, Answer, Answer], number: int
) -> None:
    shop, _, check = bad_rows
    at = str(FIRST + number)
    _, _, kind, reason = ROWS[number]
    place, what, remedy = (part.replace("ROW", at) for part in reason)
    assert reasons(shop)[number] == [at, place, what, remedy]
    # check shows the first three of a kind
    of_kind = [n for n, one in enumerate(ROWS) if one[2] == kind]
    if number in of_kind[:3]:
        alone = rf"row {at}\b.*: {re.escape(f'{what}; {remedy}')}(; likewise .*)?$"
        joined = rf"; likewise rows? ([^;]*\s)?{at}\b"
        assert re.search(alone, check.out, re.MULTILINE) or re.search(joined, check.out)
    head = re.compile(rf"hold +{re.escape(kind)} +{len(of_kind)}  ")
    assert sum(head.match(line) is not None for line in check.out.splitlines()) == 1


@pytest.mark.parametrize(("spoil", "kind", "reason"), [case[1:] for case in JOBS],
                         ids=[case[0] for case in JOBS])  # fmt: skip
def test_a_job_holds_one_row_of_three(
    shop: Shop, spoil: Spoil, kind: str, reason: Reason
) -> None:
    shop.row("1001,00043,Grace,photos/ada.png,1")
    spoil(shop)
    answer = shop.build()
    assert (answer.code, answer.err) == (HELD, "")
    assert reasons(shop) == [["3", *reason]]
    assert printed(shop) == ["orders!2#1", "orders!4#1"]
    assert answer.out.splitlines()[1:] == [f"1 row held (1 {kind}): see run/held.csv"]


def test_a_text_that_is_too_long(shop: Shop) -> None:
    shop.row(f"1001,00043,{LONG},photos/ada.png,1")
    assert shop.build().code == HELD
    ((at, place, what, remedy),) = reasons(shop)
    assert (at, place) == ("3", OWNER)
    assert what.startswith("'Wilhelmina-Wilhelmina-Wilhelmina-Wilh...' needs ")
    assert what.endswith(" mm at 6 pt squeezed to 90 %, the box is 36 x 6 mm")
    assert remedy == (
        "shorten the text, enlarge the box, or loosen min_size, squeeze or lines in the layout"
    )


def test_codes_that_cannot_carry_their_text(shop: Shop) -> None:
    """4006381333931 is a right EAN-13 (GS1's check digit, python-stdnum agrees), 2 is wrong."""
    from stdnum import ean

    assert ean.is_valid("4006381333931") and not ean.is_valid("4006381333932")
    shop.swap("tag.toml", '"qr"\nbox = [2, 3.5, 18, 18]', '"ean13"\nbox = [2, 14, 56, 10]')
    shop.swap("tag.toml", "box = [22, 10, 36, 6]", "box = [22, 8, 36, 6]")
    rows = ["4006381333931", "4006381333932", "40063ABC", "12"]
    shop.write("orders.csv", HEADING + "".join(f"1,{n},Ada,photos/ada.png,1\n" for n in rows))
    answer = shop.build()
    assert (answer.code, printed(shop)) == (HELD, ["orders!2#1"])
    assert [[at, what] for at, place, what, _ in reasons(shop) if place == NUMBER] == [
        ["3", "the check digit of EAN-13 4006381333932 is 2, but 400638133393 asks for 1"],
        ["4", "EAN-13 takes the digits 0 to 9 only, found 'A', 'B', 'C'"],
        ["5", "EAN-13 takes 13 digits, or 12 without the check digit; this number has 2"],
    ]


def test_two_reasons_of_one_row_are_numbered_alike(shop: Shop) -> None:
    shop.row("1001,00043,Ada 漢,photos/no.png,1")
    shop.build()
    ((_, place, what, remedy),) = reasons(shop)
    assert place.split("\n") == [f"1. {OWNER}", f"2. {PHOTO}"]
    assert [line[:3] for line in what.split("\n")] == ["1. ", "2. "]
    assert remedy.split("\n")[1] == f"2. {MISSING}"


def test_a_held_row_of_many_pieces_is_one_line(shop: Shop) -> None:
    shop.row("1001,00043,Ada 漢,photos/ada.png,7")
    assert "1 row held (1 missing-glyph)" in shop.build().out
    assert len(reasons(shop)) == 1


def test_a_run_of_which_everything_is_held(shop: Shop) -> None:
    shop.write("orders.csv", HEADING + "1001,00042,漢字,photos/ada.png,1\n")
    assert shop.build().code == HELD
    assert (printed(shop), len(reasons(shop))) == ([], 1)


def test_held_rows_mended_are_a_sheet_again(shop: Shop) -> None:
    """held.csv may stand in for the sheet once its cells are mended."""
    shop.row("1001,00043,Ada 漢,photos/ada.png,2")
    shop.build()
    held = (shop.path / "run/held.csv").read_text(encoding="utf-8-sig")
    shop.write("mended.csv", held.replace("Ada 漢", "Grace Hopper"))
    answer = shop.call("build", "job.toml", "--sheet", "mended.csv", "--out", "second",
                       "--workers", "1")  # fmt: skip
    assert answer.code == 0
    lines = (shop.path / "second/slots.jsonl").read_text(encoding="utf-8").splitlines()
    assert [json.loads(line)["texts"][0]["text"] for line in lines] == ["Grace Hopper"] * 2


def test_the_reasons_do_not_name_the_folder_they_were_found_in(shop: Shop) -> None:
    """The same input gives the same bytes, wherever the job's folder lies."""
    shop.write("orders.csv", SHEET.replace("photos/ada.png", "photos/bad.png"))
    shop.write("photos/bad.png", "hello")
    shop.build()
    held = (shop.path / "run/held.csv").read_text(encoding="utf-8-sig")
    assert len(reasons(shop)) == 3 and "shop" not in held
