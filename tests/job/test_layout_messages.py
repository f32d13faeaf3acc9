"""Every line a person reads when a layout file is wrong, in full. See ``test_job_messages``."""

from __future__ import annotations

import pytest
from job_folder import JobFolder

from vardata.job.shipped import fonts_dir

INKS = (
    "black, grey, cyan, magenta, yellow, red, green, blue, orange, purple, brown, white, White, "
    "Gloss"
)
FONTS = ", ".join(sorted(path.stem for path in fonts_dir().glob("*.[ot]tf")))
CODES = (
    "qr, microqr, rmqr, datamatrix, datamatrix-rectangular, aztec, pdf417, code128, code39, "
    "code93, codabar, itf, itf14, ean13, ean8, upca and 7 more"
)
ITEM = "of the item (60 x 25 mm and its bleed of 0.5 mm); move it or make it smaller"

CASES = [
    ('role = "colour"', 'role = "colour"\ndensity = 80',
     "tag.toml:12, plates[0].density: density is for plates with the role white or gloss; "
     "take it away"),
    ('role = "gloss"', 'role = "gloss"\nunder = "texts"',
     "tag.toml:22, plates[2].under: under is for plates with the role white; take it away"),
    ('file = "art/logo.svg"', 'file = "art/logo.svg"\nwhite_by = "ink"\nsoft_edges = "tint"',
     'tag.toml:27, art[0].soft_edges: soft_edges = "tint" keeps what is see-through, and '
     'white_by = "ink" asks for ink; take one of the two away'),
    ('role = "gloss"', 'role = "gloss"\nspread = 0.1',
     "tag.toml:22, plates[2].spread: spread is for plates with the role white; take it away"),
    ('role = "colour"', 'role = "colour"\nchoke_texts = 0.1',
     "tag.toml:12, plates[0].choke_texts: choke_texts is for plates with the role white; take it "
     "away"),
    ('choke = 0.06', 'choke = 0.06\nspread = 0.1',
     "tag.toml:17, plates[1].choke: the plate 'White' has a spread and a choke; "
     "take one of the two away"),
    ('cover = "art"\nchoke = 0.06', 'cover = "flood"\nspread = 0.1',
     "tag.toml:17, plates[1].spread: spread says nothing of a plate with the cover 'flood'; "
     "take it away"),
    ('choke = 0.06', 'choke = "2 steps"',
     "tag.toml:17, plates[1].choke: unit 'steps' in '2 steps' is not known; use one of mm, cm, "
     "in, pt, um or dots"),
    ('choke = 0.06', 'choke = "-2 dots"',
     "tag.toml:17, plates[1].choke: '-2 dots' is out of range; it must be at least 0"),
    ("choke = 0.06", "choke = 8",
     "tag.toml:17, plates[1].choke: a choke of 8 mm is more than 1 mm; write it in mm: 0.05 to 0.2 "
     "is usual"),
    ("choke = 0.06", "choke = 0.06\nchoke_texts = 1.01",
     "tag.toml:18, plates[1].choke_texts: a choke of 1.01 mm is more than 1 mm; write it in mm: "
     "0.05 to 0.2 is usual"),
    ("choke = 0.06", 'choke = 0.06\nchoke_holes = "0.2in"',
     "tag.toml:18, plates[1].choke_holes: a choke of 5.08 mm is more than 1 mm; write it in mm: "
     "0.05 to 0.2 is usual"),
    ("choke = 0.06", "spread = 2",
     "tag.toml:17, plates[1].spread: a spread of 2 mm is more than 1 mm; write it in mm: 0.05 to "
     "0.2 is usual"),
    ("choke = 0.06", 'choke = "80 dots"',
     "tag.toml:17, plates[1].choke: a choke of 80 dots is more than 30 dots; write it in mm: 0.05 "
     "to 0.2 is usual"),
    ('role = "gloss"', 'role = "gloss"\nbleed = "2 dots"',
     "tag.toml:22, plates[2].bleed: unit 'dots' in '2 dots' is not known; use one of mm, cm, in, "
     "pt, um"),
    ('choke = 0.06', 'choke = 0.06\npattern = "art/logo.svg"',
     "tag.toml:18, plates[1].pattern: pattern is for plates with the role gloss; take it away"),
    ('role = "gloss"', 'role = "gloss"\npattern = "art/logo.png"',
     "tag.toml:22, plates[2].pattern: 'art/logo.png' is no SVG; draw the tile as SVG"),
    ('role = "gloss"', 'role = "gloss"\npattern = "art/tile.svg"',
     "tag.toml:22, plates[2].pattern: there is no file 'art/tile.svg'; put it there, or mend the "
     "name, which starts from the folder of this file"),
    ("width = 60", "width = 0",
     "tag.toml:2, width: 0 is out of range; it must be more than 0"),
    ('"2.5cm"', '"2,5cm"',
     "tag.toml:3, height: '2,5cm' is not a length; write a number of mm or a text like \"2.5in\""),
    ('"2.5cm"', "inf", "tag.toml:3, height: inf is no number to work with; write a plain number"),
    ('"2.5cm"', '"25 ells"',
     "tag.toml:3, height: unit 'ells' in '25 ells' is not known; use one of mm, cm, in, pt, um"),
    ('outline = "rounded"\ncorner = "3mm"', 'outline = "path"',
     'tag.toml:4, outline: outline = "path" needs the key path; write SVG path data in item mm, '
     'y up, such as "M 0 0 L 40 0 L 20 30 Z"'),
    ('outline = "rounded"\ncorner = "3mm"', 'outline = "path"\npath = "M 0 0 L 9 banana"',
     "tag.toml:5, path: 'M 0 0 L 9 banana' is not SVG path data; write it in item mm, y up, such "
     'as "M 0 0 L 40 0 L 20 30 Z"'),
    ('outline = "rounded"\ncorner = "3mm"', 'outline = "path"\npath = "M0 0L70 0L30 25Z"',
     "tag.toml:5, path: the path reaches from 0, 0 to 70, 25 mm; "
     "keep it inside the item, 0, 0 to 60, 25 mm"),
    ('outline = "rounded"\ncorner = "3mm"', 'path = "M0 0L60 0L30 25Z"',
     "tag.toml:4, path: there is a path, but the outline is 'rectangle'; "
     'write outline = "path", or take it away'),
    ('corner = "3mm"\n', "",
     'tag.toml:4, outline: outline = "rounded" needs a corner radius; '
     "write corner = 2, for example"),
    ('outline = "rounded"\n', "",
     "tag.toml:4, corner: there is a corner radius, but the outline is 'rectangle'; "
     'write outline = "rounded", or take it away'),
    ('outline = "rounded"\ncorner = "3mm"', 'outline = "circle"',
     "tag.toml:4, outline: a circle cannot be 60 x 25 mm; "
     'make width and height equal, or write outline = "ellipse"'),
    ('"NotoSerif-Regular"]', '"NotoSerif-Regluar"]',
     "tag.toml:7, fonts.body[1]: unknown font 'NotoSerif-Regluar'; "
     f"did you mean 'NotoSerif-Regular'? shipped: {FONTS}"),
    ('["NotoSans-Regular", "NotoSerif-Regular"]', "[]",
     "tag.toml:7, fonts.body: the list of fonts is empty; name at least one"),
    ('font = "body"', 'font = "Arial"',
     f"tag.toml:32, fields[0].font, field 'owner': unknown font 'Arial'; shipped: {FONTS}"),
    ('font = "body"', 'font = "boddy"',
     "tag.toml:32, fields[0].font, field 'owner': unknown font 'boddy'; "
     f"did you mean 'body' of the layout's fonts? shipped: {FONTS}"),
    ('font = "body"', 'font = "NotoSans-Bold.ttf"',
     "tag.toml:32, fields[0].font, field 'owner': there is no file 'NotoSans-Bold.ttf'; "
     "the shipped font is called 'NotoSans-Bold'"),
    ('cover = "fields"', 'cover = "knockout"',
     "tag.toml:22, plates[2].cover: a gloss plate cannot have the cover 'knockout'; "
     "allowed: none, fields, art, flood, inverse"),
    ('name = "Gloss"', 'name = "White"',
     "tag.toml:20, plates[2].name: a second plate is called 'White', first on line 14; "
     "give each its own name"),
    ("choke = 0.06", "choke = -0.06",
     "tag.toml:17, plates[1].choke: -0.06 is out of range; it must be at least 0"),
    ('"art/logo.svg"', '"art/lgo.svg"',
     "tag.toml:25, art[0].file: there is no file 'art/lgo.svg'; did you mean 'art/logo.svg'?"),
    ('"art/logo.svg"', "'art\\logo.svg'",
     "tag.toml:25, art[0].file: there is no file 'art\\\\logo.svg'; write / instead of \\"),
    ('"art/logo.svg"', '"art/logo.gif"',
     "tag.toml:25, art[0].file: 'art/logo.gif' is not a picture file that can be placed; "
     "allowed: .svg, .png, .jpg, .jpeg, .tif, .tiff, .webp, .heic, .heif, .pdf, .eps"),
    ("box = [40, 2, 16, 8]", "box = [60, 2, 16, 8]",
     "tag.toml:26, art[0].box: the box lies beside the item (60 x 25 mm); move it onto the item"),
    ('type = "text"', 'type = "txt"',
     "tag.toml:29, fields[0].type, field 'owner': unknown value 'txt'; did you mean 'text'? "
     "allowed: text, code, picture, shape"),
    ('type = "text"', 'type = "label"',
     "tag.toml:29, fields[0].type, field 'owner': unknown value 'label'; "
     "allowed: text, code, picture, shape"),
    ('type = "text"', 'tpye = "text"',
     "tag.toml:29, fields[0].tpye, field 'owner': unknown key 'tpye'; did you mean 'type'?"),
    ('type = "text"\n', "",
     "tag.toml:28, fields[0].type, field 'owner': the key 'type' is missing; "
     "add it: what the field holds: text, code, picture or shape"),
    ('size = "10pt"\nmin_size', 'size = 10\nmin_size',
     "tag.toml:33, fields[0].size, field 'owner': a font size needs its unit; "
     'write "10pt" or "10mm"'),
    ('"6pt"', '"60pt"',
     "tag.toml:34, fields[0].min_size, field 'owner': the smallest size, 60pt, is larger than the "
     "size, 10pt; make it smaller"),
    ("lines = 2", 'lines = 2\nfit = ["shrink", "lines", "shrink"]',
     "tag.toml:37, fields[0].fit[2], field 'owner': the step 'shrink' comes twice; "
     "keep one of them"),
    ("lines = 2", 'lines = 2\nfit = ["shrnk"]',
     "tag.toml:37, fields[0].fit[0], field 'owner': unknown value 'shrnk'; did you mean 'shrink'? "
     "allowed: shrink, lines, smaller, tracking, squeeze"),
    ("lines = 2", 'features = ["smallcaps"]',
     "tag.toml:36, fields[0].features[0], field 'owner': 'smallcaps' is no feature; "
     'write its tag, such as "smcp", or "-liga" for off'),
    ("lines = 2", "lines = 2\narc = { radius = 8 }",
     "tag.toml:36, fields[0].lines, field 'owner': text on a line that bends (arc) takes no lines; "
     "take one of the two away"),
    ("lines = 2", 'along = "M 4 4"',
     "tag.toml:36, fields[0].along, field 'owner': 'M 4 4' is no line in SVG path data; "
     'write it in item mm, y up, such as "M 5 10 C 20 20 40 20 55 10"'),
    ("lines = 2", 'arc = { radius = 8 }\nalong = "M 4 4 L 20 4"',
     "tag.toml:37, fields[0].along, field 'owner': there is an arc too; keep one of them"),
    ("lines = 2", 'lines = 2\nfit = ["tracking"]\ntracking = -30',
     "tag.toml:37, fields[0].fit[0], field 'owner': tightest, -20, is no closer than tracking, "
     "-30; make it smaller"),
    ("lines = 2", "lines = 21",
     "tag.toml:36, fields[0].lines, field 'owner': 21 is out of range; it must be at most 20"),
    ('colour = "White"', 'colour = "Whit"',
     "tag.toml:37, fields[0].colour, field 'owner': unknown colour 'Whit'; did you mean 'white'? "
     f'allowed: {INKS}, "#rrggbb" or [c, m, y, k] in percent'),
    ('colour = "White"', 'colour = "#ff00"',
     "tag.toml:37, fields[0].colour, field 'owner': '#ff00' is not a colour; "
     'write a name like "black", a "#rrggbb" or [c, m, y, k] in percent'),
    ('colour = "White"', "colour = [0, 0, 100]",
     "tag.toml:37, fields[0].colour, field 'owner': [0, 0, 100] is not a colour; "
     "write [c, m, y, k], four percentages"),
    ('colour = "White"', 'colour = "Colour"',
     "tag.toml:37, fields[0].colour, field 'owner': the plate 'Colour' holds all process colours; "
     f"name one of them; allowed: {INKS}"),
    ('name = "number"', 'name = "Owner"',
     "tag.toml:41, fields[1].name, field 'Owner': a second field is called 'Owner', "
     "first as 'owner' on line 30; give each its own name"),
    ('symbology = "qr"\nlevel = "Q"', 'symbology = "EAN-13"',
     "tag.toml:43, fields[1].symbology, field 'number': unknown value 'EAN-13'; "
     f"did you mean 'ean13'? allowed: {CODES}"),
    ('symbology = "qr"', 'symbology = "code128"',
     "tag.toml:44, fields[1].level, field 'number': the Code 128 has no level 'Q' that "
     "can be chosen; take it away"),
    ('symbology = "qr"', 'symbology = "rmqr"',
     "tag.toml:44, fields[1].level, field 'number': the rectangular Micro QR code has no level "
     "'Q' that can be chosen; allowed: M, H"),
    ('level = "Q"', "columns = 3",
     "tag.toml:44, fields[1].columns, field 'number': 'qr' has no columns that can be chosen; "
     "take it away; allowed for: pdf417, databar-expanded-stacked"),
    ('symbology = "qr"\nlevel = "Q"', 'symbology = "code128"\ngs1 = "link"',
     "tag.toml:44, fields[1].gs1, field 'number': 'code128' does not carry GS1 data as 'link'; "
     "take it away; allowed for: qr, datamatrix, datamatrix-rectangular"),
    ('level = "Q"', 'link_domain = "https://example.com"',
     "tag.toml:44, fields[1].link_domain, field 'number': there is a domain for links, but the "
     'code is no link; write gs1 = "link"'),
    ('level = "Q"', "check_digit = true",
     "tag.toml:44, fields[1].check_digit, field 'number': 'qr' has no check digit that can be "
     "chosen; take it away; allowed for: code39, itf"),
    ('level = "Q"', "text_line = true",
     "tag.toml:44, fields[1].text_line, field 'number': a QR code has no text line; "
     "add a field of type text"),
    ('level = "Q"', 'guard_bars = "long"',
     "tag.toml:44, fields[1].guard_bars, field 'number': 'qr' has no guard bars that could be "
     "longer; take it away; allowed for: ean13, ean8, upca, upce"),
    ('symbology = "qr"\nlevel = "Q"', 'symbology = "ean13"\nguard_bars = "long"',
     "tag.toml:44, fields[1].guard_bars, field 'number': guard bars go with the digits, and the "
     "code shows none; write text_line = true, or take it away"),
    ('level = "Q"', "module = 0.2",
     "tag.toml:44, fields[1].module, field 'number': the largest module, 0.2 mm, is smaller than "
     "the smallest, 0.25 mm; make it larger"),
    ("    18,\n    18,\n", "    18,\n    -18,\n",
     "tag.toml:49, fields[1].box[3], field 'number': -18 is out of range; it must be more than 0"),
    ("    18,\n    18,\n", "    18,\n",
     "tag.toml:45, fields[1].box, field 'number': found 3 numbers; "
     "4 are wanted: x, y, width, height"),
    ("    18,\n    18,\n", "    18,\n    28,\n",
     "tag.toml:45, fields[1].box, field 'number': the box reaches 6 mm over the upper edge "
     + ITEM),
    ('shape = "rectangle"\nstroke = [0, 50, 100, 0]', 'shape = "rectangle"',
     "tag.toml:55, fields[2].shape, field 'frame': the shape has neither a fill nor a stroke; "
     'write fill = "black", for example'),
    ('shape = "rectangle"', 'shape = "path"',
     "tag.toml:55, fields[2].shape, field 'frame': shape = \"path\" needs the key path; "
     'write SVG path data in item mm, y up, such as "M 0 0 L 40 0 L 20 30 Z"'),
    ("stroke = [0, 50, 100, 0]", "stroke = [0, 50, 100, 255]",
     "tag.toml:56, fields[2].stroke, field 'frame': 255 in [0, 50, 100, 255] is not a percentage; "
     "write 0 to 100"),
    ("gloss = true", 'gloss = "true"',
     "tag.toml:58, fields[2].gloss, field 'frame': found the text 'true'; "
     "write true without quotes"),
    ('[[fields]]\ntype = "shape"', '[[field]]\ntype = "shape"',
     "tag.toml:52, field: unknown key 'field'; did you mean 'fields'?"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line"), CASES)
def test_one_fault_gives_one_line(job: JobFolder, old: str, new: str, line: str) -> None:
    job.change("tag.toml", (old, new))
    assert job.faults() == [line]


def test_values_under_a_misspelt_key_are_judged_too(job: JobFolder) -> None:
    job.change("tag.toml", ('colour = "White"', 'color = "Glos"'))
    assert job.faults() == [
        "tag.toml:37, fields[0].color, field 'owner': unknown key 'color'; did you mean 'colour'?",
        "tag.toml:37, fields[0].color, field 'owner': unknown colour 'Glos'; "
        f"did you mean 'Gloss'? allowed: {INKS}, \"#rrggbb\" or [c, m, y, k] in percent",
    ]


def test_a_code_at_an_odd_angle(job: JobFolder) -> None:
    job.change("tag.toml", ('level = "Q"', "rotation = 30"))
    job.change("tag.toml", ("    18,\n    18,\n", "    9,\n    9,\n"))
    assert job.faults() == [
        "tag.toml:44, fields[1].rotation, field 'number': a code cannot be turned by 30 degrees, "
        "off the machine's dots; allowed: 0, 90, 180, 270",
    ]
