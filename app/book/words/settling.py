"""Settling what was heard of an ask: which part, what the facts and figures are of, whose vehicle it is."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from app.book.words.buildtime import MONTH_WORDS
from app.book.words.choosing import set_of_vehicle_aside, settle_parts
from app.book.words.completed import complete_names, name_of_part_words, part_of_name
from app.book.words.everyday import POSITIONS
from app.book.words.leftwords import settle_left
from app.book.words.linereading import OR, Reading, Understood, years_words
from app.book.words.meanings import (
    figure_fact,
)
from app.book.words.measured import settle_bare
from app.book.words.mention import MOST_MODELS, Mention, Role
from app.book.words.mentions import ANOTHERS, carried_models
from app.book.words.ranges import settle_ranges
from app.book.words.sizes import settle_sizes
from app.book.words.vocabulary import Sense, Vocabulary
from app.book.words.wishes import stated_want, with_unit
from app.fit.answers import Asked, Chip
from app.fit.known import ModelInfo
from app.fit.terms import Side


def finish(words: str, vocabulary: Vocabulary, reading: Reading, *, of_vehicle: bool = False) -> Understood:
    """Settle what the words left open: which part, which vehicle, which facts, what must be met.

    With `of_vehicle` what tells of a vehicle is never the part asked for.
    """
    _settle_rivals(reading)
    if of_vehicle:
        set_of_vehicle_aside(reading)
    _settle_off_facts(reading)
    name_of_part_words(words, vocabulary, reading)
    part_of_name(vocabulary, reading)
    part_types = settle_parts(vocabulary, reading)
    _settle_side(vocabulary, reading, part_types)
    _settle_wants(vocabulary, reading, part_types)
    _settle_facts(vocabulary, reading, part_types)
    complete_names(vocabulary, reading)
    years, models, carries = _settle_vehicles(vocabulary, reading)
    if reading.built:
        reading.left = [word for word in reading.left if word not in MONTH_WORDS]
    else:
        reading.left += [word for said in reading.stickers for word in said.split()]
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
        carried_dates={
            str(each.group): (each.built, each.plant)
            for each in reading.mentions.all
            if each.group and (each.built or each.plant)
        },
        years=years if len(years) > 1 else (),
    )
    return Understood(asked, tuple(reading.wants))


_MOST_TOLD = 3
"""Models that are still told by their names where what is carried may be of any of them."""
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


def _settle_off_facts(reading: Reading) -> None:
    """What is told of another vehicle that a part comes off is no fact of the customer's: "out of the turbo"."""
    target = reading.mentions.target() if reading.off_facts else None
    if target is None or target.role is Role.DONOR:
        reading.fact_chips += reading.off_facts
        return
    for said, senses in reading.off_facts:
        reading.chips.append(Chip("off", f"off {OR.join(dict.fromkeys(sense.value for sense in senses))}", said))


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


def _settle_side(vocabulary: Vocabulary, reading: Reading, part_types: Sequence[str]) -> None:
    """Of a part without sides left and right may be a look: the plus of a battery is on the right."""
    if not reading.sides or not part_types:
        return
    said = [chip.said for chip in reading.chips if chip.field == "side"]
    if len(said) != 1 or said[0] not in _LEFT_RIGHT or vocabulary.sided & set(part_types):
        return
    looks = [vocabulary.facts[name] for name in vocabulary.looked_at(part_types) if name in vocabulary.facts]
    found = [fact.name for fact in looks if set(map(str, fact.choices)) == _LEFT_RIGHT]
    if len(found) == 1 and not any(sense.fact == found[0] for _, senses in reading.fact_chips for sense in senses):
        reading.chips = [chip for chip in reading.chips if chip.field != "side"]
        reading.sides = []
        reading.fact_chips.append((said[0], (Sense("fact", said[0], found[0]),)))


_LEFT_RIGHT = {"left", "right"}


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
    # What it has not only narrows what it was said to have.
    for said, senses in sorted(reading.fact_chips, key=lambda each: each[0] in reading.denials):
        _settle_fact(said, senses, vocabulary, reading, looked_at)
    settle_sizes(vocabulary, reading, looked_at)
    settle_bare(vocabulary, reading, looked_at)
    for found, said in reading.figures:
        fact = figure_fact(found, looked_at, part_types, vocabulary)
        if fact is None:
            reading.left += said.split()
        else:
            name, value = fact
            reading.facts[name] = value
            reading.chips.append(Chip(name, value, said))
    _settle_not_figures(vocabulary, reading, part_types, looked_at)
    settle_left(vocabulary, reading, part_types, looked_at)
    _settle_named_facts(reading)


def _settle_not_figures(
    vocabulary: Vocabulary, reading: Reading, part_types: Sequence[str], looked_at: frozenset[str]
) -> None:
    """ "Not the 105 amp" leaves the other choices of what is told in such figures; where it is none, it is left."""
    for found, said in reading.not_figures:
        bare = [] if found.unit or found.fraction else vocabulary.measuring(found.text)
        own = [(sense.fact, sense.value) for sense in bare if sense.fact in looked_at]
        name, value = own[0] if own else figure_fact(found, looked_at, part_types, vocabulary) or ("", "")
        choices = list(map(str, vocabulary.facts[name].choices)) if name else []
        if value not in choices or len(choices) == 1:
            reading.left += said.split()
            continue
        before = reading.facts[name].split(OR) if name in reading.facts else choices
        others = [each for each in before if each != value] or before
        reading.facts[name] = OR.join(others)
        reading.chips.append(Chip(name, reading.facts[name], said))


def _settle_fact(
    said: str, senses: Sequence[Sense], vocabulary: Vocabulary, reading: Reading, looked_at: frozenset[str]
) -> None:
    values: dict[str, list[str]] = {}
    for sense in senses:
        values.setdefault(sense.fact, []).append(sense.value)
    if _is_of_a_part(said, values, vocabulary, reading, looked_at):
        reading.left.append(said)
        return
    # "Not blue, not white" leaves neither open.
    open_ones = {name: set(meant) - reading.not_so.get(name, set()) for name, meant in values.items()}
    values = {name: [each for each in meant if each in open_ones[name]] or meant for name, meant in values.items()}
    values = _of_the_part(values, said, looked_at)
    for name, meant in values.items():
        before = reading.facts[name].split(OR) if name in reading.facts else []
        if before and said in reading.denials:
            values[name] = [each for each in before if each in meant] or before
            reading.facts[name] = OR.join(values[name])
        else:
            # "Blue or white" leaves both open.
            reading.facts[name] = OR.join(dict.fromkeys([*before, *meant]))
    if said in reading.vehicle_words:
        return
    shown = [name for name in values if name in looked_at] or list(values)
    reading.chips.append(Chip(" / ".join(shown[:2]), OR.join(dict.fromkeys(values[shown[0]])), said))


def _is_of_a_part(
    said: str, values: Collection[str], vocabulary: Vocabulary, reading: Reading, looked_at: frozenset[str]
) -> bool:
    """True for "long" of a "long half-shaft", for which nobody looks at how long the bed is; so for "the short one".

    "Power" of "power mirrors" is none of the windows of a door that is asked for besides.
    """
    noun = reading.before.get(said, "")
    kinds = vocabulary.part_types(noun) if noun else ()
    if not noun or not (vocabulary.looked_at(kinds) if kinds else looked_at).isdisjoint(values):
        return False
    one = noun in _ONE and bool(looked_at)
    return one or bool(kinds) or vocabulary.is_noun(noun) or any(noun in name.split() for name in looked_at)


_ONE = frozenset({"one", "ones"})


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
    for said, place, senses in reading.not_places:
        others = tuple(sense for sense in senses if sense.fact in looked_at)
        if others:
            reading.fact_chips.append((said, others))
        else:
            reading.chips.append(Chip("position", f"not {place}", said))
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
    _leave_strange_variant(target, models, reading)
    if len(models) > MOST_MODELS:
        models = ()
    carries: dict[str, tuple[str, ...]] = {}
    families, names = {model.family for model in models}, {model.name for model in models}
    for mention in reading.mentions.all:
        if mention.group is not None and mention is not target:
            keys = carried_models(mention, vocabulary, families, names)
            carries[str(mention.group)] = keys
            mention.chips = [_with_whose(chip, keys, vocabulary) for chip in mention.chips]
        elif mention is not target:
            mention.chips = [replace(chip, field="off", value=f"off {chip.value}") for chip in mention.chips]
        reading.chips += mention.chips
    return target.years, tuple(model.key for model in models), carries


def _leave_strange_variant(target: Mention, models: Sequence[ModelInfo], reading: Reading) -> None:
    """ "Second body" of a year in which there was the first one only is not taken, and told so."""
    values = target.traits.get("variant", [])
    if values and models and not any(model.variant in values for model in models):
        reading.left += [word for chip in target.chips if chip.field == "variant" for word in chip.said.split()]
        target.chips = [chip for chip in target.chips if chip.field != "variant"]


def _with_whose(chip: Chip, keys: Sequence[str], vocabulary: Vocabulary) -> Chip:
    """The chip of what is carried, with the models whose it may be."""
    whose = dict.fromkeys(vocabulary.models[key].words for key in keys)
    told = chip.value == ANOTHERS and 0 < len(whose) <= _MOST_TOLD
    return replace(chip, value=OR.join(whose)) if told else chip
