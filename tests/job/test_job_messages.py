"""Every line a person reads when a job, layout, jig or bed file is wrong, in full.

The wording is this project's own, so the judge of it is the table itself; line numbers are
counted in ``conftest.py`` by hand.
"""

from __future__ import annotations

import pytest
from job_folder import JobFolder

from vardata.job.shipped import layouts_dir

JOB_FILE = [
    ('print_mode = "fine"', 'print_mode = "fien"',
     "job.toml:5, print_mode: the bed 'flatbed' has no print mode 'fien'; "
     "did you mean 'fine'? allowed: fine, draft"),
    ('print_mode = "fine"', 'prnit_mode = "fine"',
     "job.toml:5, prnit_mode: unknown key 'prnit_mode'; did you mean 'print_mode'?"),
    ('print_mode = "fine"\n', "",
     "job.toml, print_mode: the key 'print_mode' is missing; add it: one of the bed's print modes"),
    ("[columns]", "[colums]", "job.toml:12, colums: unknown key 'colums'; did you mean 'columns'?"),
    ("[columns]", "[zebra]\nx = 1\n[columns]",
     "job.toml:12, zebra: unknown key 'zebra'; allowed here: name, layout, jig, bed, print_mode, "
     "locale, keep_case, outside, sheet, columns, records, blanks, blank, personal, checks, "
     "expect, work, side_b, products, output, serials, ledger"),
    ("header_row = 2", 'header_row = "2"',
     "job.toml:10, sheet.header_row: found the text '2'; a whole number without quotes is wanted"),
    ("header_row = 2", "header_row = 2.5",
     "job.toml:10, sheet.header_row: found the number 2.5; a whole number is wanted"),
    ("header_row = 2", "header_row = true",
     "job.toml:10, sheet.header_row: found true; a whole number is wanted"),
    ("header_row = 2", "header_row = 0",
     "job.toml:10, sheet.header_row: 0 is out of range; it must be at least 1"),
    ("header_row = 2", 'encoding = "utf_9"',
     "job.toml:10, sheet.encoding: 'utf_9' is not a text encoding; did you mean 'utf-8'? allowed: "
     "utf-8, utf-16, cp1252, cp1250, cp1251, latin-1, mac-roman, shift_jis"),
    ("header_row = 2", 'encoding = "base64"',
     "job.toml:10, sheet.encoding: 'base64' is not a text encoding; allowed: "
     "utf-8, utf-16, cp1252, cp1250, cp1251, latin-1, mac-roman, shift_jis"),
    ("header_row = 2", 'delimiter = "::"',
     "job.toml:10, sheet.delimiter: '::' cannot part columns; "
     'write one character such as "," ";" or "\\t"'),
    ('kind = "code"', 'kind = "kode"',
     "job.toml:13, columns.number.kind: unknown value 'kode'; did you mean 'code'? "
     "allowed: auto, text, code"),
    ('kind = "code"', 'knid = "code"',
     "job.toml:13, columns.number.knid: unknown key 'knid'; did you mean 'kind'?"),
    ('owner = "Owner"', "owner = 3",
     "job.toml:14, columns.owner: 3 is not a column; write its heading, or a table like "
     '{ heading = "Item no", kind = "code" }'),
    ('owner = "Owner"', '"my owner" = "Owner"',
     "job.toml:14, columns.\"my owner\": 'my owner' cannot be a column's name in templates; "
     "use a-z, 0-9 and _, begin with a letter, and leave out the template's words"),
    ('name = "tags"', 'name = "tags/2024"',
     "job.toml:1, name: 'tags/2024' cannot name a job; use up to 80 of A-Z a-z 0-9 . _ - "
     "and begin with a letter or a digit"),
    ('name = "tags"', "name = 2024",
     "job.toml:1, name: found the number 2024; a text is wanted: write \"2024\""),
    ('name = "tags"', "name = 2024-01-31",
     "job.toml:1, name: found the date or time 2024-01-31; a text in \"quotes\" is wanted"),
    ('"tag.toml"', '"tgg.toml"',
     "job.toml:2, layout: there is no file 'tgg.toml'; did you mean 'tag.toml'?"),
    ('"tag.toml"', '"tag"',
     "job.toml:2, layout: unknown layout 'tag'; the file beside the job is called 'tag.toml'"),
    ('"tag.toml"', '"no/tag.toml"',
     "job.toml:2, layout: there is no file 'no/tag.toml'; there is no folder 'no' either"),
    ('"tag.toml"', '"art"', "job.toml:2, layout: unknown layout 'art'; shipped: {layouts}"),
    ('"jig.toml"', '"art"', "job.toml:3, jig: 'art' is a folder, not a file; name the file in it"),
    ('"jig.toml"', '"jig\\u0000.toml"',
     "job.toml:3, jig: 'jig\\x00.toml' cannot be a file's name; name a file"),
    ('"jig.toml"', '""', "job.toml:3, jig: the file's name is empty; name a file"),
    ('"jig.toml"', '"bed.toml"',
     "job.toml:3, jig: 'bed.toml' is a bed file; name a jig file here"),
    ('blank = "black"', 'blank = "blak"',
     "job.toml:6, blank: there is no blank 'blak'; did you mean 'black'? allowed: black, steel"),
    ('blank = "black"\n', "",
     "job.toml:19, blanks: the job has blanks, and nothing says which one a record is printed on; "
     'write blank = "black" at the top, or name a column in records.blank'),
    ('"dark"]', '"dark", " STEEL "]',
     "job.toml:25, blanks.steel: the blanks 'black' and 'steel' are both chosen by 'steel'; "
     "let each key, label and match choose one blank, whatever its capitals"),
    ('surface = "light"', 'label = "black  TAG"',
     "job.toml:26, blanks.steel.label: the blanks 'black' and 'steel' are both chosen by "
     "'black  TAG'; let each key, label and match choose one blank, whatever its capitals"),
    ('surface = "light"', 'match = ["iron", "Dark "]',
     "job.toml:26, blanks.steel.match[1]: the blanks 'black' and 'steel' are both chosen by "
     "'Dark '; let each key, label and match choose one blank, whatever its capitals"),
    ('surface = "light"', 'surface = "bright"',
     "job.toml:26, blanks.steel.surface: unknown value 'bright'; did you mean 'light'? "
     "allowed: light, dark, clear"),
    ('surface = "light"', 'substrate = "steel"',
     "job.toml:26, blanks.steel.substrate: 'steel' is not a colour for pictures; "
     'write one like "#202020"'),
    ("[blanks.steel]", "[[blanks.steel]]",
     "job.toml:25, blanks.steel: found a list of 1; write [steel] with one bracket"),
    ('"White", "Gloss"]', '"Wite", "Gloss"]',
     "job.toml:31, output.page_order[1]: the layout 'tag' has no plate 'Wite'; "
     "did you mean 'White'? allowed: Colour, White, Gloss"),
    ('"White", "Gloss"]', '"White", "White"]',
     "job.toml:31, output.page_order[2]: the plate 'White' comes twice; keep one of them"),
    ('"White", "Gloss"]', '"Gloss"]',
     "job.toml:31, output.page_order: the plate 'White' is left out; name every plate once"),
    ('pages = "apart"', 'pages = "together"',
     "job.toml:31, output.page_order: page_order is for plates on pages of their own, but all are "
     'on one page; write pages = "apart", or take it away'),
    ('"orders.csv"', '"order.csv"',
     "job.toml:9, sheet.file: there is no file 'order.csv'; did you mean 'orders.csv'?"),
    ('blank = "black"', 'blank = "black"\nlocale = "English"',
     'job.toml:7, locale: \'English\' is not a locale; write one like "en", "de" or "en-GB"'),
    ('blank = "black"', 'blank = "black"\nledger = "art"',
     "job.toml:7, ledger: 'art' is a folder, not a file; name a file for the ledger"),
]  # fmt: skip

OTHER_FILES = [
    ("jig.toml", '["B3"]', '["b3"]',
     "jig.toml:3, blocked[0]: there is no slot 'b3'; did you mean 'B3'? the grid has A1 to B3"),
    ("jig.toml", '["B3"]', '["A1", "B4"]',
     "jig.toml:3, blocked[1]: there is no slot 'B4'; the grid has A1 to B3"),
    ("jig.toml", '["B3"]', '["A1", "A2", "A3", "B1", "B2", "B3"]',
     "jig.toml:3, blocked: every slot of the jig is blocked; leave at least one open"),
    ("jig.toml", "pitch = [70, 35]", "pitch = [70, 35, 2]",
     "jig.toml:9, grid.pitch: found 3 numbers; 2 are wanted: along x, along y"),
    ("jig.toml", "pitch = [70, 35]", "pitch = 70",
     "jig.toml:9, grid.pitch: found the number 70; a list is wanted: [along x, along y]"),
    ("jig.toml", "[grid]", "[[grid]]",
     "jig.toml:6, grid: found a list of 1; write [grid] with one bracket"),
    ("jig.toml", 'fill = "serpentine"', 'slots = [{ name = "1", x = 3, y = 4 }]',
     "jig.toml:4, slots: the jig has both a grid and a list of slots; keep one of them"),
    ("jig.toml", 'name = "six"', 'name = "six/2"',
     "jig.toml:1, name: 'six/2' holds /, which a file's name cannot have; leave it out"),
    ("bed.toml", "dpi = [720, 1440]", "dpi = [20, 1440]",
     "bed.toml:7, modes.fine.dpi[0]: 20 is out of range; it must be at least 50"),
    ("bed.toml", "dpi = [720, 1440]", "dpi = [720, 1440]\nreduction = { colour = 0.07 }",
     "bed.toml:8, modes.fine.reduction.colour: the layout 'tag' has no plate 'colour'; "
     "did you mean 'Colour'? allowed: Colour, White, Gloss"),
    ("bed.toml", "dpi = [720, 1440]", "dpi = [720, 1440]\nreduction = { Colour = 0.017 }",
     "bed.toml:8, modes.fine.reduction.Colour: a reduction of 0.017 mm is less than half a dot "
     "(0.035 mm); write 0.035 mm or more, or take it away"),
    ("tag.toml", 'symbology = "qr"', 'symbology = "qr"\nreduction = 0.01',
     "tag.toml:44, fields[1].reduction, field 'number': a reduction of 0.01 mm is less than half "
     "a dot (0.035 mm); write 0.035 mm or more, or take it away"),
    ("tag.toml", 'symbology = "qr"', 'symbology = "qr"\napplication = "retail"',
     "tag.toml:44, fields[1].application, field 'number': GS1 states no size of 'qr' for 'retail'; "
     "take it away; stated for: ean13, upca, ean8, upce, databar-stacked-omni, databar-expanded, "
     "databar-expanded-stacked"),
    ("tag.toml", 'level = "Q"', 'level = "Q"\nwindow = 20',
     "tag.toml:45, fields[1].window, field 'number': a window for a logo takes modules away; only "
     'a QR code of level H makes up for it; write level = "H", or take it away'),
    ("tag.toml", 'symbology = "qr"\nlevel = "Q"', 'symbology = "aztec"\nmodules = "round"',
     "tag.toml:44, fields[1].modules, field 'number': the modules of 'aztec' cannot be round; "
     "take it away; allowed for: qr, datamatrix"),
    ("bed.toml", "width = 400", "width = 5081",
     "bed.toml:2, width: 5081 is out of range; it must be at most 5080"),
    ("bed.toml", 'White = "Undercoat"', 'white = "Undercoat"',
     "bed.toml:13, plate_names.white: the layout 'tag' has no plate 'white'; "
     "did you mean 'White'? allowed: Colour, White, Gloss"),
    ("bed.toml", 'White = "Undercoat"', 'White = "Gloss"',
     "bed.toml:13, plate_names.White: the plates 'White' and 'Gloss' are both called 'Gloss'; "
     "give each its own name"),
    ("bed.toml", 'White = "Undercoat"', 'White = "cyan"',
     "bed.toml:13, plate_names.White: 'cyan' cannot name a plate, because PDF means something else "
     "by it; choose another name"),
    ("bed.toml", 'White = "Undercoat"', 'White = "Weiß"',
     "bed.toml:13, plate_names.White: 'Weiß' has characters outside ASCII; "
     "use A-Z a-z 0-9 and signs only"),
    ("bed.toml", 'White = "Undercoat"', f'White = "{"W" * 64}"',
     "bed.toml:13, plate_names.White: the plate's name has 64 characters; at most 63 are allowed"),
]  # fmt: skip

CASES = [("job.toml", *case) for case in JOB_FILE] + OTHER_FILES


@pytest.mark.parametrize(("file", "old", "new", "line"), CASES)
def test_one_fault_gives_one_line(job: JobFolder, file: str, old: str, new: str, line: str) -> None:
    job.change(file, (old, new))
    layouts = ", ".join(sorted(path.stem for path in layouts_dir().glob("*.toml")))
    assert job.faults() == [line.replace("{layouts}", layouts)]


def test_every_fault_of_all_files_comes_at_once_in_the_order_of_files_and_lines(
    job: JobFolder,
) -> None:
    job.change("job.toml", ("quantity_max = 20", "quantity_max = 0"), ("[output]", "[ouput]"))
    job.change("tag.toml", ('role = "gloss"\ncover = "fields"', 'role = "colour"\ncover = "art"'))
    job.change("tag.toml", ("lines = 2", 'lines = "2"'), ("width = 60", "widht = 60"))
    job.change("jig.toml", ("rows = 2", "rows = 2 3"))
    job.change("bed.toml", ("[modes.fine]", "[modes.fein]"))
    job.change("bed.toml", ("width = 400", "widht = 400\ncolour = 3"))
    assert job.faults("order.csv") == [
        "job.toml:5, print_mode: the bed 'flatbed' has no print mode 'fine'; "
        "did you mean 'fein'? allowed: fein, draft",
        "job.toml:18, records.quantity_max: 0 is out of range; it must be at least 1",
        "job.toml:29, ouput: unknown key 'ouput'; did you mean 'output'?",
        "tag.toml:2, widht: unknown key 'widht'; did you mean 'width'?",
        "tag.toml:22, plates[2].cover: a colour plate cannot have the cover 'art'; allowed: none",
        "tag.toml:36, fields[0].lines, field 'owner': found the text '2'; "
        "a whole number without quotes is wanted",
        "tag.toml:58, fields[2].gloss, field 'frame': gloss is asked for, but the layout has no "
        'gloss plate; add a plate with role = "gloss", or take gloss away',
        "jig.toml:7: something follows the value in 'rows = 2 3'; "
        'put a text in "quotes", and each key on its own line',
        "bed.toml:2, widht: unknown key 'widht'; did you mean 'width'?",
        "bed.toml:3, colour: unknown key 'colour'; allowed here: name, width, height, modes, "
        "anchor_marks, plate_names",
        "order.csv: there is no such order sheet; did you mean 'orders.csv'?",
    ]


def test_a_key_after_a_table_header_is_sent_to_the_top_of_the_file(job: JobFolder) -> None:
    job.change("job.toml", ('print_mode = "fine"\n', ""))
    job.change("job.toml", ("[sheet]", '[sheet]\nprint_mode = "fien"'))
    assert job.faults() == [
        "job.toml:8, sheet.print_mode: unknown key 'print_mode'; "
        "'print_mode' belongs at the top of the file, before the first [table]",
        "job.toml:8, sheet.print_mode: the bed 'flatbed' has no print mode 'fien'; "
        "did you mean 'fine'? allowed: fine, draft",
    ]


def test_blanks_that_nothing_chooses_or_that_are_not_there(job: JobFolder) -> None:
    job.change("job.toml", ('blank = "black"\n', ""), ("[records]", '[records]\nblank = "owner"'))
    assert job.faults() == []
    text = (job.path / "job.toml").read_text()
    start, end = text.index("[blanks.black]"), text.index("[output]")
    job.write("job.toml", text[:start] + text[end:])
    assert job.faults() == [
        "job.toml:16, records.blank: a column chooses the blank, but the job has no blanks; "
        "add tables [blanks.<key>]",
    ]


def test_white_of_a_blank_needs_a_white_plate(job: JobFolder) -> None:
    job.change("tag.toml", ('name = "White"\nrole = "white"', 'name = "White"\nrole = "gloss"'))
    job.change("job.toml", ('white = "none"', 'white = "knockout"'))
    assert job.faults() == [
        "job.toml:27, blanks.steel.white: white is asked for, but the layout 'tag' has no white "
        'plate; add a plate with role = "white" to the layout, or write "none"',
    ]
    job.change("tag.toml", ('colour = "White"', 'colour = "white"'))
    assert (
        "tag.toml:37, fields[0].colour, field 'owner': the colour is white, but the layout has no "
        'white plate; add a plate with role = "white", or choose another colour'
    ) in job.faults()


def test_a_jig_without_pockets_and_one_with_the_same_name_twice(job: JobFolder) -> None:
    job.write("jig.toml", 'name = "none"\n')
    assert job.faults() == [
        "jig.toml, grid: the jig has no pockets; add a table [grid] or tables [[slots]]"
    ]
    job.write(
        "jig.toml",
        'name = "two"\nblocked = ["3"]\n[[slots]]\nname = "a"\nx = 1\ny = 1\n'
        '[[slots]]\nname = "A"\nx = 90\ny = 1\n',
    )
    assert job.faults() == [
        "jig.toml:2, blocked[0]: there is no slot '3'; allowed: a, A",
        "jig.toml:8, slots[1].name: a second slot is called 'A', first as 'a' on line 4; "
        "give each its own name",
    ]


def test_the_job_the_cases_are_made_from_is_good(job: JobFolder) -> None:
    assert job.faults() == []
