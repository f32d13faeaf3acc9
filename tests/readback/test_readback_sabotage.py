"""What goes wrong in a bed file is found, and named. Each file is spoiled in its content
stream by another library than the one that wrote it, and its hash is written anew, so that
only what the file shows can give it away."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from readback_runs import bed_file, copied, found, lines, read, reseal
from sabotage import (
    Op,
    edit,
    emptied,
    layer_end,
    numbers,
    op,
    paint_colour,
    painted,
    replace_matrix,
    symbols,
)

from vardata.problems import Exit

QR, BARS = 29, 112  # modules of the first tag's codes
BLACK, NONE = (0.0, 0.0, 0.0, 1.0), (0.0, 0.0, 0.0, 0.0)

Found = set[tuple[str, str, str]]


@pytest.fixture
def run(few: Path, tmp_path: Path) -> Path:
    return copied(few, tmp_path)


def spoiled(run: Path, change: Callable[[list[Op]], list[Op]]) -> Found:
    edit(bed_file(run), change)
    reseal(run)
    return found(read(run))


def painted_over(
    run: Path, box: tuple[float, float, float, float], ink: tuple[float, ...]
) -> Found:
    paint_colour(bed_file(run), box, ink)
    reseal(run)
    return found(read(run))


def code_box(run: Path, number: int) -> tuple[float, float, float, float]:
    """The box of a code in slot A1, from the run's own record."""
    slot = json.loads((run / "slots.jsonl").read_text(encoding="utf-8").splitlines()[0])
    x, y, w, h = slot["codes"][number]["box_mm"]
    return x, y, w, h


def test_an_edit_that_changes_nothing_fails_nothing(run: Path) -> None:
    assert spoiled(run, lambda ops: ops) == set()


@pytest.mark.parametrize(("columns", "field"), [(QR, "link"), (BARS, "number")])
def test_a_code_swapped_with_its_neighbour(run: Path, columns: int, field: str) -> None:
    def swap(ops: list[Op]) -> list[Op]:
        first, second = symbols(ops, columns)[:2]
        ops[first], ops[second] = ops[second], ops[first]
        return ops

    edit(bed_file(run), swap)
    reseal(run)
    report = read(run)
    assert found(report) == {("A1", field, "code-wrong"), ("A2", field, "code-wrong")}
    assert report.exit_code == Exit.READBACK == 7
    assert "FHL000002' and should say '" in str(report.problems[0])
    assert str(report.problems[0]).startswith(f"record tags!2#1, field '{field}', bed 1, slot A1: ")
    assert [line["good"] for line in lines(report)] == [False, False, True, True]


def test_part_of_a_module_painted_over(run: Path) -> None:
    # A sixth of a module: the decoder reads on as if nothing were there.
    x, y, w, h = code_box(run, 0)
    kinds = painted_over(run, (x + w / 2, y + h / 2, 0.45 * 5, 0.2), BLACK)
    assert kinds == {("A1", "link", "code-modules")}


def test_whole_modules_painted_over_are_mended_in_reading(run: Path) -> None:
    x, y, w, _ = code_box(run, 0)
    module = w / QR
    box = (x + 12 * module, y + 12 * module, 4 * module, 2 * module)
    assert painted_over(run, box, BLACK) == {("A1", "link", "code-damaged")}


def test_a_fixed_pattern_painted_over(run: Path) -> None:
    x, y, w, h = code_box(run, 0)
    module = w / QR
    # One dark module of the upper timing pattern, of which the decoder can do without.
    # ISO/IEC 18004:2015, 6.3.5 (from memory): row 6, dark in every even column.
    box = (x + 12 * module, y + h - 7 * module, module, module)
    assert painted_over(run, box, NONE) == {("A1", "link", "code-patterns")}


def test_part_of_a_bar_painted_over(run: Path) -> None:
    x, y, w, h = code_box(run, 1)
    kinds = painted_over(run, (x + w / 2, y + 0.7 * h, 1.0, 0.8), BLACK)
    assert kinds == {("A1", "number", "code-modules")}


@pytest.mark.parametrize("number", [0, 1])
@pytest.mark.parametrize("side", ["left", "right"])
def test_ink_in_the_quiet_zone(run: Path, number: int, side: str) -> None:
    x, y, w, h = code_box(run, number)
    left = x - 1.0 if side == "left" else x + w + 0.6
    kinds = painted_over(run, (left, y + h / 3, 0.3, 0.3), BLACK)
    assert kinds == {("A1", ("link", "number")[number], "code-quiet-ink")}


def test_pale_ink_in_the_quiet_zone(run: Path) -> None:
    x, y, w, h = code_box(run, 0)
    kinds = painted_over(run, (x, y + h + 0.5, w, 0.4), (0.0, 0.0, 0.5, 0.0))
    assert kinds == {("A1", "link", "code-quiet-ink")}


@pytest.mark.parametrize("way", ["left and right", "up and down", "diagonal"])
def test_a_mirrored_symbol(run: Path, way: str) -> None:
    def mirror(ops: list[Op]) -> list[Op]:
        image = symbols(ops, QR)[0]
        a, _, _, d, x, y = numbers(ops[image - 1])
        replace_matrix(ops, image, {
            "left and right": [-a, 0, 0, d, x + a, y],
            "up and down": [a, 0, 0, -d, x, y + d],
            "diagonal": [0, -d, -a, 0, x + a, y + d],  # leaves the finders where they are
        }[way])
        return ops

    assert ("A1", "link", "code-mirrored") in spoiled(run, mirror)


def test_a_turned_symbol(run: Path) -> None:
    def turn(ops: list[Op]) -> list[Op]:
        image = symbols(ops, QR)[0]
        a, _, _, d, x, y = numbers(ops[image - 1])
        replace_matrix(ops, image, [0, d, -a, 0, x + a, y])
        return ops

    kinds = spoiled(run, turn)
    assert ("A1", "link", "code-turned") in kinds
    assert ("A1", "link", "code-mirrored") not in kinds


def test_mirrored_bars(run: Path) -> None:
    def mirror(ops: list[Op]) -> list[Op]:
        image = symbols(ops, BARS)[0]
        a, _, _, d, x, y = numbers(ops[image - 1])
        replace_matrix(ops, image, [-a, 0, 0, d, x + a, y])
        return ops

    assert spoiled(run, mirror) == {("A1", "number", "code-mirrored")}


@pytest.mark.parametrize(("columns", "field"), [(QR, "link"), (BARS, "number")])
def test_light_and_dark_exchanged(run: Path, columns: int, field: str) -> None:
    def invert(ops: list[Op]) -> list[Op]:
        """Black all over, and the modules left out of it."""
        image = symbols(ops, columns)[0]
        box = code_box(run, (QR, BARS).index(columns))
        module = box[2] / columns
        zone = (box[0] - 4 * module, box[1], box[2] + 8 * module, box[3])
        return [
            *ops[: image - 2], *painted(zone, BLACK),
            op("q"), op("k", *NONE), *ops[image - 2 : image + 2], op("Q"), *ops[image + 2 :],
        ]  # fmt: skip

    assert ("A1", field, "code-inverted") in spoiled(run, invert)


def test_the_ground_is_missing_on_a_dark_blank(run: Path) -> None:
    def bare(ops: list[Op]) -> list[Op]:
        start = layer_end(ops, 0)
        grounds = [
            i for i, item in enumerate(ops)
            if i > start and str(item.operator) == "re" and min(numbers(item)[2:]) > 20
        ]
        assert len(grounds) == 8  # two codes on each of four tags
        return [item for i, item in enumerate(ops) if i != grounds[0]]

    assert spoiled(run, bare) == {("A1", "link", "code-ground")}


def test_a_ground_that_is_too_small(run: Path) -> None:
    def shrink(ops: list[Op]) -> list[Op]:
        start = layer_end(ops, 0)
        for i, item in enumerate(ops):
            if i > start and str(item.operator) == "re" and min(numbers(item)[2:]) > 20:
                x, y, w, h = numbers(item)
                ops[i] = op("re", x, y, w - 4, h)
                break
        return ops

    assert spoiled(run, shrink) == {("A1", "link", "code-quiet-dark")}


def test_gloss_on_a_code(run: Path) -> None:
    x, y, _, _ = code_box(run, 0)

    def gloss(ops: list[Op]) -> list[Op]:
        end = layer_end(ops, 2)
        for back in range(end, 0, -1):
            if str(ops[back].operator) == "Q":
                end = back
                break
        pt = 72 / 25.4
        return [*ops[:end], op("re", x * pt, y * pt, 3, 3), op("f"), *ops[end:]]

    assert spoiled(run, gloss) == {("A1", "link", "code-gloss")}


def test_a_code_of_another_size(run: Path) -> None:
    def grow(ops: list[Op]) -> list[Op]:
        image = symbols(ops, QR)[0]
        a, _, _, d, x, y = numbers(ops[image - 1])
        replace_matrix(ops, image, [a * 1.01, 0, 0, d * 1.01, x, y])
        return ops

    kinds = {kind for slot, field, kind in spoiled(run, grow) if (slot, field) == ("A1", "link")}
    assert kinds & {"code-modules", "code-module-size"}


@pytest.mark.parametrize(
    ("points", "kinds"),
    [
        ((0.0, -4.0), {"text-outside"}),
        ((0.0, -70.0), {"text-missing"}),
        ((-3.0, 0.0), {"text-outside"}),
    ],
)
def test_a_text_moved_out_of_its_box(
    run: Path, points: tuple[float, float], kinds: set[str]
) -> None:
    def move(ops: list[Op]) -> list[Op]:
        at = next(i for i, item in enumerate(ops) if str(item.operator) == "Tm")
        *turn, x, y = numbers(ops[at])
        ops[at] = op("Tm", *turn, x + points[0], y + points[1])
        return ops

    found_kinds = {k for slot, field, k in spoiled(run, move) if (slot, field) == ("A1", "thing")}
    assert found_kinds == kinds


def test_the_content_of_a_slot_removed(run: Path) -> None:
    assert spoiled(run, lambda ops: emptied(ops, (81.0, 10.0, 60.0, 25.0))) == {
        ("A2", "link", "code-missing"),
        ("A2", "number", "code-missing"),
        ("A2", "owner", "text-missing"),
        ("A2", "thing", "text-missing"),
    }


def test_a_text_removed_from_a_medal(medals: Path, tmp_path: Path) -> None:
    run = copied(medals, tmp_path)

    def remove(ops: list[Op]) -> list[Op]:
        shown = [i for i, item in enumerate(ops) if str(item.operator) in ("Tj", "TJ")]
        return [item for i, item in enumerate(ops) if i != shown[0]]

    assert spoiled(run, remove) == {("A1", "winner", "text-missing")}


def test_a_file_changed_by_one_byte(run: Path) -> None:
    path = bed_file(run)
    data = bytearray(path.read_bytes())
    at = data.index(b"\n%") + 3  # in the comment of the second line, which shows nothing
    data[at] ^= 1
    path.write_bytes(data)
    report = read(run)
    assert [p.kind for p in report.problems] == ["file-changed"]
    assert str(report.problems[0]) == (
        f"beds/{path.name}: the bed file is not the one that was built: its sha256 differs; "
        "build the run again"
    )
    assert (report.codes_good, report.exit_code) == (8, Exit.READBACK)


@pytest.mark.parametrize("what", ["gone", "cut", "rubbish"])
def test_a_file_that_cannot_be_read(run: Path, what: str) -> None:
    path = bed_file(run)
    if what == "gone":
        path.unlink()
    else:
        path.write_bytes(path.read_bytes()[:900] if what == "cut" else b"rubbish")
    report = read(run)
    said = {
        "gone": "the bed file cannot be read (No such file or directory)",
        "cut": "the bed file is not the one that was built: its sha256 differs, and it is damaged",
        "rubbish": "the bed file is not the one that was built: its sha256 differs, and it is "
        "damaged",
    }[what]
    assert [str(p) for p in report.problems] == [f"beds/{path.name}: {said}; build the run again"]
    assert report.failures == 1
    assert [line["unread"].partition(": ")[2] for line in lines(report)] == [
        "it is not there" if what == "gone" else "it is damaged"
    ] * 4
    assert [line["good"] for line in lines(report)] == [False] * 4


def test_a_plate_without_its_layer(run: Path) -> None:
    path = bed_file(run)
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.Root.OCProperties.OCGs[1].Name = pikepdf.String("Weiss")
        pdf.save(path)
    reseal(run)
    report = read(run)
    assert [str(p) for p in report.problems] == [
        f"beds/{path.name}: 4 of its 4 slots cannot be looked at: it has no layer for the plate "
        "'White'; build the run again"
    ]


def test_bed_files_in_each_others_place(tags: Path, tmp_path: Path) -> None:
    run = copied(tags, tmp_path)
    first, second = bed_file(run), bed_file(run, 2)
    data = first.read_bytes()
    first.write_bytes(second.read_bytes())
    second.write_bytes(data)
    report = read(run)
    assert [str(p) for p in report.problems] == [
        f"beds/{one.name}: the bed file is not the one that was built: it is that of "
        f"beds/{other.name}, and 60 of its 60 slots failed; build the run again"
        for one, other in ((first, second), (second, first))
    ]
    assert (report.failures, report.codes_good, report.exit_code) == (2, 20, Exit.READBACK)


def test_a_record_of_slots_that_lost_a_line(run: Path) -> None:
    text = (run / "slots.jsonl").read_text(encoding="utf-8").splitlines(keepends=True)
    (run / "slots.jsonl").write_text("".join(text[:-1]), encoding="utf-8")
    report = read(run)
    assert [p.kind for p in report.problems] == ["file-changed", "slots-missing"]
