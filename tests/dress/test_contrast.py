"""Colours of codes as red scanners and cameras see them, blank by blank."""

from __future__ import annotations

import pytest
from platework import code_field, dresser, plates, shape_field

from vardata.dress.colour import NAMES
from vardata.dress.contrast import WHITE, blank_seen, contrast, grade, ink_seen
from vardata.job import model
from vardata.job.symbologies import SymbologyName
from vardata.marks import Cmyk
from vardata.problems import Problem, Severity


def test_solid_inks_in_red_light() -> None:
    # Red channel of Ghostscript's default_cmyk.icc in linear light, the sheet's own values:
    # K 4, C 0, M 85, Y 100, M+Y 86, C+Y 0, C+M 5 percent.
    for name, percent in {"black": 4, "cyan": 0, "magenta": 85, "yellow": 100}.items():
        assert ink_seen(NAMES[name], WHITE).red == pytest.approx(percent / 100, abs=1e-9)
    assert ink_seen(NAMES["red"], WHITE).red == pytest.approx(0.86, abs=0.02)
    assert ink_seen(NAMES["green"], WHITE).red == pytest.approx(0.0, abs=0.01)
    assert ink_seen(NAMES["blue"], WHITE).red == pytest.approx(0.05, abs=0.06)


def test_tints_mix_by_area() -> None:
    # Murray-Davies by hand: half black is (1 + 0.04) / 2.
    assert ink_seen(Cmyk(0, 0, 0, 0.5), WHITE).red == pytest.approx(0.52)
    assert ink_seen(Cmyk(0, 0, 0, 1), blank_seen("#ff0000")).red == pytest.approx(0.04)
    # Red on white: 1 - 0.85, as GS1's members warn, fails; green is nearly all of it.
    assert contrast(ink_seen(NAMES["red"], WHITE), WHITE).red == pytest.approx(0.15)
    assert contrast(ink_seen(NAMES["green"], WHITE), WHITE).red == pytest.approx(1.0)


def test_grades_of_symbol_contrast() -> None:
    # ISO/IEC 15416 and 15415 (secondary): 70, 55, 40 and 20 percent.
    steps = [0.71, 0.70, 0.69, 0.55, 0.54, 0.40, 0.39, 0.20, 0.19, 0.0]
    assert list(map(grade, steps)) == [4, 4, 3, 3, 2, 2, 1, 1, 0, 0]


def judged(
    symbology: SymbologyName, colour: str, blank: model.Blank, ground: str = "auto"
) -> Problem | None:
    field = code_field("c", (2, 2, 30, 16), symbology=symbology, colour=colour, ground=ground)
    made = dresser([field], blanks={"b": blank}, plates=plates())
    refused = made._on["b"].refused[0]
    (warned,) = made.warnings() or [None]
    assert refused is None or warned is None
    return refused or warned


LIGHT = model.Blank(surface="light", label="card")
DARK = model.Blank(surface="dark", label="slate")
RED = model.Blank(surface="light", substrate="#c00000", label="red fob")


@pytest.mark.parametrize(
    ("symbology", "colour", "blank", "kind"),
    [
        ("code128", "black", LIGHT, None),
        ("code128", "blue", LIGHT, None),
        ("code128", "green", LIGHT, None),
        ("code128", "red", LIGHT, "hold code-contrast"),
        ("code128", "orange", LIGHT, "hold code-contrast"),
        ("code128", "yellow", LIGHT, "hold code-contrast"),
        ("qr", "black", LIGHT, None),
        ("qr", "red", LIGHT, "warning code-contrast"),
        ("qr", "yellow", LIGHT, "hold code-contrast"),
        ("code128", "black", DARK, None),  # on its white ground
        ("code128", "red", DARK, "hold code-contrast"),
        # Bare red plastic is light enough in red light for bars, and dull to a camera.
        ("code128", "black", RED, None),
        ("qr", "black", RED, "hold code-contrast"),
        ("qr", "White", DARK, "warning code-inverted"),
        ("datamatrix", "White", DARK, "warning code-inverted"),
        ("pdf417", "White", DARK, "hold code-inverted"),
        ("code128", "White", DARK, "hold code-inverted"),
    ],
)
def test_colours_by_blank(
    symbology: SymbologyName, colour: str, blank: model.Blank, kind: str | None
) -> None:
    found = judged(symbology, colour, blank)
    assert (found and f"{found.severity} {found.kind}") == kind


def test_a_light_code_on_a_dark_blank() -> None:
    # Yellow over its own white, no ground around it: light on dark.
    assert (warned := judged("qr", "yellow", DARK, "never")) is not None
    assert (warned.severity, warned.kind) == (Severity.WARNING, "code-inverted")
    assert (held := judged("code39", "yellow", DARK, "never")) is not None
    assert str(held) == (
        "field 'c': the Code 39 is lighter than this blank (slate), which scanners need not read; "
        "choose a darker colour (black, blue and green are dark in red light, red and yellow are "
        'light), or write ground = "always"'
    )


def test_the_lines_that_a_person_reads() -> None:
    remedy = (
        "; choose a darker colour (black, blue and green are dark in red light, red and yellow are "
        'light), or write ground = "always"'
    )
    assert str(judged("code128", "red", DARK)) == (
        "field 'c': red scanners see a contrast of 15% between the bars and this blank (slate), "
        f"too little for any grade{remedy}"
    )
    assert str(judged("qr", "yellow", DARK)) == (
        "field 'c': a camera sees a contrast of 7% between the code and this blank (slate), less "
        f"than the 20% of grade 1{remedy}"
    )
    assert str(judged("qr", "red", DARK)).endswith(
        "field 'c': on this blank (slate) the code has a contrast of 15% in red light and 79% to a "
        f"camera, less than the 40% of grade 2{remedy}"
    )
    # 40% would be rounded to the limit itself.
    grey = judged("qr", "#777777", LIGHT)
    assert grey is not None and grey.kind == "code-contrast"
    assert grey.what == (
        "on this blank (card) the code has a contrast of 39.9% in red light and 70% to a camera, "
        "less than the 40% of grade 2"
    )
    assert str(judged("qr", "White", DARK)).endswith(
        "field 'c': the QR code is light on dark on this blank (slate); not every scanner reads "
        "that: try those that it is for"
    )


def test_what_nobody_can_tell_is_not_judged() -> None:
    clear = model.Blank(surface="clear", label="keyring")
    assert judged("code128", "red", clear, "never") is None  # what will lie behind it?
    assert judged("code128", "red", clear) is not None  # its ground is white


def test_white_that_lies_there_counts() -> None:
    # No ground is wanted where white is flooded anyway, or where art in white ink lies below.
    field = code_field("c", (4, 4, 30, 16), symbology="code128", ground="never")
    flood = dresser([field], blanks={"b": DARK}, plates=plates("flood"))
    assert flood._on["b"].refused[0] is None and flood.warnings() == []
    panel = shape_field("panel", (2, 2, 36, 20), shape="rectangle", fill="White")
    lined = dresser([panel, field], blanks={"b": DARK}, plates=plates("none"))
    assert lined._on["b"].refused[0] is None
    bare = dresser([field], blanks={"b": DARK}, plates=plates("none"))
    assert bare._on["b"].refused[0] is not None


def test_white_ink_on_a_grey_blank() -> None:
    grey = model.Blank(surface="dark", substrate="#f0f0f0", label="pale")
    assert (held := judged("qr", "White", grey)) is not None
    assert (held.severity, held.kind) == (Severity.HOLD, "code-contrast")
