"""Two vehicles held against each other: "which mounts line up between the half-ton and the three-quarter?"."""

from __future__ import annotations

from app.book.words.linereading import Reading
from app.book.words.spoken import Line
from app.book.words.vocabulary import MODEL_FACTS, Vocabulary
from app.fit.answers import Chip

BENCH = "bench"
"""Field of the chip of a question that the bench answers."""
COMPARING = frozenset({"between", "compare"})
"""Words behind which two vehicles may be held against each other."""
_SKIPPED = frozenset("a an the my our his this that".split())
_LINKS = frozenset({"and", "with", "to", "vs", "versus"})
_TRAITS = frozenset({"name", "make", "model"})
_Traits = dict[str, set[str]]


def compared(line: Line, at: int, vocabulary: Vocabulary, reading: Reading) -> int:
    """ "Between the half-ton and the three-quarter": no part is asked for; gives the words it took."""
    if line.word(at) not in COMPARING:
        return 0
    end, first = _vehicle(line, at + 1, vocabulary)
    if not first or line.word(end) not in _LINKS:
        return 0
    after, second = _vehicle(line, end + 1, vocabulary)
    if not any(first[trait].isdisjoint(second[trait]) for trait in first.keys() & second.keys()):
        return 0
    said = line.words(at, after - at)
    reading.chips.append(Chip(BENCH, "two vehicles are compared at the bench", said))
    return after - at


def _vehicle(line: Line, at: int, vocabulary: Vocabulary) -> tuple[int, _Traits]:
    """The traits of the vehicle said from a place on, and where it ends."""
    traits: _Traits = {}
    while at < len(line.said):
        found = vocabulary.senses_at(line.bare, at)[:1]
        named = [each for each in found[0][1] if each.field in _TRAITS or each.fact in MODEL_FACTS] if found else []
        for sense in named:
            traits.setdefault(sense.fact or sense.field, set()).add(sense.value)
        if not named and not (line.word(at) in _SKIPPED or line.said[at].lstrip("'").isdigit()):
            break
        at += found[0][0] if named else 1
    return at, traits
