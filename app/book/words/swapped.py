"""What a vehicle carries of another, said in other orders: "heavy frame swapped under my light", "light body on an 04
heavy frame, need a torsion bar", "has a 6.2 swapped in from a brae"."""

from __future__ import annotations

from dataclasses import dataclass, replace

from app.book.words.everyday import MOVED, ON_IT
from app.book.words.linereading import Noun, Reading
from app.book.words.meanings import PartSaid
from app.book.words.mention import Mention, Role
from app.book.words.mentions import ANOTHERS, IS, KEPT, MARKS, REPLACED
from app.book.words.spoken import Line
from app.fit.answers import Chip
from app.fit.terms import Group

_ON = frozenset("on onto in into under underneath beneath".split())
_FROM = frozenset(word for word, role in MARKS.items() if role is Role.DONOR)
_SAYING = frozenset("that i we he she they someone somebody it's it to been got gone my his her their your".split())


@dataclass
class _Way:
    """What stands behind a noun: what it came from, what it is on now, whether that is said with a word of moving."""

    source: Mention | None = None
    host: Mention | None = None
    on_it: bool = False
    moved: bool = False
    end: int = 0


def settle_swapped(line: Line, reading: Reading) -> None:
    """Let what a vehicle carries be of the vehicle that it is said to be of, where another part is asked for."""
    _settle_replaced(reading)
    if len(reading.mentions.all) < 2 or not reading.nouns:
        return
    pair = _pair_beside(line, reading)
    if pair is not None and any(_is_asked(each) and _noun_of(each, reading) is None for each in reading.parts):
        _settle_pair(line, *pair, reading)
        return
    for noun in reading.nouns:
        part = next((each for each in reading.parts if each.start == noun.start), None)
        if part is None or not (part.needed or part.denied):
            _settle(line, noun, part, reading)


def _settle_replaced(reading: Reading) -> None:
    """ "Reframed with a heavy": the word tells whose frame it is, where that is said; else it is left."""
    for word in [word for word in REPLACED if word in reading.left]:
        noun = REPLACED[word]
        told = next((each for each in reading.mentions.all if each.noun == noun and each.group is not None), None)
        if told is not None:
            reading.left.remove(word)
            told.chips.append(Chip(str(told.group), ANOTHERS, word))


def _settle(line: Line, noun: Noun, part: PartSaid | None, reading: Reading) -> None:
    before = reading.of_vehicles.get(noun.start - 1) if noun.start not in line.breaks else None
    way = _way(line, noun, reading)
    if before is not None and before.group is noun.group and way.source is not None:
        _join(before, way.source, reading)
        return
    owner = way.source or before
    if owner is None or owner.group is not None or owner is way.host:
        return
    if not any(_is_asked(each) for each in reading.parts if each is not part):
        return
    under = _noun_behind(way, reading)
    if under is not None and way.host is not None:
        _settle_pair(line, (owner, noun), (way.host, under), reading)
    elif way.host is not None:
        _carry(line, owner, noun, way.end, reading)
        way.host.role, way.host.group, way.host.noun = Role.TARGET, None, ""
    elif noun.look and before is not None and way.source is None:
        _carry_engine(line, before, noun, reading)
    elif way.source is not None and _is_told(owner, noun, way, reading):
        _carry(line, owner, noun, way.end, reading)


def _join(carried: Mention, source: Mention, reading: Reading) -> None:
    """ "On a heavy frame from a longwagon": both words are of one vehicle."""
    if source.role is Role.DONOR and source.group is None and carried.like(source):
        carried.or_is(source)
        reading.mentions.all = [each for each in reading.mentions.all if each is not source]


_Told = tuple[Mention, Noun]
"""A vehicle with the word behind it for what is of it."""


def _settle_pair(line: Line, one: _Told, other: _Told, reading: Reading) -> None:
    """A body of one vehicle and a frame of another: the body's is the customer's, whichever is on or under which."""
    (own, body), (carried, frame) = (one, other) if one[1].group is not Group.FRAME else (other, one)
    own.group, own.role = None, Role.TARGET
    own.chips = [chip for chip in own.chips if chip.value != ANOTHERS]
    reading.parts = [
        replace(each, mine=True, carried=None) if each.start == body.start else each for each in reading.parts
    ]
    if frame.start not in {each.start for each in reading.parts if each.carried is not None}:
        _carry(line, carried, frame, frame.stop, reading)


def _pair_beside(line: Line, reading: Reading) -> tuple[_Told, _Told] | None:
    """A body and a frame, each named right behind its own vehicle or said to be its; None where there are none."""
    groups = {noun.group: noun for noun in reading.nouns if not noun.look}
    if len(reading.nouns) != 2 or groups.keys() != {Group.BODY, Group.FRAME}:
        return None
    body, frame = groups[Group.BODY], groups[Group.FRAME]
    told = [(_whose(line, noun, reading), noun) for noun in (body, frame)]
    if told[0][0] is None or told[1][0] is None or told[0][0] is told[1][0]:
        return None
    return (told[0][0], body), (told[1][0], frame)


def _whose(line: Line, noun: Noun, reading: Reading) -> Mention | None:
    """The vehicle right before a word, or the one that it is said to be of: "body is an 08 longwagon"."""
    before = reading.of_vehicles.get(noun.start - 1) if noun.start not in line.breaks else None
    if before is not None:
        return before
    here = noun.stop
    while here < len(line.said) and (line.word(here) in IS or line.word(here) in KEPT):
        here += 1
    return reading.of_vehicles.get(here) if here > noun.stop else None


def _noun_of(part: PartSaid, reading: Reading) -> Noun | None:
    return next((each for each in reading.nouns if each.start == part.start), None)


def _is_asked(part: PartSaid) -> bool:
    # "On my 08 longwagon, grille" may be his own grille, or what he asks for.
    return (part.asked_for or part.mine) and not part.with_it and part.carried is None


def _is_told(owner: Mention, noun: Noun, way: _Way, reading: Reading) -> bool:
    """Whether it is on the customer's, said before: "swapped in from", "off a heavy under it", "…, need a hub"."""
    needed = any(each.needed and each.start > noun.start for each in reading.parts)
    if way.moved or way.on_it:
        return any(each is not owner and each.group is None and not each.vague for each in reading.mentions.all)
    mine = reading.mentions.all[0]
    said_before = mine is not owner and any(reading.of_vehicles.get(at) is mine for at in range(noun.start))
    return said_before and needed and not noun.look


def _way(line: Line, noun: Noun, reading: Reading) -> _Way:
    """What is said behind a noun, up to the first word that says something else."""
    way, here, on, said = _Way(end=noun.stop), noun.stop, False, False
    while here < len(line.said) and here not in line.breaks:
        word, mention = line.word(here), reading.of_vehicles.get(here)
        if mention is not None and on:
            way.host = mention
            return way
        if mention is not None and (not said or (way.source is not None and way.source is not mention)):
            return way
        if mention is not None:
            way.source = mention
        elif on and word in ON_IT:
            way.on_it = True
            return way
        elif word in _ON or word in _FROM:
            on, said = word in _ON, said or word in _FROM
        elif word in IS or word in MOVED:
            said, way.moved = True, way.moved or word in MOVED or word in ("swapped", "switched")
            way.end = here + 1 if way.source is None else way.end
        elif word not in KEPT and word not in _SAYING:
            return way
        here += 1
    return way


def _carry_engine(line: Line, owner: Mention, noun: Noun, reading: Reading) -> None:
    """ "08 light longwagon, running a brae 6.2": the engine is that of the other; not so for "or a brae 6.2"."""
    mine = reading.mentions.all[0]
    start = min(at for at, mention in reading.of_vehicles.items() if mention is owner)
    other = owner is not mine and owner.role is Role.OPEN and mine.named and not mine.like(owner)
    if other and "or" not in line.meant[max(0, start - 2) : start]:
        _carry(line, owner, noun, noun.stop, reading)


def _noun_behind(way: _Way, reading: Reading) -> Noun | None:
    """The word right behind the vehicle on which something is: "on an 04 heavy frame"."""
    places = [at for at, mention in reading.of_vehicles.items() if mention is way.host] if way.host else []
    return next((each for each in reading.nouns if places and each.start - 1 in places and not each.look), None)


def _carry(line: Line, owner: Mention, noun: Noun, end: int, reading: Reading) -> None:
    """What the noun says is the owner's, and the customer's vehicle carries it."""
    owner.role, owner.group = Role.CARRIED, noun.group
    words = [word for word in line.said[noun.stop : end] if word in reading.left]
    for word in words:
        reading.left.remove(word)
    part = next((each for each in reading.parts if each.start == noun.start), None)
    if part is not None and not noun.look:
        said = " ".join((part.said, *words))
        reading.parts = [replace(each, said=said, carried=owner) if each is part else each for each in reading.parts]
        return
    said = line.words(noun.start, noun.stop - noun.start)
    if said in reading.left:
        reading.left.remove(said)
    owner.chips.append(Chip(str(noun.group), ANOTHERS, " ".join((said, *words))))
