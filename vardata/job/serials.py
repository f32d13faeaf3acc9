"""The rule by which a job numbers its records: ``SerialRule``, one under ``[serials.<name>]``.

A rule either makes numbers (``text``) or hands out what a customer gave (``list``). Rules over
several keys are ``job.serialrules``'s; the counter itself lives in the ledger.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from vardata.job.frozen import Model
from vardata.job.serialparts import serial_alphabet, serial_text
from vardata.job.values import Name, Whole

SerialText = Annotated[str, AfterValidator(serial_text)]
Alphabet = Annotated[str, AfterValidator(serial_alphabet)]
CheckScheme = Literal[
    "none", "luhn", "gs1", "damm", "verhoeff", "iso7064-mod11-2", "iso7064-mod11-10",
    "iso7064-mod37-2", "iso7064-mod37-36", "iso7064-mod97-10",
]  # fmt: skip
Remake = Literal["new", "same-when-destroyed"]


class SerialRule(Model):
    """Numbers that are never given out twice; layouts use them by the rule's name."""

    text: SerialText = ""
    """the serial, such as "FHL-{{ year }}-{{ number }}{{ check }}" """
    start: Annotated[Whole, Field(ge=0, le=10**18)] = 1
    """the first number of a new counter"""
    digits: Annotated[Whole, Field(ge=1, le=18)] | None = None
    """how many places a number fills; by default as many as it needs"""
    alphabet: Alphabet = "decimal"
    """decimal, hex, clear (nothing that looks alike), or the symbols, that for nought first"""
    check: CheckScheme = "none"
    """how {{ check }} is computed"""
    check_over: SerialText = "{{ number }}"
    """what {{ check }} is computed over, written like text"""
    scope: Name | None = None
    """the counter in the ledger; jobs that name the same share it; by default the rule's name"""
    list: str | None = None
    """a file of given values instead of text; each is used once, in order"""
    column: str | None = None
    """the heading of the given values; not needed for a list of one column"""
    remake: Remake = "new"
    """whether a spoiled piece's number may come again, once its destruction is confirmed"""

    def counter(self, name: str) -> str:
        """The counter of the rule called ``name``."""
        return self.scope or name
