"""The phrases of the yard in a line: parts, vehicles, looks, sides and places as they are said, longest first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from app.book.words.counted import facts_of, parts_of
from app.book.words.denied import keep_denied
from app.book.words.everyday import BEFORE_DEEDS, DEEDS, FILLER, OF_DEEDS, POSITIONS, SHOPS, SIDES, SIZE_WORDS
from app.book.words.figures import figure
from app.book.words.linereading import OR, Reading
from app.book.words.mentions import ANOTHERS
from app.book.words.naming import keep_noun, keep_part, on_it_words
from app.book.words.spoken import UNITS, Line
from app.book.words.vocabulary import MODEL_FACTS, Sense, Vocabulary, joined
from app.fit.answers import Chip
from app.fit.terms import FactKind


def phrase(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """Take the phrase that begins at a word, with all that it means here; gives the words it took."""
    for size, senses in _unbroken(line, at, vocabulary)[:1]:
        if _in_another_unit(line, at, senses, vocabulary) or _says_something_else(line, at, size, senses, vocabulary):
            return 0
        meant = " ".join(line.meant[at : at + size])
        if meant in POSITIONS and all(sense.field == "fact" for sense in senses):
            keep_position(line, at, tuple(senses), reading)
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
        elif facts := facts_of(senses):
            reading.fact_end = at + size
            reading.of_looks.update(range(at, at + size))
            keep_noun(range(at, at + size), "", facts, reading)
        return size
    return 0


_OF_THE_NOUN = SIZE_WORDS | {"power", "electric", "digital", "crank"}
"""Words that are first of all said of the part they stand before."""


def _says_something_else(line: Line, at: int, size: int, senses: Sequence[Sense], vocabulary: Vocabulary) -> bool:
    """True for what is done or what a shop is called: "pick up a hood", "tow a boat", "auto repair"."""
    behind = line.word(at + size)
    if size == 2 and line.said[at : at + size] in DEEDS:
        return behind in OF_DEEDS or line.word(at - 1) in BEFORE_DEEDS
    if size > 1 or (behind not in SHOPS and behind not in _ARTICLES) or at + size in line.breaks:
        return False
    if len(facts_of(senses)) < len(senses):
        return False
    done = behind in SHOPS or any(vocabulary.facts[each.fact].kind is FactKind.YES_NO for each in senses)
    return done and (behind in SHOPS or not vocabulary.senses_at(line.bare, at + 2))


_ARTICLES = frozenset({"a", "an", "my", "his", "our", "the"})


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


def keep_position(line: Line, at: int, facts: tuple[Sense, ...], reading: Reading) -> None:
    """Front, rear, upper …: a hint at the part, a firm one unless it tells of a place ("in the back")."""
    word = line.meant[at]
    alone = at + 1 >= len(line.said) or at + 1 in line.breaks or line.word(at + 1) in FILLER
    if word == "front" and alone and (carried := reading.mentions.front()) is not None:
        carried.chips.append(Chip(str(carried.group), ANOTHERS, line.said[at]))
        return
    place = word == "back" or (alone and line.word(at - 1) in _AT_PLACES)
    reading.hints.append(word)
    # "Hit in the front" is no front condenser.
    reading.positions.append((line.said[at], () if place else facts))
    if not place:
        reading.firm.append(word)


_AT_PLACES = frozenset({"in", "the", "out", "up", "my", "his", "her", "our"})


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
    facts = [vocabulary.facts[sense.fact] for sense in senses]
    units = {fact.unit for fact in facts}
    called = bool(facts) and all(fact.kind is FactKind.CHOICE for fact in facts)
    called = called and all(said.unit not in sense.value.split() for sense in senses)
    if called and said.unit in _OF_NO_ENGINE and said.text == line.said[at]:
        # "500 mm" is no 500.
        return True
    return bool(said.unit) and bool(units) and all(unit and unit != said.unit for unit in units)


_OF_NO_ENGINE = frozenset({"mm", "cm", "gal", "lb", "mi", "V"})
"""Units in which nothing is told that is called by a mere figure, as a 6.2 is; "6.2 in it" is of none."""


_OF_VEHICLE = frozenset("a an the my his her our".split())
