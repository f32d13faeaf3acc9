"""Ways to spoil a bed file, by its content stream alone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf

PT = 72 / 25.4
Op = Any  # an instruction of a content stream
Edit = Callable[[list[Op]], list[Op]]


def edit(path: Path, change: Edit, page: int = 0) -> None:
    """Rewrites a page's content stream."""
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        target = pdf.pages[page]
        ops = change(list(pikepdf.parse_content_stream(target)))
        target.Contents = pdf.make_stream(pikepdf.unparse_content_stream(ops))
        pdf.save(path, deterministic_id=True)


def op(operator: str, *numbers: float) -> Op:
    return pikepdf.ContentStreamInstruction(list(numbers), pikepdf.Operator(operator))


def is_image(item: Op) -> bool:
    return isinstance(item, pikepdf.ContentStreamInlineImage)


def symbols(ops: list[Op], columns: int) -> list[int]:
    """Places of the inline images that are so many modules wide; the one before is their cm."""
    return [i for i, item in enumerate(ops) if is_image(item) and item.iimage.width == columns]


def numbers(item: Op) -> list[float]:
    return [float(value) for value in item.operands]


def replace_matrix(ops: list[Op], image: int, matrix: list[float]) -> None:
    assert str(ops[image - 1].operator) == "cm"
    ops[image - 1] = op("cm", *matrix)


def layer_end(ops: list[Op], number: int) -> int:
    """The place of the end of the so many-th layer."""
    ends = [i for i, item in enumerate(ops) if str(item.operator) == "EMC"]
    return ends[number]


def painted(box_mm: tuple[float, float, float, float], ink: tuple[float, ...]) -> list[Op]:
    """A rectangle in process ink, mm on the bed."""
    return [
        op("q"), op("k", *ink), op("re", *(round(v * PT, 4) for v in box_mm)), op("f"), op("Q")
    ]


def paint_colour(
    path: Path, box_mm: tuple[float, float, float, float], ink: tuple[float, ...]
) -> None:
    """Paints on top of everything on the first layer, colour."""

    def change(ops: list[Op]) -> list[Op]:
        end = layer_end(ops, 0)
        return [*ops[:end], *painted(box_mm, ink), *ops[end:]]

    edit(path, change)


def emptied(ops: list[Op], box_mm: tuple[float, float, float, float]) -> list[Op]:
    """Takes away what is shown in a box: pictures, texts and rectangles."""
    x0, y0 = box_mm[0] * PT, box_mm[1] * PT
    x1, y1 = x0 + box_mm[2] * PT, y0 + box_mm[3] * PT
    at = [0.0, 0.0]
    kept = []
    for i, item in enumerate(ops):
        name = "BI" if is_image(item) else str(item.operator)
        place = at
        if name == "BT":
            at = [0.0, 0.0]
        elif name == "Td":
            dx, dy = numbers(item)
            at = [at[0] + dx, at[1] + dy]
        elif name == "Tm":
            at = numbers(item)[4:]
        elif name == "BI":
            place = numbers(ops[i - 1])[4:]
        elif name == "re":
            place = numbers(item)[:2]
        inside = x0 <= place[0] <= x1 and y0 <= place[1] <= y1
        if not (inside and name in ("BI", "Tj", "TJ", "re")):
            kept.append(item)
    return kept
