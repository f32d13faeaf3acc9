"""Every line a person reads when a box or a line named in the art is not there to be used."""

from __future__ import annotations

import pytest
from job_folder import JobFolder

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="16mm" height="8mm" viewBox="0 0 160 80">'
DRAWING = f"""{HEAD}
<g id="guides">
  <rect id="name" x="10" y="10" width="100" height="30"/>
  <path id="ribbon" d="M 10 60 C 40 40 80 70 120 60"/>
  <path id="dashes" d="M 10 60 L 20 60 M 30 60 L 40 60"/>
  <rect id="flat" width="10" height="0"/>
  <path id="spot" d="M 10 10 L 10 10"/>
  <circle id="twin" r="4"/><circle id="twin" r="4"/>
</g>
<text id="words">Sample</text>
<clipPath id="cut"><rect id="within" width="9" height="9"/></clipPath>
<rect id="styled" width="9" height="9" style="transform: rotate(9deg)"/>
<image id="photo" width="30" height="30"/>
</svg>"""
SHAPES = "name, ribbon, dashes, flat, spot, twin, within, styled, photo"
BOX = "tag.toml:35, fields[0].box, field 'owner': "
LINE = "tag.toml:36, fields[0].along, field 'owner': "


def others(name: str) -> str:
    left = ", ".join(one for one in SHAPES.split(", ") if one != name)
    return f"name a shape with a place of its own: {left}"


CASES = [
    ("#nmae", "there is no element 'nmae' in art/logo.svg; did you mean 'name'? "
              f"allowed: {SHAPES}"),
    ("#zzzzz", f"there is no element 'zzzzz' in art/logo.svg; allowed: {SHAPES}"),
    ("#words", f"the element 'words' in art/logo.svg is a <text>, which is no shape; "
               f"{others('words')}"),
    ("#guides", f"the element 'guides' in art/logo.svg is a <g>, which is no shape; "
                f"{others('guides')}"),
    ("#flat", f"the element 'flat' in art/logo.svg has no area; {others('flat')}"),
    ("#twin", f"the element 'twin' in art/logo.svg is there 2 times; {others('twin')}"),
    ("#within", "the element 'within' in art/logo.svg lies in a <clipPath>, which has no place of "
                f"its own; {others('within')}"),
    ("#styled", "the element 'styled' in art/logo.svg has a transform in a style, write it as an "
                f"attribute; {others('styled')}"),
    ("art/lgo.svg#name", "there is no drawing 'art/lgo.svg' among the art; did you mean "
                         "'art/logo.svg'? allowed: art/logo.svg"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "line"), CASES)
def test_a_box_that_is_not_in_the_drawing(job: JobFolder, name: str, line: str) -> None:
    job.write("art/logo.svg", DRAWING)
    job.change("tag.toml", ("box = [22, 14, 34, 6]", f'box = "{name}"'))
    assert job.faults() == [BOX + line]


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("spot", "has no length"),
        ("dashes", "has 2 lines, and a text stands on one"),
        ("photo", "is an <image>, which is no line"),
    ],
)
def test_a_line_that_is_not_in_the_drawing(job: JobFolder, name: str, what: str) -> None:
    job.write("art/logo.svg", DRAWING)
    box = "box = [22, 14, 34, 6]"
    job.change("tag.toml", (f"{box}\nlines = 2", f'{box}\nalong = "#{name}"'))
    (line,) = job.faults()
    assert line == f"{LINE}the element '{name}' in art/logo.svg {what}; " + others(name)


def test_a_layout_without_a_drawing(job: JobFolder) -> None:
    job.change(
        "tag.toml", ("box = [22, 14, 34, 6]", 'box = "#name"'),
        ('[[art]]\nfile = "art/logo.svg"\nbox = [40, 2, 16, 8]\n', ""),
    )  # fmt: skip
    assert job.faults() == [
        "tag.toml:32, fields[0].box, field 'owner': there is no SVG among the art to find it in; "
        "add the drawing as [[art]]"
    ]


def test_an_id_in_two_drawings_and_a_drawing_in_two_places(job: JobFolder) -> None:
    job.write("art/logo.svg", DRAWING)
    job.write("art/other.svg", DRAWING)
    entry = 'box = [40, 2, 16, 8]\n'
    more = entry + '[[art]]\nfile = "art/{}.svg"\nbox = [2, 2, 16, 8]\n'
    job.change("tag.toml", ("box = [22, 14, 34, 6]", 'box = "#name"'),
               (entry, more.format("other")))  # fmt: skip
    assert job.faults() == [
        "tag.toml:38, fields[0].box, field 'owner': both art/logo.svg and art/other.svg have an "
        "element 'name'; write \"art/logo.svg#name\", for example"
    ]
    job.change("tag.toml", ("art/other.svg", "art/logo.svg"))
    assert job.faults() == [
        "tag.toml:38, fields[0].box, field 'owner': art/logo.svg is placed 2 times, so that 'name' "
        "has more places; place it once, or write the numbers"
    ]


def test_art_is_looked_for_where_the_layouts_name_stands(job: JobFolder) -> None:
    """A layout that is a link to another folder: its art lies beside the link."""
    job.write("art/logo.svg", DRAWING)
    job.change("tag.toml", ("box = [22, 14, 34, 6]", 'box = "#name"'))
    (job.path / "kept").mkdir()
    (job.path / "tag.toml").rename(job.path / "kept" / "tag.toml")
    (job.path / "tag.toml").symlink_to("kept/tag.toml")
    assert job.faults() == []
    assert job.load().layout.fields[0].box == (41, 6, 10, 3)


def test_guides_that_are_not_there(job: JobFolder) -> None:
    job.write("art/logo.svg", DRAWING)
    job.change("tag.toml", ("box = [40, 2, 16, 8]", 'box = [40, 2, 16, 8]\nguides = ["guide"]'))
    ids = "guides, name, ribbon, dashes, flat, spot, twin, words, cut, within, styled, photo"
    assert job.faults() == [
        "tag.toml:27, art[0].guides[0]: there is no element 'guide' in art/logo.svg; did you mean "
        f"'guides'? allowed: {ids}"
    ]


def test_a_picture_has_no_guides(job: JobFolder) -> None:
    job.write("art/logo.png", b"\x89PNG\r\n\x1a\n")
    job.change("tag.toml", ("logo.svg", "logo.png"),
               ("box = [40, 2, 16, 8]", 'box = [40, 2, 16, 8]\nguides = ["guide"]'))  # fmt: skip
    assert job.faults() == [
        "tag.toml:27, art[0].guides: 'art/logo.png' is no SVG, and has no elements; "
        "take guides away"
    ]


def test_a_drawing_that_does_not_say_how_large_it_is(job: JobFolder) -> None:
    job.write("art/logo.svg", '<svg xmlns="http://www.w3.org/2000/svg"><rect id="a"/></svg>')
    job.change("tag.toml", ("box = [22, 14, 34, 6]", 'box = "#a"'))
    assert job.faults() == [
        "art/logo.svg: the drawing does not say how large it is; save it again as plain SVG with "
        'width, height and viewBox="0 0 w h"'
    ]


def test_a_box_drawn_beyond_the_item_is_told_as_any_other(job: JobFolder) -> None:
    far = '<rect id="far" x="100" y="0" width="200" height="80"/></svg>'
    job.write("art/logo.svg", DRAWING.replace("</svg>", far))
    job.change("tag.toml", ("box = [22, 14, 34, 6]", 'box = "#far"'))
    assert job.faults() == [
        "tag.toml:35, fields[0].box, field 'owner': the box reaches 9.5 mm over the right edge of "
        "the item (60 x 25 mm and its bleed of 0.5 mm); move it or make it smaller"
    ]
