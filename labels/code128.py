"""Code 128 strips by ISO/IEC 15417: a row of bars that says the tag a second, independent way."""

from labels.errors import SizeError
from labels.payload import checked

QUIET = 10
"""Blank modules at each end, as the standard asks."""
LEAST_MODULE = 0.25
"""Narrowest bar drawn, mm; handhelds of the counter kind read it at a hand's length."""


def modules(payload: str) -> str:
    """The modules of the strip as '1' for bar and '0' for space, without quiet zones.

    PayloadError for what a tag cannot be.
    """
    from barcode.codex import Code128

    pattern: str = Code128(checked(payload)).build()[0]
    return pattern


def module_dots(room: int, pattern: str, dpi: int) -> int:
    """Dots a module when the strip and its quiet zones fill `room` dots; SizeError under 0.25 mm."""
    dots = room // (len(pattern) + 2 * QUIET)
    if dots * 25.4 / dpi < LEAST_MODULE:
        raise SizeError("There is no room for a strip of readable size", "Use a larger label")
    return dots
