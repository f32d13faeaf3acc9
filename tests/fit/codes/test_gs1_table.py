"""The table of identifiers against that of the biip package, which reads GS1's own list."""

from __future__ import annotations

import re

import pytest
from biip import ParseError
from biip.gs1_application_identifiers import GS1ApplicationIdentifier
from hypothesis import given, settings
from hypothesis import strategies as st

from vardata.gs1.checks import CHECKS, SETS
from vardata.gs1.table import Identifier, Part, identifiers, matches

ALL = sorted(identifiers())


def biip_knows(ai: str) -> GS1ApplicationIdentifier | None:
    try:
        return GS1ApplicationIdentifier.extract(f"{ai}0")
    except ParseError:
        return None


def test_the_same_identifiers_as_biip() -> None:
    # biip's list comes from GS1's web site. Every number of 2 to 4 digits is asked for.
    numbers = [f"{n:0{size}}" for size in (2, 3, 4) for n in range(10**size)]
    known = {ai for ai in numbers if (found := biip_knows(ai)) and found.ai == ai}
    assert known == set(ALL)
    assert len(known) == 541


# Data with a sign in a set place, which digits alone cannot show: a minus, a slash. The last
# one begins with a company prefix, for which biip asks five characters.
WITH_SIGNS = ("4330", "4331", "4332", "4333", "7258", "8010")


@pytest.mark.parametrize("ai", [ai for ai in ALL if ai not in WITH_SIGNS])
def test_separators_and_shapes_as_in_biip(ai: str) -> None:
    ours, theirs = identifiers()[ai], biip_knows(ai)
    assert theirs is not None
    assert ours.predefined == (not theirs.separator_required)
    for length in range(1, 95):
        digits = "0" * length
        fits = re.fullmatch(theirs.pattern, ai + digits) is not None
        assert fits == digits_fit(ours, length), (ai, length)


def digits_fit(identifier: Identifier, length: int) -> bool:
    """Whether so many digits can be cut into the identifier's parts."""
    left = length
    for part in identifier.parts:
        if not left and part.optional:
            return True
        if left < part.least:
            return False
        left -= min(left, part.most)
    return left == 0


def test_every_check_and_set_is_known() -> None:
    for identifier in identifiers().values():
        for part in identifier.parts:
            assert set(part.checks) <= set(CHECKS)
            assert part.kind in SETS


def test_every_pattern_stands_for_an_identifier() -> None:
    for identifier in identifiers().values():
        patterns = [p for group in identifier.needs for p in group] + list(identifier.bars)
        patterns += [p for row in identifier.qualifiers or () for p in row]
        for pattern in patterns:
            assert any(matches(ai, pattern) for ai in ALL), (identifier.ai, pattern)


def test_lines_by_hand() -> None:
    # GS1 barcode syntax dictionary (secondary): "253 ? N13,csum,gcppos1 [X..17] dlpkey" and
    # "8006 ? N14,csum,gcppos2 N4,pieceoftotal ex=01,03,37 dlpkey=22,10,21".
    gdti, itip = identifiers()["253"], identifiers()["8006"]
    assert gdti.parts == (
        Part("N", 13, 13, False, ("check", "prefix")), Part("X", 1, 17, True, ()),
    )  # fmt: skip
    assert (gdti.qualifiers, gdti.query, gdti.predefined) == (((),), True, False)
    assert itip.bars == ("01", "03", "37")
    assert itip.qualifiers == (("22", "10", "21"),)
    assert identifiers()["3103"].bars == ("310n",)
    assert identifiers()["21"].qualifiers is None
    assert not identifiers()["21"].query


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(ALL), st.sampled_from(["01", "31nn", "310n", "8004"]))
def test_patterns(ai: str, pattern: str) -> None:
    wanted = re.fullmatch(pattern.replace("n", "[0-9]"), ai) is not None
    assert matches(ai, pattern) == wanted
