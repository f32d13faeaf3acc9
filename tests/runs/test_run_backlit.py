"""A panel that is lit from behind: colour, white, colour, all the same way round.

Two plates of the process inks cannot share a page, so each plate has a page of its own, in the
order in which they are laid down. Ghostscript separates; areas are those of geometry.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from run_kit import AT, DONE, Run, Shared, build, call
from run_pages import PROCESS, Pixels
from run_pages import plates as all_plates

BLOCK = (30.0, 12.0)  # mm, a field of one colour
FILES = {
    "job.toml": 'name = "panel"\nlayout = "l.toml"\njig = "j.toml"\nbed = "b.toml"\n'
    'print_mode = "m"\nblank = "glass"\n[sheet]\nfile = "rows.csv"\n[columns]\nroom = "Room"\n'
    '[blanks.glass]\nlabel = "clear panel"\nsurface = "clear"\n[output]\ntickets = true\n'
    '[blanks.glass.card]\nwipe = "isopropyl alcohol"\n',
    "l.toml": 'name = "panel"\nwidth = 80\nheight = 50\nsurface = "first"\n'
    '[[plates]]\nname = "Back"\nrole = "colour"\n'
    '[[plates]]\nname = "White"\nrole = "white"\ncover = "art"\nchoke = 0.2\n'
    '[[plates]]\nname = "Front"\nrole = "colour"\n'
    '[[fields]]\ntype = "shape"\nname = "block"\nshape = "rectangle"\nbox = [5, 33, 30, 12]\n'
    "fill = [100, 40, 0, 20]\n"
    '[[fields]]\ntype = "text"\nname = "room"\ntext = "{{ room }}"\nfont = "NotoSans-Bold"\n'
    'size = "24pt"\nbox = [5, 5, 40, 12]\ncolour = [0, 90, 80, 0]\n'
    '[[fields]]\ntype = "code"\nname = "code"\ntext = "ROOM/{{ room }}"\nsymbology = "qr"\n'
    "box = [48, 10, 28, 28]\n",
    "j.toml": 'name = "j"\n[[slots]]\nname = "A1"\nx = 50.8\ny = 38.1\n'
    '[[slots]]\nname = "A2"\nx = 152.4\ny = 38.1\nrotation = 180\n',
    "b.toml": 'name = "b"\nwidth = 203.2\nheight = 76.2\n[modes.m]\ndpi = [720, 720]\n',
    "rows.csv": "Room\nReading 4\nMusic 12\n",
}


def plates(run: Run, page: int, dpi: str = "360") -> dict[str, Pixels]:
    return all_plates(run.bed_file(1), page, dpi, ("White",))


def _made(place: Path) -> Run:
    home = place / "job"
    home.mkdir()
    for name, text in FILES.items():
        (home / name).write_text(text, encoding="utf-8")
    return build(home, place / "run", "--at", AT, "--readback")


@pytest.fixture
def panel(shared: Shared) -> Run:
    return shared.run("backlit-panel", _made)


def test_it_is_read_back_and_each_plate_has_its_page_in_the_order_of_laying(panel: Run) -> None:
    assert panel.code == DONE, panel.stderr
    assert "all read" in panel.stdout
    for slot in panel.on_bed(1):
        assert slot["pages"] == {"Back": 1, "White": 2, "Front": 3}


def test_both_colours_are_the_same_and_the_same_way_round(panel: Run) -> None:
    back, white, front = (plates(panel, page) for page in (1, 2, 3))
    for ink in PROCESS:
        assert (back[ink] == front[ink]).all() and not white[ink].any()
    assert back["Cyan"].any() and back["Magenta"].any() and back["Black"].any()
    assert white["White"].any() and not back["White"].any() and not front["White"].any()
    half = back["Magenta"].shape[1] // 2
    one, other = back["Black"][:, :half], back["Black"][:, half:]
    assert np.abs(one[::-1, ::-1].astype(int) - other).mean() < 30  # turned, never mirrored


def test_white_between_them_is_drawn_in_by_its_choke(panel: Run) -> None:
    """A block of 30 x 12 mm in both slots, choked by 0.2 mm; 2 A(720) - A(360)."""
    found = []
    for dpi in (360, 720):
        areas = []
        for page, ink in ((1, "Cyan"), (2, "White")):
            pixels = plates(panel, page, str(dpi))[ink].astype(float) / 255
            rows = slice(round((76.2 - 60) / 25.4 * dpi), round((76.2 - 44) / 25.4 * dpi))
            # Of slot A1: its lower left corner lies at 10.8, 13.1 mm.
            columns = slice(round(14 / 25.4 * dpi), round(48 / 25.4 * dpi))
            areas.append(pixels[rows, columns].sum() * (25.4 / dpi) ** 2)
        found.append(areas)
    colour, white = (2 * b - a for a, b in zip(*found))
    assert colour == pytest.approx(30 * 12, rel=0.003)
    assert white == pytest.approx(29.6 * 11.6, rel=0.003)


def test_a_preview_shows_any_of_its_plates(panel: Run, tmp_path: Path) -> None:
    for plate in ("Back", "White", "Front"):
        out = tmp_path / f"{plate}.png"
        code, said, _ = call("preview", panel.home / "job.toml", "--plates", plate, "--out", out)
        assert code == DONE and out.stat().st_size > 1000, said
