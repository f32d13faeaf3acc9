"""``readback.pdf``: the one page that says what reading the finished files found.

In: a ``ReadbackReport`` and the run's facts. Out: a PDF of one page, the same bytes each time.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from vardata.job.shipped import fonts_dir
from vardata.output.picklist_document import Paper
from vardata.output.picklist_paper import BLACK, GREY, INNER, LEFT, RIGHT, TOP, rule
from vardata.output.picklist_values import PaperFont, PaperFonts, RunPaper
from vardata.readback.beds import Weak
from vardata.readback.facts import RunFacts
from vardata.readback.hard import BLUR, CONTRAST, SAMPLES, SPREAD, TURN

if TYPE_CHECKING:
    from vardata.readback.report import ReadbackReport

NOT_PRINT = "File only: this is not a measurement of print quality."
_ABOUT = (
    "The bed files were rendered, plate by plate, and every code was read again by a decoder "
    "that did not make it, as seen on its blank: colour over white ink, or over the bare blank. "
    "Looked at apart: single modules, fixed patterns, mirroring, light on dark, the quiet zone, "
    "gloss on a code, the size of a module. Of texts only this was looked at: that there is ink "
    "in each box, and none just outside it. Letters were not read."
)
_DEGRADED = (
    "The hardest step of each list at which the code still reads, the weakest codes first. The "
    "steps rank the codes of a run; they are not a grade, and no printer or blank stands behind "
    f"them. Lists: blur {BLUR[0]:g} to {BLUR[-1]:g} dots, contrast {CONTRAST[0]} down to "
    f"{CONTRAST[-1]} %, ink spread {SPREAD[0]} to {SPREAD[-1]} dots an edge, turned {TURN[0]} to "
    f"{TURN[-1]}°, {SAMPLES[0]:g} down to {SAMPLES[-1]:g} pixels a module."
)
_MOST_FAILURES = 14
_COLUMNS = (
    ("Bed", 0), ("Slot", 42), ("Field", 92), ("Blur", 210), ("Contrast", 262), ("Spread", 326),
    ("Turned", 380), ("Pixels", 434), ("Correction left", 523),
)  # fmt: skip


def write_paper(report: ReadbackReport, facts: RunFacts, path: Path) -> None:
    """Raises ``OSError``."""
    path.write_bytes(build_paper(report, facts))


def build_paper(report: ReadbackReport, facts: RunFacts) -> bytes:
    folder = fonts_dir()
    fonts = PaperFonts(
        folder / "NotoSans-Regular.ttf", folder / "NotoSans-Bold.ttf",
        (PaperFont(folder / "NotoSansMono-Regular.ttf"),),
    )
    run = RunPaper(
        job=facts.job.name, run=facts.run_id, beds=facts.beds, jig="", layout=facts.layout.name,
        at=facts.at, bed_mm=(facts.bed.width, facts.bed.height),
        item_mm=(facts.layout.width, facts.layout.height), outline=(), pockets=(), fonts=fonts,
    )
    sheet = _Sheet(Paper(run, f"{facts.job.name}: read-back, run {facts.run_id}"))
    sheet.head(report, facts)
    sheet.counts(report, facts)
    sheet.failures(report)
    sheet.weakest(report.weakest, report.degraded)
    sheet.foot(facts)
    return sheet.finish()


class _Sheet:
    """The page as it is filled from the top."""

    def __init__(self, paper: Paper) -> None:
        self._paper = paper
        self._out: list[str] = []
        self._y = TOP

    def head(self, report: ReadbackReport, facts: RunFacts) -> None:
        regular, bold = self._paper.regular, self._paper.bold
        title = "Read-back failed" if report.failures else "All read"
        date = facts.at.strftime("%Y-%m-%d")
        self._out += [
            f"{GREY} {bold.at(LEFT, TOP - 8, 'READ-BACK', 7.5)}",
            regular.at_right(RIGHT, TOP - 36, f"run of {date}", 11.0),
            BLACK,
            bold.at(LEFT, TOP - 36, title, 26.0),
        ]
        self._y = TOP - 58
        self._out.append(bold.at(LEFT, self._y, NOT_PRINT, 11.0))
        self._y -= 17
        self._block(_ABOUT, 9.0)

    def counts(self, report: ReadbackReport, facts: RunFacts) -> None:
        bad_codes, bad_texts = report.codes - report.codes_good, report.texts - report.texts_good
        self._heading("What was read")
        for label, value in (
            ("Job", f"{facts.job.name}, layout {facts.layout.name}"),
            ("Beds", f"{report.beds} in {_many(report.files, 'file')}"),
            ("Slots", str(report.slots)),
            ("Codes", _share(report.codes, bad_codes)),
            ("Texts", _share(report.texts, bad_texts)),
            ("Failures", str(report.failures)),
        ):
            self._out.append(f"{GREY} {self._paper.regular.at(LEFT, self._y, label, 9.0)} {BLACK}")
            shown = self._paper.regular.shorten(value, 9.5, INNER - 60)
            self._out.append(self._paper.regular.at(LEFT + 60, self._y, shown, 9.5))
            self._y -= 13

    def failures(self, report: ReadbackReport) -> None:
        if not report.failures:
            return
        self._heading("First failures")
        for problem in report.problems[:_MOST_FAILURES]:
            place = str(problem.where._replace(record=""))
            line = f"{place}: {problem.what}" if place else problem.what
            self._out.append(
                self._paper.regular.at(
                    LEFT, self._y, self._paper.regular.shorten(line, 8.5, INNER), 8.5
                )
            )
            self._y -= 12
        more = report.failures - min(len(report.problems), _MOST_FAILURES)
        if more:
            text = f"and {more} more: see readback.jsonl"
            self._out.append(self._paper.regular.at(LEFT, self._y, text, 8.5))
            self._y -= 12

    def weakest(self, codes: tuple[Weak, ...], degraded: int) -> None:
        if not codes:
            return
        self._heading(f"Weakest codes of {degraded} that were read degraded")
        self._block(_DEGRADED, 8.0)
        self._y -= 2
        for label, x in _COLUMNS:
            self._out.append(self._cell(label, x, bold=True))
        self._y -= 12
        for weak in codes:
            values = (
                str(weak.bed), weak.slot, weak.field,
                _step(weak.hard["blur_dots"], " dots"),
                _step(weak.hard["contrast_percent"], " %"),
                _step(weak.hard["spread_dots"], " dots"),
                _step(weak.hard["turn_degrees"], "°"),
                _step(weak.hard["pixels_a_module"], ""),
                f"{weak.unused:.0%}" if weak.unused < 1 else "all",
            )  # fmt: skip
            for (_, x), value in zip(_COLUMNS, values):
                self._out.append(self._cell(value, x))
            self._y -= 12

    def foot(self, facts: RunFacts) -> None:
        text = f"vardata read-back, job {facts.job.name}, run {facts.run_id}. {NOT_PRINT}"
        self._out += [
            rule(33.0), GREY,
            self._paper.regular.at(
                LEFT, 22.5, self._paper.regular.shorten(text, 7.5, INNER), 7.5
            ),
            BLACK,
        ]  # fmt: skip

    def finish(self) -> bytes:
        self._paper.page(self._out)
        return self._paper.finish()

    def _heading(self, text: str) -> None:
        self._y -= 10
        self._out.append(self._paper.bold.at(LEFT, self._y, text, 11.0))
        self._y -= 15

    def _block(self, text: str, size: float) -> None:
        for line in self._paper.regular.wrap(text, size, INNER, 8):
            self._out.append(self._paper.regular.at(LEFT, self._y, line, size))
            self._y -= size * 1.35

    def _cell(self, text: str, x: float, *, bold: bool = False) -> str:
        pen = self._paper.bold if bold else self._paper.regular
        last = x == _COLUMNS[-1][1]
        if last:
            return pen.at_right(LEFT + x, self._y, text, 8.0)
        return pen.at(LEFT + x, self._y, pen.shorten(text, 8.0, 112 if x == 92 else 60), 8.0)


def _many(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _share(all_of_them: int, bad: int) -> str:
    if not all_of_them:
        return "none"
    return f"{all_of_them}, all good" if not bad else f"{all_of_them}, {bad} not good"


def _step(value: float | None, unit: str) -> str:
    return f"{value:g}{unit}" if value is not None else "none"
