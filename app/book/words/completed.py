"""Names of models that are said in pieces or the other way round: "Dash Pipit", "a Plover … the 40"."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from app.book.words.everyday import EVERYDAY
from app.book.words.linereading import OR, Reading
from app.book.words.meanings import PartSaid
from app.book.words.mention import Mention
from app.book.words.vocabulary import Vocabulary
from app.fit.answers import Chip


def complete_names(vocabulary: Vocabulary, reading: Reading) -> None:
    """A word that stands in the name of a model says which of those that may be meant it is: "a hybrid … Tansy".

    It was left, or tells a look of the vehicle besides.
    """
    if not vocabulary.longer_names:
        return
    looks = [said for said, _ in reading.fact_chips if said not in reading.denials]
    told = [*looks, *reading.vehicle_words, *_looks_in_parts(vocabulary, reading)]
    for word in [each for each in (*reading.left, *told) if vocabulary.names_with(each)]:
        mention = reading.mentions.target()
        if word not in reading.left and (mention is None or not mention.traits.get("name")):
            continue
        names = _names(word, mention, vocabulary) or _sibling(word, mention, vocabulary, reading)
        if not names:
            continue
        if word in reading.left:
            reading.left.remove(word)
        if mention is None:
            reading.mentions.trait("name", names, Chip("vehicle", OR.join(names), word))
        else:
            _call(mention, names, word)


def _looks_in_parts(vocabulary: Vocabulary, reading: Reading) -> list[str]:
    """The words in the names of parts that tell a look of a vehicle: the hybrid of a "hybrid battery"."""
    said = [word for chip in reading.chips if chip.field == "part" for word in chip.said.split()]
    return [word for word in said if any(sense.field == "fact" for sense in vocabulary.senses(word))]


def _names(word: str, mention: Mention | None, vocabulary: Vocabulary) -> list[str]:
    """The names with a word that a vehicle as spoken of may have; none where that tells nothing."""
    every = vocabulary.names_with(word)
    if mention is None or not mention.named:
        alone = len(every) == 1 and word.isalpha() and word not in EVERYDAY
        return list(every) if alone and (mention is None or _can_be(every[0], mention, vocabulary)) else []
    told = mention.traits.get("name", [])
    if told:
        longer = [name for name in every if any(set(_words(base)) < set(_words(name)) for base in told)]
        every = tuple(name for name in every if name in told and len(told) > 1) or tuple(longer)
    return [name for name in every if _can_be(name, mention, vocabulary)]


def _sibling(word: str, mention: Mention | None, vocabulary: Vocabulary, reading: Reading) -> list[str]:
    """The names of "Stoop 25 or 40": the one that was said, and the one that ends with the word behind "or"."""
    told = mention.traits.get("name", []) if mention is not None else []
    if len(told) != 1 or not any(pair == ("or", word) for pair in pairwise(reading.said)):
        return []
    first = _words(told[0])[:-1]
    return [told[0], *(name for name in vocabulary.names_with(word) if first and _words(name) == [*first, word])]


def _words(name: str) -> list[str]:
    return name.lower().split()


def _can_be(name: str, mention: Mention, vocabulary: Vocabulary) -> bool:
    """True when a model of that name was built in the years that were said, and is of the make."""
    makes = mention.traits.get("make", [])
    return any(
        (not makes or model.make in makes)
        and (not mention.years or any(model.year_from <= year <= model.year_to for year in mention.years))
        for model in vocabulary.models_with("name", name)
    )


def _call(mention: Mention, names: list[str], said: str) -> None:
    shown = Chip("vehicle", OR.join(names), said)
    told = mention.traits.get("name", [])
    old = [chip for chip in mention.chips if chip.field == "vehicle" and set(chip.value.split(OR)) <= set(told)]
    mention.traits["name"] = names
    mention.chips = [replace(chip, value=shown.value) if chip in old else chip for chip in mention.chips]
    mention.chips.append(shown)


def name_of_part_words(words: str, vocabulary: Vocabulary, reading: Reading) -> None:
    """ "Dash Pipit left front door": a part's word right before a name with which it makes a longer one."""
    others = [part for part in reading.parts if part.asked_for]
    mention = reading.mentions.target() if len(others) > 1 and vocabulary.longer_names else None
    if mention is None:
        return
    plain = f" {' '.join(words.lower().split())} "
    for part in others:
        names = _names(part.said, mention, vocabulary) if mention.named else []
        called = [chip.said for chip in mention.chips if chip.field == "vehicle"]
        if names and not part.joined and any(f" {part.said} {said} " in plain for said in called):
            reading.parts = [each for each in reading.parts if each is not part]
            _call(mention, names, part.said)
            return


def part_of_name(vocabulary: Vocabulary, reading: Reading) -> None:
    """ "2009 Pipit Dash" of a yard whose Pipit Dash is of 2011 only, and which has dashes: the dash of a Pipit."""
    if not vocabulary.longer_names or any(not part.denied for part in reading.parts):
        return
    mention = reading.mentions.target()
    names = mention.traits.get("name", []) if mention is not None else []
    if mention is None or not mention.years or len(names) != 1:
        return
    *base, last = names[0].split(" ")
    parts = tuple(sense.value for sense in vocabulary.senses(last) if sense.field == "part")
    shorter = " ".join(base)
    if not parts or _can_be(names[0], mention, vocabulary) or not _can_be(shorter, mention, vocabulary):
        return
    mention.traits["name"] = [shorter]
    mention.chips = [replace(chip, value=shorter) if chip.value == names[0] else chip for chip in mention.chips]
    reading.parts.append(PartSaid(last.lower(), parts))
