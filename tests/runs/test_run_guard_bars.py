"""EAN and UPC with their digits, on the plates that a RIP would make: longer guard bars, digits
between and beside them, light around all of it. Ghostscript's tiffsep renders at the job's own
dots; zxing-cpp and zbar read.

Sources: ISO/IEC 15420, 4.3 (modules; from memory) and GS1 General Specifications, 5.2 (guard bars
5 modules longer, from memory; half a module free over the digits, outer digits in the quiet
zones; secondary).
"""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from run_guards import (
    BOX,
    KINDS,
    OBLONG,
    SQUARE,
    TURNS,
    Kind,
    Seen,
    built,
    look_at_longer_bars,
    seen,
)
from run_kit import json_lines
from run_pages import MM, plates

# Without the add-ons alone, which it would find a second time.
FORMATS = [
    getattr(zxingcpp.BarcodeFormat, name) for name in ("EAN13", "EAN8", "UPCA", "UPCE")
]  # fmt: skip

CASES = [(kind, SQUARE, "paper") for kind in KINDS] + [(kind, OBLONG, "black") for kind in KINDS]


@pytest.fixture(params=CASES, ids=lambda case: "-".join(map(str, case)), scope="module")
def case(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Kind, str, list[Seen]]:
    name, dpi, blank = request.param
    run = built(tmp_path_factory.mktemp("guards") / "job", name, dpi, blank)
    found = plates(run.bed_file(1), 1, f"{dpi[0]}x{dpi[1]}", ("White",))
    slots = json_lines(run.out / "slots.jsonl")
    assert sorted(slot["rotation_deg"] for slot in slots) == list(TURNS)
    return KINDS[name], blank, [seen(found, slot, dpi) for slot in slots]


def test_guard_bars_are_five_modules_longer_and_no_other_bar(
    case: tuple[Kind, str, list[Seen]],
) -> None:
    kind, _, slots = case
    for slot in slots:
        look_at_longer_bars(slot, kind)


@pytest.mark.parametrize("turned", [90, 180, 270])
def test_a_turned_field_turns_its_longer_bars(tmp_path: Path, turned: int) -> None:
    run = built(tmp_path / "job", "ean13+5", OBLONG, "black", turned=turned)
    found = plates(run.bed_file(1), 1, "1440x720", ("White",))
    for line in json_lines(run.out / "slots.jsonl"):
        look_at_longer_bars(seen(found, line, OBLONG, turned), KINDS["ean13+5"])


def test_digits_stand_in_their_places(case: tuple[Kind, str, list[Seen]]) -> None:
    kind, _, slots = case
    for slot in slots:
        rest = slot.plates["Black"].copy()
        rest[slot.top : slot.bottom, slot.left : slot.left + slot.wide] = 0
        for span in kind.longer:
            rest[slot.bottom : slot.bottom + slot.tail, slot.columns(span)] = 0
        if kind.addon:  # above its bars stand its digits, beside them those of the others
            above = rest[: slot.top]
            end = slot.columns((0, 95)).stop
            assert above[:, :end].any() and above[:, slot.columns((102, 149))].any()
            assert not above[:, end : slot.columns((102, 149)).start].any()
            top = np.flatnonzero(above[:, :end].any(axis=1))[0]
            digits = np.flatnonzero(above[:, slot.columns((102, 149))].any(axis=1))
            assert top <= digits[0] and digits[-1] < slot.top - slot.tail // 10
            above[:] = 0
        for place in kind.digits:
            area = rest[slot.bottom :, slot.columns(place)]
            assert area.any(), place
            area[:] = 0
        assert not rest.any()


def test_light_lies_around_bars_and_digits(case: tuple[Kind, str, list[Seen]]) -> None:
    """On black all of the zone is white, in one piece, and nothing is printed in it but the code;
    beside the bars no ink comes into the quiet zone at all."""
    kind, blank, slots = case
    for slot in slots:
        black, white = slot.plates["Black"], slot.plates["White"]
        left, right = slot.columns((-kind.quiet[0], 0)), slot.columns((kind.columns, kind.columns))
        beside = slice(right.start, right.start + kind.quiet[1] * slot.across)
        for zone in (left, beside):
            assert not black[slot.top : slot.bottom, zone].any()
        if blank == "black":
            rows = np.flatnonzero(black.any(axis=1))
            ground = white[rows[0] : rows[-1] + 1, left.start : beside.stop]
            assert (ground == 255).all()
        else:  # white under the code's own ink alone
            assert white.any() and not white[black == 0].any()


def test_no_ink_leaves_the_box(case: tuple[Kind, str, list[Seen]]) -> None:
    _, _, slots = case
    x, y, w, h = BOX
    for slot in slots:
        # Snapping to dots may move a ground's edge by two dots of 1/720 inch.
        for name, spare in (("Black", 0.0), ("White", 2 * MM / 720)):
            plate = slot.plates[name]
            rows, columns = plate.shape
            edge = np.ones(plate.shape, bool)
            edge[
                int((36 - y - h - spare) / 36 * rows) - 1 : int((36 - y + spare) / 36 * rows) + 2,
                int((x - spare) / 58 * columns) - 1 : int((x + w + spare) / 58 * columns) + 2,
            ] = False
            assert not plate[edge].any(), name


def test_two_readers_read_it_however_it_lies(
    case: tuple[Kind, str, list[Seen]], tmp_path: Path
) -> None:
    kind, _, slots = case
    number, _, addon = kind.text.partition("+")
    for turn, slot in zip(TURNS, slots):
        black = slot.plates["Black"]
        wide = max(1, round(5 * slot.across / slot.tail))  # how oblong dots are
        high = max(1, round(slot.tail / 5 / slot.across))
        picture = np.rot90(255 - black, turn // 90)
        sides = (high, wide) if turn % 180 else (wide, high)
        picture = np.repeat(np.repeat(picture, sides[0], axis=0), sides[1], axis=1)
        picture = np.ascontiguousarray(np.pad(picture, 20, constant_values=255))
        found = zxingcpp.read_barcodes(
            picture,
            formats=FORMATS,
            try_invert=False,
            text_mode=zxingcpp.TextMode.Plain,
            ean_add_on_symbol=zxingcpp.EanAddOnSymbol.Read,
        )
        # Where digits stand beside the upper ends of its bars, a symbol is seen without its add-on
        # as well.
        read = max((one.text for one in found), key=len)
        assert (kind.read or number) in read and addon in read, (turn, read)
        assert len(found) == (2 if addon else 1)
        path = tmp_path / f"{turn}.png"
        Image.fromarray(picture).save(path)
        done = subprocess.run(
            ["zbarimg", "--quiet", "--nodbus", "-Supca.enable", "-Supce.enable", str(path)],
            capture_output=True, check=True, timeout=600,
        )  # fmt: skip
        assert f"{kind.zbar}:{number}" in done.stdout.decode().split()


@pytest.mark.parametrize("name", ["ean13", "ean13+5"])
def test_longer_bars_are_as_narrow_as_the_others_where_ink_spreads(
    tmp_path: Path, name: str
) -> None:
    """Two dots of 1/720 inch less: the longer bars stand in the same columns of dots still."""
    mode = "reduction = { Colour = 0.07 }\n"
    run = built(tmp_path / "job", name, SQUARE, "black", mode=mode)
    found = plates(run.bed_file(1), 1, "720", ("White",))
    for line in json_lines(run.out / "slots.jsonl"):
        slot = seen(found, line, SQUARE)
        black = slot.plates["Black"]
        columns = slice(slot.left, slot.left + slot.wide)
        body = black[slot.top, columns]
        bars = "".join("#" if dot else " " for dot in body).split()
        widths = {len(bar) % slot.across for bar in bars}
        assert widths == {slot.across - 2}
        below = black[slot.bottom : slot.bottom + slot.tail, columns]
        for start, end in KINDS[name].longer:
            span = slice(start * slot.across, end * slot.across)
            assert (below[:, span] == body[span]).all() and body[span].any()


@pytest.mark.parametrize("cover", ["art", "flood", "knockout"])
def test_white_below_bars_on_a_bare_blank_follows_the_longer_ones(
    tmp_path: Path, cover: str
) -> None:
    """Without a ground white is under the bars, drawn in by a dot or two; a flood stays whole under
    a code, one that is knocked out elsewhere too."""
    run = built(tmp_path / "job", "upca", SQUARE, "paper", cover=cover)
    found = plates(run.bed_file(1), 1, "720", ("White",))
    for line in json_lines(run.out / "slots.jsonl"):
        slot = seen(found, line, SQUARE)
        black, white = slot.plates["Black"] > 0, slot.plates["White"] > 0
        rows = slice(slot.top, slot.bottom + slot.tail)
        for span in KINDS["upca"].longer:
            inked, under = black[rows, slot.columns(span)], white[rows, slot.columns(span)]
            if cover == "art":
                assert under.any() and not under[~inked].any()
                # In one piece from end to end, the seam of the two included.
                ends = slice(2, -2)
                across = under[ends].any(axis=0)
                assert (under[ends] == across).all()
                assert not under[:1].any() and not under[-1:].any()
            else:
                assert under.all()
