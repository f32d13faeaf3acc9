"""What a proof says of an item: which record it is, why it is shown, how its texts are set.

In: a picked record and its layout. Out: captions, the record first. Lengths are item mm.
"""

from __future__ import annotations

from collections.abc import Iterator

from vardata.fit.result import CodeFit, TextFit
from vardata.job.model import CodeField, Layout, TextField
from vardata.proofs.flow import Caption
from vardata.proofs.hardest import Pick

_CODE = 60  # characters of a code that are shown


def of_order(pick: Pick) -> tuple[Caption, ...]:
    """For the customer: the record alone."""
    return (Caption(pick.record.key, "grey"),)


def of_hardest(layout: Layout, pick: Pick) -> tuple[Caption, ...]:
    """Why the record is among the hardest, and what was done to each of its texts."""
    reasons = (Caption(reason) for reason in pick.reasons)
    return (Caption(pick.record.key, "name"), *reasons, *_settings(layout, pick))


def of_specimen(layout: Layout, pick: Pick) -> tuple[Caption, ...]:
    """The same, and what to measure and scan on the first piece."""
    return (*of_hardest(layout, pick), *_places(layout, pick), *_codes(layout, pick))


def _settings(layout: Layout, pick: Pick) -> Iterator[Caption]:
    for field, fit in zip(layout.fields, pick.record.fits):
        if isinstance(field, TextField) and isinstance(fit, TextFit):
            size = f"{fit.size_pt:g}" if fit.size_pt == field.size else (
                f"{fit.size_pt:g} of {field.size:g}"
            )  # fmt: skip
            told = [f"{size} pt"]
            if fit.squeeze < 1.0:
                told.append(f"{fit.squeeze * 100:.3g} % wide")
            if fit.tracking:
                told.append(f"tracking {fit.tracking:g}")
            told.append(f"{fit.lines} line{'s' * (fit.lines > 1)}")
            yield Caption(f"{field.name}: {', '.join(told)}", "grey")


def _places(layout: Layout, pick: Pick) -> Iterator[Caption]:
    """Where the ink of upright texts begins, to be measured on the piece."""
    for field, fit in zip(layout.fields, pick.record.fits):
        if isinstance(field, TextField) and isinstance(fit, TextFit) and not field.rotation:
            x, y = field.box[0] + fit.ink[0], field.box[1] + fit.ink[1]
            told = f"{x:.1f} mm from the left edge, {y:.1f} mm from the lower"
            yield Caption(f"position of {field.name}: its ink begins {told}")


def _codes(layout: Layout, pick: Pick) -> Iterator[Caption]:
    for field, fit in zip(layout.fields, pick.record.fits):
        if isinstance(field, CodeField) and isinstance(fit, CodeFit):
            text = fit.text if len(fit.text) <= _CODE else f"{fit.text[:_CODE]}…"
            yield Caption(f"scan of {field.name}: {text}")
