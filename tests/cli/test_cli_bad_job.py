"""What the command says of wrong job files, line by line, and that it leaves nothing behind.

The exit codes are those that README.md promises. The words are this program's own: a person
must learn from each line what is wrong, where, and how to mend it.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from badjob import LOGO, Shop, Spoil, every, png, remove, same, swap, write
from jobkit import called

from vardata.cli.main import main

JOB_FILE = 4
NO_SHEET = ("sheet missing", "link in a circle")  # the order sheet cannot be read: 5
FIELD_OWNER, FIELD_NUMBER, FIELD_PHOTO = "field 'owner'", "field 'number'", "field 'photo'"


def link(name: str, target: str) -> Spoil:
    return lambda shop: (shop.path / name).symlink_to(target)


def logo(old: str, new: str) -> Spoil:
    assert old in LOGO
    return write("art/logo.svg", LOGO.replace(old, new))


PNG_ART = swap("tag.toml", "logo.svg", "logo.png")
TEMPLATE = 'text = "{{ owner }}"'

CASES: list[tuple[str, Spoil, list[str]]] = [
    # ------------------------------------------------------------ the job file
    ("no job file", remove("job.toml"),
     ["job.toml: there is no such job file; check the name and the folder you are in"]),
    ("a folder for a job file", every(remove("job.toml"), write("job.toml/x", "")),
     ["job.toml: it is a folder, not a file; name the file in it"]),
    ("no TOML", write("job.toml", "name = tags\n"),
     ["job.toml:1: the value is neither a text nor a number in 'name = tags'; put a text in "
      '"quotes"']),
    ("no text at all", write("job.toml", b"PK\3\4\0\0\0\0"),
     ["job.toml: the file is no text; name a TOML file here"]),
    ("key misspelt", swap("job.toml", "print_mode", "print_mod"),
     ["job.toml:5, print_mod: unknown key 'print_mod'; did you mean 'print_mode'?"]),
    ("key unknown", swap("job.toml", "[sheet]", "frobnicate = 3\n[sheet]"),
     ["job.toml:8, frobnicate: unknown key 'frobnicate'; allowed here: name, layout, jig, bed, …"]),
    ("key twice", swap("job.toml", "[sheet]", 'blank = "black"\n[sheet]'),
     ["job.toml:8: the key is written twice in 'blank = \"black\"'; keep one of them"]),
    ("key missing", swap("job.toml", 'bed = "bed.toml"\n', ""),
     ["job.toml, bed: the key 'bed' is missing; add it: the bed file"]),
    ("typographic quotes", swap("job.toml", '"tags"', "“tags”"),
     ["job.toml:1: the text has typographic quotes in 'name = “tags”'; use the straight \""]),
    ("a layout for a job", every(remove("job.toml"), lambda s: s.write("job.toml",
     (s.path / "tag.toml").read_bytes())),
     ["job.toml: 'job.toml' is a layout file; name the job file"]),
    ("wrong unit", swap("tag.toml", "width = 60", 'width = "60 mn"'),
     ["tag.toml:2, width: unit 'mn' in '60 mn' is not known; use one of mm, cm, in, pt, um"]),
    ("unit without quotes", swap("tag.toml", "width = 60", "width = 60mm"),
     ["tag.toml:2: a number with a unit is a text in 'width = 60mm'; write \"60mm\""]),
    ("size without unit", swap("tag.toml", '\nsize = "10pt"', "\nsize = 10"),
     [f'tag.toml:23, fields[0].size, {FIELD_OWNER}: a font size needs its unit; write "10pt" or '
      '"10mm"']),
    ("length beyond reason", swap("tag.toml", "width = 60", "width = 1e300"),
     ["tag.toml:2, width: 1e+300 is out of range; it must be at most 100000"]),
    ("wrong type", swap("jig.toml", "rows = 2", 'rows = "2"'),
     ["jig.toml:5, grid.rows: found the text '2'; a whole number without quotes is wanted"]),
    ("value unknown", swap("job.toml", '"dark"', '"drak"'),
     ["job.toml:23, blanks.black.surface: unknown value 'drak'; did you mean 'dark'? allowed: "
      "light, dark, clear"]),
    ("blank unknown", swap("job.toml", '\nblank = "black"', '\nblank = "blac"'),
     ["job.toml:6, blank: there is no blank 'blac'; did you mean 'black'? allowed: black"]),
    ("print mode unknown", swap("job.toml", '"fine"', '"fien"'),
     ["job.toml:5, print_mode: the bed 'flatbed' has no print mode 'fien'; did you mean 'fine'? "
      "allowed: fine"]),
    ("locale unknown", swap("job.toml", "[sheet]", 'locale = "en_GG"\n[sheet]'),
     ["job.toml, locale: locale 'en_GG' is not known; did you mean 'en_GB'? allowed: cs_CZ, …"]),
    ("encoding unknown", swap("job.toml", "[sheet]", '[sheet]\nencoding = "utf-9"'),
     ["job.toml:9, sheet.encoding: 'utf-9' is not a text encoding; did you mean 'utf-8'? …"]),
    ("job's name", swap("job.toml", '"tags"', '"a/b"'),
     ["job.toml:1, name: 'a/b' cannot name a job; use up to 80 of A-Z a-z 0-9 . _ - and begin "
      "with a letter or a digit"]),
    ("two faults at once", every(swap("job.toml", '"fine"', '"fien"'),
                                 swap("tag.toml", "width = 60", "width = -60")),
     ["job.toml:5, print_mode: the bed 'flatbed' has no print mode 'fien'; did you mean 'fine'? "
      "allowed: fine",
      "tag.toml:2, width: -60 is out of range; it must be more than 0"]),
    # ------------------------------------------------------------ files that it names
    ("layout missing", remove("tag.toml"),
     ["job.toml:2, layout: there is no file 'tag.toml'; put it there, or mend the name, which "
      "starts from the folder of this file"]),
    ("layout misspelt", swap("job.toml", "tag.toml", "tags.toml"),
     ["job.toml:2, layout: there is no file 'tags.toml'; did you mean 'tag.toml'?"]),
    ("shipped layout", swap("job.toml", "tag.toml", "round-medl"),
     ["job.toml:2, layout: unknown layout 'round-medl'; did you mean 'round-medal'? shipped: …"]),
    ("shipped layout for a file", swap("job.toml", "tag.toml", "tag"),
     ["job.toml:2, layout: unknown layout 'tag'; the file beside the job is called 'tag.toml'"]),
    ("sheet missing", remove("orders.csv"),
     ["job.toml:9, sheet.file: there is no file 'orders.csv'; put it there, or mend the name, "
      "which starts from the folder of this file"]),
    ("sheet outside", every(swap("job.toml", "orders.csv", "../orders.csv"),
                            write("../orders.csv", "x")),
     ["job.toml:9, sheet.file: '../orders.csv' lies outside the folder 'SHOP'; move it into the "
      "folder, or set outside = true in the job file"]),
    ("link that leads outside", every(swap("job.toml", "orders.csv", "in.csv"),
                                      write("../out.csv", "x"), link("in.csv", "../out.csv")),
     ["job.toml:9, sheet.file: 'in.csv' lies outside the folder 'SHOP'; move it into the folder, "
      "or set outside = true in the job file"]),
    ("art by a link outside", every(remove("art/logo.svg"), write("../out.svg", LOGO),
                                   link("art/logo.svg", "../../out.svg")),
     ["tag.toml:15, art[0].file: 'art/logo.svg' lies outside the folder 'SHOP'; move it into the "
      "folder, or set outside = true in the job file"]),
    ("link in a circle", every(swap("job.toml", "orders.csv", "in.csv"), link("in.csv", "in.csv")),
     ["job.toml:9, sheet.file: 'in.csv' leads to no file; check its length and its links"]),
    ("ledger in no folder", swap("job.toml", "[sheet]", 'ledger = "no/l.sqlite"\n[sheet]'),
     ["job.toml:8, ledger: there is no folder for the ledger 'no/l.sqlite'; make the folder, or "
      "name a file in another"]),
    ("font unknown", swap("tag.toml", '"NotoSans-Regular"', '"NotoSans-Regulr"'),
     [f"tag.toml:22, fields[0].font, {FIELD_OWNER}: unknown font 'NotoSans-Regulr'; did you mean "
      "'NotoSans-Regular'? shipped: …"]),
    ("font missing", swap("tag.toml", '"NotoSans-Regular"', '"brush.ttf"'),
     [f"tag.toml:22, fields[0].font, {FIELD_OWNER}: there is no file 'brush.ttf'; put it there, "
      "or mend the name, which starts from the folder of this file"]),
    ("font that is none", every(swap("tag.toml", '"NotoSans-Regular"', '"brush.ttf"'),
                                write("brush.ttf", "hello")),
     [f"tag.toml:22, fields[0].font, {FIELD_OWNER}: 'brush.ttf' is not a font; use a .ttf or .otf "
      "file"]),
    # ------------------------------------------------------------ art
    ("art missing", remove("art/logo.svg"),
     ["tag.toml:15, art[0].file: there is no file 'art/logo.svg'; put it there, or mend the name, "
      "which starts from the folder of this file"]),
    ("art that is no SVG", write("art/logo.svg", "hello"),
     ["tag.toml:15, art[0].file: 'art/logo.svg' does not hold what its suffix .svg says; save the "
      "picture again in the program it was made with"]),
    ("SVG cut off", write("art/logo.svg", "<svg><path d='"),
     ["art/logo.svg:1: this is not well-formed XML (AttValue: ' expected); save the drawing again "
      "as plain SVG"]),
    ("SVG with text", logo("<path", '<text x="1" y="1">hello</text><path'),
     ["art/logo.svg:1, <text>: text would need its font; convert the text to outlines (paths) in "
      "the drawing program"]),
    ("SVG with HTML", logo("<path", "<foreignObject/><path"),
     ["art/logo.svg:1, <foreignObject>: it holds what is not SVG; draw it with shapes"]),
    ("SVG with an effect", logo("<path", '<filter id="f"/><path filter="url(#f)"'),
     ["art/logo.svg:1, <path>: filter: 'url(#f)' cannot be printed; remove the effect, or save "
      "the art as PNG"]),
    ("art past the item", swap("tag.toml", "[44, 2, 14, 6]", "[50, 2, 14, 6]"),
     ["tag.toml: 'art/logo.svg' passes the item's outline, and the layout allows no bleed; make "
      'it smaller, or raise "bleed" in the layout']),
    ("PNG cut off", every(PNG_ART, write("art/logo.png", png()[:100])),
     ["art/logo.png: the picture is cut short; copy or export the file again"]),
    ("art that is no PNG", every(PNG_ART, write("art/logo.png", "hello")),
     ["tag.toml:15, art[0].file: 'art/logo.png' does not hold what its suffix .png says; save the "
      "picture again in the program it was made with"]),
    ("the layout's own picture is missing", swap("tag.toml", "{{ photo }}", "photos/tree.png"),
     [f"tag.toml, {FIELD_PHOTO}: the picture 'photos/tree.png' is not there; put it there, below "
      "the job's folder, or mend the name in the layout"]),
    ("the layout's own picture is none", every(swap("tag.toml", "{{ photo }}", "photos/tree.png"),
     write("photos/tree.png", "hello")),
     [f"tag.toml, {FIELD_PHOTO}: the picture 'photos/tree.png' cannot be printed: the file "
      "is none of PNG, JPEG, TIFF, WebP and HEIF; save it again as PNG or JPEG"]),
    # ------------------------------------------------------------ the layout
    ("box outside", swap("tag.toml", "[22, 10, 36, 6]", "[22, 10, 46, 6]"),
     [f"tag.toml:25, fields[0].box, {FIELD_OWNER}: the box reaches 8 mm over the right edge of "
      "the item (60 x 25 mm); move it or make it smaller"]),
    ("field without its kind of code", swap("tag.toml", 'symbology = "qr"\n', ""),
     [f"tag.toml:28, fields[1].symbology, {FIELD_NUMBER}: the key 'symbology' is missing; add it: "
      "the kind of code"]),
    ("kind of code unknown", swap("tag.toml", '"qr"', '"qrcode"'),
     [f"tag.toml:32, fields[1].symbology, {FIELD_NUMBER}: unknown value 'qrcode'; did you mean "
      "'qr'? allowed: qr, …"]),
    ("code at an angle", swap("tag.toml", "[2, 3.5, 18, 18]", "[6, 7, 10, 10]\nrotation = 45"),
     [f"tag.toml:34, fields[1].rotation, {FIELD_NUMBER}: a code cannot be turned by 45 degrees, "
      "off the machine's dots; allowed: 0, 90, 180, 270"]),
    ("fields of one name", swap("tag.toml", 'name = "number"', 'name = "owner"'),
     [f"tag.toml:30, fields[1].name, {FIELD_OWNER}: a second field is called 'owner', first on "
      "line 20; give each its own name"]),
    ("colour unknown", swap("tag.toml", 'colour = "White"', 'colour = "Whit"'),
     [f"tag.toml:26, fields[0].colour, {FIELD_OWNER}: unknown colour 'Whit'; did you mean "
      "'white'? allowed: …"]),
    ("a code in gloss", every(
        swap("tag.toml", "[[art]]", '[[plates]]\nname = "Shine"\nrole = "gloss"\n\n[[art]]'),
        swap("tag.toml", "[2, 3.5, 18, 18]", '[2, 3.5, 18, 18]\ncolour = "Shine"')),
     [f"tag.toml:38, fields[1].colour, {FIELD_NUMBER}: no scanner sees a code of gloss, and "
      "'Shine' is a gloss plate; choose a process colour, or white"]),
    ("template with one brace", swap("tag.toml", TEMPLATE, 'text = "{{ owner }"'),
     [f"tag.toml, fields[0].text, {FIELD_OWNER}: the template '{{{{ owner }}' cannot be read: "
      "unexpected '}'; a column is written as \"{{ name }}\""]),
    ("template with a heading", swap("tag.toml", TEMPLATE, 'text = "{{ Asset no }}"'),
     [f"tag.toml, fields[0].text, {FIELD_OWNER}: the template '{{{{ Asset no }}}}' cannot be "
      "read: 'no' stands where }} was expected; a name in {{ }} is of one word: write first_name, "
      "or name the heading under [columns]"]),
    ("template without its end", swap("tag.toml", TEMPLATE, 'text = "{% if owner %}x"'),
     [f"tag.toml, fields[0].text, {FIELD_OWNER}: the template '{{% if owner %}}x' cannot be read: "
      "{% if %} is never closed; end it with {% endif %}"]),
    ("filter unknown", swap("tag.toml", TEMPLATE, 'text = "{{ owner|uper }}"'),
     [f"tag.toml, fields[0].text, {FIELD_OWNER}: the template '{{{{ owner|uper }}}}' cannot be "
      "read: there is no filter 'uper'; did you mean 'upper'?"]),
    # ------------------------------------------------------------ jig and bed
    ("slots off the bed", swap("bed.toml", "width = 150", "width = 120"),
     ["jig.toml: the items in 2 slots (A2, B2) reach past the bed (120 x 100 mm) with their bleed, "
      "by up to 20.00 mm over the right edge (A2); move the grid or the slots, block them, or "
      "choose a larger bed"]),
    # 5 x 25 mm lie on top of each other: pitch 55, items 60 wide.
    ("slots that overlap", swap("jig.toml", "[70, 35]", "[55, 35]"),
     ["jig.toml: the items in 2 pairs of slots (A1 and A2, B1 and B2) overlap, by up to 125.00 mm² "
      "(bleed included); widen the pitch, move the slots or block some of them"]),
    ("no slot left", swap("jig.toml", "[grid]", 'blocked = ["A1", "A2", "B1", "B2"]\n[grid]'),
     ["jig.toml:4, blocked: every slot of the jig is blocked; leave at least one open"]),
    ("slot that is not there", swap("jig.toml", "[grid]", 'blocked = ["a1"]\n[grid]'),
     ["jig.toml:4, blocked[0]: there is no slot 'a1'; did you mean 'A1'? the grid has A1 to B2"]),
    ("item too large", swap("jig.toml", "pocket = [60, 25]", "pocket = [50, 25]"),
     ["jig.toml, pocket: the item is 60 x 25 mm, the jig's pocket 50 x 25 mm; choose the jig that "
      "was made for this item"]),
]  # fmt: skip


@pytest.mark.parametrize(("name", "spoil", "lines"), CASES, ids=[case[0] for case in CASES])
def test_a_wrong_job_is_told_and_nothing_is_written(
    shop: Shop, name: str, spoil: Spoil, lines: list[str]
) -> None:
    spoil(shop)
    code = 5 if name in NO_SHEET else JOB_FILE
    before = shop.state()
    for answer in (shop.build(), shop.check(), shop.preview()):
        assert same(answer.lines, shop.told(lines)), answer.err
        assert (answer.code, answer.out) == (code, "")
    assert shop.state() == before


def test_the_job_that_is_spoilt_is_good(shop: Shop) -> None:
    """Without this a table of faults would prove little."""
    before = shop.state()
    assert (shop.check().code, shop.build().code) == (0, 0)
    new = set(shop.state()) - set(before)
    assert "run/run.json" in new
    assert {name.split("/")[0] for name in new} == {"run"}


def test_a_file_in_another_encoding(shop: Shop) -> None:
    text = (shop.path / "job.toml").read_text().replace("black tag", "schwärz")
    shop.write("job.toml", text.encode("latin-1"))
    assert shop.check() == (4, "", "job.toml:22: the file is not in UTF-8; save it as UTF-8 in the "
                                   "editor\n")  # fmt: skip


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("jobb.toml", "jobb.toml: there is no such job file; did you mean 'job.toml'?"),
        ("orders.csv", "orders.csv: an order sheet is no job file; name the job file; the order "
         "sheet is named in it, or with --sheet"),
        ("tag.toml", "tag.toml: 'tag.toml' is a layout file; name the job file"),
        (".", ".: it is a folder, not a file; name the file in it"),
        ("no/job.toml", "no/job.toml: there is no such job file; there is no folder 'no' either"),
    ],
)  # fmt: skip
def test_another_file_named_for_the_job(shop: Shop, name: str, line: str) -> None:
    assert shop.call("check", name) == (JOB_FILE, "", line + "\n")


def test_a_jig_whose_pitch_is_wrong_by_a_unit_is_told_in_few_lines(shop: Shop) -> None:
    """4,000 slots, each on top of thousands of others: more pairs than memory holds."""
    shop.swap("jig.toml", "rows = 2\ncolumns = 2\npitch = [70, 35]",
              "rows = 100\ncolumns = 40\npitch = [0.7, 0.35]")  # fmt: skip
    answer = shop.check()
    assert answer.code == JOB_FILE
    assert len(answer.lines) == 1
    assert answer.lines[0].startswith("jig.toml: the items in 100 or more pairs of slots (A1 and ")


def test_faults_are_told_from_another_folder_too(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.swap("tag.toml", "width = 60", "width = 0")
    monkeypatch.chdir(shop.path.parent)
    assert called(main, ("check", str(Path("shop/job.toml")))).lines == [
        "shop/tag.toml:2, width: 0 is out of range; it must be more than 0"
    ]
