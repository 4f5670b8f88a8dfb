"""Which part is meant where words leave it open, and what a bare figure is a figure of."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from app.book.schema import Fact
from app.book.words.everyday import SEATS, SIDES
from app.book.words.mention import Mention
from app.book.words.spoken import Figure
from app.book.words.vocabulary import Sense, Vocabulary
from app.errors import BadInput
from app.fit.lengths import LengthUnit, parse_length
from app.fit.terms import FactKind

NEAR = 0.1
"""Share by which a figure may be off the nearest choice and still be a reading of that fact."""


@dataclass(frozen=True, slots=True)
class PartSaid:
    """A part as named: what it may mean, facts the same words may state, the customer's own or the wanted one.

    `carried` is the vehicle whose nose or frame it may be; `joined` says that it was asked for with the one before,
    as in "grille and headlights"; `mentions` is how many vehicles had been spoken of;
    `denied` that it was said not to be there or not to be wanted; `touching` that nothing stood between it and the
    part before, `near` that only sides and places did; `counted` that a count was said before it, of so many `pieces`,
    `with_it` that "with" was; `place` that it is where something is: "on the door";
    `needed` that it was said to be needed, `start` where it stands in the line;
    `strange` is a longer name that is not understood and in which it stands, as a joint does
    in "ball joint"; `sized` is what a figure right before it says by its noun, as in "12.0 brakes".
    """

    said: str
    names: tuple[str, ...]
    facts: tuple[Sense, ...] = ()
    mine: bool = False
    wanted: bool = False
    carried: Mention | None = None
    joined: bool = False
    mentions: int = 0
    denied: bool = False
    touching: bool = False
    near: bool = False
    counted: bool = False
    pieces: int = 0
    with_it: bool = False
    strange: str = ""
    sized: Sense | None = None
    needed: bool = False
    start: int = -1
    place: bool = False

    @property
    def asked_for(self) -> bool:
        """True when it may be what the customer wants: not his own, no fact of the vehicle, nothing it carries."""
        return not (self.mine or self.told or self.carried or self.denied or self.sized)

    @property
    def told(self) -> bool:
        """True when it is first of all a fact: a "torsion bar" is one that the truck has, unless it is needed."""
        return bool(self.facts) and not self.needed


def chosen_part(parts: Sequence[PartSaid], vocabulary: Vocabulary) -> PartSaid | None:
    """The part asked for: said to be wanted, not the customer's own, clear rather than ambiguous, named first.

    Of two nouns in one the second is: a "tank fuel pump".
    """
    of_another = {id(parts[at]) for at in range(len(parts) - 1) if _of_the_next(parts, at, vocabulary)}

    def weight(each: PartSaid) -> tuple[bool, ...]:
        unclear = bool(each.strange) or len(kinds_of(each.names, vocabulary)) > 1
        return (
            each.denied,
            each.told,
            each.carried is not None,
            each.with_it,
            each.sized is not None,
            each.place,
            unclear,
            id(each) in of_another,
            not each.wanted,
            each.mine,
        )

    return min(parts, key=weight, default=None)


def _of_the_next(parts: Sequence[PartSaid], at: int, vocabulary: Vocabulary) -> bool:
    """True for a noun right before a clear other one, of which it says more: "engine short block"; not in a list."""
    here, behind = parts[at : at + 2]
    third = parts[at + 2] if at + 2 < len(parts) else None
    listed = here.touching or (third is not None and (third.touching or third.joined))
    alike = not set(here.names).isdisjoint(behind.names)
    clear = not behind.strange and len(kinds_of(behind.names, vocabulary)) == 1
    return behind.touching and not behind.joined and not listed and not alike and clear and not here.said.endswith("s")


def asked_with(asked: PartSaid, parts: Sequence[PartSaid]) -> list[PartSaid]:
    """The other parts that are asked for in one breath with a part; none of them is the customer's own."""
    groups: list[list[PartSaid]] = []
    for at, each in enumerate(parts):
        if groups and (each.joined or _listed(parts, at)):
            groups[-1].append(each)
        else:
            groups.append([each])
    near = next(group for group in groups if any(each is asked for each in group))
    # "Nose clip", "speedo cluster": the same said twice.
    other = [each for each in near if each is not asked and not set(each.names) & set(asked.names)]
    return [each for each in other if each.asked_for and not each.place]


def _listed(parts: Sequence[PartSaid], at: int) -> bool:
    """True for a part right behind another in a list: "fender headlight and bumper", "grille hood headlight".

    Two alone may be one noun: "nose clip".
    """
    here, before = parts[at], parts[at - 1]
    behind = parts[at + 1] if at + 1 < len(parts) else None
    if behind is not None and behind.joined:
        return here.near
    longer = (at > 1 and before.near) or (behind is not None and behind.near)
    return here.near and longer and not set(before.names) & set(here.names)


def kinds_of(names: Sequence[str], vocabulary: Vocabulary) -> list[tuple[str, ...]]:
    """The different sets of part types that names stand for; a set inside another is no meaning of its own."""
    sets = list(dict.fromkeys(vocabulary.wider.get(name, (name,)) for name in names))
    return [each for each in sets if not any(set(each) < set(other) for other in sets)]


def narrowed(
    names: Sequence[str], hints: Collection[str], stated: frozenset[str], sided: bool, vocabulary: Vocabulary
) -> list[tuple[str, ...]]:
    """The meanings left once position words, stated facts and a stated side have been heard."""
    kinds = kinds_of(names, vocabulary)
    tests: tuple[Callable[[tuple[str, ...]], bool], ...] = (
        lambda kind: any(hint in name.split() for hint in hints for name in kind),
        lambda kind: any(stated & vocabulary.looks.get(name, frozenset()) for name in kind),
        lambda kind: sided and any(name in vocabulary.sided for name in kind),
    )
    for test in tests:
        if len(kinds) > 1:
            kinds = [kind for kind in kinds if test(kind)] or kinds
    return kinds


_AGAINST = {"front": "rear", "rear": "front", "upper": "lower", "lower": "upper", "inner": "outer", "outer": "inner"}


def contradicted(kind: Sequence[str], positions: Collection[str]) -> bool:
    """True when a part is only of the other place: a rear door where the kinds are front ones."""
    for position in positions:
        against = opposite(position)
        # "Front and rear" contradicts neither.
        only = bool(against) and all(_is_of(name, against) and not _is_of(name, position) for name in kind)
        if only and against not in positions:
            return True
    return False


def at_places(types: Sequence[str], positions: Collection[str]) -> tuple[str, ...]:
    """The part types of a wider name without those of the other place: "door glass, driver rear" is no front one.

    All of them where all are of the other place.
    """
    return tuple(name for name in types if not contradicted((name,), positions)) or tuple(types)


def called_so(types: Sequence[str], left: list[str]) -> tuple[str, ...]:
    """The part types of a wider name in whose names a word that was left stands: "loose hub cap".

    Such a word is taken from those left; all the types where none tells them apart.
    """
    for word in left:
        # "Springs" stand in the name of a single one too.
        spelled = {word.lower(), word.lower().removesuffix("s")}
        own = tuple(name for name in types if any(_is_of(name, each) for each in spelled))
        if 0 < len(own) < len(types):
            left.remove(word)
            return own
    return tuple(types)


def of_side(types: Sequence[str], side: str) -> tuple[str, ...]:
    """The part types of a wider name without those that are of the other side by their name: "passenger airbag".

    All of them where no side was said, or all are of the other one.
    """
    own = tuple(
        name for name in types if not {SIDES.get(word) for word in name.split() if len(word) > 2} - {side, None}
    )
    return own if side and own else tuple(types)


def of_seat(types: Sequence[str], said: Collection[str]) -> tuple[str, ...]:
    """The part types that are named by the seat that was said: of "driver airbag" the driver's and no curtain."""
    seats = {SEATS[word] for word in said if word in SEATS}
    return tuple(name for name in types if not seats.isdisjoint(name.split()))


def opposite(place: str) -> str:
    """The place against a place: rear for front."""
    return _AGAINST.get(place, "")


def of_place(kind: Sequence[str], place: str) -> bool:
    """True when a part type is of a place by its name."""
    return any(_is_of(name, place) for name in kind)


def of_both_places(kinds: Sequence[tuple[str, ...]], positions: Collection[str]) -> list[tuple[str, ...]]:
    """The two meanings of "arms, upper and lower", one of each place; none where it is not clear which."""
    for position in positions:
        against = opposite(position)
        if against in positions and position < against:
            pair = [[kind for kind in kinds if of_place(kind, each)] for each in (position, against)]
            if all(len(each) == 1 for each in pair) and pair[0] != pair[1]:
                return [pair[0][0], pair[1][0]]
    return []


def _is_of(name: str, place: str) -> bool:
    return place in name.replace(",", " ").split()


def figure_fact(
    found: Figure, looked_at: frozenset[str], part_types: Sequence[str], vocabulary: Vocabulary
) -> tuple[str, str] | None:
    """What a figure is of: a fact in its unit that the part is looked at for, else one that has such a choice."""
    del part_types
    unit = found.unit or "in"
    facts = [
        fact
        for fact in vocabulary.facts.values()
        if _in_unit(fact, unit) and fact.kind in _FIGURED and _plain(fact, found.written) is not None
    ]
    own = [fact for fact in facts if fact.name in looked_at]
    for group in (own, facts):
        near = sorted((_off(fact, found), fact.name) for fact in group if _off(fact, found) <= NEAR)
        if near and (group is own or (near[0][0] == 0 and found.unit)):
            best = [name for off, name in near if off == near[0][0]]
            if len(best) == 1 or group is own:
                return best[0], value_of(vocabulary.facts[best[0]], found)
    free = [fact for fact in own if not fact.choices]
    return (free[0].name, value_of(free[0], found)) if len(free) == 1 else None


_FIGURED = (FactKind.NUMBER, FactKind.COUNT, FactKind.LENGTH)
_LENGTHS = frozenset(map(str, LengthUnit))


def _in_unit(fact: Fact, unit: str) -> bool:
    """Whether a figure in a unit may be of a fact: a length is one in inches or in millimeters."""
    return fact.unit == unit or (fact.kind is FactKind.LENGTH and unit in _LENGTHS)


def _off(fact: Fact, found: Figure) -> float:
    """By what share the figure is off the fact's nearest choice; 1 without choices."""
    figures = [value for choice in fact.choices if (value := _plain(fact, str(choice))) is not None]
    said = _plain(fact, found.written)
    if said is None or not figures:
        return 1.0
    return min(abs(said - value) / max(value, 1e-9) for value in figures)


def _plain(fact: Fact, text: str) -> float | None:
    try:
        if fact.kind is FactKind.LENGTH:
            return parse_length(text).mm
        return float(text.split()[0].replace(",", ""))
    except (BadInput, ValueError):
        return None


def value_of(fact: Fact, found: Figure) -> str:
    """The figure as the fact keeps it: a choice that is the same number, else as it was said."""
    if fact.kind is FactKind.LENGTH:
        return found.written
    said = _plain(fact, found.written)
    return next((str(choice) for choice in fact.choices if _plain(fact, str(choice)) == said), found.text)
