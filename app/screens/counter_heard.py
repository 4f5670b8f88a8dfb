"""What the counter understood of the words, in the lines under them: nothing is cut off without a count."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rich.cells import cell_len

from app.fit.answers import Asked, Chip
from app.screens.parts.plain import clip

SAID_ALONE = frozenset({"year", "built", "side", "position", "off", "wants", "beside", "part", "vehicle"})
"""What is clear from its value alone, even where that is a figure."""
NAMELESS = re.compile(r"yes|no|not yes|not no|another's|[A-Z]|[\d.,/]+( [a-z]+)?")
"""Values that say nothing without the name of their fact: yes, no, a bare figure, one with its unit, a letter."""
DOT = " · "


def chip_words(chip: Chip) -> str:
    """A chip as it is read: "RH", but "towing yes" and "lug count 8"."""
    if chip.field == "pieces":
        return f"{chip.value} piece{'s' if chip.value != '1' else ''}"
    nameless = chip.field not in SAID_ALONE and NAMELESS.fullmatch(chip.value)
    return f"{chip.field} {chip.value}" if nameless else chip.value


def understood(asked: Asked, width: int, most: int) -> list[str]:
    """What was understood, in at most so many lines; the last one says how much more there is."""
    # "Both, LH and RH" says how many twice.
    words = list(dict.fromkeys(chip_words(chip) for chip in asked.chips))
    return counted(words, DOT, width, most)


def unheard(asked: Asked, width: int, most: int) -> list[str]:
    """What was not understood, in at most so many lines."""
    words = [f"{word}," for word in asked.not_understood]
    if not words:
        return []
    words[0] = f"not understood: {words[0]}"
    words[-1] = words[-1].removesuffix(",")
    return counted(words, " ", width, most)


def counted(words: Sequence[str], gap: str, width: int, most: int) -> list[str]:
    """Words in lines, as many as go into the most lines there may be, and how many more the key x shows."""
    for count in range(len(words), -1, -1):
        rest = [f"+{len(words) - count} more under x"] if count < len(words) else []
        shown = [*(clip(word, width) for word in words[:count]), *rest]
        rows = packed([cell_len(word) for word in shown], cell_len(gap), width)
        if len(rows) <= most:
            return [gap.join(shown[index] for index in row) for row in rows]
    return []


def packed(lengths: Sequence[int], gap: int, width: int) -> list[list[int]]:
    """Which of the pieces of such lengths stand on which line, in their order."""
    rows: list[list[int]] = []
    used = 0
    for index, length in enumerate(lengths):
        if rows and used + gap + length <= width:
            rows[-1].append(index)
            used += gap + length
        else:
            rows.append([index])
            used = length
    return rows
