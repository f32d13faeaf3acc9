"""Letters that hardly differ from what lies round them get a warning, once a field and blank.

Expected lightness is worked out by hand after WCAG 2 (relative luminance of sRGB): #f2f2f2 0.888,
#202020 0.014, #111111 0.006, white 1, black ink 0.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from jobkit import FLATBED, FOUR_SLOTS, GUESTS, TAG, WHITE_UNDER, JobBench
from platework import dresser, plates, shape_field, text_field

from vardata.job import model

WHITE_CARD = model.Blank(surface="light", label="white card")
BLACK_TAG = model.Blank(surface="dark", label="black tag", substrate="#111111")
UNDER = (
    'let white lie under it (a white plate with cover = "art"), or choose a colour that shows'
)


def told(colour: object, blank: model.Blank, white: str = "art", **more: object) -> list[str]:
    field = text_field("who", (2, 2, 30, 16), colour=colour, **more)
    made = dresser([field], blanks={"b": blank}, plates=plates(white))
    return [str(problem) for problem in made.warnings()]


@pytest.mark.parametrize(
    ("colour", "blank", "white", "said"),
    [
        # White ink on a light blank, 1.05 / 0.938; on a dark one it is what shows best.
        ("White", WHITE_CARD, "art",
         "its colour hardly shows on this blank (white card, #f2f2f2); choose another colour"),
        ("White", BLACK_TAG, "art", None),
        # Nearly black on black, with white drawn in under it or without.
        ("#101010", BLACK_TAG, "art",
         "its colour hardly shows on this blank (black tag, #111111); choose another colour"),
        ("#101010", BLACK_TAG, "none",
         "its colour hardly shows on this blank (black tag, #111111); choose another colour"),
        # Process inks darken what they lie on: without white, no colour is lighter than the tag.
        ("#e0a526", BLACK_TAG, "none",
         "its colour hardly shows on this blank (black tag, #111111) without white under it; "
         + UNDER),
        ("#e0a526", BLACK_TAG, "art", None),
        ("#e0a526", BLACK_TAG, "flood", None),
        # Knocked out of the white, ink lies on the blank amid white.
        ("#e0a526", BLACK_TAG, "knockout", None),
        ("White", BLACK_TAG, "flood",
         "its colour hardly shows on the white that is printed on this blank (black tag); choose "
         "another colour"),
        ("black", BLACK_TAG, "flood", None),
        ("black", WHITE_CARD, "art", None),
        ("red", WHITE_CARD, "none", None),
        ("blue", BLACK_TAG, "art", None),  # dark, and yet seen: 0.07 over 0.006
    ],
)  # fmt: skip
def test_letters_that_do_not_show_are_warned_of(
    colour: str, blank: model.Blank, white: str, said: str | None
) -> None:
    assert told(colour, blank, white) == ([f"tag.toml, field 'who': {said}"] if said else [])


def test_white_taken_off_one_field_or_blank_is_what_counts() -> None:
    field = text_field("who", (2, 2, 30, 16), colour="#e0a526", white=False)
    made = dresser([field], blanks={"b": BLACK_TAG}, plates=plates())
    (of_field,) = made.warnings()
    (of_blank,) = told("#e0a526", BLACK_TAG.model_copy(update={"white": "none"}))
    for said in (str(of_field), of_blank):
        assert said.endswith(f" without white under it; {UNDER}")


def test_nobody_can_tell_on_clear_stock_or_over_art_or_within_a_ground() -> None:
    clear = model.Blank(surface="clear", substrate="#f8f8f8")
    assert told("White", clear) == []
    band = shape_field("band", (0, 0, 40, 20), shape="rectangle", fill="black")
    text = text_field("who", (2, 2, 30, 16), colour="White")
    made = dresser([band, text], blanks={"b": WHITE_CARD}, plates=plates())
    assert made.warnings() == []
    assert told("White", WHITE_CARD, contour={"spread": 1, "colour": "black"}) == []
    assert told("White", WHITE_CARD, outline={"width": 0.2, "colour": "black"}) == []


def test_each_blank_is_told_once(tmp_path: Path) -> None:
    job = JobBench(tmp_path, {
        "job.toml": GUESTS % "" + """
[records]
blank = "Blank"

[blanks.card]
surface = "light"

[blanks.slate]
surface = "dark"
""",
        "layout.toml": TAG + WHITE_UNDER + """
[[fields]]
type = "text"
name = "who"
text = "{{ guest }}"
font = "NotoSans-Regular"
box = [3, 8, 48, 8]
size = "14pt"
colour = "White"
""",
        "jig.toml": FOUR_SLOTS, "bed.toml": FLATBED,
        "guests.csv": "Guest,Blank\nJory,card\nAda,slate\nOda,card\n",
    })  # fmt: skip
    for call in (("check", "job.toml"), ("build", "job.toml", "--out", "run")):
        told = job.call(*call)
        assert told.code == 0
        said = told.out + told.err
        assert said.count("hardly shows") == 1
        assert (
            "layout.toml, field 'who': its colour hardly shows on this blank (light surface, "
            "#f2f2f2); choose another colour"
        ) in said
    # A job that prints on one blank alone is not judged by its others.
    job.swap("job.toml", '[records]\nblank = "Blank"\n', "")
    job.swap("job.toml", 'print_mode = "fine"\n', 'print_mode = "fine"\nblank = "slate"\n')
    assert "hardly shows" not in job.call("check", "job.toml").out
