"""Understanding an ask: words in any order, years as 08 or 2008, a letter off, slang, stated requirements."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache

from app.book.words.asides import BEGINNINGS as ASIDES
from app.book.words.asides import aside
from app.book.words.choosing import set_aside
from app.book.words.compared import COMPARING, compared
from app.book.words.counted import AMOUNTS, AND, BETWEEN, GROUPS, both_sides, parts_of, pieces
from app.book.words.dated import BEGINNINGS, built, half_year, is_year, model_years, spoken_year
from app.book.words.denied import denial, denied, denied_with, keep_denied, unsure
from app.book.words.everyday import COUNTS, FILLER, POSITIONS, SIDES, SIZE_WORDS
from app.book.words.linereading import OR, Reading, Understood
from app.book.words.measured import bare
from app.book.words.namedfacts import figure_of_fact, named_fact
from app.book.words.naming import PIECES, both_places, facts_of, keep_part, on_it_words, piece
from app.book.words.phones import phone
from app.book.words.plants import BEGINNINGS as OF_PLANTS
from app.book.words.plants import keep_plant, plant_said
from app.book.words.ranges import ranged, spent
from app.book.words.settling import finish
from app.book.words.spoken import UNITS, Figure, Line, figure, heard, of_liters
from app.book.words.vocabulary import MODEL_FACTS, Sense, Vocabulary, joined
from app.book.words.wishes import FIRST, unit_of, way_said, wish
from app.fit.answers import Asked, Chip
from app.fit.terms import FactKind

_Taker = Callable[[Line, int, Vocabulary, Reading], int]
_NEEDED = frozenset({"need", "needs", "want", "wants"})
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
        start, at = at, at + _take(line, at, vocabulary, reading)
        named = len(reading.parts) if start < ends else named
        if reading.mentions.goes_on:
            reading.of_vehicles.update(range(start, at))
    if any(part.asked_for or part.mine for part in reading.parts[:named]):
        set_aside(named, reading)
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
    if (carried := reading.mentions.noun(word)) is not None:
        carried.chips.append(Chip(str(carried.group), "another's", said))
        return 1
    reading.mentions.word(word)
    reading.wanted = word in _WANTED or (reading.wanted and word in FILLER)
    reading.mine = word == "my" or (reading.mine and word in FILLER and word not in AND and word not in _NEEDED)
    if word in POSITIONS:
        _keep_position(line, at, (), reading)
        return 1
    if word not in FILLER and any(letter.isalnum() for letter in said):
        reading.left.append(said)
    return 1


@lru_cache(maxsize=4096)
def _takers(said: str, word: str) -> tuple[_Taker, ...]:
    """What may make something of a word, in the order in which they are asked."""
    return (aside, *_takers_of(said, word)) if said in ASIDES else _takers_of(said, word)


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
    return _OF_WORDS if said in _TELLING or word in _TELLING or len(said) < 4 else _OF_NAMES


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


def _phrase(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    for size, senses in _unbroken(line, at, vocabulary)[:1]:
        if _in_another_unit(line, at, senses, vocabulary):
            return 0
        meant = " ".join(line.meant[at : at + size])
        if meant in POSITIONS and all(sense.field == "fact" for sense in senses):
            _keep_position(line, at, tuple(senses), reading)
            return 1
        if answer := _answered(line, at + size, senses, vocabulary):
            said = line.words(at, size + 1)
            if answer == "no" and keep_denied(senses, said, vocabulary, reading):
                return size + 1
            size += 1
        elif size == 1 and meant in _OF_THE_NOUN:
            reading.before[line.said[at]] = _noun_at(line, at + 1, vocabulary)
        size += _with_unit(line, at + size, senses, vocabulary)
        senses = _with_its_noun(line, at, size, senses, vocabulary)
        _keep(line.words(at, size), meant, senses, vocabulary, reading)
        if parts_of(senses):
            size += keep_part(line, range(at, at + size), senses, vocabulary, reading)
            if reading.parts[-1].carried is not None and (more := on_it_words(line, at + size)):
                size += more
                reading.parts[-1] = replace(reading.parts[-1], said=line.words(at, size))
        elif facts_of(senses):
            reading.fact_end = at + size
        return size
    return 0


_OF_THE_NOUN = SIZE_WORDS | {"power", "electric", "digital", "crank"}
"""Words that are first of all said of the part they stand before."""


def _unbroken(line: Line, at: int, vocabulary: Vocabulary) -> list[tuple[int, list[Sense]]]:
    """The phrases that begin at a word, longest first, without those that are no one phrase here.

    What tells a fact has no comma in it, and nothing has one before the name of a fact: "front door, glass tint clear".
    Of "Drover face panel" the panel is named, and no Drover face.
    """
    found = vocabulary.senses_at(line.bare, at)
    if len(found) < 2:
        return found
    breaks = [place for place in range(at + 1, at + found[0][0]) if place in line.breaks] if line.breaks else []
    kept = found
    if breaks:
        first = next((place - at for place in breaks if any(vocabulary.facts_at(line.bare, place))), len(line.said))
        kept = [each for each in found if each[0] <= first and (_is_named(each[1]) or not _within(at, each[0], breaks))]
    if len(kept) > 1 and not _is_named(kept[0][1]) and _begins_part(line, at + kept[0][0] - 1, vocabulary):
        return kept[1:]
    return kept


def _is_named(senses: Sequence[Sense]) -> bool:
    """Whether a phrase tells more than facts."""
    return any(sense.field != "fact" for sense in senses)


def _within(at: int, size: int, breaks: Sequence[int]) -> bool:
    return any(place < at + size for place in breaks)


def _begins_part(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """Whether a part's name of several words begins at a word."""
    return any(size > 1 and parts_of(senses) for size, senses in vocabulary.senses_at(line.bare, at))


def _noun_at(line: Line, at: int, vocabulary: Vocabulary) -> str:
    """The part named at a place, in its words; any other word as it is."""
    size = next((size for size, senses in vocabulary.senses_at(line.bare, at) if parts_of(senses)), 1)
    return " ".join(line.meant[at : at + size])


def _answered(line: Line, at: int, senses: Sequence[Sense], vocabulary: Vocabulary) -> str:
    """The yes or no behind what a vehicle has, as in a form: "rear air: yes, towing: no"; empty where none is."""
    word = line.said[at] if at < len(line.said) else ""
    if word not in _ANSWERS or at in line.breaks or not facts_of(senses):
        return ""
    answer = _ANSWERS[word]
    said = answer == "yes" or not _may_be_denied(line, at + 1, vocabulary)
    return answer if said else ""


def _may_be_denied(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """Whether a "no" may be of what begins at a word: "rear air no towing" has no towing; nobody denies a year."""
    if at >= len(line.said) or at in line.breaks:
        return False
    if line.said[at][0] in "0123456789'" or line.word(at) in SIDES or line.word(at) == "built":
        return False
    if any(fact.kind is not FactKind.YES_NO for _, fact in vocabulary.facts_at(line.bare, at)):
        return False
    senses = next((senses for _, senses in vocabulary.senses_at(line.bare, at)), [])
    return not senses or any(each.field not in _VEHICLES and each.fact not in MODEL_FACTS for each in senses)


_VEHICLES = frozenset({"model", "name", "make"})

_ANSWERS = {"yes": "yes", "y": "yes", "no": "no", "n": "no", "none": "no"}


def _with_its_noun(line: Line, at: int, size: int, senses: list[Sense], vocabulary: Vocabulary) -> list[Sense]:
    """What a requirement means, with the part that stands at its end: "big tank" asks for a tank."""
    if size < 2 or any(sense.field != "want" for sense in senses):
        return senses
    nouns = (vocabulary.senses(" ".join(line.meant[start : at + size])) for start in range(at + 1, at + size))
    parts = ([sense for sense in noun if sense.field == "part"] for noun in nouns)
    return [*senses, *next(filter(None, parts), [])]


def _keep_position(line: Line, at: int, facts: tuple[Sense, ...], reading: Reading) -> None:
    """Front, rear, upper …: a hint at the part, a firm one unless it tells of a place ("in the back")."""
    word = line.meant[at]
    alone = at + 1 >= len(line.said) or at + 1 in line.breaks or line.word(at + 1) in FILLER
    if word == "front" and alone and (carried := reading.mentions.front()) is not None:
        carried.chips.append(Chip(str(carried.group), "another's", line.said[at]))
        return
    reading.hints.append(word)
    reading.positions.append((line.said[at], facts))
    if word != "back" and not (alone and line.word(at - 1) in _AT_PLACES):
        reading.firm.append(word)


_AT_PLACES = frozenset({"in", "the", "out", "my", "his", "her", "our"})


def _keep(said: str, meant: str, senses: Sequence[Sense], vocabulary: Vocabulary, reading: Reading) -> None:
    """Keep all but a part of what a phrase means."""
    facts = facts_of(senses)
    for sense in senses:
        if sense.field == "side":
            reading.sides.append(sense.value)
            reading.chips.append(Chip("side", sense.value, said))
            place = POSITIONS.get(joined(meant))
            reading.hints += [place] if place else []
            reading.firm += [place] if place else []
        elif sense.field == "nothing":
            reading.stickers.append(said)
        elif sense.field == "want":
            reading.hints.append(f"want {said}={sense.value}")
    _keep_vehicle(said, senses, reading)
    if facts and not parts_of(senses):
        (reading.off_facts if reading.mentions.fact() else reading.fact_chips).append((said, facts))
        reading.phrases += _nouns(meant, facts, vocabulary)


def _nouns(meant: str, facts: Sequence[Sense], vocabulary: Vocabulary) -> list[str]:
    """The words of what tells facts by which a part may be named: a "torsion bar socket" that is there names no bar."""
    words = meant.split()
    is_there = all(sense.value in ("yes", "no") for sense in facts)
    return [] if is_there and not vocabulary.part_types(words[-1]) else words


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
    found = figure(line, at)
    if found is None:
        return 0
    if line.word(at + found.size) in _BEFORE_SIZES and (sizes := _sizes(line, at)):
        end = sum(each.size + 1 for each in sizes) - 1
        reading.sizes.append((sizes, line.words(at, end)))
        return end
    if not (found.unit or found.fraction):
        found = _by_its_way(line, at, found, vocabulary)
        if found is None:
            return 0
    size = found.size + (line.word(at + found.size) in _WAYS)
    reading.figures.append((found, line.words(at, size)))
    reading.figure_end = at + size
    return size


def _by_its_way(line: Line, at: int, found: Figure, vocabulary: Vocabulary) -> Figure | None:
    """ "60 wide": a bare figure that is no year, and no more than one of a length by the word behind it."""
    way = way_said(line, at + found.size, vocabulary)
    if not way or not line.said[at][0].isdigit() or is_year(line.said[at], vocabulary):
        return None
    if vocabulary.senses(line.said[at]) or _noun_is_part(line, at + found.size + 1, vocabulary):
        return None
    return replace(found, unit=unit_of(way, vocabulary))


def _noun_is_part(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    return any(parts_of(senses) for _, senses in vocabulary.senses_at(line.bare, at))


_WAYS = frozenset("long tall wide thick high deep across".split())
"""What may be said behind a length: which way it was measured."""


def _with_unit(line: Line, at: int, senses: Sequence[Sense], vocabulary: Vocabulary) -> int:
    """How many words of a unit stand behind a look whose value is in that: "seventeens" and "seventeen inch"."""
    unit = UNITS.get(line.word(at), "")
    facts = [vocabulary.facts[sense.fact] for sense in senses if sense.fact in vocabulary.facts]
    return int(bool(unit) and at not in line.breaks and any(fact.unit == unit for fact in facts))


def _in_another_unit(line: Line, at: int, senses: Sequence[Sense], vocabulary: Vocabulary) -> bool:
    """True for "34.0 in" where 34.0 is how many gallons a tank may have: it is no look of that."""
    if not line.said[at][0].isdigit() or any(sense.fact not in vocabulary.facts for sense in senses):
        return False
    said = figure(line, at)
    if said is None or line.word(at + said.size) in _OF_VEHICLE:
        # "38.5 in a Longwagon" says where.
        return False
    units = {vocabulary.facts[sense.fact].unit for sense in senses}
    return bool(said.unit) and bool(units) and all(unit and unit != said.unit for unit in units)


_OF_VEHICLE = frozenset("a an the my his her our".split())


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
_OF_NAMES = (_phrase,)
_OF_PIECES = (_phrase, piece)
_OF_WORDS = (spoken_year, _wish, _plant, pieces, _phrase, _figure)
_OF_PLACES = (_plant, both_sides, both_places, _phrase)
_OF_DATES = (_wish, compared, built, half_year, pieces, _phrase, _figure, model_years, ranged)
_OF_DENIALS = (_wish, unsure, denied_with, _phrase, denied)
_OF_FIGURES = (phone, _wish, ranged, spent, _plant, figure_of_fact, pieces, _phrase, _figure, built, model_years, bare)


def with_pick(asked: Asked, vocabulary: Vocabulary, part: str) -> Asked:
    """The ask with an ambiguous word settled by a pick; parts clearly asked for with that word stay asked for."""
    settled = next((meaning for meaning in asked.meanings if part in meaning.choices), None)
    beside = asked.part_types if settled is not None else ()
    said = next((meaning.said for meaning in asked.meanings), "")
    chips = (*(chip for chip in asked.chips if beside or chip.field != "part"), Chip("part", part, said))
    types = tuple(dict.fromkeys((*beside, *vocabulary.wider.get(part, (part,)))))
    return replace(asked, part_types=types, meanings=(), chips=chips)
