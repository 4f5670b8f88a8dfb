"""What is wanted in "what would it take", read from words: one thing or several, their sides, off which vehicles."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from sqlalchemy import select

from app.book.asking import ask
from app.book.schema import PartType
from app.book.work import Book, Who
from app.errors import BadInput
from app.fit.answers import Asked
from app.fit.terms import Group, Side

_APART = re.compile(r"\s*(?:\+|,|&|\band\b|\bplus\b)\s*")
_WHOLE_END = re.compile(r"\b(front|rear)\s+(?:end|suspension|axle parts)\b")
_OF_END = {"front": ("front ", "steering "), "rear": ("rear ",)}
"""How the names of part types begin that belong to an end; what steers is in front (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One thing wanted: its name, the part types that would be it, its side, and the models it must come off.

    `wants` are requirements on the part ("axle ratio=3.73"), `facts` what its words say of the vehicle.
    """

    name: str
    part_types: tuple[str, ...]
    side: Side = Side.NONE
    off: tuple[str, ...] = ()
    wants: tuple[str, ...] = ()
    facts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Asking:
    """What is the same for every need: the book, who asks, for which vehicle and on which day."""

    book: Book
    who: Who
    vehicle: str
    facts: Mapping[str, str]
    on: date | None


def readings(asking: Asking, words: str, part: str) -> Iterator[tuple[str, list[Wanted]]]:
    """Each way the words can be read: as the parts they name, by each meaning, and as a whole end."""
    said = [_understood(asking, piece, part) for piece in _pieces(asking, words, part)]
    off = tuple(dict.fromkeys(model for each in said for model in each.models))
    named = [_wanted(asking.book, each, off) for each in said if each.part_types]
    open_words = [each for each in said if not each.part_types and each.meanings]
    if open_words:
        first = open_words[0]
        for choice in first.meanings[0].choices:
            types = _understood(asking, "", choice).part_types
            yield choice, [*named, replace(_wanted(asking.book, first, off, types), name=choice)]
    end = _WHOLE_END.search(words.lower())
    if named and not open_words:
        yield " + ".join(each.name for each in named), named
    elif not named and not open_words and not end:
        raise BadInput(
            f"{words!r} names no part", "Say which part, such as: heavy front lower control arm.", place="words"
        )
    if end and not part:
        facts = {fact: value for each in said for fact, value in each.facts.items()}
        yield (
            f"everything of the {end.group(1)} under the frame",
            _whole_end(asking.book, end.group(1), Asked(words, models=off, facts=facts)),
        )


def not_understood(asking: Asking, words: str, part: str) -> tuple[str, ...]:
    """The words of what is wanted, and of the vehicle, that mean nothing to the yard.

    How many of a thing are wanted is no matter here, besides a pair of what has sides.
    """
    said = [_understood(asking, piece, part) for piece in (*_pieces(asking, words, part), asking.vehicle)]
    end = _WHOLE_END.search(words.lower())
    heard = set(end.group().split()) if end else set()
    left = [*_counted(asking.book, said), *(word for each in said for word in each.not_understood)]
    return tuple(dict.fromkeys(word for word in left if word not in heard))


def _counted(book: Book, said: Sequence[Asked]) -> Iterator[str]:
    with book.read() as session:
        sided = set(session.scalars(select(PartType.name).where(PartType.sided)))
    for each in said:
        if (each.quantity or 1) > (2 if sided.issuperset(each.part_types) else 1):
            yield from (chip.said for chip in each.chips if chip.field == "pieces")


def _pieces(asking: Asking, words: str, part: str) -> list[str]:
    """The words for each thing; what names no part by itself ("left and right arms") goes with what follows it."""
    found: list[str] = []
    held = ""
    # Between the pieces stand the words that keep them apart.
    every = _cut(words.strip(), _names_in_pieces(asking.book))
    for piece, mark in zip(every[::2], [*every[1::2], ""], strict=True):
        held += piece
        asked = _understood(asking, held, part) if held else None
        if asked is not None and (asked.part_types or asked.meanings):
            found.append(held)
            held = ""
        elif held:
            held += mark
    return [*found[:-1], " ".join((*found[-1:], held))] if held else found


def _cut(words: str, whole: Sequence[str]) -> list[str]:
    """Words cut where several things are kept apart, with what keeps them apart between; names stay `whole`."""
    spans = [found.span() for name in whole for found in re.finditer(re.escape(name), words, re.IGNORECASE)]
    every, start = [], 0
    for mark in _APART.finditer(words):
        if not any(first <= mark.start() and mark.end() <= last for first, last in spans):
            every += [words[start : mark.start()], mark.group()]
            start = mark.end()
    return [*every, words[start:]]


def _names_in_pieces(book: Book) -> list[str]:
    """The part types in whose own names there is what keeps things apart: "fuel tank, behind axle"."""
    with book.read() as session:
        return [name for name in session.scalars(select(PartType.name)) if _APART.search(name)]


def _wanted(book: Book, asked: Asked, off: tuple[str, ...], types: tuple[str, ...] = ()) -> Wanted:
    """A thing as it was said: what parts of the kind are told apart by is asked of the part, the rest is the vehicle's.

    Off certain models all of it is asked of the part.
    """
    types = asked.part_types or types
    from_models = asked.models or off
    told_by = _told_apart_by(book, types)
    of_part = {fact: value for fact, value in asked.facts.items() if from_models or fact in told_by}
    wants = (*asked.wants, *(f"{fact}={value}" for fact, value in of_part.items()))
    facts = {fact: value for fact, value in asked.facts.items() if fact not in of_part}
    return Wanted(_name(book, types), types, asked.side, from_models, wants, facts)


def _told_apart_by(book: Book, types: Sequence[str]) -> set[str]:
    with book.read() as session:
        rows = session.scalars(select(PartType.look_for).where(PartType.name.in_(types)))
        return {str(fact) for row in rows for fact in row}


def _understood(asking: Asking, words: str, part: str) -> Asked:
    return ask(asking.book, asking.who, words, part=part, on=asking.on, keep=False).asked


def _name(book: Book, types: Sequence[str]) -> str:
    """A thing that several part types would be, by the wider name they share."""
    with book.read() as session:
        wider = set(session.scalars(select(PartType.wider).where(PartType.name.in_(types))))
    shared = wider.pop() if len(wider) == 1 else ""
    return shared if len(types) > 1 and shared else " or ".join(types[:3])


def _whole_end(book: Book, end: str, asked: Asked) -> list[Wanted]:
    """Every part type of the frame group that is named by that end of the vehicle, and what holds one of these.

    Types that are asked for under one wider name are one thing. What the rules name besides comes with each part.
    """
    with book.read() as session:
        rows = session.scalars(select(PartType).where(PartType.group == Group.FRAME).order_by(PartType.name)).all()
    named = [row for row in rows if row.name.startswith(_OF_END[end])]
    before = {other for row in named for other in row.comes_off_after}
    things: dict[str, list[str]] = {}
    for row in rows:
        if row in named or row.name in before:
            things.setdefault(row.wider or row.name, []).append(row.name)
    return [_of_the_end(book, tuple(types), asked) for types in things.values()]


def _of_the_end(book: Book, types: tuple[str, ...], asked: Asked) -> Wanted:
    """One thing of an end: of what was said of all of it only that is asked by which its parts are told apart."""
    told_by = _told_apart_by(book, types)
    facts = {fact: value for fact, value in asked.facts.items() if fact in told_by}
    return _wanted(book, replace(asked, facts=facts), (), types)
