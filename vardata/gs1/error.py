"""What is wrong with GS1 data, and how to mend it."""

from __future__ import annotations


class Gs1Error(Exception):
    """GS1 data that the General Specifications do not allow: what is wrong, how to mend it."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(f"{what}; {remedy}")
        self.what = what
        self.remedy = remedy
