"""What a job ticket tells the person at the machine, derived from the layout.

In: a setup. Out: ``Ticket``: settings in words, and the cards of the materials; warnings where
there are none.
"""

from __future__ import annotations

from vardata.job.model import Blank, Card, Setup
from vardata.job.platerules import CUT
from vardata.job.pockets import all_slots
from vardata.job.surfaces import face_down, laid_order, mirrored_plates
from vardata.job.turning import turned_slot
from vardata.output.pdf.plates import machine_name, page_plates
from vardata.output.picklist_turn import turn_words
from vardata.output.picklist_values import Turn
from vardata.output.ticket import Ticket
from vardata.problems import Problem, Severity, Where
from vardata.work.papers import blank_labels, turn_of


def job_ticket(setup: Setup) -> Ticket:
    """The same for every bed of one product."""
    blanks = {"": Blank(), **setup.job.blanks}
    labels = blank_labels(setup)
    cards = {labels[key]: _card(blank.card) for key, blank in blanks.items() if key in labels}
    across, upwards = setup.mode.dpi
    settings = [
        *_side(setup),
        ("machine", f"{setup.bed.name}, bed of {setup.bed.width:g} x {setup.bed.height:g} mm"),
        ("print mode", f"{setup.job.print_mode}, {across:g} x {upwards:g} dpi"),
        ("jig", setup.jig.name + (", items on their face" if face_down(setup.layout) else "")),
        ("file", "at 100 %; do not centre, trim, turn or scale it"),
        ("mirror", _mirror(setup)),
        ("white", _white(setup)),
        ("plates", _plates(setup)),
        ("pages", _pages(setup)),
        *_cut(setup),
    ]
    return Ticket(tuple(settings), cards)


def _side(setup: Setup) -> tuple[tuple[str, str], ...]:
    """Which side of two-sided pieces this is, and what is done between the two."""
    turn = turn_of(setup)
    if turn is None:
        return ()
    if setup.side == "A":
        then = f"A, printed first; when it is cured, {turn_words(turn)}, and print side B"
        return (("side", then),)
    words = f"B; side A has to be printed and cured before; then {turn_words(turn)}"
    return (("side", words), *_align(setup, turn))


def _align(setup: Setup, turn: Turn) -> tuple[tuple[str, str], ...]:
    """Where a turned jig has to lie: the place of one slot's middle, to be measured."""
    side, slot = setup.job.side_b, all_slots(setup.jig)[0]
    if side is None or not turn.whole:
        return ()
    before = turned_slot(slot, side, setup.bed)  # the same turn once more undoes it
    words = (
        f"the middle of slot {slot.name} lies {slot.x:g} mm from the left and {slot.y:g} mm from "
        f"the front of the bed; on side A it lay {before.x:g} and {before.y:g} mm from them"
    )
    return (("align", words),)


def missing_cards(setup: Setup) -> list[Problem]:
    """A warning for each blank of a job with tickets of which nobody says how it is treated."""
    if not setup.job.output.tickets:
        return []
    labels = blank_labels(setup)
    return [
        Problem(
            "no-card", Severity.WARNING, f"no card says how {labels[key]!r} is treated",
            f"add a table [blanks.{key}.card] with primer, wipe, film, cure and cautions",
            Where(file=setup.job_file.name, key=f"blanks.{key}.card"),
        )
        for key, blank in setup.job.blanks.items()
        if not _card(blank.card)
    ]  # fmt: skip


def _mirror(setup: Setup) -> str:
    mirrored = mirrored_plates(setup.layout)
    if face_down(setup.layout):
        return "off: the file is mirrored already"
    if mirrored:
        names = " and ".join(setup.layout.plates[i].name for i in sorted(mirrored))
        return f"off: {names} is mirrored already, the other plates are as seen"
    return "off: the file is as seen"


def _white(setup: Setup) -> str:
    named = [
        repr(machine_name(setup.bed, plate.name))
        for plate in setup.layout.plates
        if plate.role == "white"
    ]
    if not named:
        return "none in this job: white off"
    return f"from the file, ink {' and '.join(named)}; the machine's own white and choke off"


def _plates(setup: Setup) -> str:
    told = []
    for number, i in enumerate(laid_order(setup.layout), 1):
        plate = setup.layout.plates[i]
        name = machine_name(setup.bed, plate.name)
        passes = f" in {plate.passes} passes" if plate.passes > 1 else ""
        told.append(f"{number} {name} ({plate.role}){passes}")
    return "laid down in this order: " + ", ".join(told)


def _pages(setup: Setup) -> str:
    split = page_plates(setup.layout, setup.job.output)
    cut = machine_name(setup.bed, CUT) if setup.job.output.cut_lines else ""
    if len(split) == 1:
        also = f", {cut} too, on a layer of its own" if cut else ""
        return f"all plates of a bed on one page{also}"
    names = [machine_name(setup.bed, setup.layout.plates[i].name) for (i,) in split]
    names += [f"{cut} (not to be printed)"] if cut else []
    told = ", ".join(f"{number} {name}" for number, name in enumerate(names, 1))
    return f"{len(names)} to a bed: {told}"


def _cut(setup: Setup) -> tuple[tuple[str, str], ...]:
    """Cut lines, where the job has them: they are for the cutter alone."""
    if not setup.job.output.cut_lines:
        return ()
    name = machine_name(setup.bed, CUT)
    return (("cut", f"not to be printed: {name!r} has the items' outlines for the cutter"),)


def _card(card: Card | None) -> tuple[tuple[str, str], ...]:
    if card is None:
        return ()
    told = (
        ("film", card.film), ("wipe", card.wipe), ("primer", card.primer), ("cure", card.cure),
        ("caution", card.cautions),
    )  # fmt: skip
    return tuple((label, text) for label, text in told if text)
