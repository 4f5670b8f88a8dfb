"""What the codes say, checked by libraries that took no part in drawing them."""

import dataclasses
import itertools
from collections.abc import Callable

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import example, given, settings
from hypothesis import strategies as st

import labels
from labels import PayloadError, code128, qr
from tests.labels.samples import LONGEST_TAG, TAG, decoded, every_kind, part

PAYLOADS = st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=10)


def every_drawing() -> list[tuple[str, str, int, str]]:
    """Kind, size, dots an inch and tag of every label there is."""
    return [
        (type(record).__name__, size, dpi, tag)
        for record in every_kind()
        for size in labels.sizes(type(record))
        for dpi in (203, 300)
        for tag in (TAG, LONGEST_TAG)
    ]


@pytest.mark.parametrize(("kind", "size", "dpi", "tag"), every_drawing())
def test_every_code_on_every_label_says_the_tag(kind: str, size: str, dpi: int, tag: str) -> None:
    # Decoder: zxing-cpp.
    record = next(record for record in every_kind(tag) if type(record).__name__ == kind)
    expected = [("QR", tag)] if size == "small" else [("QR", tag), ("QR", tag), ("strip", tag)]
    assert decoded(labels.draw(record, size=size, dpi=dpi)) == expected


def test_a_label_turned_upside_down_or_sideways_says_the_same() -> None:
    image = labels.draw(part())
    for turn in (90, 180, 270):
        assert decoded(image.rotate(turn, expand=True)) == [("QR", TAG), ("QR", TAG), ("strip", TAG)]


@settings(max_examples=60, deadline=None)
@given(PAYLOADS)
def test_any_ten_capitals_and_digits_fit_a_standard_label(payload: str) -> None:
    expected = [("QR", payload), ("QR", payload), ("strip", payload)]
    assert decoded(labels.draw(part(payload))) == expected


# The mask conditions of ISO/IEC 18004, table 10: row i, column j.
MASKS: tuple[Callable[[int, int], int], ...] = (
    lambda i, j: (i + j) % 2,
    lambda i, _: i % 2,
    lambda _, j: j % 3,
    lambda i, j: (i + j) % 3,
    lambda i, j: (i // 2 + j // 3) % 2,
    lambda i, j: i * j % 2 + i * j % 3,
    lambda i, j: (i * j % 2 + i * j % 3) % 2,
    lambda i, j: ((i + j) % 2 + i * j % 3) % 2,
)


def is_fixed(i: int, j: int) -> bool:
    """Finder, format, timing and alignment modules of a version 2 symbol: the mask leaves them alone."""
    corner = (i < 9 and (j < 9 or j > 16)) or (i > 16 and j < 9)
    return corner or i == 6 or j == 6 or (16 <= i <= 20 and 16 <= j <= 20)


def codeword_modules(square: list[list[bool]]) -> list[bool]:
    """The data and error correction modules of a version 2 symbol with its own mask taken off."""
    mask = MASKS[sum(square[8][2 + bit] << (2 - bit) for bit in range(3)) ^ 0b101]
    return [square[i][j] != (mask(i, j) == 0) for i, j in itertools.product(range(25), range(25)) if not is_fixed(i, j)]


def ends_on_a_codeword(payload: str) -> bool:
    """Mode, count, characters and terminator together fill whole bytes."""
    pairs, odd = divmod(len(payload), 2)
    threes, rest = divmod(len(payload), 3)
    numeric = 4 + 10 + 10 * threes + (0, 4, 7)[rest] + 4
    return (numeric if payload.isdigit() else 4 + 9 + 11 * pairs + 6 * odd + 4) % 8 == 0


@settings(max_examples=100, deadline=None)
@given(PAYLOADS)
@example(TAG)
def test_the_square_has_the_codewords_two_other_encoders_make(payload: str) -> None:
    # Oracles: the writer of zxing-cpp for every payload; segno where the bits do not already end on a codeword
    # (there segno 1.6 adds a codeword of zeros that ISO/IEC 18004 7.4.10 does not ask for; it decodes the same).
    ours = codeword_modules(qr.matrix(payload))
    drawn = zxingcpp.create_barcode(payload, zxingcpp.BarcodeFormat.QRCode, ec_level="H", version=2)
    black = np.array(drawn.to_image(scale=1, add_quiet_zones=False)) == 0
    assert ours == codeword_modules(black.tolist())
    if not ends_on_a_codeword(payload):
        other = segno.make(payload, version=2, error="h", micro=False, boost_error=False)
        assert ours == codeword_modules([[bool(module) for module in row] for row in other.matrix])


@settings(max_examples=40, deadline=None)
@given(PAYLOADS.filter(lambda payload: not ends_on_a_codeword(payload)))
def test_the_whole_square_is_the_one_another_encoder_draws_with_the_same_mask(payload: str) -> None:
    # Oracle: segno, all eight masks, so finder, timing, format and alignment modules are compared too.
    made = [segno.make(payload, version=2, error="h", micro=False, boost_error=False, mask=mask) for mask in range(8)]
    theirs = [[[bool(module) for module in row] for row in code.matrix] for code in made]
    assert qr.matrix(payload) in theirs


def test_the_encoder_gives_the_codewords_of_the_standards_example() -> None:
    # ISO/IEC 18004 Annex I, "01234567" in version 1-M; codewords from memory.
    from qrcode.constants import ERROR_CORRECT_M
    from qrcode.util import MODE_NUMBER, QRData, create_data

    data = [0x10, 0x20, 0x0C, 0x56, 0x61, 0x80, *[0xEC, 0x11] * 5]
    correction = [0xA5, 0x24, 0xD4, 0xC1, 0xED, 0x36, 0xC7, 0x87, 0x2C, 0x55]
    assert create_data(1, ERROR_CORRECT_M, [QRData("01234567", mode=MODE_NUMBER)]) == data + correction


def test_the_square_is_version_2_at_level_h() -> None:
    # ISO/IEC 18004: 25 modules a side; the two bits of level H in the format information are 10, masked by 10.
    square = qr.matrix(TAG)
    assert [len(row) for row in square] == [25] * 25
    assert [square[8][0], square[8][1]] == [False, False]


@pytest.mark.parametrize("payload", ["", "p7k3m9h", "P7K3M9HQXYZ", "P7-K3", "P7K 3", "P7K3M9\n", "Ä7", "٣٤"])
def test_anything_but_a_short_run_of_capitals_and_digits_is_refused_by_name(payload: str) -> None:
    for make in (qr.matrix, code128.modules):
        with pytest.raises(PayloadError) as refused:
            make(payload)
        assert repr(payload) in refused.value.title
    for record in every_kind():
        with pytest.raises(PayloadError):
            labels.draw(dataclasses.replace(record, tag=payload))


def test_the_strip_has_the_modules_the_standard_counts() -> None:
    # ISO/IEC 15417: start, one symbol a character, check symbol of 11 modules each, stop of 13.
    pattern = code128.modules(TAG)
    assert len(pattern) == 11 * (1 + len(TAG) + 1) + 13
    assert pattern.endswith("1100011101011")
