"""Rules over several keys and over several files of a job.

In: the models that could be read, each with its source. Out: problems with file, line and key.
Does not know the order sheet's columns (intake) nor whether items overlap (impose).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from vardata.job.claims import Claim, believed, twice
from vardata.job.found import clipped
from vardata.job.layoutrules import layout_claims, soft_claims
from vardata.job.lines import KeyPath
from vardata.job.mixed import Known, product_claims
from vardata.job.model import Bed, Grid, Jig, Job, Layout
from vardata.job.near import choose
from vardata.job.platerules import bed_name_claims
from vardata.job.reduction import reduction_claims
from vardata.job.serialrules import serial_claims
from vardata.job.sheetrules import sheet_claims
from vardata.job.surfacerules import order_claims
from vardata.job.surfaces import surface_of
from vardata.job.toml import Source
from vardata.letters import letters
from vardata.problems import Problem

_GRID_SLOT = re.compile(r"([A-Z]{1,2})([1-9][0-9]{0,2})")
# Words that Jinja2 templates read as their own, or that are there already.
_TEMPLATE_WORDS = frozenset(
    ("and", "caller", "cycler", "dict", "else", "false", "False", "for", "if", "in", "is",
     "joiner", "lipsum", "loop", "namespace", "none", "None", "not", "or", "range", "recursive",
     "self", "super", "true", "True")
)  # fmt: skip


def check_job(job: Known[Job] | None) -> list[Problem]:
    """Every rule that needs the job file alone."""
    return [] if job is None else believed(_job_claims(job))


def _job_claims(job: Known[Job]) -> Iterator[Claim]:
    yield from sheet_claims(*job)
    yield from _blanks(*job)
    yield from _lines(*job)
    yield from product_claims(*job)
    yield from _work(*job)
    yield from _column_names(*job)
    yield from _standard(*job)
    yield from serial_claims(*job, _TEMPLATE_WORDS)


def check(
    job: Known[Job] | None, layout: Known[Layout] | None, jig: Known[Jig] | None,
    bed: Known[Bed] | None,
) -> list[Problem]:  # fmt: skip
    """Every rule over two files, and those of layout and jig, whose files could be read."""
    return believed(_claims(job, layout, jig, bed))


def _claims(
    job: Known[Job] | None, layout: Known[Layout] | None, jig: Known[Jig] | None,
    bed: Known[Bed] | None,
) -> Iterator[Claim]:  # fmt: skip
    if layout is not None:
        yield from layout_claims(*layout)
    if jig is not None:
        yield from _slots(*jig)
    if job is not None and bed is not None and not bed.source.doubts("modes"):
        yield from _print_mode(job, bed.model)
        yield from _idle_profile(job, bed.model)
    if job is not None and layout is not None and not layout.source.doubts("plates"):
        yield from _page_order(job, layout.model)
        yield from _blank_white(job, layout.model)
        yield from _see_through(job, layout.model)
    if jig is not None and layout is not None and not layout.source.doubts("plates"):
        yield from _background(*jig, layout.model)
    if bed is not None and layout is not None and not layout.source.doubts("plates"):
        cut_lines = job is not None and job.model.output.cut_lines
        yield from bed_name_claims(*bed, layout.model, cut_lines=cut_lines)
        if job is not None and job.model.print_mode in bed.model.modes:
            yield from reduction_claims(*bed, *layout, job.model.print_mode)


# ---------------------------------------------------------------- job


def _blanks(job: Job, source: Source) -> Iterator[Claim]:
    if source.doubts("blanks"):
        return
    blanks = job.blanks
    if job.blank is not None and job.blank not in blanks:
        what = f"there is no blank {clipped(job.blank)}"
        remedy = choose(job.blank, blanks, "add a table [blanks.<key>] for it")
        if "{{" in job.blank:
            remedy = 'to choose it by a column, write blank = "Heading" under [records] instead'
        yield Claim(source, ("blank",), "unknown-blank", what, remedy, job.blank)
    if job.records.blank is not None and not blanks:
        what = "a column chooses the blank, but the job has no blanks"
        yield Claim(source, ("records", "blank"), "no-blanks", what, "add tables [blanks.<key>]")
    elif job.records.blank is None and job.blank is None and blanks and not _by_product(job):
        what = "the job has blanks, and nothing says which one a record is printed on"
        remedy = (
            f'write blank = "{next(iter(blanks))}" at the top, or name a column in records.blank'
        )
        yield Claim(source, ("blanks",), "no-blank", what, remedy)
    chosen: dict[str, str] = {}
    for key, blank in blanks.items():
        values: list[tuple[KeyPath, str]] = [((), key), (("label",), blank.label)]
        values += [(("match", index), value) for index, value in enumerate(blank.match)]
        for path, value in values:
            folded = " ".join(value.split()).casefold()
            other = chosen.setdefault(folded, key)
            if folded and other != key:
                what = f"the blanks {other!r} and {key!r} are both chosen by {clipped(value)}"
                remedy = "let each key, label and match choose one blank, whatever its capitals"
                yield Claim(source, ("blanks", key, *path), "ambiguous-blank", what, remedy, value)


def _work(job: Job, source: Source) -> Iterator[Claim]:
    """The order of work: what goes by orders needs them, priorities need an order of their own."""
    work = job.work
    if work is None:
        return
    for key in ("ship_by", "priority", "whole_orders", "sort", "bag"):
        if getattr(work, key) and job.records.order is None:
            what = f"{key} goes by orders, but no column gives the order"
            remedy = "name the order's column in records.order"
            yield Claim(source, ("work", key), "no-order-column", what, remedy)
    if (work.priority is None) != (not work.priorities):
        what = "a column of priorities and the list of its values belong together"
        remedy = 'write priority = "<heading>" and priorities = ["<first>", "<second>"]'
        yield Claim(source, ("work",), "priorities", what, remedy)
    seen: set[str] = set()
    for index, word in enumerate(work.priorities):
        folded = " ".join(word.split()).casefold()
        if folded in seen:
            what, remedy = f"the priority {clipped(word)} comes twice", "keep one of them"
            yield Claim(source, ("work", "priorities", index), "duplicate-name", what, remedy, word)
        seen.add(folded)


def _by_product(job: Job) -> bool:
    """Whether each product says which blank it is printed on."""
    return bool(job.products) and all(one.blank is not None for one in job.products.values())


def _lines(job: Job, source: Source) -> Iterator[Claim]:
    """What compares rows with earlier runs needs both halves of a row's key."""
    records = job.records
    if records.line is not None and records.order is None:
        what = "a line tells the rows of an order apart, but no column gives the order"
        remedy = "name the order's column in records.order"
        yield Claim(source, ("records", "line"), "no-order-column", what, remedy)
    elif records.changed != "hold" and records.line is None:
        what = "no row can be known to have changed: no column gives the line"
        remedy = "name the line's column in records.line, or take this away"
        yield Claim(source, ("records", "changed"), "no-line-column", what, remedy)


def _column_names(job: Job, source: Source) -> Iterator[Claim]:
    """A column's safe name stands in templates."""
    for name in job.columns:
        if not (name.isascii() and name.isidentifier()) or name in _TEMPLATE_WORDS:
            what = f"{clipped(name)} cannot be a column's name in templates"
            remedy = "use a-z, 0-9 and _, begin with a letter, and leave out the template's words"
            yield Claim(source, ("columns", name), "column-name", what, remedy, name)


# ---------------------------------------------------------------- jig


def _slots(jig: Jig, source: Source) -> Iterator[Claim]:
    if jig.grid is None and not jig.slots:
        what, remedy = "the jig has no pockets", "add a table [grid] or tables [[slots]]"
        yield Claim(source, ("grid",), "no-slots", what, remedy)
        return
    if jig.grid is not None and jig.slots:
        what, remedy = "the jig has both a grid and a list of slots", "keep one of them"
        yield Claim(source, ("slots",), "grid-and-slots", what, remedy)
        return
    yield from twice(
        source, ((("slots", i, "name"), slot.name) for i, slot in enumerate(jig.slots)), "slot"
    )
    blocked: set[str] = set()
    names = {slot.name for slot in jig.slots}
    for index, name in enumerate(jig.blocked):
        path: KeyPath = ("blocked", index)
        if name in blocked:
            what = f"the slot {clipped(name)} is blocked twice"
            yield Claim(source, path, "duplicate-name", what, "keep one of them", name)
        elif not (_in_grid(name, jig.grid) if jig.grid else name in names):
            what, remedy = f"there is no slot {clipped(name)}", _slot_remedy(name, jig)
            yield Claim(source, path, "unknown-slot", what, remedy, name)
        blocked.add(name)
    count = jig.grid.rows * jig.grid.columns if jig.grid else len(names)
    if blocked and len(blocked) >= count:
        what, remedy = "every slot of the jig is blocked", "leave at least one open"
        yield Claim(source, ("blocked",), "no-slots", what, remedy)


def _in_grid(name: str, grid: Grid) -> bool:
    """A grid's slots are A1, A2, ... in the front row, then B1, ...; after Z comes AA."""
    match = _GRID_SLOT.fullmatch(name)
    if match is None:
        return False
    row = 0
    for letter in match.group(1):
        row = row * 26 + ord(letter) - ord("A") + 1
    return row <= grid.rows and int(match.group(2)) <= grid.columns


def _slot_remedy(name: str, jig: Jig) -> str:
    if jig.grid is None:
        return choose(name, [slot.name for slot in jig.slots])
    near = name.strip().upper()
    guess = f"did you mean {near!r}? " if _in_grid(near, jig.grid) else ""
    return f"{guess}the grid has A1 to {letters(jig.grid.rows - 1)}{jig.grid.columns}"


# ---------------------------------------------------------------- two files


def _print_mode(job: Known[Job], bed: Bed) -> Iterator[Claim]:
    mode = job.model.print_mode
    if mode not in bed.modes:
        what = f"the bed {bed.name!r} has no print mode {clipped(mode)}"
        remedy = choose(mode, bed.modes)
        yield Claim(job.source, ("print_mode",), "unknown-mode", what, remedy, mode)


_ADD_PROFILE = 'add profile = "file.icc" under [output], or the shipped "cgats-tr-001"'


def _standard(job: Job, source: Source) -> Iterator[Claim]:
    output = job.output
    if output.standard != "plain" and output.profile is None:
        what = f"{output.standard!r} needs the ICC profile of the machine's process inks"
        remedy = f'{_ADD_PROFILE}, or write standard = "plain"'
        yield Claim(source, ("output", "standard"), "profile", what, remedy, output.standard)
        return
    converted = [key for key in ("pictures", "colours") if getattr(output, key) == "convert"]
    for key in converted if output.profile is None else ():
        what = f"{key} cannot be converted without the ICC profile of the machine's inks"
        remedy = f'{_ADD_PROFILE}, or write {key} = "keep"'
        yield Claim(source, ("output", key), "profile", what, remedy, "convert")
    if output.standard == "plain" and not converted and output.condition and not output.profile:
        yield _plain(source, "condition")


def _idle_profile(job: Known[Job], bed: Bed) -> Iterator[Claim]:
    """A profile that serves neither a standard, nor a conversion, nor an ink limit."""
    output, mode = job.model.output, bed.modes.get(job.model.print_mode)
    if output.profile is None or output.standard != "plain" or job.model.products:
        return
    if "convert" in (output.pictures, output.colours):
        return
    if mode is not None and mode.ink_limit is None:
        yield _plain(job.source, "profile")


def _background(jig: Jig, source: Source, layout: Layout) -> Iterator[Claim]:
    """The plates that art on the bed itself names."""
    names = [plate.name for plate in layout.plates]
    for index, entry in enumerate(jig.background):
        yield from soft_claims(source, ("background", index), entry)
        for place, name in enumerate(entry.plates):
            if name not in names:
                path: KeyPath = ("background", index, "plates", place)
                what = f"the layout {layout.name!r} has no plate {clipped(name)}"
                yield Claim(source, path, "unknown-plate", what, choose(name, names), name)


def _plain(source: Source, key: str) -> Claim:
    what = f"{key} is for a printing standard, and the bed files are plain"
    remedy = 'write standard = "pdf/x-4", or take it away'
    return Claim(source, ("output", key), "profile", what, remedy)


def _page_order(job: Known[Job], layout: Layout) -> Iterator[Claim]:
    order, source = job.model.output.page_order, job.source
    plates = [plate.name for plate in layout.plates]
    path: KeyPath = ("output", "page_order")
    if not order or len({name.casefold() for name in plates}) < len(plates):
        return
    if job.model.output.pages == "together":
        what = "page_order is for plates on pages of their own, but all are on one page"
        yield Claim(source, path, "page-order", what, 'write pages = "apart", or take it away')
        return
    yield from order_claims(source, path, "page-order", order, layout)


def _blank_white(job: Known[Job], layout: Layout) -> Iterator[Claim]:
    if any(plate.role == "white" for plate in layout.plates):
        return
    mixed = job.model.products and job.model.blank
    for key, blank in job.model.blanks.items():
        if mixed and key != job.model.blank:
            continue  # another product's
        if blank.white not in ("layout", "none"):
            what = f"white is asked for, but the layout {layout.name!r} has no white plate"
            remedy = 'add a plate with role = "white" to the layout, or write "none"'
            path: KeyPath = ("blanks", key, "white")
            yield Claim(job.source, path, "no-plate", what, remedy, blank.white)


def _see_through(job: Known[Job], layout: Layout) -> Iterator[Claim]:
    """What is printed on a second surface is seen through the blank."""
    surface = surface_of(layout)
    if surface == "first":
        return
    for key, blank in job.model.blanks.items():
        if blank.surface != "clear":
            what = (
                f"the layout {layout.name!r} is seen through the blank, and this one is "
                f"{blank.surface!r}"
            )
            remedy = 'write surface = "clear", or give the layout surface = "first"'
            path: KeyPath = ("blanks", key, "surface")
            yield Claim(job.source, path, "surface", what, remedy, blank.surface)
