"""How many pieces a line asks for: a pair, all twelve, x4, two doors, one of each side."""

from __future__ import annotations

import re
from collections.abc import Sequence

from app.book.words.everyday import COUNTS, EVERYDAY, FILLER, POSITIONS, SIDES
from app.book.words.figures import figure
from app.book.words.linereading import Reading
from app.book.words.spoken import Line
from app.book.words.vocabulary import MODEL_FACTS, Sense, Vocabulary
from app.book.words.wishes import FIRST, wish
from app.book.words.yearwords import is_year
from app.fit.answers import Chip

AND = frozenset({"and", "&", "+", "plus", "also"})
GROUPS = {"pair": 2, "both": 2, "couple": 2, "dozen": 12}
_PIECES = frozenset({"pieces", "pcs", "count"})
_NEEDED = frozenset({"need", "want", "take"})
AMOUNTS = frozenset({"qty", "quantity"})
_TIMES = re.compile(r"^(?:x([0-9]{1,2})|([0-9]{1,2})x)$")
_ARTICLES = frozenset({"a", "one", "the"})
BETWEEN = frozenset({*POSITIONS, *SIDES})
"""Words that may stand between a number and the part it counts: "two front wheels"."""


def pieces(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Pair", "all twelve", "set of four", "x4", "two doors", "12 pieces", "qty 12": how many pieces are wanted."""
    if _kind_of_vehicle(line, at, vocabulary):
        if _is_phrase(line, at, vocabulary, 1):
            return 0
        reading.left.append(line.words(at, 2))
        return 2
    if line.word(at) == "both" and _at_two_places(line, at + 1):
        reading.chips.append(Chip("beside", "both", line.said[at]))
        return 1
    number, spoken = _number(line, at)
    if number and 0 < reading.part_end == at and _is_behind_many(line, at, vocabulary):
        reading.quantity, reading.counting = number, False
        reading.chips.append(Chip("pieces", str(number), line.words(at, spoken)))
        return spoken
    if number is None and line.word(at) not in _GROUPING and "x" not in line.word(at):
        return 0
    count, size = _grouped(line, at)
    longest = size - 1
    if count is None and (named := _part_behind(line, at + spoken - 1, vocabulary)):
        count, size, longest = number, spoken, spoken + named
    # Beside a part that was named "5 leafs" are what it is looked at for.
    longest -= bool(reading.parts) and size == spoken
    if named_so := _look_of_name(line, at, spoken, vocabulary) if count == number and longest > spoken else ():
        reading.fact_chips.append((line.words(at, spoken), named_so))
        return spoken
    if not count or _is_phrase(line, at, vocabulary, longest) or _of_another(line, at + size, vocabulary):
        return 0
    reading.quantity, reading.counting = count, True
    reading.chips.append(Chip("pieces", str(count), line.words(at, size)))
    return size


def _is_behind_many(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True for the 12 of "body mounts 12 for an 09": the year is said apart from it."""
    others = (word for place, word in enumerate(line.said) if place != at)
    # "Brakes 16 in wheels" are inches, and a "glass 31 and a half" is so long.
    found = figure(line, at)
    said_next = line.word(at + 1) in FILLER and found is not None and found.size == 1
    alone = said_next or at + 1 in line.breaks or at + 1 == len(line.said)
    many = line.word(at - 1).endswith("s") and at not in line.breaks and line.said[at].isdigit()
    return many and alone and any(is_year(word, vocabulary) for word in others)


def _look_of_name(line: Line, at: int, spoken: int, vocabulary: Vocabulary) -> tuple[Sense, ...]:
    """What a number tells that counts in the part's own name: a "five leaf pack" is one of five leaves."""
    named = next((size for size, senses in vocabulary.senses_at(line.bare, at + spoken) if parts_of(senses)), 0)
    looks = next((senses for size, senses in vocabulary.senses_at(line.bare, at) if size == spoken + 1), [])
    return () if named < 2 or line.word(at + spoken + named - 1).endswith("s") else facts_of(looks)


_GROUPING = frozenset({*AMOUNTS, *GROUPS, "half", "set", "all"})
"""Words other than numbers with which a count may begin."""


def _at_two_places(line: Line, at: int) -> bool:
    """True for "upper and lower", of which "both" says no more."""
    return line.word(at) in POSITIONS and line.word(at + 1) in AND and line.word(at + 2) in POSITIONS


def _kind_of_vehicle(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True for a "2 door" or "four-door": how many doors a vehicle has, and no count of doors, nor of door mirrors."""
    doors = line.word(at + 1) == "door" and _counted(line.word(at)) in _DOORS
    return doors and not _is_phrase(line, at + 1, vocabulary, 1)


_DOORS = range(2, 6)


def _grouped(line: Line, at: int) -> tuple[int | None, int]:
    word = line.word(at)
    if line.words(at, 2) == "both sides":
        return 2, 2
    count, size = _number(line, at)
    if line.word(at - 1) in _NEEDED and (at + size >= len(line.said) or at + size in line.breaks):
        # "Body mounts, I need ten".
        return count, size
    if word in AMOUNTS:
        number = at + 1 + (line.word(at + 1) == "of")
        return _counted(line.word(number)), number + 1 - at
    if not _PIECES.isdisjoint(line.said[at + 1 : at + 2]) and at + 1 not in line.breaks and _counted(word):
        return _counted(word), 2
    if word == "half" and line.words(at, 3) == "half a dozen":
        return 6, 3
    if word == "x" and not line.word(at - 1)[:1].isdigit() and len(line.word(at + 1)) < 3:
        return _counted(line.word(at + 1)), 2
    if word in GROUPS:
        return GROUPS[word], 2 if line.word(at + 1) == "of" else 1
    if line.word(at + size) == "dozen" and count:
        return count * GROUPS["dozen"], size + 1
    if (word, line.word(at + 1)) == ("set", "of"):
        return (None, 1) if _has_unit(line, at + 2) else (_counted(line.word(at + 2)), 3)
    if word == "all" and not _has_unit(line, at + 1):
        count, size = _number(line, at + 1)
        return count, 1 + size
    times = _TIMES.match(word)
    return int(times.group(1) or times.group(2)) if times else None, 1


def _has_unit(line: Line, at: int) -> bool:
    """True for the figure of "all 17 inch wheels"."""
    found = figure(line, at)
    return found is not None and bool(found.unit)


def both_sides(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Left and right", "driver side and passenger side", "a left and a right": one of each side is wanted."""
    side, size = _side_at(line, at)
    joined = line.word(at + size) in AND
    other = at + size + joined + (joined and line.word(at + size + 1) in _ARTICLES)
    other_side, other_size = _side_at(line, other)
    if not side or not other_side or side == other_side or wish(line, other, vocabulary) is not None:
        return 0
    if any(size > other_size and parts_of(senses) for size, senses in vocabulary.senses_at(line.bare, other)):
        # "Right, driver seat": the seat is called so.
        return 0
    reading.quantity = reading.quantity or 2
    size = other + other_size - at
    reading.chips.append(Chip("pieces", str(reading.quantity), line.words(at, size)))
    return size


def _side_at(line: Line, at: int) -> tuple[str, int]:
    """The side said at a place, and in how many words; empty where there is none."""
    word = line.word(at)
    if word not in SIDES:
        return "", 0
    wider = SIDES.get(f"{word} {line.word(at + 1)}")
    return (wider, 2) if wider else (SIDES[word], 1)


def parts_of(senses: Sequence[Sense]) -> tuple[str, ...]:
    """The parts that a phrase may mean."""
    return tuple(sense.value for sense in senses if sense.field == "part")


def facts_of(senses: Sequence[Sense]) -> tuple[Sense, ...]:
    """The facts that a phrase states, but for those that say which model it is."""
    return tuple(sense for sense in senses if sense.field == "fact" and sense.fact not in MODEL_FACTS)


def _counted(word: str) -> int | None:
    """A number of pieces; one that begins with a nought is a year."""
    digits = word.isascii() and word.isdigit() and 0 < len(word) < 4 and not word.startswith("0")
    return COUNTS.get(word) or (int(word) if digits else None)


def _number(line: Line, at: int) -> tuple[int | None, int]:
    """The number at a place, and in how many words it was said: "twenty three"."""
    count, more = _counted(line.word(at)), COUNTS.get(line.word(at + 1), 0)
    if line.word(at) in COUNTS and count and count >= 20 and not count % 10 and 0 < more < 10:
        return (count + more, 2) if at + 1 not in line.breaks else (count, 1)
    return count, 1


def _part_behind(line: Line, at: int, vocabulary: Vocabulary) -> int:
    """Words of the part's name right behind a number; for a number in digits the plural, or it is a year."""
    word = line.word(at)
    if _counted(word) is None or word.startswith("0"):
        return 0
    if word == "one" and COUNTS.get(line.word(at - 1), 0) < 20:
        return 0
    if line.word(at + 1) == "of":
        return 1
    if line.word(at + 1)[:1].isdigit() and (sized := figure(line, at + 1)) is not None and sized.unit:
        # "4 17 inch wheels".
        plural = _plural_at(line, at + 1 + sized.size, vocabulary)
        return sized.size + plural if plural else 0
    between = next((skip for skip in range(3) if line.word(at + 1 + skip) not in BETWEEN), 0)
    # "Two front wheels", and of "13 front weights" all the words are its name.
    named = ((skip, *each) for skip in range(between + 1) for each in vocabulary.senses_at(line.bare, at + 1 + skip))
    for skip, size, senses in named:
        if parts_of(senses):
            end = at + 1 + skip + size
            # "12 body mount bushings": the plural may stand in a word of the name that the yard does not have.
            many = line.word(end - 1).endswith("s") or (
                line.word(end).endswith("s") and not vocabulary.senses_at(line.bare, end)
            )
            return skip + size if many or not word.isdigit() else 0
    return 0


def _plural_at(line: Line, at: int, vocabulary: Vocabulary) -> int:
    """Words of the plural of a part's name at a place."""
    found = (size for size, senses in vocabulary.senses_at(line.bare, at) if parts_of(senses))
    size = next(found, 0)
    return size if size and line.word(at + size - 1).endswith("s") else 0


def _is_phrase(line: Line, at: int, vocabulary: Vocabulary, longer_than: int) -> bool:
    """True when a phrase of more than so many words begins here."""
    longest = vocabulary.senses_at(line.bare, at)[:1]
    return bool(longest) and longest[0][0] > longer_than


def _of_another(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True when a count is of something that the yard has no name for: "both keys"."""
    word = line.word(at)
    known = word in FILLER or word in EVERYDAY or word in BETWEEN or word in FIRST or word in COUNTS
    return word.isalpha() and at not in line.breaks and not known and not vocabulary.senses_at(line.bare, at)
