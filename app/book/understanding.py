"""Understanding an ask: words in any order, years as 08 or 2008, a letter off, slang, stated requirements."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from app.book.everyday import FILLER
from app.book.meanings import PartSaid, chosen_part, figure_fact, narrowed
from app.book.mentions import MOST_MODELS, Mentions, Role, carried_models
from app.book.spoken import Figure, Line, figure, heard
from app.book.vocabulary import COUNTS, MODEL_FACTS, Sense, Vocabulary
from app.book.wishes import stated_want, wish
from app.fit.answers import Asked, Chip, Meaning
from app.fit.knowledge import Want
from app.fit.terms import Side

_MONTH = re.compile(r"^([0-9]{4})-(0[1-9]|1[0-2])$|^(0?[1-9]|1[0-2])/([0-9]{2}|[0-9]{4})$")
_GROUPS = {"pair": 2, "both": 2, "couple": 2}
_TIMES = re.compile(r"^(?:x([0-9]{1,2})|([0-9]{1,2})x)$")
_WANTED = frozenset({"need", "want", "wanted", "wants", "have", "sell", "looking", "got", "find"})
_POSITIONS = {
    "lf": "front",
    "rf": "front",
    "lr": "rear",
    "rr": "rear",
    "back": "rear",
    "front": "front",
    "rear": "rear",
}
OR = " or "
"""Between the values of a word that leaves several open, such as four-speed."""


@dataclass
class _Reading:
    """What has been taken from the words so far."""

    parts: list[PartSaid] = field(default_factory=list)
    mentions: Mentions = field(default_factory=Mentions)
    facts: dict[str, str] = field(default_factory=dict)
    fact_chips: list[tuple[str, tuple[Sense, ...]]] = field(default_factory=list)
    figures: list[tuple[Figure, str]] = field(default_factory=list)
    side: str = ""
    built: str | None = None
    wants: list[Want] = field(default_factory=list)
    quantity: int | None = None
    chips: list[Chip] = field(default_factory=list)
    meanings: list[Meaning] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    hints: list[str] = field(default_factory=list)
    positions: list[tuple[str, tuple[Sense, ...]]] = field(default_factory=list)
    phrases: list[str] = field(default_factory=list)
    vehicle_words: list[str] = field(default_factory=list)
    mine: bool = False
    wanted: bool = False


@dataclass(frozen=True, slots=True)
class Understood:
    """An ask as understood, with its requirements as the engine takes them."""

    asked: Asked
    wants: tuple[Want, ...]


def understand(words: str, vocabulary: Vocabulary) -> Understood:
    """Take a line of words apart; whatever is not understood is kept and shown."""
    line = heard(words, vocabulary)
    reading = _Reading()
    at = 0
    while at < len(line.said):
        at += _take(line, at, vocabulary, reading)
    return _finish(words, vocabulary, reading)


def _take(line: Line, at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    for taker in (_wish, _pieces, _phrase, _figure, _month, _year):
        taken = taker(line, at, vocabulary, reading)
        if taken:
            return taken
    said, word = line.said[at], line.meant[at]
    reading.mentions.word(word)
    reading.wanted = word in _WANTED or (reading.wanted and word in FILLER)
    reading.mine = word == "my" or (reading.mine and word in FILLER)
    if word in _POSITIONS:
        reading.hints.append(word)
        reading.positions.append((said, ()))
        return 1
    if word not in FILLER and any(letter.isalnum() for letter in said):
        reading.left.append(said)
    return 1


def _wish(line: Line, at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    found = wish(line, at, vocabulary)
    if found is None:
        return 0
    want, chip, size = found
    reading.wants.append(want)
    reading.chips.append(chip)
    return size


def _pieces(line: Line, at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    """ "Pair", "all twelve", "set of four", "x4", "two doors": how many pieces are wanted."""
    word, size = line.word(at), 1
    if line.words(at, 2) == "both sides":
        count: int | None = 2
        size = 2
    elif word in _GROUPS:
        count = _GROUPS[word]
        size = 2 if line.word(at + 1) == "of" else 1
    elif (word, line.word(at + 1)) == ("set", "of"):
        count, size = _counted(line.word(at + 2)), 3
    elif word == "all":
        count, size = _counted(line.word(at + 1)), 2
    elif times := _TIMES.match(word):
        count = int(times.group(1) or times.group(2))
    else:
        count = _counted(word) if _counts_parts(line, at, vocabulary) else None
    if not count or _is_phrase(line, at, vocabulary, longer_than=size):
        return 0
    reading.quantity = count
    reading.chips.append(Chip("pieces", str(count), line.words(at, size)))
    return size


def _counted(word: str) -> int | None:
    return COUNTS.get(word) or (int(word) if word.isascii() and word.isdigit() and 0 < len(word) < 4 else None)


def _counts_parts(line: Line, at: int, vocabulary: Vocabulary) -> bool:
    """True for a number right before a part's name; one in digits needs the plural, or it is a year."""
    word = line.word(at)
    if word == "one" or (word.isdigit() and word.startswith("0")):
        return False
    if line.word(at + 1) in ("of", "pieces", "pcs"):
        return True
    for size in range(min(vocabulary.longest, len(line.said) - at - 1), 0, -1):
        named = " ".join(line.meant[at + 1 : at + 1 + size])
        if any(sense.field == "part" for sense in vocabulary.senses(named)):
            return not word.isdigit() or named.endswith("s")
    return False


def _is_phrase(line: Line, at: int, vocabulary: Vocabulary, longer_than: int) -> bool:
    sizes = range(min(vocabulary.longest, len(line.said) - at), longer_than - 1, -1)
    return any(vocabulary.senses(" ".join(line.meant[at : at + size])) for size in sizes)


def _month(line: Line, at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
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


def _phrase(line: Line, at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    for size in range(min(vocabulary.longest, len(line.said) - at), 0, -1):
        meant = " ".join(line.meant[at : at + size])
        senses = vocabulary.senses(meant)
        if meant in _POSITIONS and senses and all(sense.field == "fact" for sense in senses):
            reading.positions.append((line.said[at], tuple(senses)))
            reading.hints.append(meant)
            return 1
        if senses:
            _keep(line.words(at, size), meant, senses, reading)
            return size
    return 0


def _keep(said: str, meant: str, senses: Sequence[Sense], reading: _Reading) -> None:
    parts = tuple(sense.value for sense in senses if sense.field == "part")
    facts = tuple(sense for sense in senses if sense.field == "fact" and sense.fact not in MODEL_FACTS)
    for sense in senses:
        if sense.field == "side":
            reading.side = sense.value
            reading.chips.append(Chip("side", sense.value, said))
            reading.hints += [meant] if meant in _POSITIONS else []
        elif sense.field == "want":
            reading.hints.append(f"want {said}={sense.value}")
    _keep_vehicle(said, senses, reading)
    if parts:
        carried = reading.mentions.part(meant)
        # "The frame's perfect" tells of one's own.
        mine = reading.mine or said.endswith(("'s", "s'"))
        reading.parts.append(PartSaid(said, parts, facts, mine, reading.wanted, carried))
        reading.wanted = reading.mine = False
    elif facts:
        reading.fact_chips.append((said, facts))
        reading.phrases += meant.split()


def _keep_vehicle(said: str, senses: Sequence[Sense], reading: _Reading) -> None:
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


def _figure(line: Line, at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    """A figure with its unit, or in fractions of an inch; what it is of is known when the part is."""
    del vocabulary
    found = figure(line, at)
    if found is None or not (found.unit or found.fraction):
        return 0
    reading.figures.append((found, line.words(at, found.size)))
    return found.size


def _year(line: Line, at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    token, size = line.said[at], 1
    plain = token.lstrip("'")
    if token in ("oh", "o") and (said := COUNTS.get(line.word(at + 1), 99)) < 10:
        plain, size = f"0{said}", 2
    if not plain.isdigit() or len(plain) not in (2, 4) or not plain.isascii():
        return 0
    year = int(plain) if len(plain) == 4 else _century(int(plain))
    if not 1950 <= year <= 2039 or (len(plain) == 2 and year not in vocabulary.years and token == plain):
        return 0
    reading.mentions.year(year, Chip("year", str(year), line.words(at, size)))
    return size


def _finish(words: str, vocabulary: Vocabulary, reading: _Reading) -> Understood:
    part_types = _settle_parts(vocabulary, reading)
    _settle_wants(vocabulary, reading)
    _settle_facts(vocabulary, reading, part_types)
    target, models, carries = _settle_vehicles(vocabulary, reading)
    asked = Asked(
        words=words,
        part_types=part_types,
        side=Side(reading.side),
        year=target,
        built=reading.built,
        models=models,
        facts=reading.facts,
        wants=tuple(want.words for want in reading.wants),
        quantity=reading.quantity,
        chips=tuple(dict.fromkeys(reading.chips)),
        meanings=tuple(reading.meanings),
        not_understood=tuple(reading.left),
        carries=carries,
    )
    return Understood(asked, tuple(reading.wants))


def _settle_parts(vocabulary: Vocabulary, reading: _Reading) -> tuple[str, ...]:
    """The part types meant: a clear name wins over an ambiguous word; a wider name covers all its kinds."""
    _name_from_left(vocabulary, reading)
    hints = [_POSITIONS[word] for word in reading.hints if word in _POSITIONS]
    stated = frozenset(sense.fact for _, senses in reading.fact_chips for sense in senses)
    asked = chosen_part(reading.parts, vocabulary)
    for each in reading.parts:
        if each is not asked:
            _keep_beside(each, asked, reading)
    if asked is None:
        return ()
    if asked.carried is not None:
        asked.carried.group = None
        if asked.carried.role is Role.CARRIED:
            asked.carried.role = Role.DONOR
    kinds = narrowed(asked.names, hints, stated, bool(reading.side), vocabulary)
    if len(kinds) > 1:
        names = tuple(name for name in asked.names if vocabulary.wider.get(name, (name,)) in kinds)
        reading.meanings.append(Meaning(asked.said, "part", names))
        return ()
    name = next(name for name in asked.names if vocabulary.wider.get(name, (name,)) == kinds[0])
    reading.chips.append(Chip("part", name, asked.said))
    return kinds[0]


def _keep_beside(each: PartSaid, asked: PartSaid | None, reading: _Reading) -> None:
    """A part that is named beside the one asked for: a fact of the vehicle, what it carries, or only a word."""
    if each.facts:
        reading.fact_chips.append((each.said, each.facts))
    elif each.carried is not None:
        each.carried.chips.append(Chip(str(each.carried.group), "another's", each.said))
    elif asked is not None and each.names != asked.names:
        reading.chips.append(Chip("beside", each.names[0], each.said))


def _name_from_left(vocabulary: Vocabulary, reading: _Reading) -> None:
    """A part named inside another phrase ("short bed"), or by words of its name alone ("rear axle", "bumper")."""
    if reading.parts:
        return
    for word in reading.phrases:
        names = tuple(sense.value for sense in vocabulary.senses(word) if sense.field == "part")
        if names:
            reading.parts.append(PartSaid(word, names))
            return
    reading.left += [said for said, _ in reading.positions]
    left = [vocabulary.meant(word) for word in reading.left]
    used = [word for word in left if vocabulary.part_names([word])]
    names = vocabulary.part_names(used)
    if not names:
        used = used[:1]
        names = vocabulary.part_names(used)
    if names and any(word not in _POSITIONS for word in used):
        said = " ".join(word for word, meant in zip(reading.left, left, strict=True) if meant in used)
        reading.left = [word for word, meant in zip(reading.left, left, strict=True) if meant not in used]
        reading.parts.append(PartSaid(said, names))
        reading.positions = [each for each in reading.positions if each[0] in reading.left]
    reading.left = [word for word in reading.left if all(word != said for said, _ in reading.positions)]


def _settle_wants(vocabulary: Vocabulary, reading: _Reading) -> None:
    """Requirements that stand behind a word ("big tank")."""
    for hint in reading.hints:
        said, marked, words = hint.removeprefix("want ").partition("=")
        want = stated_want(words, vocabulary) if marked else None
        if want is not None:
            reading.wants.append(want)
            reading.chips.append(Chip("wants", want.words, said))


def _settle_facts(vocabulary: Vocabulary, reading: _Reading, part_types: Sequence[str]) -> None:
    """A word that could be a value of several facts is set for all; the engine reads only those it needs."""
    looked_at = frozenset[str]().union(*(vocabulary.looks.get(name, frozenset()) for name in part_types))
    _settle_positions(vocabulary, reading, part_types, looked_at)
    for said, senses in reading.fact_chips:
        values: dict[str, list[str]] = {}
        for sense in senses:
            values.setdefault(sense.fact, []).append(sense.value)
        for name, meant in values.items():
            reading.facts[name] = OR.join(dict.fromkeys(meant))
        if said in reading.vehicle_words:
            continue
        shown = [name for name in values if name in looked_at] or list(values)
        reading.chips.append(Chip(" / ".join(shown[:2]), reading.facts[shown[0]], said))
    for found, said in reading.figures:
        fact = figure_fact(found, looked_at, part_types, vocabulary)
        if fact is None:
            reading.left += said.split()
        else:
            name, value = fact
            reading.facts[name] = value
            reading.chips.append(Chip(name, value, said))


def _settle_positions(
    vocabulary: Vocabulary, reading: _Reading, part_types: Sequence[str], looked_at: frozenset[str]
) -> None:
    """Front and rear told parts apart, or are the value of a fact that the part is looked at for."""
    named = {word for name in part_types for word in name.replace(",", " ").split()}
    meanings = {word for meaning in reading.meanings for name in meaning.choices for word in name.split()}
    for said, senses in reading.positions:
        position = _POSITIONS[vocabulary.meant(said)]
        facts = tuple(sense for sense in senses if sense.fact in looked_at)
        if position in named | meanings:
            reading.chips.append(Chip("position", position, said))
        elif facts:
            reading.fact_chips.append((said, facts))
        else:
            reading.left.append(said)


def _settle_vehicles(
    vocabulary: Vocabulary, reading: _Reading
) -> tuple[int | None, tuple[str, ...], dict[str, tuple[str, ...]]]:
    """The model year, the models that may be meant, and what groups are another vehicle's."""
    target = reading.mentions.target()
    if target is None:
        return None, (), {}
    models = target.models(vocabulary, target.year)
    if len(models) > MOST_MODELS:
        models = ()
    carries: dict[str, tuple[str, ...]] = {}
    families, names = {model.family for model in models}, {model.name for model in models}
    for mention in reading.mentions.all:
        if mention.group is not None and mention is not target:
            carries[str(mention.group)] = carried_models(mention, vocabulary, families, names)
        elif mention is not target:
            mention.chips = [replace(chip, field="off") for chip in mention.chips]
        reading.chips += mention.chips
    return target.year, tuple(model.key for model in models), carries


def with_pick(asked: Asked, vocabulary: Vocabulary, part: str) -> Asked:
    """The ask with an ambiguous word settled by a pick."""
    said = next((meaning.said for meaning in asked.meanings), "")
    chips = (*(chip for chip in asked.chips if chip.field != "part"), Chip("part", part, said))
    return replace(asked, part_types=vocabulary.wider.get(part, (part,)), meanings=(), chips=chips)
