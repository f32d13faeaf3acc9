"""QR symbols against published figures and tables of ISO/IEC 18004.

The standard was reached through open libraries (secondary): matrices and tables as the test
data of the segno library has them (tests/ref_matrix/iso-i2.txt and iso-fig-1.txt).
"""

from __future__ import annotations

import numpy as np
import pytest
from code_judges import rows_of
from qrcode import util

from vardata.fit.codes.qr import encode_qr, qr_version
from vardata.fit.codes.qr_canvas import as_lane, press
from vardata.fit.codes.qr_masks import Lane, best_mask, penalty
from vardata.fit.codes.qr_stream import LEVELS, chunks, codewords
from vardata.fit.codes.symbol import CodeError

# ISO/IEC 18004:2015, Annex I.2: 01234567 as version 1-M, mask 2.
ANNEX_I = [
    "111111100101101111111",
    "100000100111101000001",
    "101110101000001011101",
    "101110101100001011101",
    "101110101011101011101",
    "100000101000101000001",
    "111111101010101111111",
    "000000001001100000000",
    "101111100100101111100",
    "000101011010100101100",
    "001000110101010011111",
    "000010000100000111100",
    "000111111001010010000",
    "000000001011111001100",
    "111111100110101100000",
    "100000101011111000101",
    "101110101000100101100",
    "101110101100100100000",
    "101110101011010010100",
    "100000100000000110110",
    "111111101111010010100",
]

# ISO/IEC 18004:2015, Figure 1: QR Code Symbol as version 1-M, mask 5.
FIGURE_1 = [
    "111111100001101111111",
    "100000101001101000001",
    "101110101110101011101",
    "101110101010001011101",
    "101110100000101011101",
    "100000100010101000001",
    "111111101010101111111",
    "000000001100100000000",
    "100000101111011001110",
    "100010001110001000111",
    "011101111001100100010",
    "110100001011010100110",
    "011111111110001011011",
    "000000001000000010110",
    "111111100111111000110",
    "100000100010011011100",
    "101110100000111000111",
    "101110100100001010100",
    "101110100100101010011",
    "100000100001110111100",
    "111111101011001010010",
]

# ISO/IEC 18004:2015, 7.9.1 and Annex C: format information of level M by mask.
FORMAT_M = [
    "101010000010010",
    "101000100100101",
    "101111001111100",
    "101101101001011",
    "100010111111001",
    "100000011001110",
    "100111110010111",
    "100101010100000",
]

# ISO/IEC 18004:2015, 7.10 and Annex D: version information, 18 bits.
VERSION_BITS = {7: 0x07C94, 8: 0x085BC, 9: 0x09A99, 10: 0x0A4D3, 40: 0x28C69}

# ISO/IEC 18004:2015, Table 7: (version, level): characters numeric, alphanumeric, bytes.
CAPACITY = {
    (1, "L"): (41, 25, 17),
    (1, "M"): (34, 20, 14),
    (1, "Q"): (27, 16, 11),
    (1, "H"): (17, 10, 7),
    (2, "M"): (63, 38, 26),
    (3, "M"): (101, 61, 42),
    (4, "M"): (149, 90, 62),
    (5, "M"): (202, 122, 84),
    (10, "M"): (513, 311, 213),
    (40, "L"): (7089, 4296, 2953),
}


def test_the_worked_example_codeword_by_codeword() -> None:
    correction = press(1, LEVELS["M"]).correction
    data = codewords(chunks("01234567"), 1, correction.count)
    # ISO/IEC 18004:2015, Annex I.2 (via segno's tests).
    assert data.hex(" ") == "10 20 0c 56 61 80 ec 11 ec 11 ec 11 ec 11 ec 11"
    assert correction.plain(data)[16:].hex(" ") == "a5 24 d4 c1 ed 36 c7 87 2c 55"


@pytest.mark.parametrize(
    ("text", "mask", "figure"), [("01234567", 2, ANNEX_I), ("QR Code Symbol", 5, FIGURE_1)]
)
def test_the_figures_of_the_standard(text: str, mask: int, figure: list[str]) -> None:
    assert rows_of(encode_qr(text, "M", mask)) == figure


@pytest.mark.parametrize("mask", range(8))
def test_format_information_stands_twice(mask: int) -> None:
    rows = rows_of(encode_qr("01234567", "M", mask))
    column = [rows[row][8] for row in range(21)]
    # ISO/IEC 18004:2015, Figure 25 (from memory): bit 14 first, once around the upper left
    # corner, once along the lower left and the upper right.
    around = rows[8][:6] + rows[8][7:9] + column[7] + "".join(column[5::-1])
    apart = "".join(column[:13:-1]) + rows[8][13:]
    assert around == FORMAT_M[mask]
    assert apart == FORMAT_M[mask]
    assert column[13] == "1"  # the dark module, 7.9.1


@pytest.mark.parametrize("version", sorted(VERSION_BITS))
def test_version_information_stands_twice(version: int) -> None:
    count = CAPACITY[(40, "L")][2] if version == 40 else 0
    text = "a" * (count or {7: 122, 8: 152, 9: 180, 10: 213}[version])
    rows = rows_of(encode_qr(text, "L" if version == 40 else "M"))
    n = 17 + 4 * version  # ISO/IEC 18004:2015, 6.3.1
    assert len(rows) == n
    # ISO/IEC 18004:2015, Figures 27 and 28 (from memory): bit 0 first, in columns of three.
    right = "".join(rows[i // 3][n - 11 + i % 3] for i in range(18))
    below = "".join(rows[n - 11 + i % 3][i // 3] for i in range(18))
    assert int(right[::-1], 2) == int(below[::-1], 2) == VERSION_BITS[version]


@pytest.mark.parametrize(("version", "level"), sorted(CAPACITY))
def test_capacities(version: int, level: str) -> None:
    for character, count in zip("7Aa", CAPACITY[version, level]):
        assert qr_version(character * count, level) == version
        if version < 40:
            assert qr_version(character * (count + 1), level) == version + 1
        else:
            with pytest.raises(CodeError, match="too long for"):
                qr_version(character * (count + 1), level)


def test_penalties_of_hand_made_symbols() -> None:
    """Small cases by hand from the rules of 7.8.3 (from memory), on an 11 x 11 symbol."""
    lane = Lane(11)

    def score(rows: list[str]) -> int:
        grid = np.array([[module == "1" for module in row] for row in rows])
        return penalty(as_lane(grid, lane), lane)

    board = ["10101010101", "01010101010"]
    chess = [board[i % 2] for i in range(11)]
    assert score(chess) == 0  # 61 of 121 dark: less than 5 % off
    # One row with 1:1:3:1:1 and four light modules costs 40; the 2 x 2 blocks that it makes
    # with its neighbours are counted here one by one. It has no run of five.
    finder = [*chess[:5], "10111010000", *chess[6:]]
    blocks = sum(
        finder[r][c] == finder[r][c + 1] == finder[r + 1][c] == finder[r + 1][c + 1]
        for r in range(10)
        for c in range(10)
    )
    assert score(finder) == 40 + 3 * blocks
    # Mirrored, the light modules come first; turned, it stands in a column.
    assert score([row[::-1] for row in finder]) == 40 + 3 * blocks
    assert score(["".join(column) for column in zip(*finder)]) == 40 + 3 * blocks
    dark = ["1" * 11] * 11
    # 22 runs of 11 cost 9 each, 100 blocks 3 each, 50 % off half dark: ten steps of ten.
    assert score(dark) == 22 * 9 + 100 * 3 + 100


def test_the_first_of_equal_masks_wins() -> None:
    lane = Lane(21)
    assert best_mask(0, [lane.cells] * 8, lane) == 0
    assert best_mask(0, [lane.cells, 0, 0], lane) == 0  # all dark, all light: equal scores


def test_text_that_is_no_text_or_no_end_of_it() -> None:
    with pytest.raises(CodeError, match="7090 characters, 7089 digits are the most"):
        encode_qr("1" * 7090, "L")
    with pytest.raises(CodeError, match="any QR code: 3000000 characters"):
        encode_qr("1" * 3_000_000, "L")
    with pytest.raises(CodeError, match="1274 bytes of text are too long for a QR code"):
        encode_qr("x" * 1274, "H")  # 40-H holds 1273 bytes: ISO/IEC 18004:2015, Table 7
    assert qr_version("x" * 1273, "H") == 40
    with pytest.raises(CodeError, match="empty"):
        encode_qr("", "M")
    with pytest.raises(CodeError, match=r"U\+D800 is half of a pair"):
        encode_qr("a\ud800", "M")


def test_the_package_still_splits_from_twenty_characters_on() -> None:
    """The default of the package's own door is what the fast way was written for."""
    import inspect

    from qrcode.main import QRCode

    from vardata.fit.codes.qr_stream import CHUNK

    assert inspect.signature(QRCode.add_data).parameters["optimize"].default == CHUNK
    assert util.MODE_8BIT_BYTE == 4
