"""Two-sided pieces from the command line: what is printed on side B lies on the right piece.

The beds are rendered by Ghostscript; side A is turned over on the picture, and the code of
side B is read where the turned piece lies.
"""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from run_keys import DPI, apart, black_and_cut, code_in, keys, turned_over, turned_pieces
from run_kit import AT, DONE, Run, Shared, build, call, copied, digests, judge, read_toml
from run_pages import grey_page, words

TURNS = {
    "jig-vertical": {"turn": "jig", "axis": "vertical"},
    "jig-horizontal": {"turn": "jig", "axis": "horizontal"},
    "jig-vertical-calendar": {"turn": "jig", "axis": "vertical", "reads": "calendar"},
    "pieces-horizontal": {"turn": "pieces", "axis": "horizontal"},
    "pieces-horizontal-calendar": {"turn": "pieces", "axis": "horizontal", "reads": "calendar"},
    "pieces-vertical-even": {"turn": "pieces", "axis": "vertical", "even": True},
}


@pytest.fixture(params=TURNS)
def turned(request: pytest.FixtureRequest, shared: Shared) -> tuple[Run, dict[str, str]]:
    keywords = TURNS[request.param]

    def make(place: Path) -> Run:
        home = keys(place / "job", **keywords)  # type: ignore[arg-type]
        return build(home, place / "run", "--at", AT, "--readback")

    run = shared.run(f"keys-{request.param}", make)
    assert run.code == DONE, run.stderr
    return run, {"turn": str(keywords["turn"]), "axis": str(keywords["axis"])}


@pytest.fixture
def shipped(shared: Shared) -> Run:
    """The example as it is."""
    return shared.run(
        "keys", lambda place: build(copied("keys", place / "job"), place / "run", "--at", AT)
    )


def sides(run: Run, bed: int) -> tuple[list[dict], list[dict]]:
    of_bed = run.on_bed(bed)
    return tuple([s for s in of_bed if s["side"] == side] for side in "AB")  # type: ignore


def test_both_codes_of_a_piece_tell_one_key(turned: tuple[Run, dict[str, str]]) -> None:
    run, how = turned
    keys_of = {row: line["Key"] for row, line in enumerate(_sheet(run), 2)}
    seen = 0
    for bed in run.beds:
        front, behind = sides(run, bed)
        a, cut_a = black_and_cut(run.out / "beds" / front[0]["file"])
        b, cut_b = black_and_cut(run.out / "beds" / behind[0]["file"])
        if how["turn"] == "jig":
            through, cut = (turned_over(ink, how["axis"]) for ink in (a, cut_a))
        else:
            through, cut = (turned_pieces(ink, front, how["axis"]) for ink in (a, cut_a))
        # The outline that was cut about side A is that of side B: within 2 pixels, 0.18 mm.
        assert apart(cut, cut_b, 2) == 0
        for slot in behind:
            key = keys_of[int(slot["record"].partition("!")[2].partition("#")[0])]
            assert code_in(through, slot["box_mm"]) == f"SIDE-A/{key}"
            assert code_in(b, slot["box_mm"]) == f"KEY/{key}"
            seen += 1
    assert seen == 12


def test_mirrored_pockets_of_another_jig_take_what_differs_all_round(tmp_path: Path) -> None:
    home = keys(tmp_path / "job", axis="vertical", more='jig = "jig-b.toml"\n')
    for name, old, new in (("front.toml", "L 0 10 Z", "L 0 2 Z"), ("back.toml", "60 10", "60 2")):
        layout = (home / name).read_text("utf-8")
        assert old in layout
        (home / name).write_text(layout.replace(old, new), encoding="utf-8")
    slots = {"p": (40, 40), "q": (120, 60), "r": (40, 120)}
    turned = dict(reversed(slots.items()))
    for jig, keyword, over, places in (
        ("tag-jig", "", 0.0, slots), ("jig-b", "face_down = true\n", 25.4, turned),
    ):  # fmt: skip
        pockets = "".join(
            f'[[slots]]\nname = "{name}"\nx = {x + over}\ny = {y + over}\n'
            for name, (x, y) in places.items()
        )
        (home / f"{jig}.toml").write_text(f'name = "{jig}"\n{keyword}{pockets}', "utf-8")
    run = build(home, tmp_path / "run", "--at", AT, "--readback")
    assert run.code == DONE, run.stderr
    front, behind = sides(run, 1)
    assert [s["slot"] for s in behind] == ["p", "q", "r"]
    assert [s["box_mm"][0] - a["box_mm"][0] for s, a in zip(behind, front)] == pytest.approx(
        [25.4] * 3
    )
    assert "-jig-b-bed-0001-B-of-" in behind[0]["file"]
    a, cut_a = black_and_cut(run.out / "beds" / front[0]["file"])
    b, cut_b = black_and_cut(run.out / "beds" / behind[0]["file"])
    # An inch further to the right and to the back lies the other jig's pocket: 288 pixels.
    through, cut = (
        np.roll(turned_pieces(ink, front, "vertical"), (-DPI, DPI), (0, 1)) for ink in (a, cut_a)
    )
    assert apart(cut, cut_b, 2) == 0
    for slot in behind:
        key = slot["codes"][0]["text"].removeprefix("KEY/")
        assert code_in(through, slot["box_mm"]) == f"SIDE-A/{key}"
        assert code_in(b, slot["box_mm"]) == f"KEY/{key}"


def test_slots_correspond_one_to_one(turned: tuple[Run, dict[str, str]]) -> None:
    run, _ = turned
    files = [s["file"] for s in run.slots]
    for bed in run.beds:
        front, behind = sides(run, bed)
        assert [(s["slot"], s["record"]) for s in front] == [
            (s["slot"], s["record"]) for s in behind
        ]
        assert {s["file"] for s in behind} == {
            s["file"].replace(f"bed-{bed:04d}-A-of", f"bed-{bed:04d}-B-of") for s in front
        }
    assert list(dict.fromkeys(files)) == sorted(set(files), key=files.index)
    assert len(set(files)) == 2 * len(run.beds)


def test_a_piece_counts_once_and_both_sides_are_read_back(
    turned: tuple[Run, dict[str, str]],
) -> None:
    run, _ = turned
    facts = json.loads((run.out / "run.json").read_text("utf-8"))
    assert facts["counts"]["records"] == 12
    assert facts["counts"]["beds"] == len(run.beds) == 3
    assert len(run.slots) == 24
    lines = (run.out / "readback.jsonl").read_text("utf-8").splitlines()
    read = [json.loads(line) for line in lines]
    assert [(r["bed"], r["side"], r["slot"]) for r in read] == [
        (s["bed"], s["side"], s["slot"]) for s in run.slots
    ]
    assert all(r["good"] for r in read)
    assert sum(code["read"] is not None for r in read for code in r["codes"]) == 24
    assert "(3 beds, 24 codes, " in run.stdout


def test_the_table_has_a_row_a_piece_with_the_texts_of_both_sides(shipped: Run) -> None:
    with (shipped.out / "picklist.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 12
    sheet = _sheet(shipped)
    for row in rows:
        line = sheet[int(row["record"].partition("!")[2].partition("#")[0]) - 2]
        assert row["key"] == f"Key {line['Key']}"
        assert row["code (side B)"] == f"KEY/{line['Key']}"
        assert row["keeper (side B)"] == line["Keeper"]


def test_the_pick_list_has_a_sheet_for_each_side_and_says_how_to_turn(shipped: Run) -> None:
    text = judge("pdftotext", "-layout", shipped.out / "picklist.pdf", "-")
    pages = text.split("\f")[:-1]
    heads = [re.search(r"Bed \d+( [AB])? +of \d+", page) for page in pages[1:7]]
    assert [head and " ".join(head[0].split()) for head in heads] == [
        "Bed 1 A of 2", "Bed 1 B of 2", "Bed 1 of 2", "Bed 2 A of 2", "Bed 2 B of 2", "Bed 2 of 2",
    ]  # fmt: skip
    assert "side A comes first, side B when it is cured" in pages[1]
    flat = " ".join(pages[2].split())
    assert (
        "when side A is cured, turn each piece of bed 1 A about its own horizontal axis, so that "
        "its top and bottom change places, and put it back into its own slot" in flat
    )
    assert "PACK A TWO-SIDED PIECE WHEN SIDES A AND B ARE BOTH PRINTED" in pages[-1]


def test_the_packer_sees_both_sides_of_each_piece_upright(shipped: Run) -> None:
    path = shipped.out / "picklist.pdf"
    picture = grey_page(path, 4, 200)
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    behind = sides(shipped, 1)[1]
    wanted = {slot["codes"][0]["text"]: slot["slot"] for slot in behind}  # two of some
    assert {code.text for code in found} == set(wanted) and len(found) == len(behind) == 10
    assert {round(code.orientation / 90) % 4 for code in found} == {0}
    spots = {word.text: word for word in words(path)[3]}
    for code in found:
        # The code of a piece stands below its slot's name, and nearer to no other.
        corner = code.position.top_left
        x, y = corner.x / 200 * 25.4, (picture.shape[0] - corner.y) / 200 * 25.4
        above = [spot for slot in behind if (spot := spots[slot["slot"]]).y > y and spot.x < x]
        nearest = min(above, key=lambda spot: (spot.y - y, x - spot.x))
        slot = next(slot for slot in behind if slot["slot"] == nearest.text)
        assert slot["codes"][0]["text"] == code.text
        assert "Front" in spots


def test_tickets_say_the_side_the_axis_and_that_side_a_is_cured_first(shipped: Run) -> None:
    text = judge("pdftotext", "-layout", shipped.out / "tickets.pdf", "-")
    pages = [" ".join(page.split()) for page in text.split("\f")[:-1]]
    assert [f"Bed {n} {s}" in page for page, (n, s) in zip(pages, ("1A", "1B", "2A", "2B"))] == [
        True
    ] * 4
    turn = (
        "turn each piece about its own horizontal axis, so that its top and bottom change places, "
        "and put it back into its own slot"
    )
    assert f"A, printed first; when it is cured, {turn}, and print side B" in pages[0]
    assert f"B; side A has to be printed and cured before; then {turn}" in pages[1]


def test_a_jig_that_is_turned_is_told_with_its_axis(tmp_path: Path) -> None:
    home = keys(tmp_path / "job", turn="jig", axis="vertical", more="axis_at = 95\n")
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.code == DONE, run.stderr
    text = judge("pdftotext", "-layout", run.out / "tickets.pdf", "-")
    assert (
        "turn the whole jig over with its pieces, about an axis from front to back, 95 mm from "
        "the left of the bed: left and right change places" in " ".join(text.split())
    )
    assert (
        "the middle of slot p lies 150 mm from the left and 40 mm from the front of the bed; on "
        "side A it lay 40 and 40 mm from them" in " ".join(text.split())
    )
    place = {(s["side"], s["slot"]): s["box_mm"] for s in run.on_bed(1)}
    # Slot p, its centre at 40, lies at 2 * 95 - 40 = 150.
    assert place["A", "p"] == [10.0, 26.0, 60.0, 28.0]
    assert place["B", "p"] == [120.0, 26.0, 60.0, 28.0]


def test_the_number_of_workers_changes_no_byte(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    one, three = (
        build(home, tmp_path / f"run-{n}", "--at", AT, "--workers", str(n)) for n in (1, 3)
    )
    assert one.code == three.code == DONE
    assert digests(one.out) == digests(three.out)


def test_a_record_is_held_if_either_side_cannot_be_printed(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    path = home / "keys.csv"
    text = path.read_text("utf-8")
    text = text.replace("Archive and map store", "Archive and " + "very " * 30 + "large store")
    text = text.replace("Tamsin Okoro", "Tamsin \U0001f98a")
    path.write_text(text, encoding="utf-8")
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.code == 3
    assert {s["record"] for s in run.slots}.isdisjoint({"keys!4#1", "keys!10#1"})
    assert len(run.slots) == 2 * 10
    with (run.out / "held.csv").open(encoding="utf-8-sig", newline="") as file:
        held = list(csv.DictReader(file))
    assert [row["Key"] for row in held] == ["0043", "0212"]
    assert "keeper (side B)" in " ".join(held[1].values())


@pytest.mark.parametrize("slot", ["1/B2", "1A/B2", "1 B/B2"])
def test_a_spoiled_side_means_a_new_blank_and_both_sides(tmp_path: Path, slot: str) -> None:
    home = copied("keys", tmp_path / "job")
    assert build(home, tmp_path / "run", "--at", AT).code == DONE
    code, out, err = call(
        "remake", home / "job.toml", tmp_path / "run", "--slot", slot, "--out",
        tmp_path / "again", "--at", AT,
    )  # fmt: skip
    assert code == DONE, err
    again = Run(home, tmp_path / "again", code, out, err)
    assert [(s["side"], s["record"]) for s in again.slots] == [
        ("A", "keys!4#1"), ("B", "keys!4#1"),
    ]  # fmt: skip
    assert len(list((again.out / "beds").iterdir())) == 2
    assert "the piece has two sides: both are printed again, on a new blank" in out + err


def test_a_remake_is_refused_where_side_b_would_say_something_else(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    assert build(home, tmp_path / "run", "--at", AT).code == DONE
    path = home / "keys.csv"
    path.write_text(path.read_text("utf-8").replace("Jory Brandvold", "Jory Brand"), "utf-8")
    code, _, err = call(
        "remake", home / "job.toml", tmp_path / "run", "--slot", "1/B2", "--out", tmp_path / "again"
    )
    assert code == 2
    assert err.splitlines()[0] == (
        "keys.csv: record keys!4#1 has changed since the run was built: field 'keeper (side B)' "
        "was 'Jory Brandvold' and is 'Jory Brand'; put it back as it was, or build the changed "
        "rows as a run of their own"
    )


def test_a_side_that_is_missing_fails_the_read_back(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    run = build(home, tmp_path / "run", "--at", AT)
    path = run.out / "slots.jsonl"
    lines = path.read_text("utf-8").splitlines(keepends=True)
    path.write_text("".join(lines[:-1]), encoding="utf-8")
    code, _, err = call("readback", run.out)
    assert code == 7
    assert (
        "slots.jsonl: it lists 12 slots of side A, and 11 of side B; build the run again"
        in err.splitlines()
    )


def test_a_difference_names_the_side(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    one = build(home, tmp_path / "one", "--at", AT)
    back = home / "back.toml"
    back.write_text(back.read_text("utf-8").replace("box = [3, 4, 20, 20]", "box = [2, 4, 20, 20]"))
    other = build(home, tmp_path / "other", "--at", AT)
    code, out, err = call("difference", one.out, other.out, "--out", tmp_path / "d.png")
    assert code == DONE, err
    told = out.splitlines()
    assert [line.partition(":")[0] for line in told[:2]] == ["bed 1 B, Colour", "bed 2 B, Colour"]
    assert told[2].startswith("bed 1 -> ")


def test_a_preview_shows_the_side_that_is_asked_for(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    found = {}
    for side in ("A", "B"):
        out = tmp_path / f"{side}.png"
        code, said, err = call("preview", home / "job.toml", "--side", side, "--out", out)
        assert code == DONE, err
        assert f"bed 1, 10 items, side {side}, " in said
        with Image.open(out) as picture:
            found[side] = {code.text for code in zxingcpp.read_barcodes(picture)}
    assert found["A"] == set()
    assert found["B"] == {f"KEY/{key}" for key in
                          ("0041", "0042", "0043", "0107", "0108", "0109", "0210")}  # fmt: skip


def test_a_preview_of_one_sided_pieces_has_no_side_b(tmp_path: Path) -> None:
    home = copied("tags", tmp_path / "job")
    code, _, err = call("preview", home / "job.toml", "--side", "B", "--out", tmp_path / "b.png")
    assert code == 2
    assert err.splitlines() == [
        "--side names a side of two-sided pieces, and these have one; leave it out, or add a "
        "table [side_b] to the job"
    ]


def test_a_proof_shows_both_sides_beside_each_other(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    out = tmp_path / "proof.pdf"
    code, _, err = call("proof", home / "job.toml", "--order", "Harbour", "--out", out)
    assert code == DONE, err
    spots = [w for w in words(out)[0] if w.text in ("A", "B")]
    a, b = ([w for w in spots if w.text == side] for side in "AB")
    assert len(a) == len(b) == 4
    assert all(one.y == other.y and one.x < other.x for one, other in zip(a, b))
    found = zxingcpp.read_barcodes(grey_page(out, 1, 200))
    assert sorted(code.text for code in found) == ["KEY/0210", "KEY/0210", "KEY/0211", "KEY/0212"]


def test_an_approval_covers_side_b(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    by = ("--order", "Harbour", "--by", "Ottilie Brandvold")
    assert call("approve", home / "job.toml", *by)[0] == DONE
    back = home / "back.toml"
    back.write_text(back.read_text("utf-8").replace("Any Fernhollow", "Every Fernhollow"))
    run = build(home, tmp_path / "run", "--at", AT)
    assert run.code == 3
    assert {s["order"] for s in run.slots} == {"Oak Street", "Mill Lane"}


def test_the_same_sheet_again_finds_each_two_sided_piece_once(tmp_path: Path) -> None:
    home = copied("keys", tmp_path / "job")
    job = home / "job.toml"
    job.write_text(job.read_text("utf-8").replace("[records]", '[records]\nline = "Key"'), "utf-8")
    first = build(home, tmp_path / "first", "--at", AT)
    assert first.code == DONE, first.stderr
    again = build(home, tmp_path / "again", "--at", AT)
    assert again.slots == []
    with (again.out / "skipped.csv").open(encoding="utf-8-sig", newline="") as file:
        skipped = list(csv.DictReader(file))
    run_id = json.loads((first.out / "run.json").read_text("utf-8"))["run_id"]
    assert len(skipped) == 9
    assert f"run {run_id}, bed 2, slot A2" in skipped[-1]["skipped: reason"]


def test_a_frame_of_a_run_has_a_row_for_each_side(shipped: Run) -> None:
    from vardata.frames import slots_frame

    frame = slots_frame(shipped.out)
    assert frame["side"].value_counts().to_dict() == {"A": 12, "B": 12}
    assert set(frame.groupby("record")["side"].agg("".join)) == {"AB"}


def test_products_serials_and_groups_go_with_two_sides(tmp_path: Path) -> None:
    home = mixed(tmp_path / "job")
    run = build(home, tmp_path / "run", "--at", AT, "--readback")
    assert run.code == DONE, run.stderr
    front = [s for s in run.slots if s.get("side") == "A"]
    behind = [s for s in run.slots if s.get("side") == "B"]
    plain = [s for s in run.slots if "side" not in s]
    assert (len(front), len(behind), len(plain)) == (9, 9, 3)
    # A number stands on side B alone, once for each piece.
    tags = [code["text"] for slot in behind for code in slot["codes"]]
    assert sorted(tags) == [f"T-{number}" for number in range(1, 10)]
    assert "9 printed" in call("serials", home / "job.toml", "list")[1]
    # Texts of one order share one size on side B too, as the largest name of the order needs.
    sizes: dict[str, set[float]] = {}
    for slot in behind:
        sizes.setdefault(slot["order"], set()).add(slot["texts"][1]["size_pt"])
    assert all(len(of_order) == 1 for of_order in sizes.values())
    assert len({size for of_order in sizes.values() for size in of_order}) > 1


def mixed(place: Path) -> Path:
    """Two products, one of them two-sided, with a serial on its side B."""
    home = copied("keys", place)
    text = (home / "job.toml").read_text("utf-8")
    start, end = text.index("[side_b]"), text.index("[blanks.white]")
    side = text[start:end].replace("[side_b]", "[products.tag.side_b]")
    text = text[:start] + text[end:]
    text = text.replace('layout = "front.toml"\njig = "tag-jig.toml"\n', "")
    text = text.replace("[records]\n", '[records]\nproduct = "Kind"\n')
    text = text.replace("[output]", '[output]\npages = "apart"\nbeds_per_file = 2')
    text += '\n[serials.tag]\ntext = "T-{{ number }}"\n'
    for name in ("tag", "plain"):
        text += f'\n[products.{name}]\nlayout = "front.toml"\njig = "tag-jig.toml"\n'
    (home / "job.toml").write_text(text + side, encoding="utf-8")
    back = (home / "back.toml").read_text("utf-8").replace("KEY/{{ key }}", "{{ tag }}")
    back = back.replace('name = "keeper"', 'name = "keeper"\none_size = "order"')
    (home / "back.toml").write_text(back, encoding="utf-8")
    rows = (home / "keys.csv").read_text("utf-8").splitlines()
    kinds = ["Kind", *("plain" if number % 3 == 2 else "tag" for number in range(len(rows) - 1))]
    told = "".join(f"{row},{kind}\n" for row, kind in zip(rows, kinds))
    (home / "keys.csv").write_text(told, encoding="utf-8")
    return home


def _sheet(run: Run) -> list[dict[str, str]]:
    path = run.home / read_toml(run.home / "job.toml")["sheet"]["file"]
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
