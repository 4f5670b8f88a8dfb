"""Which part is asked for, once a line was heard: the others are facts, or are shown beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from app.book.words.compared import BENCH
from app.book.words.counted import AND
from app.book.words.denied import DENIALS
from app.book.words.everyday import EVERYDAY, POSITIONS, SEATS
from app.book.words.fromleft import name_from_left
from app.book.words.linereading import Reading
from app.book.words.meanings import (
    PartSaid,
    asked_with,
    at_places,
    called_so,
    chosen_part,
    contradicted,
    kinds_of,
    narrowed,
    of_both_places,
    of_seat,
    of_side,
)
from app.book.words.mention import Role
from app.book.words.mentions import ANOTHERS, IS
from app.book.words.vocabulary import Sense, Vocabulary
from app.fit.answers import Chip, Meaning
from app.fit.terms import FactKind


def settle_parts(vocabulary: Vocabulary, reading: Reading) -> tuple[str, ...]:
    """The part types meant: a clear name wins over an ambiguous word; a wider name covers all its kinds."""
    if any(chip.field == BENCH for chip in reading.chips):
        set_aside(0, reading)
        return ()
    name_from_left(vocabulary, reading)
    _fold_whole(vocabulary, reading)
    _tell_whose(reading)
    _name_others(vocabulary, reading)
    asked = _asked(vocabulary, reading)
    if asked is None:
        return ()
    asked = _narrower(asked, vocabulary, reading)
    beside = asked_with(asked, reading.parts)
    if not asked.counted and any(each.with_it and each.counted for each in reading.parts):
        _leave_count(reading)
    if reading.quantity is not None and not asked.counted and (counted := [each for each in beside if each.counted]):
        # "Grille, hood, both headlights": what is counted is answered.
        asked, beside = counted[0], [asked, *(each for each in beside if each is not counted[0])]
    if asked.pieces:
        _count_only(asked, reading)
    _tell_denied_looks(asked, vocabulary, reading)
    for each in reading.parts:
        if each is not asked and not any(each is other for other in beside):
            _keep_beside(each, asked, reading)
    if asked.carried is not None:
        asked.carried.group = None
        if asked.carried.role is Role.CARRIED:
            asked.carried.role = Role.DONOR
    types = list(_settle_part(asked, vocabulary, reading))
    for each in beside:
        if reading.meanings and _kinds(each, vocabulary, reading)[1:]:
            # One word at a time is asked back.
            _leave(each, reading)
        elif reading.quantity is not None:
            # A count is of one part.
            _keep_beside(each, asked, reading)
        else:
            types += _settle_part(each, vocabulary, reading)
    _drop_seat(types, vocabulary, reading)
    _leave_denied_side(types, vocabulary, reading)
    return tuple(dict.fromkeys(types))


def _asked(vocabulary: Vocabulary, reading: Reading) -> PartSaid | None:
    """The part asked for; None where it is one that the yard has no word for, and all that was named is shown."""
    asked = chosen_part(reading.parts, vocabulary)
    # "The one with the torsion bar in it" only says which one.
    only_told = asked is not None and asked.told and asked.with_it
    if asked is not None and (only_told or _is_beside_a_strange_part(asked, vocabulary, reading)):
        set_of_vehicle_aside(reading)
        asked = chosen_part([part for part in reading.parts if part.asked_for], vocabulary)
    elif asked is not None and asked.place and reading.lacking and reading.lacking not in " ".join(asked.names).split():
        # "Need a seal for the transmission"; glass for the sunroof is the sunroof glass.
        reading.chips.append(Chip("beside", asked.names[0], asked.said))
        reading.parts = [part for part in reading.parts if part is not asked]
        asked = None
    if asked is None:
        set_aside(0, reading)
    return asked


def _tell_whose(reading: Reading) -> None:
    """ "The frame is a heavy's" tells what the vehicle carries, where another part is asked for."""
    told = {each.noun: each for each in reading.mentions.all if each.noun and each.group is not None}
    reading.parts = [
        replace(each, carried=told[noun]) if each.carried is None and (noun := _noun_of(each.said)) in told else each
        for each in reading.parts
    ]
    words = [word for word in reading.left if word in IS] if told else []
    if words:
        mention = next(iter(told.values()))
        mention.chips.append(Chip(str(mention.group), ANOTHERS, " ".join(words)))
        reading.left = [word for word in reading.left if word not in IS]


def _noun_of(said: str) -> str:
    return said.lower().removesuffix("'s")


def _fold_whole(vocabulary: Vocabulary, reading: Reading) -> None:
    """ "Complete" beside another part says how much of that is wanted, and is no part itself."""
    for whole in [each for each in reading.parts if each.said in _WHOLE]:
        others = [each for each in reading.parts if each.asked_for and each.said not in _WHOLE]
        if others and not any(_types(each, vocabulary) & _types(whole, vocabulary) for each in others):
            reading.parts = [each for each in reading.parts if each is not whole]
            reading.chips.append(Chip("beside", whole.said, whole.said))


def _name_others(vocabulary: Vocabulary, reading: Reading) -> None:
    """Name what is asked for with the only part that was named, where it is not called by its own name.

    "Short bed … and the tailgate too", "a seat and bracket" of a yard that has seat brackets.
    """
    asked = [each for each in reading.parts if each.asked_for and not each.strange]
    if len(asked) != 1 or AND.isdisjoint(reading.said):
        return
    at = _place(asked[0].said, reading)
    behind = _linked_behind(asked[0], at, vocabulary, reading)
    before = _called_before(at, vocabulary, reading) if _TOO.intersection(reading.said[at:]) else None
    if behind is not None:
        reading.parts.append(behind)
    elif before is not None:
        reading.parts = [before, *(replace(each, joined=each.joined or each in asked) for each in reading.parts)]


_TOO = frozenset({"too", "well"})


def _place(said: str, reading: Reading) -> int:
    """Where the first of some words stands in the line; -1 where it was said otherwise."""
    first = said.split()[0]
    return reading.said.index(first) if first in reading.said else -1


def _called_before(at: int, vocabulary: Vocabulary, reading: Reading) -> PartSaid | None:
    """The part that a look said before a place, with an "and" behind it, is called by: a "short bed" is a bed."""
    for said, senses in reading.fact_chips:
        start = _place(said, reading)
        names = vocabulary.parts_called(senses[0].fact)
        if names and 0 <= start < at and not AND.isdisjoint(reading.said[start:at]):
            return PartSaid(said, names)
    return None


def _linked_behind(asked: PartSaid, at: int, vocabulary: Vocabulary, reading: Reading) -> PartSaid | None:
    """The part right behind a part and an "and", by the one word that tells it from that: "seat and bracket"."""
    here = at + len(asked.said.split())
    if at < 0 or here >= len(reading.said) or reading.said[here] not in AND:
        return None
    here += 1 + (reading.said[here + 1 : here + 2] in (("a",), ("the",)))
    word = vocabulary.meant(reading.said[here]) if here < len(reading.said) else ""
    own = {each for name in (asked.said, *asked.names) for each in name.split()}
    names = vocabulary.part_hinted(word) if reading.left.count(word) == 1 else ()
    alike = tuple(name for name in names if word in name.split() and not own.isdisjoint(name.split()))
    if len(alike) != 1:
        return None
    reading.left.remove(word)
    return PartSaid(word, alike, joined=True)


_WHOLE = frozenset({"complete", "whole", "entire", "assembly"})


def _count_only(asked: PartSaid, reading: Reading) -> None:
    """What is counted is the part that is answered; a count of another one is shown beside it."""
    reading.quantity = asked.pieces
    for at, chip in enumerate(reading.chips):
        if chip.field == "pieces" and chip.value != str(asked.pieces):
            reading.chips[at] = Chip("beside", f"{chip.value} of another part", chip.said)


def _leave_count(reading: Reading) -> None:
    """The count of what comes with the part: "a nose with both headlights" is one nose."""
    reading.quantity = None
    reading.chips = [
        Chip("beside", f"{chip.value} of another part", chip.said) if chip.field == "pieces" else chip
        for chip in reading.chips
    ]


def _tell_denied_looks(asked: PartSaid, vocabulary: Vocabulary, reading: Reading) -> None:
    """A "seat, no bag" has no seat airbag, where that is what a yes or no of the part is called by."""
    every = [part for part in reading.parts if part.denied]
    if not every:
        return
    own = {word for name in asked.names for word in name.split()}
    looks = [vocabulary.facts[name] for name in sorted(vocabulary.looked_at(_types(asked, vocabulary)))]
    for each in every:
        denied = {word for name in each.names for word in name.split()}
        told = [look.name for look in looks if look.kind is FactKind.YES_NO and _is_called(look.name, own, denied)]
        if told:
            reading.fact_chips.append((each.said, (Sense("fact", "no", told[0]),)))
            reading.parts = [part for part in reading.parts if part is not each]


def _is_called(look: str, own: set[str], denied: set[str]) -> bool:
    *first, last = look.split()
    return bool(first) and last in denied and own >= {*first}


def _is_beside_a_strange_part(asked: PartSaid, vocabulary: Vocabulary, reading: Reading) -> bool:
    """True for a figure that tells of the vehicle too, beside a word that may be a part's: "starter for the 5.1"."""
    if not asked.facts or any(letter.isalpha() for letter in asked.said):
        return False
    own = {word for name in _types(asked, vocabulary) for word in name.replace(",", " ").split()}
    left = [vocabulary.meant(word) for word in reading.left if word.isalpha()]
    another = any(vocabulary.is_noun(word) and word not in own for word in left)
    return another or any(word not in EVERYDAY and not vocabulary.part_names([word]) for word in left)


def _narrower(asked: PartSaid, vocabulary: Vocabulary, reading: Reading) -> PartSaid:
    """The part by the only name inside its wider one that was said too: "gearbox, the five speed"; else as it is."""
    wide = _types(asked, vocabulary)
    free = [each for each in reading.parts if each.asked_for and not (each.joined or each.strange or each.with_it)]
    others = [each for each in free if each is not asked]
    inside = [each for each in others if not asked.joined and _types(each, vocabulary) < wide]
    if len(inside) != 1:
        return asked
    reading.parts = [each for each in reading.parts if each is not asked]
    reading.chips.append(Chip("beside", asked.names[0], asked.said))
    return inside[0]


def _types(said: PartSaid, vocabulary: Vocabulary) -> set[str]:
    return {name for kind in kinds_of(said.names, vocabulary) for name in kind}


def set_aside(since: int, reading: Reading) -> None:
    """Parts from one on, of which none is asked for: what they tell of the vehicle is kept, the others are shown."""
    for part in reading.parts[since:]:
        if part.facts or part.carried is not None:
            _keep_beside(part, None, reading)
        else:
            reading.left += part.said.split()
    del reading.parts[since:]


def set_of_vehicle_aside(reading: Reading) -> None:
    """What words of a vehicle tell of it though they are a part's name too: its frame, or its 6.2 engine."""
    told = [each for each in reading.parts if each.facts or each.carried is not None]
    for each in told:
        _keep_beside(each, None, reading)
    reading.parts = [each for each in reading.parts if each not in told]


def _drop_seat(types: Sequence[str], vocabulary: Vocabulary, reading: Reading) -> None:
    """The seat in a part's own name is no side, where no part that is asked for has one."""
    said = [chip.said for chip in reading.chips if chip.field == "side"]
    if said and types and set(types) == set(of_seat(types, said)) and not vocabulary.sided & set(types):
        reading.chips = [chip for chip in reading.chips if chip.field != "side"]
        reading.chips += [Chip("position", SEATS[word], word) for word in said if word in SEATS]
        reading.left += [word for word in said if word not in SEATS]
        reading.sides = []


def _leave_denied_side(types: Sequence[str], vocabulary: Vocabulary, reading: Reading) -> None:
    """ "Not the left side" says nothing of a part that has no sides."""
    denied = [chip for chip in reading.chips if chip.field == "side" and chip.said.split()[0] in DENIALS]
    if denied and types and not vocabulary.sided & set(types):
        reading.chips = [chip for chip in reading.chips if chip not in denied]
        reading.left += [chip.said for chip in denied]
        reading.sides = []


def _kinds(said: PartSaid, vocabulary: Vocabulary, reading: Reading) -> list[tuple[str, ...]]:
    """The sets of part types that a word may still stand for, once all else that was said is heard."""
    hints = [POSITIONS[word] for word in reading.hints if word in POSITIONS]
    stated = frozenset(sense.fact for _, senses in (*reading.fact_chips, *reading.off_facts) for sense in senses)
    kinds = narrowed(_not_denied(said, vocabulary, reading), hints, stated, bool(reading.side), vocabulary)
    return [kind for kind in kinds if not contradicted(kind, reading.firm)]


def _not_denied(said: PartSaid, vocabulary: Vocabulary, reading: Reading) -> tuple[str, ...]:
    """What a word may mean without what was said not to be meant: "box, not the bed"; all where nothing is left."""
    denied = set[str]().union(*(_types(part, vocabulary) for part in reading.parts if part.denied))
    return tuple(name for name in said.names if not set(vocabulary.wider.get(name, (name,))) <= denied) or said.names


def _settle_part(said: PartSaid, vocabulary: Vocabulary, reading: Reading) -> tuple[str, ...]:
    kinds = _kinds(said, vocabulary, reading)
    if said.strange:
        # A "ball joint" that the yard has no word for is not just any joint.
        reading.meanings += [Meaning(said.strange, "part", tuple(said.names), unknown=True)] if kinds else []
        _leave_whole(said.strange, reading)
        return ()
    if not kinds:
        # A rear door is asked for, and the yard only knows front ones.
        reading.left.append(said.said)
        return ()
    names = {kind: next(name for name in said.names if vocabulary.wider.get(name, (name,)) == kind) for kind in kinds}
    both = of_both_places(kinds, reading.firm) or (kinds if vocabulary.one_word(names.values()) else [])
    if len(kinds) > 1 and not both:
        reading.meanings.append(Meaning(said.said, "part", tuple(names.values())))
        return ()
    types = [name for kind in both or kinds for name in kind]
    if seat := of_seat(types, [chip.said for chip in reading.chips if chip.field == "side"]):
        reading.chips += [Chip("part", name, said.said) for name in seat]
        return seat
    before = list(reading.left)
    placed = called_so(at_places(types, reading.firm), reading.left)
    shown = placed if len(placed) == 1 else [names[kind] for kind in both or kinds]
    called = [word for word in before if before.count(word) > reading.left.count(word)]
    reading.chips += [Chip("part", name, word) for name in shown for word in (said.said, *called)]
    return of_side(placed, reading.side)


def _leave(part: PartSaid, reading: Reading) -> None:
    """A part that is not answered stands among what was left."""
    if part.strange:
        _leave_whole(part.strange, reading)
    else:
        reading.left += part.said.split()


def _leave_whole(name: str, reading: Reading) -> None:
    """A name that is not understood stands among what was left as one, where its first word stood."""
    words = [word for word in dict.fromkeys(name.split()) if word in reading.left]
    at = min(map(reading.left.index, words), default=len(reading.left))
    for word in words:
        reading.left.remove(word)
    reading.left.insert(at, name)


def _keep_beside(each: PartSaid, asked: PartSaid | None, reading: Reading) -> None:
    """A part that is named beside the one asked for: a fact of the vehicle, what it carries, or only a word."""
    if each.facts:
        reading.fact_chips.append((each.said, each.facts))
    elif each.strange and not each.denied:
        _leave_whole(each.strange, reading)
    elif each.sized is not None:
        reading.chips.append(Chip(each.sized.fact, each.sized.value, each.said))
    elif each.carried is not None:
        each.carried.chips.append(Chip(str(each.carried.group), ANOTHERS, each.said))
    elif asked is not None and each.denied and each.names == asked.names:
        reading.left += each.said.split()
    elif asked is not None:
        reading.chips.append(Chip("beside", _shown_beside(each, asked), each.said))


def _shown_beside(each: PartSaid, asked: PartSaid) -> str:
    same = [name for name in each.names if name in asked.names]
    if each.denied:
        return f"no {each.names[0]}"
    # "Nose clip" says the same twice.
    return same[0] if same else each.names[0] if each.mine else f"not answered: {each.names[0]}"
