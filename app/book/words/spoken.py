"""A line of words as it was heard: its words one by one, the figures in it, lengths as people say them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, takewhile

from app.book.words.everyday import COUNTS, FILLER, POSITIONS, SIDES
from app.book.words.vocabulary import Vocabulary, joined

_TOKEN = re.compile(
    # A doubt that is told of a figure is none of its own, and the day it is no build month.
    r"(?:\+/?-|±)\s?\d+(?:[./]\d+)?|(?<=today )\d{4}-\d\d-\d\d\b|"
    # "5x4.5" is two figures, "4x4" a word.
    r"\d{1,2}(?=x\d+\.\d)|(?<=\d)x(?=\d+\.\d)|"
    r"(?<![\w(/-])\d{1,2}\)(?=\s)|(?:\A|(?<=,))\d{1,2}\.(?=\s)|w/out\b|w/o\b|w/|(?<![\w.])\.\d+|\d{4}-\d\d\b|\d+-\d+/\d+|\d+/\d+/?\d*|'?\d+(?:,\d{3})*\.\d+(?:x\d+\.\d+)?|'?\d+(?:,\d{3})+"
    r"|'?(?:\d\d){1,2}(?=[^\W\d_]{4,}(?![\w'-]))"
    r"|'?\d+[^\W_]*(?:-[^\W_]+)*|[^\W_]+(?:['/&-][^\W_]+)*|\+(?=\s|$)|[^\s+]"
)
_JOINTS = re.compile("[/-]")
_TWO = re.compile("[/&]")
UNITS = {
    "gal": "gal", "gallon": "gal", "gallons": "gal", "in": "in", "inch": "in", "inches": "in", '"': "in", "amp": "A",
    "amps": "A", "a": "A", "lb": "lb", "lbs": "lb", "pounds": "lb", "mi": "mi", "mile": "mi", "miles": "mi", "mm": "mm",
    "ft": "ft", "foot": "ft", "feet": "ft", "v": "V", "volts": "V", "gals": "gal", "cca": "A",
    "volt": "V", "pound": "lb",
    **dict.fromkeys(("liter", "liters", "litre", "litres"), "L"), "kg": "kg", "kilos": "kg", "cm": "cm", "rpm": "rpm",
    "hp": "hp", "psi": "psi", "quart": "qt", "quarts": "qt",
    "cold amps": "A", "cold cranking amps": "A", "cranking amps": "A",
}  # fmt: skip
LITERS = frozenset({"l", "ltr", "liter", "liters", "litre", "litres"})
"""What an engine's size is said in: behind it these are no side, and nothing lighter."""
_MARKS = ("$", '"', "+", "&")
"""Marks that are words of their own."""
_BREAKING = frozenset(",;.!?")
"""Marks behind which something else may begin; so may it on a new line."""
DOLLARS = ("dollars", "dollar", "bucks", "$")
SHORT = {
    "w/": "with", "w": "with", "w/o": "without", "w/out": "without", "pwr": "power", "frt": "front", "elec": "electric",
    "n": "and", "&": "and", "1st": "first", "2nd": "second", "3rd": "third", "spd": "speed",
    "assy": "assembly", "pkg": "package", "outta": "out", "hvy": "heavy",
    "4spd": "4speed", "5spd": "5speed", "6spd": "6speed",
    "2dr": "2door", "3dr": "3door", "4dr": "4door", "5dr": "5door",
}  # fmt: skip
"""Words that are written short."""
MOST_WORDS = 60
MOST_LETTERS = 400


class _Places(dict[int, str]):
    """Words by their places; a look-up costs no call of a function of ours, and a line takes a hundred of them."""

    def __missing__(self, at: int) -> str:
        return ""


@dataclass(frozen=True, slots=True)
class Line:
    """The words of a line as they were said, and beside each the word that was meant.

    `bare` is each word meant without its joints, as phrases are looked up; `breaks` are the places before which a
    comma or the like, or the stroke of "upper/lower" stood; `figures` are those found so far, by place and
    bareness; `word` gives the word meant at a place, empty past the ends.
    """

    said: tuple[str, ...]
    meant: tuple[str, ...]
    bare: tuple[str, ...]
    word: Callable[[int], str]
    breaks: frozenset[int] = frozenset()
    figures: dict[tuple[int, bool], Figure | None] = field(default_factory=dict, compare=False, repr=False)

    def words(self, at: int, size: int) -> str:
        """So many words from a place on, as said."""
        return " ".join(self.said[at : at + size])


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
    for token, start, linked in _tokens(words[:MOST_LETTERS].replace("\n", ",")):
        if linked:
            breaks.add(len(said))
        if token[-1] in ").":
            if token[-1] == "." or words.count("(", 0, start) <= words.count(")", 0, start):
                # "1) hood 2) grille" is a list; so is one of lines.
                breaks.add(len(said))
                continue
            token = token[:-1] or token
        if "-" in token and (halves := _halves(token, vocabulary)):
            said += halves[:-1]
            token = halves[-1]
        if pieces := _known_pieces(token, vocabulary):
            # "Rear-wheel drive" goes on, "light/lca/rh" is a list.
            breaks.update(range(len(said) + 1, len(said) + len(pieces)) if "/" in token else ())
            said += pieces
        elif token[:1].isalnum() or token in _MARKS or any(map(str.isalnum, token)):
            said.append(token)
        elif token in _BREAKING:
            breaks.add(len(said))
    if _POINT in said or _has_numbers_together(said):
        said, breaks = _with_decimals(said, breaks, vocabulary)
    said = _with_liters(said[:MOST_WORDS], vocabulary)
    meant = _meant(said, vocabulary)
    word = _Places(enumerate(meant)).__getitem__
    return Line(tuple(said), meant, tuple(map(joined, meant)), word, frozenset(breaks))


def _halves(token: str, vocabulary: Vocabulary) -> list[str]:
    """The words of "four-four", which may be a 4.4, of "07-up", which is "07+", and of "non-towing"; else none."""
    if all(0 < COUNTS.get(each, TEN) < TEN for each in token.split("-")):
        return [] if vocabulary.senses(token) else token.split("-")
    if token.endswith("-up") and token[0].isdigit():
        return [token.removesuffix("-up"), "+"]
    return ["non", token.removeprefix("non-")] if token.startswith("non-") else []


def _with_liters(said: list[str], vocabulary: Vocabulary) -> list[str]:
    """The words with whole liters as the yard writes its engines: "6 liter" is 6.0 where it has a 6.0."""
    found = list(said)
    for at, (word, behind) in enumerate(pairwise(said)):
        if behind in LITERS and len(behind) > 1 and (digits := _digits(word)) and len(digits) < 3:
            size = f"{digits}.0"
            found[at] = size if any(each.field == "fact" for each in vocabulary.senses(size)) else word
    return found


def _known_pieces(token: str, vocabulary: Vocabulary) -> list[str]:
    """The words of "light/lca/rh", where the yard knows each of them and not the whole; else none."""
    if token.isalnum() or not token[:1].isalpha() or not _JOINTS.search(token) or vocabulary.senses(token):
        return []
    pieces = _JOINTS.split(token)
    return pieces if all(len(piece) > 1 and vocabulary.senses(piece) for piece in pieces) else []


def _has_numbers_together(said: Sequence[str]) -> bool:
    """Whether two numbers in words stand beside each other."""
    if COUNTS.keys().isdisjoint(said):
        return False
    return any(word in COUNTS and other in COUNTS for word, other in pairwise(said))


def _with_decimals(said: list[str], breaks: set[int], vocabulary: Vocabulary) -> tuple[list[str], set[int]]:
    """The words with decimals that were spoken out written in figures: "five point one" is 5.1."""
    figures: list[str] = []
    moved: set[int] = set()
    at = 0
    while at < len(said):
        if at in breaks:
            moved.add(len(figures))
        text, size = _decimal(said, at, breaks, vocabulary)
        figures.append(text)
        at += size
    return figures, moved


def _decimal(said: Sequence[str], at: int, breaks: set[int], vocabulary: Vocabulary) -> tuple[str, int]:
    """ "Three point four two" is 3.42, but "five point one four speed" 5.1: as far as the yard knows such a figure."""
    digits = [_digits(word) for word in said[at : at + 2 + _MOST_DECIMALS]]
    if _without_point(said, at, breaks, vocabulary):
        return f"{digits[0]}.{digits[1]}", 2
    if said[at + 1 : at + 2] != [_POINT] or not digits[0] or not breaks.isdisjoint((at + 1, at + 2)):
        return said[at], 1
    decimals = list(takewhile(bool, digits[2:]))
    texts = [f"{digits[0]}.{''.join(decimals[:size])}" for size in range(1, len(decimals) + 1)]
    if not texts:
        return said[at], 1
    choices = {str(choice).split(" ")[0] for fact in vocabulary.facts.values() for choice in fact.choices}
    size = max((size for size, text in enumerate(texts) if text in choices or vocabulary.senses(text)), default=0)
    return texts[size], size + 3


def _without_point(said: Sequence[str], at: int, breaks: set[int], vocabulary: Vocabulary) -> bool:
    """True for "five one" of a 5.1: two figures of one digit alone that the yard knows as one with a decimal."""
    two = said[at : at + 2]
    if len(two) < 2 or at + 1 in breaks or not all(0 < COUNTS.get(word, TEN) < TEN for word in two):
        return False
    beside = (*said[max(0, at - 1) : at], *said[at + 2 : at + 3])
    if any(word in COUNTS or word == _POINT or _is_no_year(word, vocabulary) for word in beside):
        return False
    looks = vocabulary.senses(f"{COUNTS[two[0]]}.{COUNTS[two[1]]}")
    behind = said[at + 2 : at + 3]
    counts = behind and (behind[0] in UNITS or vocabulary.senses(f"{two[1]} {behind[0]}"))
    return any(sense.field == "fact" for sense in looks) and not counts


def _is_no_year(word: str, vocabulary: Vocabulary) -> bool:
    """True for figures that are of no vehicle that the yard knows."""
    return word.isdecimal() and not {int(word), int(word) + 2000} & vocabulary.years


def _digits(word: str) -> str:
    return word if word.isascii() and word.isdigit() else str(COUNTS.get(word, ""))


_POINT = "point"
_MOST_DECIMALS = 3
TEN = 10


_ARTICLES = frozenset({"a", "an", "the", "my", "his", "her", "our", "your", "this", "that"})


def _meant(said: Sequence[str], vocabulary: Vocabulary) -> tuple[str, ...]:
    """The words meant; one is not put right where with its neighbor it is a word of the yard's ("sun roof")."""
    meant = [SHORT.get(word) or vocabulary.meant(word) for word in said]
    for at, word in enumerate(said[1:] if "fr" in said else ()):
        if word in _ARTICLES and said[at] == "fr":
            # What is front right of something is none of "a" thing: it is a slip for "for".
            meant[at] = "for"
    for at, word in enumerate(said[:-1] if "4" in said else ()):
        if word == "4" and said[at + 1] in _ARTICLES:
            meant[at] = "for"
    for at in [at for at, word in enumerate(said) if "'" in word and word.endswith("'s") and word not in FILLER]:
        if not vocabulary.senses(said[at]) and vocabulary.senses(said[at][:-2]):
            # "The light's got …".
            meant[at] = said[at][:-2]
    for at, (word, other) in enumerate(pairwise(said) if meant != list(said) else ()):
        slips = [place for place in (at, at + 1) if meant[place] != said[place] and said[place] not in SHORT]
        if slips and vocabulary.senses(f"{word} {other}"):
            meant[at : at + 2] = word, other
    return tuple(meant)


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
