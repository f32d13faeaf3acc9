"""QR symbols equal, module for module, those of the ``qrcode`` package; zxing-cpp reads them."""

from __future__ import annotations

import random

import numpy as np
import pytest
from code_judges import modules, package_rows, rows_of, zbar, zxing
from hypothesis import given, settings
from hypothesis import strategies as st
from qrcode import util

from vardata.fit.codes.qr import encode_qr, foresee_qr, qr_version
from vardata.fit.codes.qr_canvas import as_lane, press
from vardata.fit.codes.qr_masks import Lane, best_mask, penalty
from vardata.fit.codes.qr_stream import LEVELS
from vardata.fit.codes.symbol import CodeError

ALPHABETS = (
    "0123456789",
    "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:",
    "abcdefghijklmnopqrstuvwxyz0123456789-_/?=&",
    "äöüßéñłŽ漢字かな🙂 Aa1",
)
# Texts whose parts the package encodes in modes of their own (from 20 characters on), and
# texts with a last line feed, which its patterns let pass.
SPLIT = (
    "12345678901234567890abc",
    "abc12345678901234567890",
    "https://example.org/" + "7" * 30 + "/x",
    "HELLO WORLD HELLO WORLD " + "1" * 25 + " and more, in small letters",
    "A" * 19 + "b" * 5,
    "A" * 20 + "b",
    "1" * 20,
    "1" * 21 + "\n",
    "123\n",
    "ABC\n",
    "\n",
    "abc\n",
    "\x00\x01\x1d",
)


def _random_text(chance: random.Random, version: int, level: str) -> str:
    """A text that needs the version at the level, or a little less."""
    alphabet = chance.choice(ALPHABETS)
    text = "".join(chance.choice(alphabet) for _ in range(chance.randint(1, 12)))
    while qr_version(text, level) < version:
        text += "".join(chance.choice(alphabet) for _ in range(chance.randint(4, 20)))
    while qr_version(text, level) > version:
        text = text[:-1]
    return text


def _texts(seed: int, versions: range, each: int) -> list[tuple[str, str]]:
    chance = random.Random(seed)
    return [
        (_random_text(chance, version, level), level)
        for version in versions
        for level in "LMQH"
        for _ in range(each)
    ]


def test_same_symbol_and_same_mask_up_to_version_10() -> None:
    for text, level in _texts(1, range(1, 6), 14) + _texts(2, range(6, 11), 2):
        assert rows_of(encode_qr(text, level)) == package_rows(text, level), (text, level)


def test_same_symbol_under_every_mask_up_to_version_10() -> None:
    """2,000 more texts, each under one given mask: the package is faster that way."""
    texts = _texts(3, range(1, 5), 110) + _texts(7, range(5, 11), 10)
    assert len(texts) == 2000
    for turn, (text, level) in enumerate(texts):
        mask = turn % 8
        assert rows_of(encode_qr(text, level, mask)) == package_rows(text, level, mask), text


@pytest.mark.parametrize(("version", "level"), [(14, "M"), (21, "Q"), (27, "L"), (40, "H")])
def test_same_symbol_in_large_versions(version: int, level: str) -> None:
    text = _random_text(random.Random(version), version, level)
    assert qr_version(text, level) == version
    assert rows_of(encode_qr(text, level)) == package_rows(text, level)


@pytest.mark.parametrize("level", "LMQH")
@pytest.mark.parametrize("version", [11, 13, 17, 26, 33, 40])
def test_same_symbol_in_large_versions_under_a_given_mask(version: int, level: str) -> None:
    text = _random_text(random.Random(version), version, level)
    assert rows_of(encode_qr(text, level, 3)) == package_rows(text, level, 3)


@pytest.mark.parametrize("text", SPLIT)
def test_same_symbol_where_the_package_splits_the_text(text: str) -> None:
    for level in "LH":
        assert rows_of(encode_qr(text, level)) == package_rows(text, level)
        assert encode_qr(text, level).text == text


@settings(max_examples=60, deadline=None)
@given(st.text(min_size=1, max_size=60), st.sampled_from("LMQH"))
def test_same_symbol_for_any_text(text: str, level: str) -> None:
    assert rows_of(encode_qr(text, level, 0)) == package_rows(text, level, 0)


@pytest.mark.parametrize("level", "LMQH")
def test_symbols_made_together_are_the_packages(level: str) -> None:
    """Lengths for versions 1 to 14: rows of 32 bits, of 64 bits, and too long for a word."""
    for length in (9, 30, 60, 110, 200, 330):
        texts = [f"https://t.example/{'a' * length}{n}" for n in range(20)]
        foresee_qr([*texts, ""], level)  # what cannot be encoded is refused when it is asked for
        for text in texts[:: 3]:
            assert rows_of(encode_qr(text, level)) == package_rows(text, level), text
        with pytest.raises(CodeError, match="empty"):
            encode_qr("", level)


def test_symbols_made_together_of_any_kind_of_text_are_the_packages() -> None:
    """Figures, capitals, bytes and letters of two bytes, of several lengths, in turn."""
    dice = random.Random(4)
    kinds = ("0123456789", "ABC019$:/", "abcXYZ019?", "aéßЖ1")
    texts = ["".join(dice.choices(kind, k=dice.randint(4, 40))) for kind in kinds * 40]
    texts += [f"{'9' * 22}{text}" for text in texts[:20]]  # the package splits some of these
    foresee_qr(texts, "M")
    for text in texts[::3]:
        assert rows_of(encode_qr(text, "M")) == package_rows(text, "M"), text


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 11), st.integers(0, 2**32))
def test_masks_chosen_together_are_those_chosen_one_by_one(version: int, seed: int) -> None:
    plate = press(version, LEVELS["L"]).canvas
    rng = np.random.default_rng(seed)
    sheets = [as_lane(rng.random((plate.n, plate.n)) < rng.random(), plate.lane) for _ in range(40)]
    assert plate.chooser is not None
    chosen = plate.chooser.choose(sheets)
    assert chosen == [best_mask(sheet, plate.lanes, plate.lane) for sheet in sheets]


def test_the_chosen_mask_has_the_least_penalty() -> None:
    """By the package's own ``lost_point``, on the masked symbols as the package scores them."""
    for text, level in _texts(4, range(1, 6), 2):
        plate = press(qr_version(text, level), LEVELS[level])
        final = modules(encode_qr(text, level))
        scores = []
        for mask, blank in enumerate(plate.canvas.masks):
            # Data under this mask, format and version information light, as when it is scored.
            complete = modules(encode_qr(text, level, mask)).astype(bool)
            size = (plate.canvas.n + 7) // 8
            drawn = plate.finals[mask].to_bytes(plate.canvas.lane.symbol, "big")
            drawn = np.frombuffer(drawn, np.uint8)
            drawn = np.unpackbits(drawn.reshape(-1, size), axis=1)[:, : plate.canvas.n]
            scores.append(util.lost_point((complete ^ drawn.astype(bool) ^ blank).tolist()))
        best = modules(encode_qr(text, level, scores.index(min(scores))))
        assert (final == best).all()


@settings(max_examples=150, deadline=None)
@given(st.integers(1, 4), st.integers(0, 2**32), st.sampled_from([0.1, 0.3, 0.5, 0.7, 0.95]))
def test_penalty_is_the_packages(version: int, seed: int, dark: float) -> None:
    n = 17 + 4 * version
    lane = Lane(n)
    grid = np.random.default_rng(seed).random((n, n)) < dark
    if seed % 3 == 0:  # plant what the third rule looks for, at the edges too
        pattern = np.array([int(c) for c in "10111010000"], bool)
        grid[seed % n, :11] = pattern
        grid[n - 11 :, seed % n] = pattern[::-1]
        grid[(seed // 7) % n, n - 11 :] = pattern[::-1]
    assert penalty(as_lane(grid, lane), lane) == util.lost_point(grid.tolist())


def test_zxing_reads_them() -> None:
    for text, level in _texts(5, range(1, 11), 4) + [(text, "M") for text in SPLIT]:
        found = zxing(encode_qr(text, level), "qr", quiet=4)
        assert found.bytes == text.encode()
        assert found.ec_level == level
        if text.isprintable():
            assert found.text == text


def test_zbar_reads_them() -> None:
    """A sample for the second decoder. NUL is left out, at which zbarimg stops."""
    for text, level in _texts(6, range(1, 5), 1) + [(text, "Q") for text in SPLIT[:5]]:
        assert zbar(encode_qr(text, level), quiet=4) == text
