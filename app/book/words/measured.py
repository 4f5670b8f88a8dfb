"""Bare figures, told by the very choices of facts: "12.0 brakes", "alternator 145"; and the parts they stand before."""

from __future__ import annotations

import re
from collections.abc import Collection

from app.book.words.linereading import Bare, Reading
from app.book.words.spoken import Line
from app.book.words.vocabulary import Sense, Vocabulary
from app.fit.answers import Chip
from app.fit.terms import FactKind

_BARE = re.compile(r"^(?:[0-9]*\.[0-9]+|[0-9]{3,4}|[0-9]{2,4}s)$")


def bare(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """A figure of which nothing says what it is of: with a decimal, or of three or four digits."""
    del vocabulary
    if not _BARE.match(line.said[at]):
        return 0
    reading.bare.append(Bare(line.said[at], line.word(at + 1), at + 1))
    reading.figure_end = at + 1
    return 1


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
        # "The 180s" are of 180.
        every = vocabulary.measuring(each.text.removesuffix("s"))
        found = [sense for sense in every if sense.fact in looked_at]
        if len(found) != 1:
            found = [sense for sense in found or every if _called(sense, each.noun)]
        found = found or _by_noun(each, vocabulary, looked_at)
        if len(found) != 1 or found[0].fact in reading.facts:
            reading.left.append(each.text)
            continue
        reading.facts[found[0].fact] = found[0].value
        reading.chips.append(Chip(found[0].fact, found[0].value, each.text))


def _by_noun(each: Bare, vocabulary: Vocabulary, looked_at: Collection[str]) -> list[Sense]:
    """ "36.8 spread" of a part of which one spread is looked at, without a list of those there are."""
    facts = (vocabulary.facts[name] for name in looked_at if each.noun and name.endswith(f" {each.noun}"))
    own = [fact for fact in facts if fact.kind is FactKind.LENGTH and not fact.choices]
    return [Sense("fact", f"{each.text} {fact.unit}", fact.name) for fact in own]


def _called(sense: Sense, noun: str) -> bool:
    """True for a fact in whose name a noun stands."""
    return bool(noun) and not {noun, noun.removesuffix("s")}.isdisjoint(sense.fact.split())
