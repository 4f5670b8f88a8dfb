"""A fact called by its name with its value, as on a form: "hub plug square", "rack turns 3.1", "control: lever"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from app.book.schema import Fact
from app.book.words.everyday import EVERYDAY, FILLER, SIDES
from app.book.words.figures import figure
from app.book.words.leftwords import of_two_sizes
from app.book.words.linereading import Reading
from app.book.words.meanings import value_of
from app.book.words.spoken import Figure, Line
from app.book.words.vocabulary import Sense, Vocabulary, joined
from app.fit.lengths import MM_PER
from app.fit.terms import FactKind

_FIGURES = (FactKind.LENGTH, FactKind.NUMBER, FactKind.COUNT)
_YEARS = frozenset(map(str, range(1950, 2051)))
"""Figures that are first of all years."""
_BETWEEN = frozenset({"is", "are", "of", "about", "reads", "measures", "was", "at", "say", "="})
"""Words that may stand between a name and its value."""


def named_fact(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A name with its value behind it; a part's noun in the name asks for no part then."""
    for size, fact in vocabulary.facts_at(line.bare, at):
        behind = at + size
        while line.word(behind) in _BETWEEN:
            behind += 1
        value, taken = _value_at(line, behind, fact, vocabulary)
        if taken:
            _keep(line, range(at, behind + taken), Sense("fact", value, fact.name), reading)
            reading.phrases += line.meant[at : at + size]
            return behind + taken - at
    return 0


def figure_of_fact(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """The same with its figure first: "36.9 in frame spread"; a name with a figure of its own behind it has that."""
    found = figure(line, at)
    if found is None or not found.unit:
        return 0
    behind = at + found.size
    for size, fact in vocabulary.facts_at(line.bare, behind) if behind not in line.breaks else ():
        if fact.kind in _FIGURES and _is_of(fact, found.unit) and figure(line, behind + size) is None:
            _keep(line, range(at, behind + size), Sense("fact", value_of(fact, found), fact.name), reading)
            reading.phrases += line.meant[behind : behind + size]
            return found.size + size
    return 0


def _keep(line: Line, span: range, sense: Sense, reading: Reading) -> None:
    said = line.words(span.start, len(span))
    (reading.off_facts if reading.mentions.fact() else reading.fact_chips).append((said, (sense,)))


def called_with_value(line: Line, span: range, vocabulary: Vocabulary) -> tuple[Sense | None, int]:
    """The fact that is called like a part, where a choice of it stands right behind the part, and how many words.

    "Engine 5.1", "bed short".
    """
    name = "".join(line.bare[span.start : span.stop])
    fact = vocabulary.fact_called_like_part(name) if span.stop not in line.breaks else None
    if fact is None:
        return None, 0
    value, taken = _value_at(line, span.stop, fact, vocabulary)
    # Another figure is no value of it: "two cushions 2009".
    listed = taken and value in map(str, fact.choices)
    return (Sense("fact", value, fact.name), taken) if listed else (None, 0)


def _value_at(line: Line, at: int, fact: Fact, vocabulary: Vocabulary) -> tuple[str, int]:
    """The value of a fact that begins at a word, and how many words it takes; 0 where none does."""
    if fact.kind in _FIGURES:
        if listed := _choice_said(line, at, fact, vocabulary):
            return listed
        longer = any(size > 1 for size, _ in vocabulary.senses_at(line.bare, at))
        if not longer and (size := of_two_sizes(line.word(at), fact)):
            return size, 1
        found = figure(line, at)
        if found is not None and not _is_of(fact, found.unit) and line.said[at] == found.text:
            # "Ring teeth 52 cold amps needed 650": the unit begins another name.
            found = Figure(found.text, "", 1)
        if found is None or not _is_of(fact, found.unit):
            return "", 0
        value = value_of(fact, found if found.unit or found.fraction else replace(found, unit=fact.unit or ""))
        led = len(found.text) > 1 and found.text[0] == "0" and found.text.isdigit()
        a_year = (found.text in _YEARS or led) and value not in map(str, fact.choices)
        return ("", 0) if a_year else (value, found.size)
    return max(_choices_at(line, at, fact), key=lambda each: each[1], default=_choice_of_word(line, at, fact))


def _choice_said(line: Line, at: int, fact: Fact, vocabulary: Vocabulary) -> tuple[str, int] | None:
    """A figure of a closed list as people say it, and in how many words: "three forty-two" for 3.42."""
    for size, senses in vocabulary.senses_at(line.bare, at):
        for sense in senses:
            if sense.fact == fact.name:
                return sense.value, size
    return None


def _choice_of_word(line: Line, at: int, fact: Fact) -> tuple[str, int]:
    """The only choice in which the word at a place stands: "glass tint privacy" of "privacy grey"."""
    word = line.word(at)
    if not word.isalpha() or word in FILLER or word in EVERYDAY or word in SIDES:
        return "", 0
    found = [choice for choice in map(str, fact.choices) if word in choice.lower().replace("-", " ").split()]
    return (found[0], 1) if len(found) == 1 else ("", 0)


def _choices_at(line: Line, at: int, fact: Fact) -> Iterator[tuple[str, int]]:
    for choice in map(str, fact.choices):
        key, said = joined(choice.replace(",", " ")), ""
        for size, word in enumerate(line.bare[at:], 1):
            said += word
            if said == key:
                yield choice, size
            if not key.startswith(said):
                break


def _is_of(fact: Fact, unit: str) -> bool:
    """Whether a figure in a unit, or in none, may be of a fact."""
    return unit in ("", fact.unit or "") or (fact.kind is FactKind.LENGTH and unit in MM_PER)
