"""Fits drawn and looked at: every run's outlines as PDF paths, rendered by pdfium at 600 dots per
inch. What is dark lies in the field's box, and where the fit says its ink is."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from faker import Faker
from fit_judges import BOOK, FILES, MM, chain, drawn, field
from reportlab.pdfgen.canvas import Canvas

from vardata.fit.result import TextFit
from vardata.fit.text import fit_text
from vardata.job.model import TextField

NAMES = [path.stem for path in FILES]
MARGIN = 2.0  # mm of paper around the box
DPI = 600
CASES = 200


def cases() -> Iterator[tuple[TextFit, TextField]]:
    dice = random.Random(5)
    fakes = [Faker(locale) for locale in ("en_GB", "fr_FR", "de_DE", "el_GR", "ru_RU", "vi_VN")]
    for number, fake in enumerate(fakes):
        fake.seed_instance(number)
    found = 0
    while found < CASES:
        name = NAMES[found % len(NAMES)]
        text = dice.choice([dice.choice(fakes).name(), "jgyf Qjf", "x\u0302\u0301 q\u0323\u0301"])
        one = field(
            box=(0, 0, dice.uniform(8, 45), dice.uniform(3, 16)), size="16pt",
            lines=dice.randint(1, 3), squeeze=dice.choice([100, 80]),
            align=dice.choice(["left", "centre", "right"]),
            valign=dice.choice(["top", "middle", "bottom"]),
            align_by=dice.choice(["ink", "metrics"]),
        )  # fmt: skip
        fit = fit_text(text, one, chain(name, "NotoSans-Regular"))
        if isinstance(fit, TextFit):
            found += 1
            yield fit, one


def page_dots(one: TextField) -> tuple[int, int]:
    """Pages of whole dots, so that the renderer need not stretch them."""
    across, up = (math.ceil((side + 2 * MARGIN) * DPI / 25.4) for side in one.box[2:])
    return across, up


def draw(canvas: Canvas, fit: TextFit, one: TextField) -> None:
    """One page: the box with a margin, the glyphs as filled paths."""
    faces = {face.path: face for face in (BOOK.face(index) for index in range(len(BOOK)))}
    # A hair less than whole dots, because the renderer rounds up.
    canvas.setPageSize([(dots - 0.01) * 72 / DPI for dots in page_dots(one)])
    canvas.scale(1 / MM, 1 / MM)
    canvas.translate(MARGIN, MARGIN)
    for file, glyph, x, y, em in drawn(fit):
        path = canvas.beginPath()
        across, up = em * fit.squeeze / 1000, em / 1000
        for kind, *numbers in faces[file].outline(glyph):
            at = [
                x + float(n) * across if even else y + float(n) * up
                for n, even in zip(numbers, [True, False] * 3)
            ]
            if kind == "h":
                path.close()
            else:
                {"m": path.moveTo, "l": path.lineTo, "c": path.curveTo}[str(kind)](*at)
        canvas.drawPath(path, stroke=0, fill=1, fillMode=1)  # nonzero winding
    canvas.showPage()


@pytest.fixture(scope="module")
def fits() -> list[tuple[TextFit, TextField]]:
    return list(cases())


def test_dark_dots_lie_in_the_box(fits: list[tuple[TextFit, TextField]]) -> None:
    file = BytesIO()
    canvas = Canvas(file)
    for fit, one in fits:
        draw(canvas, fit, one)
    canvas.save()
    document = pypdfium2.PdfDocument(file.getvalue())
    assert len(document) == CASES
    dot = 25.4 / DPI
    for page, (fit, one) in zip(document, fits):
        image = np.asarray(page.render(scale=DPI / 72).to_pil().convert("L"))
        assert image.shape == page_dots(one)[::-1]
        height = image.shape[0]
        rows, columns = np.nonzero(image < 128)
        left, right = columns.min(), columns.max() + 1
        bottom, top = height - rows.max() - 1, height - rows.min()
        x0, y0 = MARGIN / dot, MARGIN / dot
        x1, y1 = x0 + one.box[2] / dot, y0 + one.box[3] / dot
        assert left >= x0 - 1, fit
        assert bottom >= y0 - 1, fit
        assert right <= x1 + 1, fit
        assert top <= y1 + 1, fit
        ink = [(MARGIN + edge) / dot for edge in fit.ink]
        # Thin ends of letters are paler than half a dot: a little less may be dark.
        assert [left, bottom, right, top] == pytest.approx(ink, abs=2.5), fit
