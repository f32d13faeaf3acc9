"""Fonts: chains of keys and names, and files that are not usable fonts.

The spoiled fonts are made with fontTools from a shipped one.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.ttLib import TTCollection, TTFont, newTable
from job_folder import JobFolder

from vardata.job import shipped
from vardata.job.fonts import font_chain
from vardata.job.layout import SCRIPT_FONTS
from vardata.job.model import Layout

SANS = shipped.fonts_dir() / "NotoSans-Regular.ttf"
SCRIPT = shipped.fonts_dir() / "DancingScript-Regular.otf"


def layout(**fonts: str | tuple[str, ...]) -> Layout:
    return Layout(name="x", width=10, height=10, fonts=fonts)


def test_a_chain_of_keys_and_names() -> None:
    fonts = layout(body=("Sans", "Serif"), title=("Script", "body"), one="Mono")
    assert font_chain(fonts, "body") == ("Sans", "Serif")
    assert font_chain(fonts, "title") == ("Script", "Sans", "Serif")
    assert font_chain(fonts, ("one", "title", "Serif", "Last")) == (
        "Mono", "Script", "Sans", "Serif", "Last",
    )  # fmt: skip
    assert font_chain(fonts, "Other") == ("Other",)


def test_a_key_in_its_own_list_is_the_font_of_that_name() -> None:
    assert font_chain(layout(Sans=("Sans", "Serif")), "Sans") == ("Sans", "Serif")
    assert font_chain(layout(a=("b", "X"), b=("a", "Y")), "a") == ("a", "Y", "X")


def test_lists_of_lists_stay_small() -> None:
    deep = {f"k{i}": (f"k{i + 1}", f"k{i + 2}", f"f{i}") for i in range(200)}
    assert len(font_chain(layout(**deep), "k0")) == 202


def test_fonts_are_given_in_the_order_of_their_names_first_mention(job: JobFolder) -> None:
    (job.path / "own.ttf").write_bytes(SANS.read_bytes())
    job.change(
        "tag.toml",
        ('fonts.body = ["NotoSans-Regular", "NotoSerif-Regular"]', 'fonts.body = ["own.ttf"]'),
        ('font = "body"', 'font = ["NotoSerif-Regular", "body", "NotoSans-Bold"]'),
        ('symbology = "qr"\nlevel = "Q"', 'symbology = "code128"\ntext_line = true'),
    )
    fonts = job.load().fonts
    own = ["own.ttf", "NotoSerif-Regular", "NotoSans-Bold", "NotoSansMono-Regular"]
    assert [name for name in fonts if name not in SCRIPT_FONTS] == own
    assert list(fonts)[-len(SCRIPT_FONTS) :] == list(SCRIPT_FONTS)  # the layout's fallback
    assert fonts["own.ttf"] == job.path / "own.ttf"


def test_the_font_of_a_text_line_is_looked_for_even_if_it_is_not_printed(job: JobFolder) -> None:
    job.change("tag.toml", ('level = "Q"', 'text_font = "Nowhere"'))
    assert [fault.split("; ")[0] for fault in job.faults()] == [
        "tag.toml:44, fields[1].text_font, field 'number': unknown font 'Nowhere'"
    ]


def collection(path: Path) -> None:
    fonts = TTCollection()
    fonts.fonts = [TTFont(SANS)]
    fonts.save(path)


def variable_font(path: Path) -> None:
    """Axes and named instances whose outlines are all the same."""
    builder = FontBuilder(font=TTFont(SANS))
    axes = [("wght", 400, 400, 700, "Weight"), ("wdth", 75, 100, 100, "Width")]
    places = (("Bold", 700, 100), ("Condensed Medium", 550, 75))
    builder.setupFvar(axes, [
        {"stylename": name, "location": {"wght": wght, "wdth": wdth}} for name, wght, wdth in places
    ])  # fmt: skip
    builder.setupGvar({})
    builder.font.save(path)


def variable(path: Path) -> None:
    """Variations of outlines that are noise."""
    variable_font(path)
    font = TTFont(path)
    font["gvar"] = newTable("gvar")
    font["gvar"].compile = lambda _: b"\0\1\0\0" + b"\xff" * 40
    font.save(path)


def without(*tables: str) -> object:
    def make(path: Path) -> None:
        font = TTFont(SANS)
        for table in tables:
            del font[table]
        font.save(path)

    return make


def bitmaps_only(path: Path) -> None:
    font = TTFont(SANS)
    for table in ("glyf", "loca", "fpgm", "prep", "cvt "):
        del font[table]
    font["EBDT"] = newTable("EBDT")
    font["EBDT"].data = b"\0\2\0\0"
    font["EBDT"].compile = lambda _: b"\0\2\0\0"
    font.save(path)


def unmapped(path: Path) -> None:
    font = TTFont(SCRIPT)
    font["cmap"].tables = []
    font.save(path)


def web(path: Path) -> None:
    font = TTFont(SCRIPT)
    font.flavor = "woff"
    font.save(path)


@pytest.mark.parametrize(
    ("make", "line"),
    [
        (collection, "is a collection of fonts; name one of them, from 'own.ttf#1' to 'own.ttf#1'"),
        (variable, "cannot be set at its axes: it is damaged; get the file anew"),
        (bitmaps_only, "has no outlines, only bitmaps; "
         "use a font with TrueType or CFF outlines"),
        (without("hmtx"), "lacks the table hmtx; get the file anew"),
        (unmapped, "has no letters by Unicode; use another font"),
        (web, "is a web font; use its .ttf or .otf file"),
        (lambda p: p.write_bytes(b""), "is not a font; use a .ttf or .otf file"),
        (lambda p: p.write_text("%!PS-AdobeFont"), "is not a font; use a .ttf or .otf file"),
        (lambda p: p.write_bytes(SANS.read_bytes()[:300]), "is a damaged font; get the file anew"),
        (lambda p: p.write_bytes(SANS.read_bytes()[:9]), "is a damaged font; get the file anew"),
        (lambda p: p.write_bytes(SANS.read_bytes()[:-500]), "is cut off; get the file anew"),
        (lambda p: p.write_bytes(b"OTTO" + b"\xff" * 500), "is a damaged font; get the file anew"),
    ],
)  # fmt: skip
def test_files_that_are_not_usable_fonts(job: JobFolder, make: object, line: str) -> None:
    assert callable(make)
    make(job.path / "own.ttf")
    job.change("tag.toml", ('font = "body"', 'font = "own.ttf"'))
    where = "tag.toml:32, fields[0].font, field 'owner': "
    assert job.faults() == [f"{where}'own.ttf' {line}"]


def test_a_font_of_a_collection_is_named_by_its_place(job: JobFolder) -> None:
    fonts = TTCollection()
    fonts.fonts = [TTFont(SANS), TTFont(shipped.fonts()["NotoSerif-Regular"])]
    fonts.save(job.path / "own.ttc")
    job.change("tag.toml", ('font = "body"', 'font = "own.ttc#2"'))
    setup = job.load()
    assert setup.fonts["own.ttc#2"] == job.path / "own.ttc"
    assert setup.members == {"own.ttc#2": 1}
    job.change("tag.toml", ("own.ttc#2", "own.ttc#3"))
    assert job.faults() == [
        "tag.toml:32, fields[0].font, field 'owner': 'own.ttc#3': the collection has 2 fonts; "
        "name one of them, from 'own.ttc#1' to 'own.ttc#2'"
    ]


def test_a_variable_font_is_named_with_its_axes(job: JobFolder) -> None:
    variable_font(job.path / "own.ttf")
    job.change("tag.toml", ('font = "body"', 'font = "own.ttf#wght=650"'))
    setup = job.load()
    assert setup.fonts["own.ttf#wght=650"] == job.path / "own.ttf"
    assert setup.axes == {"own.ttf#wght=650": (("wght", 650.0), ("wdth", 100.0))}
    job.change("tag.toml", ("own.ttf#wght=650", "own.ttf#Condensed Medium"))
    assert job.load().axes == {"own.ttf#Condensed Medium": (("wght", 550.0), ("wdth", 75.0))}
    job.change("tag.toml", ("own.ttf#Condensed Medium", "own.ttf"))
    assert job.load().axes == {"own.ttf": (("wght", 400.0), ("wdth", 100.0))}


AXES = "its axes: wght 400 to 700, wdth 75 to 100; its instances: 'Bold', 'Condensed Medium'"


@pytest.mark.parametrize(
    ("wanted", "line"),
    [
        ("wgth=650", f"the font has no axis 'wgth'; {AXES}"),
        ("wght=650,opsz=12", f"the font has no axis 'opsz'; {AXES}"),
        ("wght=900", f"wght 900 is out of the font's range; {AXES}"),
        ("wdth=74.5", f"wdth 74.5 is out of the font's range; {AXES}"),
        ("wght=bold", "'wght=bold' is no axis and its value; "
         f"write them like '#wght=650,wdth=90'; {AXES}"),
        ("wght=500,wght=600", "the axis 'wght' is given twice; "
         f"write them like '#wght=650,wdth=90'; {AXES}"),
        ("Condensed", f"the font has no instance 'Condensed'; did you mean 'Condensed Medium'? "
         f"{AXES}"),
        ("Thin", f"the font has no instance 'Thin'; {AXES}"),
    ],
)  # fmt: skip
def test_axes_that_a_font_has_not(job: JobFolder, wanted: str, line: str) -> None:
    variable_font(job.path / "own.ttf")
    job.change("tag.toml", ('font = "body"', f'font = "own.ttf#{wanted}"'))
    where = "tag.toml:32, fields[0].font, field 'owner': "
    assert job.faults() == [f"{where}'own.ttf#{wanted}': {line}"]


def test_axes_of_a_font_that_is_not_variable(job: JobFolder) -> None:
    job.change("tag.toml", ('font = "body"', 'font = "NotoSans-Regular#wght=650"'))
    assert job.faults() == [
        "tag.toml:32, fields[0].font, field 'owner': 'NotoSans-Regular#wght=650': "
        "the font is not variable; take '#wght=650' away, or use a variable font"
    ]


def installed(folder: Path, family: str, style: str, member: bool) -> Path:
    """A font of that name, as if it were installed; as the second of a collection or alone."""
    font = TTFont(SANS)
    whole, post = f"{family} {style}", f"{family}-{style}"
    for number, text in ((1, family), (2, style), (4, whole), (6, post)):
        font["name"].setName(text, number, 3, 1, 0x409)
    font["name"].names = [one for one in font["name"].names if one.nameID not in (16, 17)]
    folder.mkdir(parents=True, exist_ok=True)
    if not member:
        font.save(folder / f"{style}.ttf")
        return folder / f"{style}.ttf"
    fonts = TTCollection()
    fonts.fonts = [TTFont(SCRIPT), font]
    fonts.save(folder / f"{style}.ttc")
    return folder / f"{style}.ttc"


@pytest.mark.parametrize("member", [False, True])
def test_an_installed_font_is_found_by_its_name(
    job: JobFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, member: bool
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / f"data-{member}"))
    fonts = tmp_path / f"data-{member}" / "fonts" / "fernhollow"
    plain = installed(fonts, "Fernhollow Grotesk", "Regular", member)
    bold = installed(fonts, "Fernhollow Grotesk", "Bold", member)
    job.change("tag.toml", ('font = "body"', 'font = "Fernhollow Grotesk"'))
    setup = job.load()
    assert setup.fonts["Fernhollow Grotesk"] == plain
    assert setup.members.get("Fernhollow Grotesk") == (1 if member else None)
    job.change("tag.toml", ('"Fernhollow Grotesk"', '"fernhollow grotesk bold"'))
    assert job.load().fonts["fernhollow grotesk bold"] == bold


def test_every_shipped_font_is_usable(job: JobFolder) -> None:
    names = ", ".join(f'"{name}"' for name in shipped.fonts())
    job.change("tag.toml", ('font = "body"', f"font = [{names}]"))
    assert set(job.load().fonts) == set(shipped.fonts())


def test_a_bare_name_with_a_file_beside_the_layout(job: JobFolder) -> None:
    (job.path / "own.otf").write_bytes(SCRIPT.read_bytes())
    job.change("tag.toml", ('font = "body"', 'font = "own"'))
    assert job.faults() == [
        "tag.toml:32, fields[0].font, field 'owner': unknown font 'own'; "
        "the file beside the layout is called 'own.otf'"
    ]
