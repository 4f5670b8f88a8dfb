"""Understanding an ask: words in any order, years as 08 or 2008, a letter off, slang, stated requirements."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from app.book.schema import FactKind
from app.book.vocabulary import FILLER, Sense, Vocabulary
from app.fit.answers import Asked, Chip, Meaning
from app.fit.knowledge import Want
from app.fit.terms import Side
from app.fit.wants import AT_LEAST, AT_MOST, CONDITION, IS, PRICE, SHELF

_TOKEN = re.compile(
    r"\d{4}-\d\d\b|\d+/\d+/?\d*|'?\d+(?:,\d{3})*\.\d+(?:x\d+\.\d+)?|'?\d+(?:,\d{3})+|'?\d+[^\W_]*(?:-[^\W_]+)*"
    r"|[^\W_]+(?:['/&-][^\W_]+)*|\S"
)
_NUMBER = re.compile(r"^\$?\d[\d,]*(?:\.\d+)?$")
_MONTH = re.compile(r"^(\d{4})-(0[1-9]|1[0-2])$|^(0?[1-9]|1[0-2])/(\d{2}|\d{4})$")
_UNITS = {
    "gal": "gal", "gallon": "gal", "gallons": "gal", "in": "in", "inch": "in", "inches": "in", "amp": "A", "amps": "A",
    "a": "A", "lb": "lb", "mi": "mi", "miles": "mi", "mm": "mm", "ft": "ft", "foot": "ft", "feet": "ft", "v": "V",
}  # fmt: skip
_COUNTS = {
    "pair": 2, "both": 2, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_LEAST = ("at least", "minimum", "min", "over", "more than", "or more")
_MOST = ("at most", "under", "up to", "less than", "no more than", "max", "below")
OR = " or "
"""Between the values of a word that leaves several open, such as four-speed."""

SHORTEST_MISSPELT = 5
MOST_WORDS = 60
MOST_LETTERS = 400


@dataclass
class _Reading:
    """What has been taken from the words so far."""

    parts: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)
    facts: dict[str, str] = field(default_factory=dict)
    side: str = ""
    year: int | None = None
    built: str | None = None
    wants: list[Want] = field(default_factory=list)
    quantity: int | None = None
    chips: list[Chip] = field(default_factory=list)
    meanings: list[Meaning] = field(default_factory=list)
    left: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Understood:
    """An ask as understood, with its requirements as the engine takes them."""

    asked: Asked
    wants: tuple[Want, ...]


def understand(words: str, vocabulary: Vocabulary) -> Understood:
    """Take a line of words apart; whatever is not understood is kept and shown."""
    found = _TOKEN.findall(words[:MOST_LETTERS].lower())
    tokens = [token for token in found if token == "$" or any(letter.isalnum() for letter in token)][:MOST_WORDS]
    reading = _Reading()
    at = 0
    while at < len(tokens):
        at += _take(tokens, at, vocabulary, reading)
    if not reading.parts:
        _parts_inside(tokens, vocabulary, reading)
    return _finish(words, vocabulary, reading)


def _parts_inside(tokens: Sequence[str], vocabulary: Vocabulary, reading: _Reading) -> None:
    """A part named only inside another phrase ("short bed") is still the part asked for."""
    for token in tokens:
        names = tuple(sense.value for sense in vocabulary.phrases.get(token, []) if sense.field == "part")
        if names:
            reading.parts.append((token, names))
            return


def _take(tokens: Sequence[str], at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    for taker in (_requirement, _month, _phrase, _figure, _year, _count):
        taken = taker(tokens, at, vocabulary, reading)
        if taken:
            return taken
    token = tokens[at]
    if token in FILLER or token == "$":
        return 1
    return _misspelt(token, vocabulary, reading)


def _requirement(tokens: Sequence[str], at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    if tokens[at] in ("today", "now"):
        reading.wants.append(Want(SHELF, "is", "yes", "today"))
        reading.chips.append(Chip("wants", "today: on the shelf", tokens[at]))
        return 1
    for op, starts in ((AT_LEAST, _LEAST), (AT_MOST, _MOST)):
        for start in starts:
            size = len(start.split())
            if " ".join(tokens[at : at + size]) == start and at + size < len(tokens):
                taken = _limit(tokens, at + size, op, start, vocabulary, reading)
                if taken:
                    return size + taken
    return 0


def _limit(tokens: Sequence[str], at: int, op: str, start: str, vocabulary: Vocabulary, reading: _Reading) -> int:
    figure = tokens[at]
    if figure == "$" and at + 1 < len(tokens):
        return 1 + taken if (taken := _limit(tokens, at + 1, op, start, vocabulary, reading)) else 0
    if not _NUMBER.match(figure):
        return 0
    unit = _UNITS.get(tokens[at + 1], "") if at + 1 < len(tokens) else ""
    said = " ".join([start, figure, *([unit] if unit else [])])
    dollars = not unit and (at + 1 >= len(tokens) or tokens[at + 1] in ("dollars", "bucks", "$"))
    fact = PRICE if dollars or not unit else _fact_of_unit(unit, vocabulary)
    reading.wants.append(Want(fact, op, f"{figure} {unit}".strip(), said))
    reading.chips.append(Chip("wants", said, said))
    worded = bool(unit) or (dollars and at + 1 < len(tokens) and tokens[at + 1] in ("dollars", "bucks", "$"))
    return 2 if worded else 1


def _fact_of_unit(unit: str, vocabulary: Vocabulary) -> str:
    """The one fact that is counted in a unit; empty when several are."""
    names = [name for name, fact in vocabulary.facts.items() if fact.unit == unit]
    return names[0] if len(names) == 1 else ""


def _month(tokens: Sequence[str], at: int, _vocabulary: Vocabulary, reading: _Reading) -> int:
    skip = 1 if tokens[at] in ("built", "build") and at + 1 < len(tokens) else 0
    found = _MONTH.match(tokens[at + skip])
    if not found:
        return 0
    year, month, short_month, short_year = found.groups()
    if year is None:
        year = short_year if len(short_year) == 4 else f"{_century(int(short_year))}"
        month = f"{int(short_month):02d}"
    reading.built = f"{year}-{month}"
    reading.chips.append(Chip("built", reading.built, tokens[at + skip]))
    return 1 + skip


def _century(short: int) -> int:
    return 2000 + short if short < 40 else 1900 + short


def _phrase(tokens: Sequence[str], at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    for size in range(min(vocabulary.longest, len(tokens) - at), 0, -1):
        said = " ".join(tokens[at : at + size])
        for form in _forms(said):
            senses = vocabulary.phrases.get(form)
            if senses:
                _keep(said, senses, reading)
                return size
    return 0


def _forms(said: str) -> Iterator[str]:
    """A phrase as said, without its dashes, and in the singular."""
    yield said
    yield said.replace("-", " ")
    yield said.replace(" ", "-")
    if said.endswith("s") and len(said) > 3:
        yield said[:-1]


def _keep(said: str, senses: Sequence[Sense], reading: _Reading) -> None:
    parts = [sense.value for sense in senses if sense.field == "part"]
    if parts:
        reading.parts.append((said, tuple(parts)))
        return
    facts = [sense for sense in senses if sense.field == "fact"]
    for sense in senses:
        if sense.field == "side":
            reading.side = sense.value
            reading.chips.append(Chip("side", sense.value, said))
        elif sense.field in ("model", "name", "make"):
            (reading.keys if sense.field == "model" else reading.names).append(sense.value)
            reading.chips.append(Chip("vehicle", sense.value, said))
    if facts:
        _keep_fact(said, facts, reading)


def _keep_fact(said: str, facts: Sequence[Sense], reading: _Reading) -> None:
    """A word that could be a value of several facts is set for all; the engine reads only those it needs."""
    values: dict[str, list[str]] = {}
    for sense in facts:
        values.setdefault(sense.fact, []).append(sense.value)
    for name, meant in values.items():
        reading.facts[name] = OR.join(meant)
    names = " / ".join(sense.fact for sense in facts[:2])
    reading.chips.append(Chip(names, facts[0].value, said))


def _figure(tokens: Sequence[str], at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    """A figure with its unit ("26 gallon") is a fact of the vehicle or part where the yard keeps one."""
    if not _NUMBER.match(tokens[at]) or at + 1 >= len(tokens):
        return 0
    unit = _UNITS.get(tokens[at + 1])
    if unit is None:
        return 0
    value = tokens[at]
    for name, fact in vocabulary.facts.items():
        if fact.unit == unit and fact.kind in (FactKind.NUMBER, FactKind.COUNT, FactKind.LENGTH):
            match = next((str(choice) for choice in fact.choices if _figure_is(str(choice), value)), None)
            if match is not None:
                reading.facts[name] = match
                reading.chips.append(Chip(name, match, f"{value} {tokens[at + 1]}"))
                return 2
    return 0


def _figure_is(choice: str, value: str) -> bool:
    try:
        return float(choice.split()[0]) == float(value.replace(",", ""))
    except ValueError:
        return False


def _year(tokens: Sequence[str], at: int, vocabulary: Vocabulary, reading: _Reading) -> int:
    token = tokens[at]
    plain = token.lstrip("'")
    if not plain.isdigit() or len(plain) not in (2, 4) or not plain.isascii():
        return 0
    year = int(plain) if len(plain) == 4 else _century(int(plain))
    built = any(model.year_from <= year <= model.year_to for model in vocabulary.models)
    if not 1950 <= year <= 2039 or (len(plain) == 2 and not built and token == plain):
        return 0
    reading.year = year
    reading.chips.append(Chip("year", str(year), token))
    return 1


def _count(tokens: Sequence[str], at: int, _vocabulary: Vocabulary, reading: _Reading) -> int:
    skip = 1 if tokens[at] == "all" and at + 1 < len(tokens) else 0
    word = tokens[at + skip]
    count = _COUNTS.get(word) or (int(word) if skip and word.isascii() and word.isdigit() and len(word) < 4 else None)
    if count is None:
        return 0
    reading.quantity = count
    reading.chips.append(Chip("pieces", str(count), " ".join(tokens[at : at + 1 + skip])))
    return 1 + skip


def _misspelt(token: str, vocabulary: Vocabulary, reading: _Reading) -> int:
    meant = _near(token, vocabulary.words) if len(token) >= SHORTEST_MISSPELT else None
    senses = vocabulary.phrases.get(meant, []) if meant else []
    if senses:
        _keep(token, senses, reading)
    else:
        reading.left.append(token)
    return 1


@lru_cache(maxsize=4096)
def _near(token: str, words: tuple[str, ...]) -> str | None:
    """The word a letter off (two in a long word); none when it is not clear."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    most = 2 if len(token) > 7 else 1
    found = process.extractOne(token, words, scorer=OSA.distance, score_cutoff=most)
    return found[0] if found else None


def _finish(words: str, vocabulary: Vocabulary, reading: _Reading) -> Understood:
    part_types = _settle_parts(vocabulary, reading)
    models = _settle_models(vocabulary, reading)
    known = {name: value for name, value in reading.facts.items() if name not in _MODEL_FACTS}
    asked = Asked(
        words=words,
        part_types=part_types,
        side=Side(reading.side),
        year=reading.year,
        built=reading.built,
        models=models,
        facts=known,
        wants=tuple(want.words for want in reading.wants),
        quantity=reading.quantity,
        chips=tuple(reading.chips),
        meanings=tuple(reading.meanings),
        not_understood=tuple(reading.left),
    )
    return Understood(asked, tuple(reading.wants))


_MODEL_FACTS = ("weight class", "variant", "body style")


def _settle_parts(vocabulary: Vocabulary, reading: _Reading) -> tuple[str, ...]:
    """The part types meant: a clear name wins over an ambiguous word; a wider name covers all its kinds."""
    read = [(said, names, _kinds(vocabulary, names)) for said, names in reading.parts]
    clear = [each for each in read if len(each[2]) == 1]
    for said, names, kinds in clear or read:
        if len(kinds) > 1:
            reading.meanings.append(Meaning(said, "part", names))
            return ()
        reading.chips.append(Chip("part", names[0], said))
        return kinds[0]
    return ()


def _kinds(vocabulary: Vocabulary, names: Sequence[str]) -> list[tuple[str, ...]]:
    """The different sets of part types that names stand for; a set inside another is no meaning of its own."""
    sets = list(dict.fromkeys(vocabulary.wider.get(name, (name,)) for name in names))
    return [each for each in sets if not any(set(each) < set(other) for other in sets)]


def _settle_models(vocabulary: Vocabulary, reading: _Reading) -> tuple[str, ...]:
    """The models that all the words allow."""
    models = list(vocabulary.models)
    if reading.keys:
        return tuple(model.key for model in models if model.key in reading.keys)
    if not reading.names and not any(name in reading.facts for name in _MODEL_FACTS):
        return ()
    longest = max(reading.names, key=len, default="")
    named = [model for model in models if model.name == longest] or [
        model for model in models if not longest or longest in (model.name, model.make)
    ]
    if reading.year is not None:
        named = [model for model in named if model.year_from <= reading.year <= model.year_to]
    for fact, value_of in (("weight class", "weight_class"), ("variant", "variant"), ("body style", "body_style")):
        value = reading.facts.get(fact)
        if value and any(getattr(model, value_of) == value for model in named):
            named = [model for model in named if getattr(model, value_of) == value]
    return tuple(model.key for model in named)


def with_pick(asked: Asked, vocabulary: Vocabulary, part: str) -> Asked:
    """The ask with an ambiguous word settled by a pick."""
    return replace(asked, part_types=vocabulary.wider.get(part, (part,)), meanings=())


def stated_want(text: str, vocabulary: Vocabulary) -> Want | None:
    """A requirement stated as "fact=value", "fact at least value" or "fact at most value"; None for loose words."""
    for mark, op in (("=", IS), (AT_LEAST, AT_LEAST), (AT_MOST, AT_MOST)):
        name, found, value = (part.strip() for part in text.partition(mark))
        if found and value and (name in vocabulary.facts or name in (PRICE, CONDITION)):
            return Want(name, op, value, text.strip())
    return None
