"""Tags: a kind letter, five symbols and a check character that refuses a misread.

The alphabet has 31 symbols, without 0 1 I L O. The check character is a weighted sum modulo the
prime 31, the principle of ISBN-10 (ISO 2108): every weight is a different non-zero residue, so a
single wrong symbol and a swap of neighbors always change the sum.
"""

from __future__ import annotations

from enum import StrEnum

ALPHABET = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
VALUES = {symbol: value for value, symbol in enumerate(ALPHABET)}
BASE = len(ALPHABET)
BODY = 5
LENGTH = BODY + 2
ROOM = BASE**BODY
# Coprime to the room, so that tags made one after the other look unlike each other.
STRIDE = 11_400_713
LONGEST_NUMBER = 9


class TagKind(StrEnum):
    """What a tag is stuck on; the first letter of the tag."""

    PART = "P"
    VEHICLE = "V"
    PLACE = "Y"
    SALE = "S"
    WEIGHT = "W"
    PERSON = "H"
    COMMAND = "C"


def check_character(payload: str) -> str:
    """The check character for a kind letter and its symbols."""
    weighted = sum(weight * VALUES[symbol] for weight, symbol in enumerate(payload, start=2))
    # The check character has weight 1: the whole sum is 0 modulo 31.
    return ALPHABET[-weighted % BASE]


def make_tag(kind: TagKind, number: int) -> str:
    """The tag of the number-th thing of a kind; numbers run from 0 to `ROOM` - 1.

    Raises:
        ValueError: the number is out of range.
    """
    if not 0 <= number < ROOM:
        raise ValueError(f"no tag for number {number}")
    spread = number * STRIDE % ROOM
    symbols = ""
    for _ in range(BODY):
        spread, value = divmod(spread, BASE)
        symbols = ALPHABET[value] + symbols
    payload = kind.value + symbols
    return payload + check_character(payload)


def clean(text: str) -> str:
    """What a scanner or a person gave, as capitals without blanks and dashes at the ends."""
    return "".join(text.upper().split())


def is_house_tag(text: str) -> bool:
    """True for a whole tag of ours: right length, alphabet, kind letter and check character."""
    return (
        len(text) == LENGTH
        and all(symbol in VALUES for symbol in text)
        and text[0] in set(TagKind)
        and check_character(text[:-1]) == text[-1]
    )


def looks_like_house_tag(text: str) -> bool:
    """True when the text has a tag's length, letters and kind, whatever its check character says."""
    return len(text) == LENGTH and all(symbol in VALUES for symbol in text) and text[0] in set(TagKind)


def as_number(text: str) -> int | None:
    """A ticket's number as typed, with or without #; None when it is none."""
    digits = text.removeprefix("#")
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) <= LONGEST_NUMBER else None
