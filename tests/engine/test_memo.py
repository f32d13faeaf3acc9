"""Answers that workers share: worked out once, and never needed."""

from __future__ import annotations

from pathlib import Path

from shapely.geometry import Point

from vardata.memo import Memo


def test_an_answer_is_worked_out_once_for_all_who_ask(tmp_path: Path) -> None:
    asked: list[object] = []

    def area(radius: float, parts: tuple[int, str]) -> Point:
        asked.append((radius, parts))
        return Point(0.1, radius).buffer(radius)

    answers = [
        Memo(tmp_path / "glyphs").shared("area", area)(radius, (1, "ä"))
        for radius in (0.1, 0.1, 0.2, 0.1)
    ]
    assert asked == [(0.1, (1, "ä")), (0.2, (1, "ä"))]
    assert answers[0].wkb == answers[1].wkb == answers[3].wkb != answers[2].wkb


def test_names_part_answers(tmp_path: Path) -> None:
    memo = Memo(tmp_path / "glyphs")
    assert memo.shared("one", lambda n: n)(2) == 2
    assert memo.shared("twice", lambda n: 2 * n)(2) == 4


def test_without_a_place_to_write_it_only_takes_longer(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    for memo in (Memo(), Memo(tmp_path / "file"), Memo(tmp_path / "gone" / "glyphs")):
        assert memo.shared("one", lambda n: n)(2) == 2
        assert memo.shared("one", lambda n: n)(2) == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file"]
