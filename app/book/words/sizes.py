"""Figures that are said together: "31 1/2 by 17" of a glass, "5 on 4.5" of a wheel."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from app.book.words.linereading import Reading
from app.book.words.spoken import Figure
from app.book.words.vocabulary import Vocabulary
from app.fit.answers import Chip
from app.fit.terms import FactKind
from app.fit.values import same

_WAYS = ("length", "width", "height")
_INCHES = ("", "in")


def settle_sizes(vocabulary: Vocabulary, reading: Reading, looked_at: Collection[str]) -> None:
    """What figures said together are of, by the facts that the part is looked at for; else they are not understood."""
    for sizes, said in reading.sizes:
        told = list(_by_ways(vocabulary, sizes, looked_at)) or _on_circle(vocabulary, sizes, looked_at)
        for name, value in told:
            reading.facts[name] = value
            reading.chips.append(Chip(name, value, said))
        if not told:
            reading.left += said.split()


def _by_ways(vocabulary: Vocabulary, sizes: Sequence[Figure], looked_at: Collection[str]) -> Iterator[tuple[str, str]]:
    """ "31 1/2 by 17" is length by width of what has just one of each."""
    for found, way in zip(sizes, _WAYS, strict=False):
        facts = [name for name in looked_at if name.endswith(f" {way}") and vocabulary.facts[name].unit == "in"]
        if len(facts) == 1 and found.unit in _INCHES:
            yield facts[0], f"{found.text} in"


def _on_circle(vocabulary: Vocabulary, sizes: Sequence[Figure], looked_at: Collection[str]) -> list[tuple[str, str]]:
    """ "5 on 4.5" is how many on what length, where one fact of each kind has such a choice; else nothing."""
    if len(sizes) != 2 or sizes[0].unit or sizes[1].unit not in _INCHES:
        return []
    found = [
        _choices(vocabulary, kind, size, looked_at)
        for kind, size in zip((FactKind.COUNT, FactKind.LENGTH), sizes, strict=True)
    ]
    return [each[0] for each in found] if all(len(each) == 1 for each in found) else []


def _choices(vocabulary: Vocabulary, kind: FactKind, size: Figure, looked_at: Collection[str]) -> list[tuple[str, str]]:
    """The facts of a kind that have a figure among their choices, each with that choice."""
    facts = [vocabulary.facts[name] for name in looked_at if vocabulary.facts[name].kind == kind]
    return [
        (fact.name, str(choice))
        for fact in facts
        for choice in fact.choices
        if same(f"{size.text} {fact.unit}".strip(), str(choice))
    ]
