"""Settling what was heard of an ask: which part, what the facts and figures are of, whose vehicle it is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from app.book.buildtime import MONTH_WORDS
from app.book.compared import BENCH
from app.book.everyday import EVERYDAY, POSITIONS, SEATS
from app.book.linereading import OR, Reading, Understood, years_words
from app.book.meanings import (
    PartSaid,
    asked_with,
    at_places,
    called_so,
    chosen_part,
    contradicted,
    figure_fact,
    kinds_of,
    narrowed,
    of_both_places,
    of_seat,
    of_side,
    opposite,
)
from app.book.mentions import MOST_MODELS, Role, carried_models
from app.book.ranges import settle_ranges
from app.book.sizes import settle_sizes
from app.book.vocabulary import Vocabulary
from app.book.wishes import stated_want, with_unit
from app.fit.answers import Asked, Chip, Meaning
from app.fit.terms import Side


def finish(words: str, vocabulary: Vocabulary, reading: Reading, *, of_vehicle: bool = False) -> Understood:
    """Settle what the words left open: which part, which vehicle, which facts, what must be met.

    With `of_vehicle` what tells of a vehicle is never the part asked for.
    """
    _settle_rivals(reading)
    if of_vehicle:
        _set_of_vehicle_aside(reading)
    part_types = _settle_parts(vocabulary, reading)
    _settle_wants(vocabulary, reading, part_types)
    _settle_facts(vocabulary, reading, part_types)
    years, models, carries = _settle_vehicles(vocabulary, reading)
    if reading.built:
        reading.left = [word for word in reading.left if word not in MONTH_WORDS]
    asked = Asked(
        words=words,
        part_types=part_types,
        side=Side(reading.side),
        year=years[0] if len(years) == 1 else None,
        built=reading.built,
        models=models,
        facts=reading.facts,
        wants=tuple(want.words for want in reading.wants),
        quantity=reading.quantity,
        chips=in_order(reading.chips),
        meanings=tuple(reading.meanings),
        not_understood=tuple(reading.left),
        carries=carries,
        carried_years={str(each.group): each.years for each in reading.mentions.all if each.group and each.years},
        years=years if len(years) > 1 else (),
    )
    return Understood(asked, tuple(reading.wants))


UNKNOWN = "unknown vehicle"
"""Field of the chip of a year or name of which the yard knows no vehicle."""
_CHIPS = ("year", "built", "make", "vehicle", "variant", "weight class", "body style", "part", "side", "position")
_PLACES = {name: place for place, name in enumerate(_CHIPS)}


def in_order(chips: Iterable[Chip]) -> tuple[Chip, ...]:
    """Chips as a counter reads them: the vehicle, the part, then facts, requirements and the rest; none twice."""
    return tuple(sorted(dict.fromkeys(chips), key=lambda chip: _PLACES.get(chip.field, len(_PLACES))))


def _settle_rivals(reading: Reading) -> None:
    """Of two vehicles in one breath each with its part the first is answered; with one part either is left open."""
    mentions = reading.mentions
    rivals = mentions.rivals() if len(mentions.all) > 1 else []
    if not rivals:
        return
    first, *others = rivals
    owners = [(mentions.owner(rivals, part.mentions), part) for part in reading.parts if part.asked_for]
    own = any(owner is first for owner, _ in owners)
    for rival in others:
        theirs = [part for owner, part in owners if owner is rival]
        if own and theirs:
            reading.left += [word for part in theirs for word in part.said.split()]
            reading.left += [word for chip in rival.chips for word in chip.said.split()]
            reading.parts = [part for part in reading.parts if not any(part is each for each in theirs)]
        else:
            first.or_is(rival)
    mentions.all = [each for each in mentions.all if not any(each is rival for rival in others)]


def _settle_parts(vocabulary: Vocabulary, reading: Reading) -> tuple[str, ...]:
    """The part types meant: a clear name wins over an ambiguous word; a wider name covers all its kinds."""
    if any(chip.field == BENCH for chip in reading.chips):
        set_aside(0, reading)
        return ()
    _name_from_left(vocabulary, reading)
    asked = chosen_part(reading.parts, vocabulary)
    if asked is None:
        return ()
    asked = _narrower(asked, vocabulary, reading)
    beside = asked_with(asked, reading.parts)
    if reading.quantity is not None and not asked.counted and (counted := [each for each in beside if each.counted]):
        # "Grille, hood, both headlights": what is counted is answered.
        asked, beside = counted[0], [asked, *(each for each in beside if each is not counted[0])]
    for each in reading.parts:
        if each is not asked and not any(each is other for other in beside):
            _keep_beside(each, asked, reading)
    if asked.carried is not None:
        asked.carried.group = None
        if asked.carried.role is Role.CARRIED:
            asked.carried.role = Role.DONOR
    types = list(_settle_part(asked, vocabulary, reading))
    for each in beside:
        if reading.quantity is not None or (reading.meanings and _kinds(each, vocabulary, reading)[1:]):
            # A count is of one part, and one word at a time is asked back.
            reading.left += each.said.split()
        else:
            types += _settle_part(each, vocabulary, reading)
    _drop_seat(types, vocabulary, reading)
    return tuple(dict.fromkeys(types))


def _narrower(asked: PartSaid, vocabulary: Vocabulary, reading: Reading) -> PartSaid:
    """The part by the only name inside its wider one that was said too: "gearbox, the five speed"; else as it is."""
    wide = _types(asked, vocabulary)
    others = [each for each in reading.parts if each is not asked and each.asked_for and not each.joined]
    inside = [each for each in others if not asked.joined and _types(each, vocabulary) < wide]
    if len(inside) != 1:
        return asked
    reading.parts = [each for each in reading.parts if each is not asked]
    return inside[0]


def _types(said: PartSaid, vocabulary: Vocabulary) -> set[str]:
    return {name for kind in kinds_of(said.names, vocabulary) for name in kind}


def set_aside(since: int, reading: Reading) -> None:
    """Parts from one on, of which none is asked for: what they tell of the vehicle is kept, the others are shown."""
    for part in reading.parts[since:]:
        if part.facts or part.carried is not None:
            _keep_beside(part, None, reading)
        else:
            reading.left += part.said.split()
    del reading.parts[since:]


def _set_of_vehicle_aside(reading: Reading) -> None:
    """What words of a vehicle tell of it though they are a part's name too: its frame, or its 6.2 engine."""
    told = [each for each in reading.parts if each.facts or each.carried is not None]
    for each in told:
        _keep_beside(each, None, reading)
    reading.parts = [each for each in reading.parts if each not in told]


def _drop_seat(types: Sequence[str], vocabulary: Vocabulary, reading: Reading) -> None:
    """The seat in a part's own name is no side, where no part that is asked for has one."""
    said = [chip.said for chip in reading.chips if chip.field == "side"]
    if said and types and set(types) == set(of_seat(types, said)) and not vocabulary.sided & set(types):
        reading.chips = [chip for chip in reading.chips if chip.field != "side"]
        reading.chips += [Chip("position", SEATS[word], word) for word in said if word in SEATS]
        reading.sides = []


def _kinds(said: PartSaid, vocabulary: Vocabulary, reading: Reading) -> list[tuple[str, ...]]:
    """The sets of part types that a word may still stand for, once all else that was said is heard."""
    hints = [POSITIONS[word] for word in reading.hints if word in POSITIONS]
    stated = frozenset(sense.fact for _, senses in reading.fact_chips for sense in senses)
    kinds = narrowed(said.names, hints, stated, bool(reading.side), vocabulary)
    return [kind for kind in kinds if not contradicted(kind, reading.firm)]


def _settle_part(said: PartSaid, vocabulary: Vocabulary, reading: Reading) -> tuple[str, ...]:
    kinds = _kinds(said, vocabulary, reading)
    if kinds and said.strange:
        # A "ball joint" that the yard has no word for is not just any joint.
        reading.meanings.append(Meaning(said.strange, "part", tuple(said.names)))
        return ()
    if not kinds:
        # A rear door is asked for, and the yard only knows front ones.
        reading.left.append(said.said)
        return ()
    names = {kind: next(name for name in said.names if vocabulary.wider.get(name, (name,)) == kind) for kind in kinds}
    both = of_both_places(kinds, reading.firm) or (kinds if vocabulary.one_word(names.values()) else [])
    if len(kinds) > 1 and not both:
        reading.meanings.append(Meaning(said.said, "part", tuple(names.values())))
        return ()
    types = [name for kind in both or kinds for name in kind]
    if seat := of_seat(types, [chip.said for chip in reading.chips if chip.field == "side"]):
        reading.chips += [Chip("part", name, said.said) for name in seat]
        return seat
    placed = called_so(at_places(types, reading.firm), reading.left)
    shown = placed if len(placed) == 1 else [names[kind] for kind in both or kinds]
    reading.chips += [Chip("part", name, said.said) for name in shown]
    return of_side(placed, reading.side)


def _keep_beside(each: PartSaid, asked: PartSaid | None, reading: Reading) -> None:
    """A part that is named beside the one asked for: a fact of the vehicle, what it carries, or only a word."""
    if each.facts:
        reading.fact_chips.append((each.said, each.facts))
    elif each.carried is not None:
        each.carried.chips.append(Chip(str(each.carried.group), "another's", each.said))
    elif asked is not None and each.names != asked.names:
        reading.chips.append(Chip("beside", _shown_beside(each, asked), each.said))


def _shown_beside(each: PartSaid, asked: PartSaid) -> str:
    same = [name for name in each.names if name in asked.names]
    if each.denied:
        return f"no {each.names[0]}"
    # "Nose clip" says the same twice.
    return same[0] if same else each.names[0] if each.mine else f"not answered: {each.names[0]}"


def _name_from_left(vocabulary: Vocabulary, reading: Reading) -> None:
    """A part named inside another phrase ("short bed"), or by words of its name alone ("rear axle", "bumper")."""
    if any(not part.denied for part in reading.parts):
        return
    for word in reading.phrases:
        names = tuple(sense.value for sense in vocabulary.senses(word) if sense.field == "part")
        if names and not _of_another_look(names, vocabulary, reading):
            reading.parts.append(PartSaid(word, names))
            return
    reading.left += [said for said, _ in reading.positions]
    left = [vocabulary.meant(word) for word in reading.left]
    used = [word for word in left if vocabulary.part_names([word])]
    strange = [word for word in left if word not in used and word not in EVERYDAY and word.isalpha()]
    for names, said in [] if strange else _named_by(used, vocabulary):
        words = [word for word, meant in zip(reading.left, left, strict=True) if meant in said]
        reading.parts.append(PartSaid(" ".join(words), names, joined=bool(reading.parts)))
    if all(part.denied for part in reading.parts):
        _hinted_from_left(left, vocabulary, reading)
    told = {word for part in reading.parts for word in part.said.split()}
    reading.left = [word for word in reading.left if word not in told]
    reading.positions = [each for each in reading.positions if each[0] not in told]
    reading.left = [word for word in reading.left if all(word != said for said, _ in reading.positions)]


def _names_a_part(word: str) -> bool:
    return word.isalpha() and word not in POSITIONS and word not in EVERYDAY


def _of_another_look(names: Sequence[str], vocabulary: Vocabulary, reading: Reading) -> bool:
    """True when a look that was said is not that of the part: leaf springs are no coil springs."""
    words = {word for name in names for word in name.split()}
    for _, senses in reading.fact_chips:
        for sense in senses:
            said = set(_choice_words(sense.value))
            choices = map(str, vocabulary.facts[sense.fact].choices) if sense.fact in vocabulary.facts else ()
            others = {word for choice in choices for word in _choice_words(choice)} - said
            if words & others and not words & said:
                return True
    return False


def _choice_words(choice: str) -> list[str]:
    return choice.replace("-", " ").split()


def _hinted_from_left(left: Sequence[str], vocabulary: Vocabulary, reading: Reading) -> None:
    """A part of which only one word of its spoken name was said ("encoder"), where no other part has that word."""
    for said, word in zip(reading.left, left, strict=True):
        names = vocabulary.part_hinted(word)
        if _names_a_part(word) and len(kinds_of(names, vocabulary)) == 1:
            reading.parts.append(PartSaid(said, names))
            return


def _named_by(words: Sequence[str], vocabulary: Vocabulary) -> list[tuple[tuple[str, ...], list[str]]]:
    """The part names that some words stand in, with those words; of "front and rear bumper" for each place apart."""
    apart = [POSITIONS[word] for word in words if word in POSITIONS]
    opposed = [place for place in apart if opposite(place) in apart]
    groups = [[word for word in words if POSITIONS.get(word) != opposite(place)] for place in opposed] or [list(words)]
    named = [(vocabulary.part_names(group), group) for group in groups if any(map(_names_a_part, group))]
    return [(names, group) for names, group in named if names]


def _settle_wants(vocabulary: Vocabulary, reading: Reading, part_types: Sequence[str]) -> None:
    """Bare figures get the unit of the part; requirements that stand behind a word ("big tank") are added."""
    settle_ranges(vocabulary, reading, part_types)
    in_ranges = {place for at in reading.ranges for place in (at, at + 1)}
    for at, stated in enumerate(reading.wants):
        if at in in_ranges:
            continue
        chip = next((chip for chip in reading.chips if chip.field == "wants" and chip.value == stated.words), None)
        if chip is not None and (other := with_unit(stated, chip.said, part_types, vocabulary)) is not stated:
            reading.wants[at] = other
            reading.chips[reading.chips.index(chip)] = replace(chip, value=other.words)
    for hint in reading.hints:
        said, marked, words = hint.removeprefix("want ").partition("=")
        want = stated_want(words, vocabulary) if marked else None
        if want is not None:
            reading.wants.append(want)
            reading.chips.append(Chip("wants", want.words, said))


def _of_the_part(values: dict[str, list[str]], said: str, looked_at: frozenset[str]) -> dict[str, list[str]]:
    """Of several facts that a word may state those that the part is looked at for; all of them where it is for none.

    "Crew short" states both of its facts.
    """
    own = {name: meant for name, meant in values.items() if name in looked_at}
    each = [value for meant in values.values() for value in meant]
    together = len(set(each)) > 1 and set(said.split()) >= set(each)
    return values if together or not own else own


def _settle_facts(vocabulary: Vocabulary, reading: Reading, part_types: Sequence[str]) -> None:
    """A word that could be a value of several facts is read as that of the part, else set for all."""
    looked_at = vocabulary.looked_at(part_types)
    _settle_positions(vocabulary, reading, part_types, looked_at)
    for said, senses in reading.fact_chips:
        values: dict[str, list[str]] = {}
        for sense in senses:
            values.setdefault(sense.fact, []).append(sense.value)
        # "Not blue, not white" leaves neither open.
        open_ones = {name: set(meant) - reading.not_so.get(name, set()) for name, meant in values.items()}
        values = {name: [each for each in meant if each in open_ones[name]] or meant for name, meant in values.items()}
        values = _of_the_part(values, said, looked_at)
        for name, meant in values.items():
            # "Blue or white" leaves both open.
            before = reading.facts[name].split(OR) if name in reading.facts else []
            reading.facts[name] = OR.join(dict.fromkeys([*before, *meant]))
        if said in reading.vehicle_words:
            continue
        shown = [name for name in values if name in looked_at] or list(values)
        reading.chips.append(Chip(" / ".join(shown[:2]), OR.join(dict.fromkeys(values[shown[0]])), said))
    settle_sizes(vocabulary, reading, looked_at)
    for found, said in reading.figures:
        fact = figure_fact(found, looked_at, part_types, vocabulary)
        if fact is None:
            reading.left += said.split()
        else:
            name, value = fact
            reading.facts[name] = value
            reading.chips.append(Chip(name, value, said))
    _settle_named_facts(reading)


def _settle_named_facts(reading: Reading) -> None:
    """The name of a fact beside its value ("window crank") says nothing more."""
    for word in list(reading.left):
        name = next((name for name in reading.facts if {word, word.removesuffix("s")} & set(name.split())), "")
        if name:
            reading.left.remove(word)
            reading.chips.append(Chip(name, reading.facts[name], word))


def _settle_positions(
    vocabulary: Vocabulary, reading: Reading, part_types: Sequence[str], looked_at: frozenset[str]
) -> None:
    """Front and rear told parts apart, or are the value of a fact that the part is looked at for."""
    named = {word for name in part_types for word in name.replace(",", " ").split()}
    meanings = {word for meaning in reading.meanings for name in meaning.choices for word in name.split()}
    for said, senses in reading.positions:
        position = POSITIONS[vocabulary.meant(said)]
        facts = tuple(sense for sense in senses if sense.fact in looked_at)
        if position in named | meanings:
            reading.chips.append(Chip("position", position, said))
        elif facts:
            reading.fact_chips.append((said, facts))
        else:
            reading.left.append(said)


def _settle_vehicles(
    vocabulary: Vocabulary, reading: Reading
) -> tuple[tuple[int, ...], tuple[str, ...], dict[str, tuple[str, ...]]]:
    """The model years and models that may be meant, and what groups are another vehicle's."""
    target = reading.mentions.target()
    if target is None:
        return (), (), {}
    models = reading.mentions.allowed(target.models(vocabulary, target.years))
    strange = [year for year in target.years if not any(model.year_from <= year <= model.year_to for model in models)]
    if strange and target.named and (named := target.models(vocabulary, ())):
        words = f"no {named[0].name} of {years_words(strange)} is in the book"
        reading.chips.append(Chip(UNKNOWN, words, ""))
    if len(models) > MOST_MODELS:
        models = ()
    carries: dict[str, tuple[str, ...]] = {}
    families, names = {model.family for model in models}, {model.name for model in models}
    for mention in reading.mentions.all:
        if mention.group is not None and mention is not target:
            carries[str(mention.group)] = carried_models(mention, vocabulary, families, names)
        elif mention is not target:
            mention.chips = [replace(chip, field="off", value=f"off {chip.value}") for chip in mention.chips]
        reading.chips += mention.chips
    return target.years, tuple(model.key for model in models), carries
