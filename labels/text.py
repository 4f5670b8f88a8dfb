"""Words in a box with the shipped bold monospaced font: shrunk to a least size, then ended by an ellipsis."""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

FONT_FILE = Path(__file__).parent / "data" / "DejaVuSansMono-Bold.ttf"
CAP = 0.729
"""Height of a capital in this font, of one em (OS/2 table of the font file)."""
ADVANCE = 0.602
"""Width of every character, of one em."""
PITCH = 1.2
"""Line to line, of one em; ascent and descent together are 1.164."""
ELLIPSIS = "…"
_BREAK = re.compile(r" (?!·)")
"""Where a row may end: at a blank, but not before the dot that parts two phrases."""


@lru_cache(maxsize=512)
def font(size: int) -> "FreeTypeFont":
    """The shipped font at `size` dots an em, set without the system's text shaper so that all machines agree."""
    from PIL import ImageFont

    return ImageFont.truetype(str(FONT_FILE), size, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=512)
def advance(size: int) -> int:
    """Dots from one character to the next; the font's hinting makes it a whole number."""
    return max(1, round(font(size).getlength("M")))


def em(cap_dots: float) -> int:
    """The font size in dots whose capitals are at most `cap_dots` tall."""
    return max(4, int(cap_dots / CAP))


def plain(text: str) -> str:
    """Text on one line without anything unprintable: composed letters, single blanks, no marks that stack."""
    composed = unicodedata.normalize("NFC", text)
    kept = (c if c.isprintable() else " " for c in composed if not unicodedata.combining(c))
    return " ".join("".join(kept).split())


def wrap(text: str, columns: int) -> list[str]:
    """Plain `text` in rows of at most `columns` characters, broken at blanks, a longer word where it must be."""
    rows: list[str] = []
    row = ""
    for word in _BREAK.split(text) if text else ():
        if row and len(row) + 1 + len(word) <= columns:
            row = f"{row} {word}"
            continue
        if row:
            rows.append(row)
        while len(word) > columns:
            rows.append(word[:columns])
            word = word[columns:]
        row = word
    return [*rows, row] if row else rows


def shorten(rows: list[str], count: int, columns: int) -> list[str]:
    """The first `count` rows, the last of them ended by an ellipsis when more were meant."""
    if len(rows) <= count:
        return rows
    last = rows[count - 1][: max(0, columns - 1)].rstrip()
    return [*rows[: count - 1], last + ELLIPSIS]


@dataclass(frozen=True, slots=True)
class Setting:
    """How text is set: dots an em and the rows."""

    size: int
    rows: tuple[str, ...]

    @property
    def pitch(self) -> int:
        """Dots from baseline to baseline."""
        return round(self.size * PITCH)


def rows_that_fit(height: int, size: int, lines: int) -> int:
    """Rows of `size` dots an em in `height` dots, at most `lines` and at least one."""
    return max(1, min(lines, int(height / (size * PITCH))))


def fit(text: str, width: int, height: int, sizes: tuple[int, int], lines: int) -> Setting:
    """The largest setting, from `sizes[0]` down to `sizes[1]` dots an em, that takes all of `text` in the box.

    Lengths are dots. Words are broken only at the least size; there, what is too long ends in an ellipsis.
    """
    words = plain(text)
    largest, least = sizes
    size = largest
    while True:
        columns = max(1, width // advance(size))
        room = rows_that_fit(height, size, lines)
        rows = wrap(words, columns)
        whole = advance(size) <= width and all(len(word) <= columns for word in _BREAK.split(words))
        if whole and len(rows) <= room and size * PITCH <= height:
            return Setting(size, tuple(rows))
        if size <= least:
            return Setting(size, tuple(shorten(rows, room, columns)))
        size = max(least, min(size - 1, int(size * 0.96)))


def columns_in(width_mm: float, cap_mm: float) -> int:
    """Characters that surely fit a width, mm, at a capital height, mm, on either printer.

    Half a dot of the coarser printer is allowed a character, because hinting rounds widths to whole dots.
    """
    return max(1, int(width_mm / (cap_mm / CAP * ADVANCE + 0.5 * 25.4 / 203)))


def height_of(rows: int, cap_mm: float) -> float:
    """Height in mm of a box that holds `rows` rows at a capital height in mm."""
    return rows * PITCH * cap_mm / CAP + 0.3
