"""Texts that all items of a bed share are said once, above the table."""

from __future__ import annotations

from pathlib import Path

from paperkit import SIXTY_FOUR, layout_text, make_bed

from vardata.output.picklist_pages import build_part
from vardata.output.slotline import SlotLine


def _shown(tmp_path: Path, texts: list[tuple[tuple[str, str], ...]]) -> str:
    bed = make_bed(SIXTY_FOUR, len(texts))
    lines: tuple[SlotLine, ...] = tuple(
        line._replace(texts=one, codes=()) for line, one in zip(bed.lines, texts)
    )
    (tmp_path / "sheet.pdf").write_bytes(build_part([bed._replace(lines=lines)], SIXTY_FOUR))
    return "\n".join(layout_text(tmp_path / "sheet.pdf"))


def test_a_text_that_all_share_stands_once(tmp_path: Path) -> None:
    shown = _shown(
        tmp_path, [(("owner", "Fernhollow Libraries"), ("number", f"{n:05d}")) for n in range(20)]
    )
    assert shown.count("Fernhollow Libraries") == 1
    assert "number; on each: Fernhollow Libraries" in shown
    assert all(f"{n:05d}" in shown for n in range(20))


def test_a_text_that_one_item_lacks_stands_in_each_row(tmp_path: Path) -> None:
    texts = [(("owner", "Fernhollow Libraries"), ("number", f"{n:05d}")) for n in range(5)]
    texts[3] = (("number", "00003"),)
    assert _shown(tmp_path, texts).count("Fernhollow Libraries") == 4


def test_items_that_say_nothing_else_keep_their_text(tmp_path: Path) -> None:
    shown = _shown(tmp_path, [(("owner", "Fernhollow Libraries"),)] * 3)
    assert shown.count("Fernhollow Libraries") == 3
