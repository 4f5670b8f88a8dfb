"""A line of words as it was heard: its words one by one, the figures in it, lengths as people say them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from app.book.vocabulary import COUNTS, POSITIONS, SIDES, Vocabulary, joined

_TOKEN = re.compile(
    r"\d{4}-\d\d\b|\d+-\d+/\d+|\d+/\d+/?\d*|'?\d+(?:,\d{3})*\.\d+(?:x\d+\.\d+)?|'?\d+(?:,\d{3})+"
    r"|'?\d+[^\W_]*(?:-[^\W_]+)*|[^\W_]+(?:['/&-][^\W_]+)*|\+(?=\s|$)|[^\s+]"
)
_TWO = re.compile("[/&]")
_WHOLE = re.compile(r"^[0-9][0-9,]*(?:\.[0-9]+)?$")
_FRACTION = re.compile(r"^(?:[0-9]{1,4}-)?[0-9]{1,2}/(?:2|4|8|16|32|64)$")
_THOUSANDS = re.compile(r"^([0-9]{1,4})k$")
_PARTS_OF_ONE = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16,
    "32nds": 32, "16ths": 16, "8ths": 8,
}  # fmt: skip
UNITS = {
    "gal": "gal", "gallon": "gal", "gallons": "gal", "in": "in", "inch": "in", "inches": "in", '"': "in", "amp": "A",
    "amps": "A", "a": "A", "lb": "lb", "lbs": "lb", "pounds": "lb", "mi": "mi", "mile": "mi", "miles": "mi", "mm": "mm",
    "ft": "ft", "foot": "ft", "feet": "ft", "v": "V", "volts": "V",
}  # fmt: skip
_MARKS = ("$", '"', "+")
"""Marks that are words of their own."""
DOLLARS = ("dollars", "dollar", "bucks", "$")
MOST_WORDS = 60
MOST_LETTERS = 400


@dataclass(frozen=True)
class Line:
    """The words of a line as they were said, and beside each the word that was meant.

    `breaks` are the places before which a comma, "&" or the stroke of "upper/lower" stood.
    """

    said: tuple[str, ...]
    meant: tuple[str, ...]
    breaks: frozenset[int] = frozenset()

    @cached_property
    def bare(self) -> tuple[str, ...]:
        """Each word meant without its joints, as phrases are looked up."""
        return tuple(map(joined, self.meant))

    def words(self, at: int, size: int) -> str:
        """So many words from a place on, as said."""
        return " ".join(self.said[at : at + size])

    def word(self, at: int) -> str:
        """The word meant at a place; empty past the end."""
        return self.meant[at] if 0 <= at < len(self.meant) else ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure: as it is written for the book, its unit or "", and how many words it took; `fraction` of an inch."""

    text: str
    unit: str
    size: int
    fraction: bool = False

    @property
    def written(self) -> str:
        """With its unit; a fraction is of an inch."""
        return f"{self.text} {self.unit or ('in' if self.fraction else '')}".strip()


def heard(words: str, vocabulary: Vocabulary) -> Line:
    """Take a line apart; at most 60 words of its first 400 characters are looked at."""
    said: list[str] = []
    breaks: set[int] = set()
    for token, _, linked in _tokens(words[:MOST_LETTERS]):
        if linked:
            breaks.add(len(said))
        if token in _MARKS or any(map(str.isalnum, token)):
            said.append(token)
        elif token in (",", "&"):
            breaks.add(len(said))
    said = said[:MOST_WORDS]
    return Line(tuple(said), tuple(map(vocabulary.meant, said)), frozenset(breaks))


def _tokens(words: str) -> Iterator[tuple[str, int, bool]]:
    """The words and marks of a line, each with where it begins; the last is true for the "lower" of "upper/lower"."""
    for found in _TOKEN.finditer(words.lower().replace("’", "'")):
        token = found.group()
        both = _TWO.split(token) if "/" in token or "&" in token else []
        if len(both) == 2 and all(each in SIDES or each in POSITIONS for each in both):
            yield both[0], found.start(), False
            yield both[1], found.end() - len(both[1]), True
        else:
            yield token, found.start(), False


def without(words: str, said: str) -> str:
    """The line without the first place at which these words were said; as it was when they are not in it."""
    spans = [(token, (start, start + len(token))) for token, start, _ in _tokens(words)]
    spans = [each for each in spans if each[0] in _MARKS or any(map(str.isalnum, each[0]))]
    wanted = said.split()
    for at in range(len(spans) - len(wanted) + 1):
        if wanted and [token for token, _ in spans[at : at + len(wanted)]] == wanted:
            start, end = spans[at][1][0], spans[at + len(wanted) - 1][1][1]
            return " ".join((words[:start] + words[end:]).split())
    return words


def figure(line: Line, at: int, *, bare: bool = False) -> Figure | None:
    """A figure in digits or words at a place: 26, 17.25, 3 5/8, 100k, three and five eighths, with its unit.

    A `bare` one is of dollars: what stands behind it is no unit.
    """
    number = _number(line.meant, at)
    if number is None:
        return None
    text, size, fraction = number
    unit = "" if bare else UNITS.get(line.word(at + size), "")
    if unit == "A" and line.word(at + size) == "a" and (len(text) < 2 or line.word(at + size + 1) == "or"):
        # "145 A" is a current, "two a" and "60, A or better" are none.
        unit = ""
    return Figure(text, unit, size + bool(unit), fraction)


def _number(words: Sequence[str], at: int) -> tuple[str, int, bool] | None:
    word = words[at].lstrip("$") if at < len(words) else ""
    if thousands := _THOUSANDS.match(word):
        return f"{thousands.group(1)}000", 1, False
    if _WHOLE.match(word):
        part = words[at + 1] if at + 1 < len(words) else ""
        if word.isdigit() and len(word) < 4 and _FRACTION.match(part) and "-" not in part:
            return f"{word} {part}", 2, True
        return word.replace(",", ""), 1, False
    if _FRACTION.match(word):
        return word.replace("-", " "), 1, True
    return _in_words(words, at)


def _in_words(words: Sequence[str], at: int) -> tuple[str, int, bool] | None:
    """Three and five eighths; twelve and a half; seventeen."""
    whole = COUNTS.get(words[at]) if at < len(words) else None
    if whole is None:
        return None
    link, over_word, under_word = (*words[at + 1 : at + 4], "", "", "")[:3]
    over = 1 if over_word == "a" else COUNTS.get(over_word, 0)
    under = _PARTS_OF_ONE.get(under_word, 0)
    if link != "and" or not 0 < over < under:
        return str(whole), 1, False
    return f"{whole} {over}/{under}", 4, True
