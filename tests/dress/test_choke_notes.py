"""Notes on reduced chokes in full: three digits, and what was too thin. The largest choke that
leaves white is worked out by hand."""

from __future__ import annotations

import pytest
from platework import BOLD, code_field, dressed, dresser, plates, qr, text, text_field

from vardata.dress.chokenote import choke_note
from vardata.job import model


def test_what_was_too_thin_is_named_for_what_it_is() -> None:
    light = {"b": model.Blank(surface="light")}
    code = code_field("seat", (10, 2, 16, 16))
    made = dresser([code], blanks=light, plates=plates(choke=0.3), dpi=(720, 720))
    # Modules of 0.4 mm: no choke of 0.3 mm leaves any of them.
    dressed(made, qr("A1", 0.4, 3.8, 3.8), blank="b")
    ((_, _, least, note),) = made.take_reports()
    assert 0 < least < 0.2
    assert str(note) == (
        "field 'seat': on plate 'White' the choke of 0.3 mm is reduced to as little as "
        f"{least:.3g} mm where modules are too thin for it"
    )
    words = text_field("who", (0, 0, 40, 20))
    made = dresser([words], blanks=light, plates=plates(choke=1.0))
    dressed(made, text(BOLD, "illi", 8), blank="b")
    ((_, _, least, note),) = made.take_reports()
    assert str(note) == (
        "field 'who': on plate 'White' the choke of 1 mm is reduced to as little as "
        f"{least:.3g} mm where strokes are too thin for it"
    )


@pytest.mark.parametrize(
    ("least", "said"), [(0.0705556, "0.0706"), (0.07, "0.07"), (0.0, "0"), (0.036123, "0.0361")]
)
def test_lengths_have_three_digits_at_most(least: float, said: str) -> None:
    # Two dots of 720 dpi are 0.0705556 mm.
    white = model.Plate.model_validate({"name": "White", "role": "white", "choke": 0.0705556})
    assert str(choke_note("logo.svg", None, white, least, art=True)) == (
        "logo.svg: on plate 'White' the choke of 0.0706 mm is reduced to as little as "
        f"{said} mm where strokes are too thin for it"
    )
