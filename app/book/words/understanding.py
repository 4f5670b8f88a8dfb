"""Understanding an ask: words in any order, years as 08 or 2008, a letter off, slang, stated requirements."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from app.book.words.asides import BEGINNINGS as ASIDES
from app.book.words.asides import aside
from app.book.words.choosing import set_aside
from app.book.words.compared import COMPARING, compared
from app.book.words.corrected import BEGINNINGS as CORRECTIONS
from app.book.words.corrected import corrected
from app.book.words.counted import AMOUNTS, AND, BETWEEN, GROUPS, both_sides, parts_of, pieces
from app.book.words.dated import BEGINNINGS, built, half_year, model_years, spoken_year
from app.book.words.denied import denial, denied, denied_with, unsure
from app.book.words.everyday import COUNTS, EVERYDAY, FILLER, POSITIONS
from app.book.words.figures import figure, of_liters
from app.book.words.linereading import Noun, Reading, Understood
from app.book.words.measured import bare
from app.book.words.mentions import ANOTHERS, group_of
from app.book.words.namedfacts import figure_of_fact, named_fact
from app.book.words.naming import PIECES, both_places, piece
from app.book.words.phones import phone
from app.book.words.phrased import keep_position, phrase
from app.book.words.plants import BEGINNINGS as OF_PLANTS
from app.book.words.plants import keep_plant, plant_said
from app.book.words.ranges import ranged, spent, than
from app.book.words.settling import finish
from app.book.words.spoken import Figure, Line, heard
from app.book.words.spokenmonths import spoken_month
from app.book.words.swapped import settle_swapped
from app.book.words.vocabulary import Vocabulary
from app.book.words.wishes import FIRST, LEAST_MILES, unit_of, way_said, wish
from app.book.words.yearwords import is_year
from app.fit.answers import Asked, Chip

_Taker = Callable[[Line, int, Vocabulary, Reading], int]
_NEEDED = frozenset({"need", "needs", "want", "wants"})
_LACKED = frozenset({*_NEEDED, "wanted", "looking", "lookin", "find"})
_WANTED = frozenset({"need", "want", "wanted", "wants", "have", "sell", "looking", "got", "find"})


def understand(words: str, vocabulary: Vocabulary, *, own: str = "", of_vehicle: bool = False) -> Understood:
    """Take a line of words apart; whatever is not understood is kept and shown.

    `own` is what the customer said himself, where more stands behind it: only when that names no part does the rest.
    With `of_vehicle` no part is asked for in the words: a frame or nose in them is what the vehicle carries.
    """
    line = heard(words, vocabulary)
    ends = len(heard(own, vocabulary).said) if own else len(line.said)
    reading = Reading(line.said)
    at, named = 0, 0
    while at < len(line.said):
        if at in line.breaks:
            reading.mentions.pause()
        start, at = at, at + _take(line, at, vocabulary, reading)
        named = len(reading.parts) if start < ends else named
        if reading.mentions.goes_on:
            for place in range(start, at):
                reading.of_vehicles[place] = reading.mentions.all[-1]
    if any(part.asked_for or part.mine for part in reading.parts[:named]):
        set_aside(named, reading)
    settle_swapped(line, reading)
    return finish(words, vocabulary, reading, of_vehicle=of_vehicle)


def _take(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    if of_liters(line, at):
        return 1
    if vocabulary.begins_fact(line.bare[at]) and (taken := named_fact(line, at, vocabulary, reading)):
        return taken
    for taker in _takers(line.said[at], line.meant[at]):
        taken = taker(line, at, vocabulary, reading)
        if taken:
            return taken
    said, word = line.said[at], line.meant[at]
    if (group := group_of(word)) is not None:
        reading.nouns.append(Noun(at, at + 1, group))
        if (carried := reading.mentions.noun(word)) is not None:
            carried.chips.append(Chip(str(carried.group), ANOTHERS, said))
            return 1
    reading.mentions.word(word)
    reading.wanted = word in _WANTED or (reading.wanted and word in FILLER)
    lacked, reading.needed = reading.needed, word in _LACKED or (reading.needed and word in FILLER)
    reading.mine = word == "my" or (reading.mine and word in FILLER and word not in AND and word not in _NEEDED)
    if word in POSITIONS:
        keep_position(line, at, (), reading)
        return 1
    if word not in FILLER and any(letter.isalnum() for letter in said):
        reading.left.append(said)
        if lacked and word.isalpha() and word not in EVERYDAY:
            reading.lacking = reading.lacking or said
    return 1


@lru_cache(maxsize=4096)
def _takers(said: str, word: str) -> tuple[_Taker, ...]:
    """What may make something of a word, in the order in which they are asked."""
    first = [taker for taker, words in _BEFORE_OTHERS if said in words]
    return (*first, *_takers_of(said, word))


def _takers_of(said: str, word: str) -> tuple[_Taker, ...]:
    if said[0] in "0123456789'$.":
        return _OF_FIGURES
    if said in BEGINNINGS or said in COMPARING or "-" in said:
        return _OF_DATES
    if denial(said, word):
        return _OF_DENIALS
    if word in BETWEEN:
        return _OF_PLACES
    if word in PIECES:
        return _OF_PIECES
    short = len(said) == 1 or (len(said) < _LEAST_NAME and said not in FILLER)
    return _OF_WORDS if short or said in _TELLING or word in _TELLING else _OF_NAMES


_LEAST_NAME = 4
"""Letters from which a word is no letter of a plant, count or unit."""


def _wish(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    found = wish(line, at, vocabulary)
    if found is None:
        return 0
    want, chip, size = found
    reading.wants.append(want)
    reading.chips.append(chip)
    return size


def _plant(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Plant K", "K plant": the letter in place 11 of the plate."""
    del vocabulary
    plant, size = plant_said(line, at)
    if plant:
        keep_plant(plant, line.words(at, size), reading)
    return size


def _figure(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A figure with its unit, or in fractions of an inch; what it is of is known when the part is."""
    found = figure(line, at)
    if found is None:
        return 0
    if line.word(at + found.size) in _BEFORE_SIZES and (sizes := _sizes(line, at)):
        end = sum(each.size + 1 for each in sizes) - 1
        reading.sizes.append((sizes, line.words(at, end)))
        return end
    if not (found.unit or found.fraction):
        found = _by_its_way(line, at, found, vocabulary) or _of_miles(line, at, found)
        if found is None:
            return 0
    size = found.size + (line.word(at + found.size) in _WAYS)
    reading.figures.append((found, line.words(at, size)))
    reading.figure_end = at + size
    return size


def _by_its_way(line: Line, at: int, found: Figure, vocabulary: Vocabulary) -> Figure | None:
    """ "60 wide", "3.2 across": a bare figure that is no year, and just one of a length by the word behind it."""
    if line.word(at + found.size) == "across" and "." in found.text:
        return replace(found, unit="in")
    way = way_said(line, at + found.size, vocabulary)
    if not way or not line.said[at][0].isdigit() or is_year(line.said[at], vocabulary):
        return None
    if vocabulary.senses(line.said[at]) or _noun_is_part(line, at + found.size + 1, vocabulary):
        return None
    return replace(found, unit=unit_of(way, vocabulary))


def _of_miles(line: Line, at: int, found: Figure) -> Figure | None:
    """ "118k", "reads 98,000": so many thousand of what is told without a unit are miles."""
    many = found.text.isdigit() and int(found.text) >= LEAST_MILES
    told = line.said[at].endswith("k") or "," in line.said[at] or line.word(at - 1) in _OF_A_METER
    return replace(found, unit="mi") if many and told else None


def _noun_is_part(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    return any(parts_of(senses) for _, senses in vocabulary.senses_at(line.bare, at))


_OF_A_METER = frozenset("reads reading shows showing".split())
"""Words before what stands on a meter."""
_WAYS = frozenset("long tall wide thick high deep across".split())
"""What may be said behind a length: which way it was measured."""


def _sizes(line: Line, at: int) -> tuple[Figure, ...]:
    """The figures of "31 1/2 by 17"; none where only one is said."""
    found: list[Figure] = []
    while at < len(line.said) and len(found) < MOST_SIZES and (each := figure(line, at)) is not None:
        found.append(each)
        at += each.size
        if line.word(at) not in _BY and not (len(found) == 1 and _on_a_circle(line, at)):
            return tuple(found) if len(found) > 1 else ()
        at += 1
    return ()


def _on_a_circle(line: Line, at: int) -> bool:
    """True for what follows "5 on 4.5": behind it a year would have two digits, and no decimals."""
    found = figure(line, at + 1) if line.word(at) == "on" else None
    return found is not None and (found.fraction or "." in found.text or len(found.text) == 1)


MOST_SIZES = 3
_BY = frozenset({"by", "x"})
_BEFORE_SIZES = _BY | {"on"}
_TELLING = frozenset({*FIRST, *COUNTS, *GROUPS, *AMOUNTS, "set", "all", "half", *OF_PLANTS})
"""Words that may begin more than a name; so may one of a letter or two: "K plant", "x4"."""
_BEFORE_OTHERS = ((corrected, CORRECTIONS), (aside, ASIDES), (than, {"than", "then"}))
_OF_NAMES = (phrase,)
_OF_PIECES = (phrase, piece)
_OF_WORDS = (spoken_month, spoken_year, _wish, _plant, pieces, phrase, _figure)
_OF_PLACES = (_plant, both_sides, both_places, phrase)
_OF_DATES = (_wish, compared, built, half_year, pieces, phrase, _figure, model_years, ranged)
_OF_DENIALS = (_wish, unsure, denied_with, phrase, denied)
_OF_FIGURES = (phone, _wish, ranged, spent, _plant, figure_of_fact, pieces, phrase, _figure, built, model_years, bare)


def with_pick(asked: Asked, vocabulary: Vocabulary, part: str) -> Asked:
    """The ask with an ambiguous word settled by a pick; parts clearly asked for with that word stay asked for."""
    settled = next((meaning for meaning in asked.meanings if part in meaning.choices), None)
    beside = asked.part_types if settled is not None else ()
    said = next((meaning.said for meaning in asked.meanings), "")
    chips = (*(chip for chip in asked.chips if beside or chip.field != "part"), Chip("part", part, said))
    types = tuple(dict.fromkeys((*beside, *vocabulary.wider.get(part, (part,)))))
    return replace(asked, part_types=types, meanings=(), chips=chips)
