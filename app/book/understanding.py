"""Understanding an ask: words in any order, years as 08 or 2008, a letter off, slang, stated requirements."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from app.book.compared import COMPARING, compared
from app.book.counted import AMOUNTS, AND, BETWEEN, GROUPS, both_sides, parts_of, pieces
from app.book.dated import BEGINNINGS, built, half_year, model_years
from app.book.denied import denial, denied, denied_with, unsure
from app.book.everyday import COUNTS, EVERYDAY, FILLER, NAMING, ON_PARTS, POSITIONS, SIDES
from app.book.linereading import OR, Reading, Understood
from app.book.meanings import PartSaid, of_place
from app.book.plants import BEGINNINGS as OF_PLANTS
from app.book.plants import keep_plant, plant_said
from app.book.ranges import ranged, spent
from app.book.settling import finish, set_aside
from app.book.spoken import Figure, Line, figure, heard, of_liters
from app.book.vocabulary import MODEL_FACTS, Sense, Vocabulary, joined
from app.book.wishes import FIRST, wish
from app.fit.answers import Asked, Chip

_LINKS = frozenset({*AND, "or"})
_JOINING = frozenset({*AND, "a", "an", "the", "some", "both", "one"})
"""Words that may stand between two parts asked for in one breath."""
_VEHICLES = frozenset({"off", "from", "for", "my"})
_Taker = Callable[[Line, int, Vocabulary, Reading], int]
_MOST_BEFORE = 3
"""Words that may stand between "with" and what comes with a part."""
_WANTED = frozenset({"need", "want", "wanted", "wants", "have", "sell", "looking", "got", "find"})


def understand(words: str, vocabulary: Vocabulary, *, own: str = "", of_vehicle: bool = False) -> Understood:
    """Take a line of words apart; whatever is not understood is kept and shown.

    `own` is what the customer said himself, where more stands behind it: only when that names no part does the rest.
    With `of_vehicle` no part is asked for in the words: a frame or nose in them is what the vehicle carries.
    """
    line = heard(words, vocabulary)
    ends = len(heard(own, vocabulary).said) if own else len(line.said)
    reading = Reading()
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
    for taker in _takers(line.said[at], line.meant[at]):
        taken = taker(line, at, vocabulary, reading)
        if taken:
            return taken
    said, word = line.said[at], line.meant[at]
    reading.mentions.word(word)
    reading.wanted = word in _WANTED or (reading.wanted and word in FILLER)
    reading.mine = word == "my" or (reading.mine and word in FILLER and word not in AND)
    if word in POSITIONS:
        _keep_position(line, at, (), reading)
        return 1
    if word not in FILLER and any(letter.isalnum() for letter in said):
        reading.left.append(said)
    return 1


def _takers(said: str, word: str) -> tuple[_Taker, ...]:
    """What may make something of a word, in the order in which they are asked."""
    if said[0] in "0123456789'$":
        return _OF_FIGURES
    if said in BEGINNINGS or said in COMPARING or "-" in said:
        return _OF_DATES
    if denial(said, word):
        return _OF_DENIALS
    if word in BETWEEN:
        return _OF_PLACES
    if word in _PIECES:
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


def _both_places(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Upper and lower control arms": one noun for two parts, each of which is asked for."""
    other = at + 1 + (line.word(at + 1) in _LINKS)
    places = (POSITIONS.get(line.word(at)), POSITIONS.get(line.word(other)))
    if None in places or places[0] == places[1] or (other == at + 1 and other not in line.breaks):
        return 0
    noun = next((place for place in range(other + 1, len(line.said)) if line.word(place) not in SIDES), other + 1)
    size = next((size - 1 for size, senses in vocabulary.senses_at(line.bare, other) if parts_of(senses)), 0)
    size = size or next((size for size, senses in vocabulary.senses_at(line.bare, noun) if parts_of(senses)), 0)
    if not size:
        return 0
    named = [_placed(line.meant[place], line.meant[noun : noun + size], vocabulary) for place in (at, other)]
    if not any(named):
        return 0
    _keep_places(line, (at, other, noun, noun + size), named, reading)
    return noun + size - at


def _placed(place: str, noun: Sequence[str], vocabulary: Vocabulary) -> tuple[str, ...]:
    """The parts of a noun at one place: those called so, else what the noun alone may mean and is of that place."""
    called = parts_of(vocabulary.senses(" ".join((place, *noun))))
    if called:
        return called
    names = parts_of(vocabulary.senses(" ".join(noun)))
    return tuple(name for name in names if of_place(vocabulary.wider.get(name, (name,)), POSITIONS[place]))


def _keep_places(
    line: Line, spans: tuple[int, int, int, int], named: Sequence[tuple[str, ...]], reading: Reading
) -> None:
    at, other, noun, end = spans
    together = _joined(line, at, reading)
    for place in range(other + 1, noun):
        side = SIDES[line.meant[place]]
        reading.sides.append(side)
        reading.chips.append(Chip("side", side, line.said[place]))
    carried, before = reading.mentions.part(line.meant[end - 1]), len(reading.mentions.all)
    for names, place, said in zip(named, (at, other), (line.said[at], line.words(other, end - other)), strict=True):
        if not names:
            reading.left.append(line.said[place])
            continue
        told = said if all(named) else line.words(at, end - at)
        reading.parts.append(PartSaid(told, names, (), reading.mine, reading.wanted, carried, together, before))
        together = True
    reading.wanted = reading.mine = False
    reading.part_end = end


def _phrase(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    for size, senses in vocabulary.senses_at(line.bare, at)[:1]:
        meant = " ".join(line.meant[at : at + size])
        if meant in POSITIONS and all(sense.field == "fact" for sense in senses):
            _keep_position(line, at, tuple(senses), reading)
            return 1
        senses = _with_its_noun(line, at, size, senses, vocabulary)
        _keep(line.words(at, size), meant, senses, reading)
        if parts_of(senses):
            _keep_part(line, range(at, at + size), senses, vocabulary, reading)
            if reading.parts[-1].carried is not None:
                size += _on_it(line, at + size)
        return size
    return 0


def _with_its_noun(line: Line, at: int, size: int, senses: list[Sense], vocabulary: Vocabulary) -> list[Sense]:
    """What a requirement means, with the part that stands at its end: "big tank" asks for a tank."""
    if size < 2 or any(sense.field != "want" for sense in senses):
        return senses
    nouns = (vocabulary.senses(" ".join(line.meant[start : at + size])) for start in range(at + 1, at + size))
    parts = ([sense for sense in noun if sense.field == "part"] for noun in nouns)
    return [*senses, *next(filter(None, parts), [])]


def _on_it(line: Line, at: int) -> int:
    """How many words say that what was just named is on the customer's own vehicle: "a heavy frame under it"."""
    if line.word(at) not in _UNDER or at in line.breaks:
        return 0
    end = at + 1
    while line.word(end) in _ITS and end not in line.breaks:
        end += 1
    alone = end >= len(line.said) or end in line.breaks
    return end - at if alone or end > at + 1 else 0


_UNDER = frozenset({"under", "underneath", "beneath"})
_ITS = frozenset({"it", "mine", "her", "him", "now"})


def _keep_position(line: Line, at: int, facts: tuple[Sense, ...], reading: Reading) -> None:
    """Front, rear, upper …: a hint at the part, a firm one unless it tells of a place ("in the back")."""
    word = line.meant[at]
    alone = at + 1 >= len(line.said) or at + 1 in line.breaks or line.word(at + 1) in FILLER
    if word == "front" and alone and (carried := reading.mentions.front()) is not None:
        carried.chips.append(Chip(str(carried.group), "another's", line.said[at]))
        return
    reading.hints.append(word)
    reading.positions.append((line.said[at], facts))
    if word != "back" and line.word(at - 1) not in ("in", "the", "out"):
        reading.firm.append(word)


def _joined(line: Line, at: int, reading: Reading) -> bool:
    """True when a part is asked for with the one before: "grille and headlights", "hood, grille and a left fender"."""
    if not reading.part_end:
        return False
    between = range(reading.part_end, at)
    words = {line.meant[place] for place in between}
    plainly = not AND.isdisjoint(words)
    if not plainly and line.breaks.isdisjoint(range(reading.part_end, at + 1)):
        return False
    # "A grille off a brae and a longwagon hood": with an "and" a vehicle may stand between.
    allowed = _JOINING | BETWEEN | _VEHICLES if plainly else _JOINING | BETWEEN
    if any(line.meant[place] not in allowed and not (plainly and place in reading.of_vehicles) for place in between):
        return False
    reading.left = [word for word in reading.left if word not in AND]
    return True


def _keep(said: str, meant: str, senses: Sequence[Sense], reading: Reading) -> None:
    """Keep all but a part of what a phrase means."""
    facts = _facts(senses)
    for sense in senses:
        if sense.field == "side":
            reading.sides.append(sense.value)
            reading.chips.append(Chip("side", sense.value, said))
            place = POSITIONS.get(joined(meant))
            reading.hints += [place] if place else []
            reading.firm += [place] if place else []
        elif sense.field == "want":
            reading.hints.append(f"want {said}={sense.value}")
    _keep_vehicle(said, senses, reading)
    if facts and not parts_of(senses):
        reading.fact_chips.append((said, facts))
        reading.phrases += meant.split()


def _facts(senses: Sequence[Sense]) -> tuple[Sense, ...]:
    return tuple(sense for sense in senses if sense.field == "fact" and sense.fact not in MODEL_FACTS)


def _piece(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "A piece of another one": a section of the part that was named, where the yard knows such a section."""
    if line.word(at) not in _PIECES or line.word(at + 1) != "of":
        return 0
    here = at + 2
    while line.word(here) in _OTHERS:
        here += 1
    behind = next((size for size, senses in vocabulary.senses_at(line.bare, here) if parts_of(senses)), 0)
    nouns = [line.words(here, behind)] if behind else [part.said for part in reading.parts[-1:]]
    names = tuple(name for noun in nouns for name in parts_of(vocabulary.senses(f"{noun} section")))
    if not names:
        return 0
    size = here + behind - at
    reading.mentions.part("")
    reading.parts.append(PartSaid(line.words(at, size), names, wanted=True, mentions=len(reading.mentions.all)))
    reading.part_end = at + size
    return size


_PIECES = frozenset({"piece", "pieces", "section", "length", "part"})
_OTHERS = frozenset({"a", "an", "another", "one", "the", "other", "old"})


def _keep_part(line: Line, span: range, senses: Sequence[Sense], vocabulary: Vocabulary, reading: Reading) -> None:
    said, meant = line.words(span.start, len(span)), " ".join(line.meant[span.start : span.stop])
    together, touching = _joined(line, span.start, reading), 0 < reading.part_end == span.start
    carried = reading.mentions.part(meant, on_it=not reading.wanted and bool(_on_it(line, span.stop)))
    part = PartSaid(
        said,
        parts_of(senses),
        _facts(senses),
        mine=reading.mine or (said.endswith(("'s", "s'")) and _told_of(line, span.stop, vocabulary)),
        wanted=reading.wanted,
        carried=carried,
        joined=together,
        mentions=len(reading.mentions.all),
        touching=touching,
        counted=reading.counting,
        with_it=_with_it(line, span.start, reading.part_end),
        strange=_strange_name(line, span, vocabulary, reading),
    )
    reading.parts.append(part)
    reading.wanted = reading.mine = reading.counting = False
    reading.part_end = span.stop


def _with_it(line: Line, at: int, since: int) -> bool:
    """True when "with" stands before a part: it comes with what is asked for, or is on the vehicle."""
    return "with" in line.meant[max(since, at - _MOST_BEFORE) : at]


def _strange_name(line: Line, span: range, vocabulary: Vocabulary, reading: Reading) -> str:
    """The name of something else in which a part's noun stands: "ball joint", "tank strap"; else empty."""
    if line.word(span.stop) in ON_PARTS and not vocabulary.senses_at(line.bare, span.stop):
        return "" if span.stop in line.breaks else line.words(span.start, len(span) + 1)
    before = _strange_before(line, span, vocabulary, reading)
    return f"{before} {line.said[span.start]}" if before else ""


def _strange_before(line: Line, span: range, vocabulary: Vocabulary, reading: Reading) -> str:
    """The word before a part's noun that is not understood and tells it from others that end so: "ball joint".

    A strange word behind a year is more likely the name of a vehicle.
    """
    at = span.start - 1
    said = line.said[at] if at >= 0 else ""
    naming = said.isalpha() and len(said) > 2 and (said not in EVERYDAY or said in NAMING)
    if len(span) > 1 or not naming or span.start in line.breaks or reading.left[-1:] != [said]:
        return ""
    of_vehicle = at - 1 in reading.of_vehicles and not any(each.named for each in reading.mentions.all)
    return said if vocabulary.is_head(line.meant[span.start]) and not of_vehicle else ""


def _told_of(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True when "the frame's" goes on to tell of one's own: "the frame's perfect", not "lca's and rotors"."""
    word = line.word(at)
    plain = word.isalpha() and word not in FILLER and word not in BETWEEN and at not in line.breaks
    return plain and not vocabulary.senses_at(line.bare, at)


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
    if found is None:
        return 0
    if line.word(at + found.size) in _BEFORE_SIZES and (sizes := _sizes(line, at)):
        end = sum(each.size + 1 for each in sizes) - 1
        reading.sizes.append((sizes, line.words(at, end)))
        return end
    if not (found.unit or found.fraction):
        return 0
    reading.figures.append((found, line.words(at, found.size)))
    return found.size


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
_TELLING = frozenset({*FIRST, *COUNTS, *GROUPS, *AMOUNTS, "set", "all", *OF_PLANTS})
"""Words that may begin more than a name; so may one of a letter or two: "K plant", "x4"."""
_OF_NAMES = (_phrase,)
_OF_PIECES = (_phrase, _piece)
_OF_WORDS = (_wish, _plant, pieces, _phrase, _figure)
_OF_PLACES = (_plant, both_sides, _both_places, _phrase)
_OF_DATES = (_wish, compared, built, half_year, pieces, _phrase, _figure, model_years, ranged)
_OF_DENIALS = (_wish, unsure, denied_with, _phrase, denied)
_OF_FIGURES = (_wish, ranged, spent, _plant, pieces, _phrase, _figure, built, model_years)


def with_pick(asked: Asked, vocabulary: Vocabulary, part: str) -> Asked:
    """The ask with an ambiguous word settled by a pick; parts clearly asked for with that word stay asked for."""
    settled = next((meaning for meaning in asked.meanings if part in meaning.choices), None)
    beside = asked.part_types if settled is not None else ()
    said = next((meaning.said for meaning in asked.meanings), "")
    chips = (*(chip for chip in asked.chips if beside or chip.field != "part"), Chip("part", part, said))
    types = tuple(dict.fromkeys((*beside, *vocabulary.wider.get(part, (part,)))))
    return replace(asked, part_types=types, meanings=(), chips=chips)
