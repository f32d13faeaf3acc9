"""Where the pieces of each order lie."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from paperkit import SIXTY_FOUR, check_pdf, layout_text, words

from vardata.output.picklist_orders import build_orders, natural_key, order_chunks
from vardata.output.picklist_values import OrderPieces


def test_numbers_sort_as_people_count() -> None:
    wanted = [
        "", "#2", "#10", "2", "10", "010", "10a", "100", "99999999999999999999", "a", "A2", "a2b",
        "a10", "A10-9", "A10-10", "Auftrag 3", "Auftrag 12", "Ärger", "Σ",
    ]  # fmt: skip
    for seed in range(5):
        shuffled = list(wanted)
        random.Random(seed).shuffle(shuffled)
        got = sorted(shuffled, key=natural_key)
        # "10" and "010" are one number; the text itself parts them.
        assert [o for o in got if o != "010"] == [o for o in wanted if o != "010"]
        assert abs(got.index("010") - got.index("10")) == 1


@given(st.lists(st.integers(0, 10**30).map(str), max_size=30))
def test_plain_numbers_sort_like_numbers(numbers: list[str]) -> None:
    assert sorted(numbers, key=natural_key) == sorted(numbers, key=int)


@given(st.text(max_size=8), st.text(max_size=8))
def test_two_orders_never_share_a_key(one: str, other: str) -> None:
    assert (natural_key(one) == natural_key(other)) == (one == other)


@given(
    st.text(alphabet="ab01\u00e9\U0001f600", max_size=6),
    st.text(alphabet="ab01\u00e9\U0001f600", max_size=6),
)
def test_keys_sort_alike_as_texts_and_as_utf8(one: str, other: str) -> None:
    """So that a database that compares bytes agrees."""
    a, b = natural_key(one), natural_key(other)
    assert (a < b) == (a.encode() < b.encode())


def entries(count: int, seed: int = 3) -> list[OrderPieces]:
    choose = random.Random(seed)
    out: list[OrderPieces] = []
    for k in range(count):
        pieces = [
            (1 + k // 20 + j // 3, f"{'ABCDEFGH'[(k + j) % 8]}{j % 8 + 1}", f"Ida{k}x{j}")
            for j in range(choose.choice([1, 1, 1, 2, 3, 5]))
        ]
        out.append((str(10_000 + k), pieces))
    return out


def told(chunk: list[OrderPieces], folder: Path) -> list[str]:
    path = folder / "orders.pdf"
    path.write_bytes(build_orders(chunk, SIXTY_FOUR, 7))
    check_pdf(path)
    return layout_text(path)


def wanted_line(pieces: list[tuple[int, str, str]]) -> str:
    """The line by the rule of the paper: beds in bold, pieces by commas, beds by semicolons."""
    beds: dict[int, list[str]] = {}
    for bed, slot, text in pieces:
        beds.setdefault(bed, []).append(f"{slot} {text}")
    return "; ".join(f"bed {bed}: " + ", ".join(slots) for bed, slots in beds.items())


def test_every_piece_stands_with_its_order(tmp_path: Path) -> None:
    chunk = entries(200)
    pages = told(chunk, tmp_path)
    rows: dict[str, str] = {}
    counts: dict[str, str] = {}
    order = ""
    for page in pages:
        for line in page.split("\n"):
            if found := re.match(r" {2,}(\d{5}) +(\d+)(?: +(\d+ beds))? +(bed.*)", line):
                order = found[1]
                rows[order] = found[4]
                counts[order] = f"{found[2]} {found[3] or ''}".strip()
            elif re.match(r" {40,}\S", line):
                rows[order] += " " + line.strip()
    assert list(rows) == [order for order, _ in chunk]
    for order, pieces in chunk:
        assert rows[order] == wanted_line(list(pieces))
        beds = len({bed for bed, _, _ in pieces})
        assert counts[order] == (f"{len(pieces)} {beds} beds" if beds > 1 else str(len(pieces)))


def test_each_sheet_names_its_first_and_last_order(tmp_path: Path) -> None:
    pages = told(entries(200), tmp_path)
    assert len(pages) > 3
    before = 9_999
    for number, page in enumerate(pages, 1):
        first, last = map(int, re.search(r"(\d{5}) to (\d{5}) +2025-03-14", page).groups())  # type: ignore[union-attr]
        inside = [int(order) for order in re.findall(r"^ {2,}(\d{5}) ", page, re.MULTILINE)]
        assert inside == list(range(first, last + 1))
        assert first == before + 1
        before = last
        assert f"by order, part 7, page {number} of {len(pages)}" in page


def test_an_order_of_more_than_a_sheet_goes_on(tmp_path: Path) -> None:
    pieces = [(1 + j // 64, f"A{j % 64}", f"N{j}") for j in range(2500)]
    pages = told(
        [("1", [(1, "H8", "first")]), ("BIG", pieces), ("last", [(99, "A1", "Jo")])], tmp_path
    )
    text = " ".join(pages)
    assert all(re.search(rf"A{j % 64} N{j}\b", text) for j in range(2500))
    goes_on = [page for page in pages if "goes on, bed" in page]
    assert len(goes_on) == len(pages) - 1 >= 3
    for page in goes_on:
        bed = int(re.search(r"goes on, bed (\d+)", page)[1])  # type: ignore[index]
        first = int(re.search(r"\bN(\d+)\b", page)[1])  # type: ignore[index]
        assert bed == 1 + first // 64


def test_hostile_orders_and_texts(tmp_path: Path) -> None:
    chunk: list[OrderPieces] = [
        ("", [(1, "A1", "Jo")]),
        ("ORD-2025-03-14-ABCDEFGH-000123", [(1, "A2", "(Jo) \\ Co"), (2, "B1", "")]),
        ("X" * 80, [(1, "A3", "word " * 120)]),
        ("Ω7", [(1, "A4", "two\nlines"), (1, "A5", "x" * 300)]),
    ]
    pages = told(chunk, tmp_path)
    text = "\n".join(pages)
    assert "(no order)" in text and "ORD-2025-03-14-ABCDEFGH-000123" in text and "Ω7" in text
    assert "bed 1: A2 (Jo) \\ Co; bed 2: B1" in " ".join(text.split())
    assert text.count("word") == 120 and "two lines" in text
    assert "".join(re.findall(r"x{5,}", text)) == "x" * 300
    assert "X…" in text
    for page in words(tmp_path / "orders.pdf"):
        assert max(word.x1 for word in page) < 595.28 - 34


def test_chunks_cut_between_orders_and_read_no_further_than_needed() -> None:
    read = []

    def stream() -> Iterator[OrderPieces]:
        for entry in entries(500):
            read.append(entry[0])
            yield entry

    chunks = order_chunks(stream(), pieces=100)
    first = next(chunks)
    assert len(read) == len(first) < 100
    all_chunks = [first, *chunks]
    assert [entry for chunk in all_chunks for entry in chunk] == entries(500)
    sizes = [sum(len(pieces) for _, pieces in chunk) for chunk in all_chunks]
    assert all(100 <= size < 105 for size in sizes[:-1])


def test_same_orders_same_bytes() -> None:
    assert build_orders(entries(50), SIXTY_FOUR) == build_orders(entries(50), SIXTY_FOUR)


def test_titles_of_short_orders_stand_apart(tmp_path: Path) -> None:
    """A column is never narrower than its title."""
    (tmp_path / "orders.pdf").write_bytes(build_orders([("7", [(1, "A1", "Jo")])], SIXTY_FOUR))
    (page,) = words(tmp_path / "orders.pdf")
    (order,), (pieces,) = ([w for w in page if w.text == name] for name in ("order", "pieces"))
    assert order.x1 + 4.0 < pieces.x0


def test_what_is_held_stands_below_the_pieces_to_its_end(tmp_path: Path) -> None:
    why = "1 row held, not printed: row 12, " + "a name that is too long " * 8 + "to be set"
    chunk = [("7", [(1, "A1", "Jo")]), ("8", []), ("9", [(1, "A2", "Al")])]
    path = tmp_path / "orders.pdf"
    path.write_bytes(build_orders(chunk, SIXTY_FOUR, 1, {"7": why, "8": "2 rows held"}))
    said = " ".join(" ".join(layout_text(path)).split())
    assert "A1 Jo 1 row held, not printed: row 12, a name" in said
    assert "to be set" in said
    assert said.index("to be set") < said.index("8 0 2 rows held") < said.index("A2 Al")
