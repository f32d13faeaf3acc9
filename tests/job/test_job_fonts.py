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


def variable(path: Path) -> None:
    builder = FontBuilder(font=TTFont(SCRIPT))
    builder.setupFvar([("wght", 400, 400, 700, "Weight")], [])
    builder.font.save(path)


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
        (variable, "is a variable font; save the weight you want as a font of its own"),
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
