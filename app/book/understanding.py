"""Understanding an ask: words in any order, years as 08 or 2008, a letter off, slang, stated requirements."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from app.book.everyday import FILLER
from app.book.meanings import PartSaid
from app.book.settling import OR, POSITIONS, Reading, Understood, finish, years_words
from app.book.spoken import Line, figure, heard
from app.book.vocabulary import COUNTS, MODEL_FACTS, SIDES, Sense, Vocabulary
from app.book.wishes import wish
from app.fit.answers import Asked, Chip

_MONTH = re.compile(r"^([0-9]{4})-(0[1-9]|1[0-2])$|^(0?[1-9]|1[0-2])/([0-9]{2}|[0-9]{4})$")
_SPAN = re.compile(r"^'?([0-9]{2}|[0-9]{4})-'?([0-9]{2}|[0-9]{4})$|^([0-9]{4})/([0-9]{2}|[0-9]{4})$")
_OR_YEARS = frozenset({"or", "and"})
_ON = frozenset({"newer", "later", "up"})
_BACK = frozenset({"older", "earlier"})
_TO_YEARS = frozenset({"to", "thru", "through", "till"})
_AND = frozenset({"and", "+", "plus", "also"})
_JOINING = frozenset({*_AND, "a", "an", "the", "some", "both", "one"})
"""Words that may stand between two parts asked for in one breath."""
_GROUPS = {"pair": 2, "both": 2, "couple": 2}
_TIMES = re.compile(r"^(?:x([0-9]{1,2})|([0-9]{1,2})x)$")
BETWEEN = frozenset({*POSITIONS, *SIDES})
"""Words that may stand between a number and the part it counts: "two front wheels"."""
_WANTED = frozenset({"need", "want", "wanted", "wants", "have", "sell", "looking", "got", "find"})


def understand(words: str, vocabulary: Vocabulary) -> Understood:
    """Take a line of words apart; whatever is not understood is kept and shown."""
    line = heard(words, vocabulary)
    reading = Reading()
    at = 0
    while at < len(line.said):
        at += _take(line, at, vocabulary, reading)
    return finish(words, vocabulary, reading)


def _take(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    for taker in (_wish, _plant, _pieces, _both_sides, _phrase, _figure, _month, _year):
        taken = taker(line, at, vocabulary, reading)
        if taken:
            return taken
    said, word = line.said[at], line.meant[at]
    reading.mentions.word(word)
    reading.wanted = word in _WANTED or (reading.wanted and word in FILLER)
    reading.mine = word == "my" or (reading.mine and word in FILLER)
    if word in POSITIONS:
        _keep_position(line, at, (), reading)
        return 1
    if word not in FILLER and any(letter.isalnum() for letter in said):
        reading.left.append(said)
    return 1


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
    pair = (line.word(at), line.word(at + 1))
    letter = next((word for word in pair if word != "plant"), "")
    if "plant" not in pair or len(letter) != 1 or not letter.isascii() or not letter.isalnum():
        return 0
    reading.facts["plant"] = letter.upper()
    reading.chips.append(Chip("plant", letter.upper(), line.words(at, 2)))
    return 2


def _pieces(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Pair", "all twelve", "set of four", "x4", "two doors": how many pieces are wanted."""
    count, size = _grouped(line, at)
    longest = size - 1
    if count is None and (named := _part_behind(line, at, vocabulary)):
        count, longest = _counted(line.word(at)), 1 + named
    if not count or _is_phrase(line, at, vocabulary, longest):
        return 0
    reading.quantity = count
    reading.chips.append(Chip("pieces", str(count), line.words(at, size)))
    return size


def _grouped(line: Line, at: int) -> tuple[int | None, int]:
    word = line.word(at)
    if line.words(at, 2) == "both sides":
        return 2, 2
    if word in _GROUPS:
        return _GROUPS[word], 2 if line.word(at + 1) == "of" else 1
    if (word, line.word(at + 1)) == ("set", "of"):
        return _counted(line.word(at + 2)), 3
    if word == "all":
        return _counted(line.word(at + 1)), 2
    times = _TIMES.match(word)
    return int(times.group(1) or times.group(2)) if times else None, 1


def _both_sides(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Left and right": one of each side is wanted."""
    other = at + 1 + (line.word(at + 1) in _AND)
    sides = {SIDES.get(line.word(at)), SIDES.get(line.word(other))}
    if None in sides or len(sides) < 2 or wish(line, other, vocabulary) is not None:
        return 0
    reading.quantity = reading.quantity or 2
    reading.chips.append(Chip("pieces", str(reading.quantity), line.words(at, other + 1 - at)))
    return other + 1 - at


def _counted(word: str) -> int | None:
    return COUNTS.get(word) or (int(word) if word.isascii() and word.isdigit() and 0 < len(word) < 4 else None)


def _part_behind(line: Line, at: int, vocabulary: Vocabulary) -> int:
    """Words of the part's name right behind a number; for a number in digits the plural, or it is a year."""
    word = line.word(at)
    if word == "one" or _counted(word) is None or word.startswith("0"):
        return 0
    if line.word(at + 1) in ("of", "pieces", "pcs"):
        return 1
    between = next((skip for skip in range(3) if line.word(at + 1 + skip) not in BETWEEN), 0)
    start = at + 1 + between
    for size in range(min(vocabulary.longest, len(line.said) - start), 0, -1):
        named = " ".join(line.meant[start : start + size])
        if any(sense.field == "part" for sense in vocabulary.senses(named)):
            return between + size if not word.isdigit() or named.endswith("s") else 0
    return 0


def _is_phrase(line: Line, at: int, vocabulary: Vocabulary, longer_than: int) -> bool:
    """True when a phrase of more than so many words begins here."""
    sizes = range(min(vocabulary.longest, len(line.said) - at), longer_than, -1)
    return any(vocabulary.senses(" ".join(line.meant[at : at + size])) for size in sizes)


def _month(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    del vocabulary
    skip = 1 if line.word(at) in ("built", "build") and at + 1 < len(line.said) else 0
    found = _MONTH.match(line.said[at + skip])
    if not found:
        return 0
    year, month, short_month, short_year = found.groups()
    if year is None:
        year = short_year if len(short_year) == 4 else f"{_century(int(short_year))}"
        month = f"{int(short_month):02d}"
    reading.built = f"{year}-{month}"
    reading.chips.append(Chip("built", reading.built, line.words(at, 1 + skip)))
    return 1 + skip


def _century(short: int) -> int:
    return 2000 + short if short < 40 else 1900 + short


def _phrase(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    for size in range(min(vocabulary.longest, len(line.said) - at), 0, -1):
        meant = " ".join(line.meant[at : at + size])
        senses = vocabulary.senses(meant)
        if meant in POSITIONS and senses and all(sense.field == "fact" for sense in senses):
            _keep_position(line, at, tuple(senses), reading)
            return 1
        if senses:
            _keep(line.words(at, size), meant, senses, reading, joined=_joined(line, at, reading))
            if any(sense.field == "part" for sense in senses):
                reading.part_end = at + size
            return size
    return 0


def _keep_position(line: Line, at: int, facts: tuple[Sense, ...], reading: Reading) -> None:
    """Front, rear, upper …: a hint at the part, a firm one unless it tells of a place ("in the back")."""
    word = line.meant[at]
    reading.hints.append(word)
    reading.positions.append((line.said[at], facts))
    if word != "back" and line.word(at - 1) not in ("in", "the", "out"):
        reading.firm.append(word)


def _joined(line: Line, at: int, reading: Reading) -> bool:
    """True when a part is asked for with the one before: "grille and headlights", "hood, grille and a left fender"."""
    between = line.meant[reading.part_end : at]
    linked = bool(_AND & set(between)) or any(place in line.breaks for place in range(reading.part_end, at + 1))
    if not reading.part_end or not linked or any(word not in _JOINING and word not in BETWEEN for word in between):
        return False
    reading.left = [word for word in reading.left if word not in _AND]
    return True


def _keep(said: str, meant: str, senses: Sequence[Sense], reading: Reading, *, joined: bool) -> None:
    parts = tuple(sense.value for sense in senses if sense.field == "part")
    facts = tuple(sense for sense in senses if sense.field == "fact" and sense.fact not in MODEL_FACTS)
    for sense in senses:
        if sense.field == "side":
            reading.sides.append(sense.value)
            reading.chips.append(Chip("side", sense.value, said))
            reading.hints += [meant] if meant in POSITIONS else []
            reading.firm += [POSITIONS[meant]] if meant in POSITIONS else []
        elif sense.field == "want":
            reading.hints.append(f"want {said}={sense.value}")
    _keep_vehicle(said, senses, reading)
    if parts:
        carried = reading.mentions.part(meant)
        # "The frame's perfect" tells of one's own.
        mine = reading.mine or said.endswith(("'s", "s'"))
        reading.parts.append(PartSaid(said, parts, facts, mine, reading.wanted, carried, joined))
        reading.wanted = reading.mine = False
    elif facts:
        reading.fact_chips.append((said, facts))
        reading.phrases += meant.split()


def _keep_vehicle(said: str, senses: Sequence[Sense], reading: Reading) -> None:
    traits: dict[str, list[str]] = {}
    for sense in senses:
        if sense.field in ("model", "name", "make"):
            traits.setdefault(sense.field, []).append(sense.value)
        elif sense.field == "fact" and sense.fact in MODEL_FACTS:
            traits.setdefault(sense.fact, []).append(sense.value)
    for trait, values in traits.items():
        field_name = trait if trait in MODEL_FACTS else "vehicle"
        shown = OR.join(values) if trait != "model" or len(values) == 1 else said
        reading.mentions.trait(trait, values, Chip(field_name, shown, said))
    reading.vehicle_words += [said] if traits else []


def _figure(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A figure with its unit, or in fractions of an inch; what it is of is known when the part is."""
    del vocabulary
    found = figure(line, at)
    if found is None or not (found.unit or found.fraction):
        return 0
    reading.figures.append((found, line.words(at, found.size)))
    return found.size


def _year(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A model year, or several of which it is one: "08", "07 or 08", "07-09", "2007 to 2009"."""
    years, size = _years_at(line, at, vocabulary)
    if not years:
        return 0
    every = list(years)
    while (more := _more_years(line, at + size, every[-1], vocabulary))[0]:
        every += more[0]
        size += more[1]
    beyond = _beyond(line, at + size, every, vocabulary)
    every += beyond
    size += 2 if beyond else 0
    several = tuple(sorted(set(every)))
    reading.mentions.year(several, Chip("year", years_words(several), line.words(at, size)))
    return size


def _years_at(line: Line, at: int, vocabulary: Vocabulary) -> tuple[list[int], int]:
    """The year at a place, or all from one to another where it is a span; how many words that took."""
    if (span := _SPAN.match(line.said[at])) is not None:
        ends = [_as_year(each, vocabulary) for each in span.groups() if each]
        first, last = ends[0] or 0, ends[1] or 0
        return (list(range(first, last + 1)), 1) if 0 < first < last else ([], 0)
    token, size = line.said[at], 1
    if token in ("oh", "o") and (said := COUNTS.get(line.word(at + 1), 99)) < 10:
        token, size = f"'0{said}", 2
    year = _as_year(token, vocabulary)
    return ([year], size) if year is not None else ([], 0)


def _more_years(line: Line, at: int, last: int, vocabulary: Vocabulary) -> tuple[list[int], int]:
    """The years that go on from one: after "or", "to", or right behind it ("07, 08"), and the words they took."""
    link = line.word(at)
    skip = 1 if link in _OR_YEARS or link in _TO_YEARS else 0
    here = at + skip
    if here >= len(line.said) or _is_phrase(line, here, vocabulary, 0) or _has_unit(line, here):
        return [], 0
    years, size = _years_at(line, here, vocabulary)
    if link in _TO_YEARS and years:
        years = list(range(min(last, years[0]), max(last, years[-1]) + 1))
    return (years, skip + size) if years else ([], 0)


def _beyond(line: Line, at: int, years: Sequence[int], vocabulary: Vocabulary) -> list[int]:
    """The years of "or newer", "and up", "or older", as far as the yard knows vehicles of them."""
    if line.word(at) not in _OR_YEARS:
        return []
    known = vocabulary.years
    on = [year for year in known if year > max(years)] if line.word(at + 1) in _ON else []
    return on or ([year for year in known if year < min(years)] if line.word(at + 1) in _BACK else [])


def _has_unit(line: Line, at: int) -> bool:
    found = figure(line, at)
    return found is not None and bool(found.unit or found.fraction)


def _as_year(token: str, vocabulary: Vocabulary) -> int | None:
    plain = token.lstrip("'")
    if not plain.isdigit() or len(plain) not in (2, 4) or not plain.isascii():
        return None
    year = int(plain) if len(plain) == 4 else _century(int(plain))
    if not 1950 <= year <= 2039 or (len(plain) == 2 and year not in vocabulary.years and token == plain):
        return None
    return year


def with_pick(asked: Asked, vocabulary: Vocabulary, part: str) -> Asked:
    """The ask with an ambiguous word settled by a pick; parts clearly asked for with that word stay asked for."""
    settled = next((meaning for meaning in asked.meanings if part in meaning.choices), None)
    beside = asked.part_types if settled is not None else ()
    said = next((meaning.said for meaning in asked.meanings), "")
    chips = (*(chip for chip in asked.chips if beside or chip.field != "part"), Chip("part", part, said))
    types = tuple(dict.fromkeys((*beside, *vocabulary.wider.get(part, (part,)))))
    return replace(asked, part_types=types, meanings=(), chips=chips)
