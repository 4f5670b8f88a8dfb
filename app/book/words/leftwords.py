"""Words that nothing was made of, held against the part that is asked for: its looks, its counts, its very name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from app.book.schema import Fact
from app.book.words.counted import AND
from app.book.words.denied import DENIALS
from app.book.words.everyday import COUNTS, EVERYDAY, POSITIONS, SIZE_WORDS
from app.book.words.linereading import OR, Reading
from app.book.words.saidchoices import RATIO_PLACES
from app.book.words.vocabulary import Vocabulary
from app.fit.answers import Chip
from app.fit.terms import FactKind
from app.fit.values import number

_LEAST = 3
"""Letters of a word that may stand for a whole choice."""
_DENYING = DENIALS | {"w/o", "w/out"}
_LEAST_OF_TWO = frozenset("short low narrow thin small".split())
_WAYS = {
    **dict.fromkeys(("short", "long"), ("length", "arm", "reach")),
    **dict.fromkeys(("wide", "narrow"), ("width", "spread", "spacing")),
    **dict.fromkeys(("tall", "low", "high"), ("height",)),
    **dict.fromkeys(("thick", "thin"), ("thickness",)),
}
"""How the names of facts end that such a word tells of; of big and small it may be any."""
_SIZES = {word: word for word in SIZE_WORDS} | {
    "longer": "long", "shorter": "short", "wider": "wide", "narrower": "narrow", "taller": "tall", "higher": "high",
    "lower": "low", "thicker": "thick", "thinner": "thin", "bigger": "big", "smaller": "small", "larger": "large",
}  # fmt: skip
"""Such words, and what is more of the same."""
_MEASURED = (FactKind.LENGTH, FactKind.NUMBER)


def settle_left(vocabulary: Vocabulary, reading: Reading, part_types: Sequence[str], looked_at: frozenset[str]) -> None:
    """Make something of words that were left, as far as only one thing can be meant by them."""
    if not reading.left:
        return
    facts = [vocabulary.facts[name] for name in sorted(looked_at) if name in vocabulary.facts]
    _settle_counts(facts, reading)
    _settle_pieces(reading)
    for at, word in reversed(list(enumerate(reading.left))):
        denied = word.split()[0] in DENIALS or (at > 0 and reading.left[at - 1] in DENIALS) or _is_denied(word, reading)
        of_part = not set(part_types).isdisjoint(vocabulary.part_types(reading.before.get(word, "")))
        known = bool(vocabulary.senses(word)) and not of_part
        told = None if denied or known else _told(word, facts, part_types, vocabulary, reading)
        found = _sized(word, facts) or told
        if found is not None and _agrees(*found, reading):
            del reading.left[at]
            reading.chips.append(Chip(*found, word))
            if _tells_apart(*found, vocabulary):
                reading.facts.setdefault(*found)
    _settle_name(vocabulary, reading, part_types)


def _tells_apart(name: str, value: str, vocabulary: Vocabulary) -> bool:
    """False where a value leaves all choices of its fact open."""
    choices = list(map(str, vocabulary.facts[name].choices))
    return not choices or set(value.split(OR)) != set(choices)


def _agrees(name: str, value: str, reading: Reading) -> bool:
    """False where something else was said of a fact."""
    return name not in reading.facts or not set(value.split(OR)).isdisjoint(reading.facts[name].split(OR))


def _told(
    word: str, facts: Sequence[Fact], part_types: Sequence[str], vocabulary: Vocabulary, reading: Reading
) -> tuple[str, str] | None:
    """The fact that a word alone tells: it stands in one choice ("privacy" glass), or ends a yes-or-no's name.

    A figure with a decimal may be of any fact of a vehicle: "4.5" of a "4.5 diesel". Behind a ratio
    "gears" says nothing more.
    """
    figure = "." in word and word.replace(".", "", 1).isdigit()
    if word in _GEARS:
        ratios = [fact for fact in vocabulary.facts.values() if fact.name in reading.facts and _is_ratio(fact)]
        return (ratios[0].name, reading.facts[ratios[0].name]) if len(ratios) == 1 else None
    if figure:
        return _of_choices(word, vocabulary.facts.values())
    said = vocabulary.meant(word)
    plain = said.isalpha() and len(said) >= _LEAST and (said in SIZE_WORDS or said not in EVERYDAY)
    if not plain:
        return None
    return _of_choices(said, facts) or _of_yes_or_no(said, facts, part_types)


_GEARS = frozenset({"gear", "gears", "ratio"})


def _is_ratio(fact: Fact) -> bool:
    """True for a number without a unit that comes in hundredths, as 3.73 does."""
    hundredths = all(len(str(choice).partition(".")[2]) == RATIO_PLACES for choice in fact.choices)
    return fact.kind is FactKind.NUMBER and not fact.unit and bool(fact.choices) and hundredths


def _of_choices(word: str, facts: Iterable[Fact]) -> tuple[str, str] | None:
    found = [(fact, [each for each in map(str, fact.choices) if word in _words(each)]) for fact in facts]
    found = [(fact, own) for fact, own in found if own and fact.kind is FactKind.CHOICE]
    return (found[0][0].name, OR.join(found[0][1])) if len(found) == 1 else None


def _of_yes_or_no(word: str, facts: Sequence[Fact], part_types: Sequence[str]) -> tuple[str, str] | None:
    """ "Seat … with the bag" of a yes-or-no that is called "seat bag"."""
    named = {part for name in part_types for part in _words(name)}
    found = [fact.name for fact in facts if fact.kind is FactKind.YES_NO and word == _words(fact.name)[-1]]
    return (found[0], "yes") if len(found) == 1 and named >= {*_words(found[0])[:-1]} else None


def _words(name: str) -> list[str]:
    return name.lower().replace(",", " ").replace("-", " ").split()


def _sized(said: str, facts: Sequence[Fact]) -> tuple[str, str] | None:
    """Of two sizes that the part comes in the one that "short", "big" … says; denied the other."""
    words = said.split()
    size = next((word for word in words if word in _SIZES), "")
    sizes = [(fact.name, of_two_sizes(size, fact, other=words[0] in DENIALS)) for fact in facts] if size else []
    found = [each for each in sizes if each[1]]
    return found[0] if len(found) == 1 else None


def of_two_sizes(said: str, fact: Fact, *, other: bool = False) -> str:
    """Of the two choices of a measure the one that a word such as "short" says, or the other; empty where none is."""
    size = _SIZES.get(said, "")
    measured = fact.kind in _MEASURED and len(fact.choices) == len(("least", "most"))
    if not size or not measured or not fact.name.endswith(_WAYS.get(size, "")):
        return ""
    choices = sorted(map(str, fact.choices), key=lambda each: float(number(each) or 0))
    return choices[(size in _LEAST_OF_TWO) == other]


def _settle_counts(facts: Sequence[Fact], reading: Reading) -> None:
    """ "22 spline": a number before what the one count of the part counts."""
    for at in range(len(reading.left) - 2, -1, -1):
        count, noun = reading.left[at : at + 2]
        digits = str(COUNTS.get(count, count))
        if not digits.isdecimal() or not _is_said(count, noun, reading):
            continue
        found = [fact for fact in facts if fact.kind is FactKind.COUNT and _alike(_words(fact.name)[-1], noun)]
        if len(found) == 1 and _agrees(found[0].name, digits, reading):
            reading.facts[found[0].name] = digits
            reading.chips.append(Chip(found[0].name, digits, f"{count} {noun}"))
            reading.left[at : at + 2] = []
            return


def _is_denied(word: str, reading: Reading) -> bool:
    """Whether a denial stands a few words before: of "w/out oil cooler" neither word tells what it has."""
    at = reading.said.index(word) if word in reading.said else 0
    before = reading.said[max(0, at - _LEAST) : at]
    return not _DENYING.isdisjoint(before)


def _is_said(word: str, behind: str, reading: Reading) -> bool:
    """Whether a word stands right before another in the line."""
    return any(each == word and after == behind for each, after in zip(reading.said, reading.said[1:], strict=False))


def _alike(noun: str, other: str) -> bool:
    return noun.removesuffix("s") == other.removesuffix("s")


_OF_TONS = frozenset({"half", "quarter", "three"})
"""Words of a weight class, though they may stand in a part's name: a half-shaft."""


def _settle_pieces(reading: Reading) -> None:
    """ "Body mounts, twelve": a number in words right behind several of the part."""
    for word in reading.left if reading.quantity is None else ():
        if COUNTS.get(word, 0) > 1 and any(
            chip.field == "part" and chip.said.endswith("s") and _is_said(chip.said.split()[-1], word, reading)
            for chip in reading.chips
        ):
            reading.left.remove(word)
            reading.quantity = COUNTS[word]
            reading.chips.append(Chip("pieces", str(COUNTS[word]), word))
            return


def _settle_name(vocabulary: Vocabulary, reading: Reading, part_types: Sequence[str]) -> None:
    """A word of the very name of the part that is asked for says nothing more: a "bare" frame."""
    if len(set(part_types)) != 1:
        return
    for at, word in reversed(list(enumerate(reading.left))):
        said = vocabulary.meant(word)
        denied = at > 0 and reading.left[at - 1] in DENIALS
        another = said not in _words(part_types[0]) and any(_is_said(each, word, reading) for each in AND)
        if said in POSITIONS or said in _OF_TONS or denied or another:
            continue
        if any(said in (each, f"{each}s") or str(COUNTS.get(said)) == each for each in _words(part_types[0])):
            del reading.left[at]
            reading.chips.append(Chip("part", part_types[0], word))
