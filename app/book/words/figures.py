"""Figures as people say them: 26, 17.25, 3 5/8, 100k, three and five eighths, one forty-five, with their units."""

from __future__ import annotations

import re
from collections.abc import Sequence

from app.book.words.everyday import COUNTS
from app.book.words.spoken import LITERS, TEN, UNITS, Figure, Line

_WHOLE = re.compile(r"^[0-9][0-9,]*(?:\.[0-9]+)?$")
_GLUED = re.compile(
    r"^(\$?[0-9][0-9,]*(?:\.[0-9]+)?)(gals?|in|inch|amps?|a|lbs?|mi|mm|ft|v)$",
)
_POINTED = re.compile(r"^\.[0-9]+$")
_FRACTION = re.compile(r"^(?:[0-9]{1,4}-)?[0-9]{1,2}/(?:2|4|8|16|32|64)$")
_THOUSANDS = re.compile(r"^([0-9]{1,4})k$")
_PARTS_OF_ONE = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16,
    "32nds": 32, "16ths": 16, "8ths": 8,
}  # fmt: skip
_LONG_UNITS = frozenset(unit.split()[0] for unit in UNITS if " " in unit)
_ENGINE_SIZE = re.compile(r"[0-9]\.[0-9]")
_TIMES = {"hundred": 100, "thousand": 1000, "grand": 1000}
_NO_UNIT = frozenset({"ton", "tons"})
"""What makes a figure the name of a weight class."""


def figure(line: Line, at: int, *, bare: bool = False) -> Figure | None:
    """A figure in digits or words at a place: 26, 17.25, 3 5/8, 100k, three and five eighths, with its unit.

    A `bare` one is of dollars: what stands behind it is no unit.
    """
    word = line.word(at)
    if not (
        word[:1].isdigit() or word[:1] in ("$", ".") or word in COUNTS or (word == "a" and _a_hundred(line.meant, at))
    ):
        return None
    key = (at, bare)
    if key not in line.figures:
        line.figures[key] = _figure_of(line, at, word, bare)
    return line.figures[key]


def _figure_of(line: Line, at: int, word: str, bare: bool) -> Figure | None:
    if word[-1].isalpha() and (glued := _GLUED.match(word)):
        text, unit, size = glued.group(1).lstrip("$").replace(",", ""), UNITS[glued.group(2)], 1
        return Figure(text, "" if len(text) < 2 and unit == "A" else unit, size)
    number = _number(line.meant, at)
    if number is None or line.word(at + number[1]) in _NO_UNIT:
        return None
    text, size, fraction = number
    unit, words = ("", 0) if bare else _unit(line, at + size)
    alone = len(text) < 2 or line.word(at + size + 1) == "or" or (text.isdecimal() and int(text) > _MOST_AMPS)
    if unit == "A" and line.word(at + size) == "a" and alone:
        # "145 A" is a current, "two a", "60, A or better" and "2008 a" are none.
        unit, words = "", 0
    if unit == "in" and line.word(at + size) == "in" and _says_where(line, at + size + 1, text):
        # "2009 in stock".
        unit, words = "", 0
    return Figure(text, unit, size + words, fraction)


def _says_where(line: Line, at: int, text: str) -> bool:
    """True where the "in" behind a figure is none of inches."""
    return (text.isdigit() and (len(text) == len("2009") or text[0] == "0")) or line.word(at) in _WHERE


_WHERE = frozenset("stock my the good decent nice great here town".split())


def several(line: Line, at: int) -> Figure | None:
    """The figure of "the 13s"; None where none is said so."""
    text = line.said[at].removesuffix("s")
    return Figure(text, "", 1) if text.isdigit() and len(text) > 1 and text != line.said[at] else None


def of_liters(line: Line, at: int) -> bool:
    """True for the "liter" of "5.1 liter", which the figure before it says already."""
    return line.said[at] in LITERS and at > 0 and _ENGINE_SIZE.fullmatch(line.said[at - 1]) is not None


def _unit(line: Line, at: int) -> tuple[str, int]:
    """The unit at a place, and in how many words."""
    if line.word(at) in _LONG_UNITS:
        for size in (3, 2):
            if unit := UNITS.get(" ".join(line.meant[at : at + size])):
                return unit, size
    unit = UNITS.get(line.word(at), "")
    return unit, int(bool(unit))


def _number(words: Sequence[str], at: int) -> tuple[str, int, bool] | None:
    word = words[at].lstrip("$") if at < len(words) else ""
    if thousands := _THOUSANDS.match(word):
        return f"{thousands.group(1)}000", 1, False
    if _WHOLE.match(word):
        # "08 3/4 ton" begins with a year.
        if word.isdigit() and len(word) < 4 and word[0] != "0":
            part = words[at + 1] if at + 1 < len(words) else ""
            if _FRACTION.match(part) and "-" not in part:
                return f"{word} {part}", 2, True
            fraction, size = _and_part(words, at + 1)
            if fraction:
                return f"{word} {fraction}", 1 + size, True
        number, size = _multiplied(int(word), words, at + 1) if word.isdigit() and len(word) < 4 else (None, 0)
        return (str(number), 1 + size, False) if size else (word.replace(",", ""), 1, False)
    if _FRACTION.match(word):
        return word.replace("-", " "), 1, True
    return (f"0{word}", 1, False) if _POINTED.match(word) else _in_words(words, at)


def _in_words(words: Sequence[str], at: int) -> tuple[str, int, bool] | None:
    """Three and five eighths; fifty-two and a half; a hundred and fifty; one forty-five; two hundred thousand."""
    if _a_hundred(words, at):
        number, size = _multiplied(1, words, at + 1)
        return str(number), 1 + size, False
    whole, own = _below_hundred(words, at)
    if not own:
        return None
    fraction, size = _and_part(words, at + own)
    if fraction:
        return f"{whole} {fraction}", own + size, True
    tens, more = _below_hundred(words, at + 1) if whole < TEN else (0, 0)
    if tens > TEN and _is_hundreds(words, at, whole, tens, more):
        return str(whole * 100 + tens), 1 + more, False
    number, size = _multiplied(whole, words, at + own)
    return str(number), own + size, False


def _a_hundred(words: Sequence[str], at: int) -> bool:
    return words[at : at + 1] == ("a",) and at + 1 < len(words) and words[at + 1] in _TIMES


def _below_hundred(words: Sequence[str], at: int) -> tuple[int, int]:
    """A number below a hundred in words, "fifty two" too; and in how many words, none where there is none."""
    first, second = (COUNTS.get(word, 0) for word in (*words[at : at + 2], "", "")[:2])
    if first > TEN and first % TEN == 0 and 0 < second < TEN:
        return first + second, 2
    return first, int(bool(first))


def _is_hundreds(words: Sequence[str], at: int, whole: int, tens: int, size: int) -> bool:
    """True for "one forty-five", "two fifty"; "two twenty inch wheels" are two of twenty inches."""
    if tens < 2 * TEN:
        return False
    behind = at + 1 + size
    return whole == 1 or behind >= len(words) or words[behind] not in UNITS


_MOST_AMPS = 1800
"""More than anything on a vehicle gives."""


def _multiplied(number: int, words: Sequence[str], at: int) -> tuple[int, int]:
    """A number times the hundred or thousand that follows, with what is behind it; how many words these are."""
    by = _TIMES.get(words[at], 0) if at < len(words) else 0
    if by != 100:
        return (number * by, 1) if by else (number, 0)
    link = int(words[at + 1 : at + 2] == ("and",))
    rest, own = _below_hundred(words, at + 1 + link)
    size = 1 + link + own if own else 1
    times = _TIMES.get(words[at + size], 1) if at + size < len(words) else 1
    return (number * by + rest) * times, size + (times > 1)


def _and_part(words: Sequence[str], at: int) -> tuple[str, int]:
    """The fraction of "and a half", "and five eighths", "and 5/8", and in how many words; empty where there is none."""
    link, over_word, under_word = (*words[at : at + 3], "", "", "")[:3]
    if link != "and":
        return "", 0
    if _FRACTION.match(over_word) and "-" not in over_word:
        return over_word, 2
    over = 1 if over_word == "a" else COUNTS.get(over_word, 0)
    under = _PARTS_OF_ONE.get(under_word, 0)
    return (f"{over}/{under}", 3) if 0 < over < under else ("", 0)
