"""Features by tag that no font of a field has are told, in one line; which a font has is read by
uharfbuzz."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import uharfbuzz as hb

from vardata.fit.fontbook import FontBook

FONTS = Path(__file__).resolve().parents[2] / "fonts"
FILES = {
    "jig.toml": 'name = "j"\n[[slots]]\nname = "A1"\nx = 35\ny = 20\n',
    "bed.toml": 'name = "b"\nwidth = 70\nheight = 40\nmodes.fine.dpi = [600, 600]\n',
    "job.toml": 'name = "tags"\nlayout = "layout.toml"\njig = "jig.toml"\nbed = "bed.toml"\n'
                'print_mode = "fine"\nsheet.file = "r.csv"\n',
    "r.csv": "reader\nOttilie\n",
}  # fmt: skip
LAYOUT = """\
name = "tag"
width = 60
height = 30
fallback = []
[[fields]]
type = "text"
name = "reader"
text = "{{ reader }}"
font = "DancingScript-Regular"
box = [5, 5, 50, 20]
size = "20pt"
features = FEATURES
"""


def check(folder: Path, features: str) -> subprocess.CompletedProcess[str]:
    for name, text in {**FILES, "layout.toml": LAYOUT.replace("FEATURES", features)}.items():
        (folder / name).write_text(text, encoding="utf-8")
    return subprocess.run(
        [sys.executable, "-m", "vardata.cli.main", "check", "job.toml"], cwd=folder,
        capture_output=True, text=True, check=False,
    )  # fmt: skip


def tags(path: Path) -> set[str]:
    """By uharfbuzz, script by script and language by language."""
    face = hb.Face(hb.Blob.from_file_path(str(path)))
    found: set[str] = set()
    for table in ("GSUB", "GPOS"):
        for number, _ in enumerate(hb.ot_layout_table_get_script_tags(face, table)):
            languages = hb.ot_layout_script_get_language_tags(face, table, number)
            for language in (*range(len(languages)), 0xFFFF):
                found |= set(
                    hb.ot_layout_language_get_feature_tags(face, table, number, language)
                )
    return found


@pytest.mark.parametrize("path", sorted(FONTS.glob("*.[ot]tf")), ids=lambda path: path.stem)
def test_features_of_a_font_are_those_that_uharfbuzz_finds(path: Path) -> None:
    (face,) = FontBook({"one": path}).chain(["one"])
    # A font may list features that no script uses.
    assert tags(path) <= face.features
    assert len(face.features - tags(path)) <= 1


def test_a_tag_that_no_font_has_is_told(tmp_path: Path) -> None:
    done = check(tmp_path, '["smcp", "-zzzz", "kern"]')
    assert done.returncode == 0, done.stderr
    lines = [line for line in done.stdout.splitlines() if "changes nothing" in line]
    have = ", ".join(sorted(tags(FONTS / "DancingScript-Regular.otf"))[:16])
    first = (
        "layout.toml, field 'reader': none of its fonts has the feature 'smcp', so that it changes "
        "nothing; "
    )
    assert first in lines[0]
    assert f"they have: {have}" in lines[0]
    assert "none of its fonts has the feature 'zzzz'" in lines[1]
    assert len(lines) == 2
    assert "unknown-feature" in done.stdout


def test_a_tag_that_a_font_has_is_not_told(tmp_path: Path) -> None:
    done = check(tmp_path, '["kern", "-liga"]')
    assert done.returncode == 0, done.stderr
    assert "changes nothing" not in done.stdout + done.stderr
