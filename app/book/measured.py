"""Bare figures, told by the very choices of facts: "12.0 brakes", "alternator 145"; and the parts they stand before."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import replace

from app.book.linereading import Bare, Reading
from app.book.meanings import value_of
from app.book.schema import Fact, FactKind
from app.book.spoken import Line, figure
from app.book.vocabulary import Sense, Vocabulary
from app.fit.answers import Chip

_BARE = re.compile(r"^(?:[0-9]*\.[0-9]+|[0-9]{3,4})$")
_MEASURED = (FactKind.LENGTH, FactKind.NUMBER)


def bare(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A figure of which nothing says what it is of: with a decimal, or of three or four digits."""
    del vocabulary
    if not _BARE.match(line.said[at]):
        return 0
    reading.bare.append(Bare(line.said[at], line.word(at + 1), at + 1))
    reading.figure_end = at + 1
    return 1


def named_figure(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Clutch plate is 8 1/2 inches", "door length 1150": the name of what was measured or counted, and the figure."""
    for size in range(min(vocabulary.longest_fact, len(line.said) - at), 0, -1):
        fact = vocabulary.facts.get(" ".join(line.meant[at : at + size]))
        if fact is None or fact.kind not in (*_MEASURED, FactKind.COUNT):
            continue
        here = at + size
        while line.word(here) in _READS:
            here += 1
        value, more = _choice_at(line, here, fact, vocabulary) or _figure_at(line, here, fact)
        if more:
            reading.facts[fact.name] = value
            reading.chips.append(Chip(fact.name, value, line.words(at, here + more - at)))
        return here + more - at if more else 0
    return 0


def _choice_at(line: Line, at: int, fact: Fact, vocabulary: Vocabulary) -> tuple[str, int] | None:
    """A choice of the fact as it is said at a place, and in how many words: "three forty-two" for 3.42."""
    for size, senses in vocabulary.senses_at(line.bare, at):
        for sense in senses:
            if sense.fact == fact.name:
                return sense.value, size
    return None


def _figure_at(line: Line, at: int, fact: Fact) -> tuple[str, int]:
    """A figure at a place in the unit of the fact, and in how many words; none where it is of another."""
    found = figure(line, at) if at < len(line.said) else None
    if found is None or (found.unit and found.unit != fact.unit and fact.kind is not FactKind.LENGTH):
        return "", 0
    written = found if found.unit or found.fraction else replace(found, unit=fact.unit)
    return value_of(fact, written), found.size


_READS = frozenset("is are of about reads measures was at say".split())


def sized(line: Line, start: int, vocabulary: Vocabulary, reading: Reading) -> Sense | None:
    """What the figure right before a part's noun is of, by a fact of that noun: "12.0 brakes" are of a brake size."""
    if start == 0 or reading.figure_end != start or start in line.breaks:
        return None
    here = reading.bare[-1].text if reading.bare and reading.bare[-1].end == start else ""
    text = here or (reading.figures[-1][0].text if reading.figures else "")
    return next((sense for sense in vocabulary.measuring(text) if _called(sense, line.word(start))), None)


def settle_bare(vocabulary: Vocabulary, reading: Reading, looked_at: Collection[str]) -> None:
    """A bare figure is of the one fact of the part that has such a choice, else of that of the noun behind it."""
    for each in reading.bare:
        every = vocabulary.measuring(each.text)
        found = [sense for sense in every if sense.fact in looked_at]
        if len(found) != 1:
            found = [sense for sense in found or every if _called(sense, each.noun)]
        if len(found) != 1 or found[0].fact in reading.facts:
            reading.left.append(each.text)
            continue
        reading.facts[found[0].fact] = found[0].value
        reading.chips.append(Chip(found[0].fact, found[0].value, each.text))


def _called(sense: Sense, noun: str) -> bool:
    """True for a fact in whose name a noun stands."""
    return bool(noun) and not {noun, noun.removesuffix("s")}.isdisjoint(sense.fact.split())
