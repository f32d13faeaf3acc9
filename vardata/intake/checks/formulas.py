"""What a spreadsheet left of a formula: its error, or the formula itself, as a text.

In: a text. Out: a finding or None. Text files, databases and tables of held rows know no types of
cells: there an error or a formula that was not worked out stands as a text like any other.
"""

from __future__ import annotations

import re

from vardata.intake.checks.finding import Found
from vardata.intake.tally import quoted

# ECMA-376 part 1, 18.17.3 (error constants); the second line is of later programs, the third is
# of cells too narrow for their number; then German, French and Spanish ones. All from memory but
# the first line.
_ERROR = re.compile(
    r"#(?:DIV/0!|N/A|NAME\?|NULL!|NUM!|REF!|VALUE!"
    r"|SPILL!|CALC!|GETTING_DATA|FIELD!|BLOCKED!|CONNECT!|BUSY!|UNKNOWN!"
    r"|##+"
    r"|BEZUG!|WERT!|ZAHL!|NV|VALEUR!|NOM\?|NOMBRE!|NUL!|¡(?:REF|VALOR|NUM|DIV/0)!|¿NOMBRE\?)"
)
# A reference or a range, a call, a quoted text, a sheet's name, or a number before an operator.
_FORMULA = re.compile(
    r"=\s*[-+(]*(?:\$?[A-Z]{1,3}\$?[1-9]\d*(?!\w)|[A-Z_][A-Z0-9._]*\(|\"[^\"]*\"|'[^']+'!|\w+!\$?[A-Z]"
    r"|\d+(?:[.,]\d+)?\s*[-+*/^&])",
    re.IGNORECASE,
)


def formula_left(text: str) -> Found | None:
    """``text`` begins with # or =."""
    if _ERROR.fullmatch(text):
        return Found(
            "error-value", f"the text {quoted(text)} is a spreadsheet's error",
            "write what is to be printed",
        )  # fmt: skip
    if _FORMULA.match(text):
        return Found(
            "formula-text", f"the text {quoted(text)} looks like a formula that was not worked out",
            "write what it should give",
        )  # fmt: skip
    return None
