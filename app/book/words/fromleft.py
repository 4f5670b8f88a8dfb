"""A part named by words that were left: by a noun inside another phrase, or by words of its name alone."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from app.book.words.everyday import EVERYDAY, POSITIONS
from app.book.words.linereading import Reading
from app.book.words.meanings import (
    PartSaid,
    contradicted,
    kinds_of,
    opposite,
)
from app.book.words.vocabulary import Vocabulary


def name_from_left(vocabulary: Vocabulary, reading: Reading) -> None:
    """A part named inside another phrase ("short bed"), or by words of its name alone ("rear axle", "bumper")."""
    if any(not (part.denied or part.with_it) for part in reading.parts):
        return
    for word in reading.phrases:
        names = tuple(sense.value for sense in vocabulary.senses(word) if sense.field == "part")
        if names and not _of_another_look(names, vocabulary, reading):
            reading.parts.append(PartSaid(word, _called_as_a_fact(names, vocabulary, reading)))
            return
    if any(not part.denied for part in reading.parts):
        return
    for look, senses in reading.fact_chips:
        # A "digital rear air control" is first of all a rear air control.
        called = vocabulary.parts_called(senses[0].fact) if look.endswith(senses[0].fact) else ()
        if called:
            reading.parts.append(PartSaid(senses[0].fact, called))
            return
    reading.left += [said for said, _ in reading.positions]
    left = [vocabulary.meant(word) for word in reading.left]
    used = [word for word in left if vocabulary.part_names([word])]
    strange = [word for word in left if word not in used and word not in EVERYDAY and word.isalpha()]
    for names, said in [] if strange else _named_by(used, vocabulary) or _named_of_no_place(used, vocabulary):
        words = [word for word, meant in zip(reading.left, left, strict=True) if meant in said]
        reading.parts.append(PartSaid(" ".join(words), names, joined=bool(reading.parts)))
    if all(part.denied for part in reading.parts):
        _hinted_from_left(left, vocabulary, reading)
    told = {word for part in reading.parts for word in part.said.split()}
    reading.left = [word for word in reading.left if word not in told]
    reading.positions = [each for each in reading.positions if each[0] not in told]
    reading.left = [word for word in reading.left if all(word != said for said, _ in reading.positions)]


def _named_of_no_place(words: Sequence[str], vocabulary: Vocabulary) -> list[tuple[tuple[str, ...], list[str]]]:
    """The same by words without those of a place, of a yard that has such parts of no place: "discs, front"."""
    places = [POSITIONS[word] for word in words if word in POSITIONS]
    found = _named_by([word for word in words if word not in POSITIONS], vocabulary)
    return [each for each in found if not any(contradicted((name,), places) for name in each[0])]


def _called_as_a_fact(names: tuple[str, ...], vocabulary: Vocabulary, reading: Reading) -> tuple[str, ...]:
    """Of the parts that a word may mean those that a fact is called by: a "short box" is a bed, all where none is."""
    facts = dict.fromkeys(sense.fact for _, senses in reading.fact_chips for sense in senses)
    own = {sense.value for fact in facts for sense in vocabulary.senses(fact)}
    return tuple(name for name in names if name in own) or names


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
    """A part of which only one word of its spoken name was said ("encoder"), where no other part has that word.

    The noun of a name beside a strange word is another part's, and so is what goes on in another way: a "sway bar" is
    no torsion bar, and a "steering column" no steering rack.
    """
    for at, (said, word) in enumerate(zip(reading.left, left, strict=True)):
        names = vocabulary.part_hinted(word)
        beside = [each for each in (*left[max(0, at - 1) : at], *left[at + 1 : at + 2]) if _names_a_part(each)]
        if vocabulary.is_noun(word) and any(set(names).isdisjoint(vocabulary.part_hinted(each)) for each in beside):
            continue
        if _goes_on(said, reading):
            continue
        if _names_a_part(word) and len(kinds_of(names, vocabulary)) == 1:
            reading.parts.append(PartSaid(said, names))
            return


def _goes_on(word: str, reading: Reading) -> bool:
    """True when another word that was left stands right behind a word."""
    behind = {after for before, after in pairwise(reading.said) if before == word}
    return any(each in reading.left and _names_a_part(each) for each in behind)


def _named_by(words: Sequence[str], vocabulary: Vocabulary) -> list[tuple[tuple[str, ...], list[str]]]:
    """The part names that some words stand in, with those words; of "front and rear bumper" for each place apart."""
    apart = [POSITIONS[word] for word in words if word in POSITIONS]
    opposed = [place for place in apart if opposite(place) in apart]
    groups = [[word for word in words if POSITIONS.get(word) != opposite(place)] for place in opposed] or [list(words)]
    named = [(vocabulary.part_names(group), group) for group in groups if any(map(_names_a_part, group))]
    return [(names, group) for names, group in named if names]
