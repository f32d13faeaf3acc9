"""Look-alike letters: two scripts in one word, such as a Cyrillic letter in a Latin name.

In: a text. Out: a finding, or None. Only scripts whose letters look alike are set against each
other (Unicode Technical Standard 39, section 4, names them); Japanese mixes three by right.
"""

from __future__ import annotations

import re
from functools import lru_cache

from vardata.intake.checks.finding import Found
from vardata.intake.tally import quoted

_WORD = re.compile(r"[^\W\d_]+")
_NAMES = {
    "Latn": "Latin", "Grek": "Greek", "Cyrl": "Cyrillic", "Armn": "Armenian", "Cher": "Cherokee",
    "Copt": "Coptic", "Lisu": "Lisu", "Geor": "Georgian",
}  # fmt: skip


@lru_cache(maxsize=4096)
def _script(char: str) -> str:
    if char.isascii():
        return "Latn"
    from fontTools import unicodedata

    return str(unicodedata.script(char))


def mixed_scripts(text: str, code: bool = False) -> Found | None:
    """The first word that mixes scripts, with the letters that stick out. A code is one word,
    whatever stands between its letters."""
    for word in ("".join(_WORD.findall(text)),) if code else _WORD.findall(text):
        if word.isascii():
            continue
        scripts: dict[str, list[str]] = {}
        for char in word:
            script = _script(char)
            if script in _NAMES:
                scripts.setdefault(script, []).append(char)
        if len(scripts) < 2:
            continue
        main, *others = sorted(scripts, key=lambda name: -len(scripts[name]))
        odd = scripts[others[0]]
        shown = ", ".join(f"{char} U+{ord(char):04X}" for char in dict.fromkeys(odd[:3]))
        what = f"code {quoted(text)}" if code else f"word {quoted(word)}"
        return Found(
            "mixed-scripts",
            f"the {what} is {_NAMES[main]} but for {_NAMES[others[0]]} {shown}, which looks alike",
            "write it again in one script",
        )
    return None
