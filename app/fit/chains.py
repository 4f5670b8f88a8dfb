"""Chains: "bolts up" by way of other vehicles, at most three links, each proven, none decided by a tolerance.

Every link runs in the wanted direction, and one imagined vehicle must satisfy what both its links ask of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product

from app.fit.conditions import Pair, Truth, check
from app.fit.knowledge import Identity, Knowledge, ModelInfo, Subject
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.values import plain
from app.fit.worlds import BUILT_IN, Scope, World, worlds

MOST_LINKS = 3
_TURNED = {End.PART: End.TARGET, End.TARGET: End.PART, End.BETWEEN: End.BETWEEN}


@dataclass(frozen=True, slots=True)
class Link:
    """A rule as a link, with its conditions and part types in the direction of travel."""

    rule: Rule
    conditions: tuple[Condition, ...]
    offered: frozenset[str]
    wanted: frozenset[str]

    @property
    def between(self) -> tuple[Condition, ...]:
        """The conditions that lie between the two ends."""
        return self.at(End.BETWEEN)

    @property
    def roams(self) -> bool:
        """True for a link that names a model: it is not kept inside one family."""
        return any(each.fact == "model" for each in self.conditions)

    def at(self, end: End) -> tuple[Condition, ...]:
        """The conditions on one end."""
        return tuple(each for each in self.conditions if each.end is end)


def links_of(rules: Sequence[Rule]) -> tuple[Link, ...]:
    """Every rule that may be a link, in each direction it runs."""
    found = []
    for rule in rules:
        serves = rule.chains and rule.kind is RuleKind.FIT and rule.state is RuleState.OPEN
        if not serves or rule.grade is not Grade.BOLTS_UP or any(map(_bars, rule.conditions)):
            continue
        found.append(Link(rule, rule.conditions, rule.offered_types, rule.wanted_types))
        if rule.direction is Direction.BOTH_WAYS:
            turned = tuple(replace(each, end=_TURNED[each.end]) for each in rule.conditions)
            found.append(Link(rule, turned, rule.wanted_types, rule.offered_types))
    return tuple(found)


def _bars(condition: Condition) -> bool:
    """What no link may have: a tolerance, or two sides that do not agree."""
    return condition.op is Op.WITHIN or (condition.fact == "side" and condition.op is Op.DIFFERS)


class Chains:
    """Finds chains over one body of rules; which links can meet in a vehicle is worked out once."""

    def __init__(self, know: Knowledge) -> None:
        self.know = know
        self.links = links_of(know.rules)
        # What a link asks between its ends is held against the part and the target, so only an outer link may ask it.
        self._middles = [at for at, link in enumerate(self.links) if all(each.fact == "side" for each in link.between)]
        self._met: dict[tuple[int, int], frozenset[str]] = {}

    def find(self, pair: Pair, part_type: str, wanted: frozenset[str]) -> tuple[Link, ...]:
        """The shortest chain of two or three links from a part to a target; empty where there is none."""
        numbered = range(len(self.links))
        starts = [at for at in numbered if part_type in self.links[at].offered and self._holds(at, End.PART, pair)]
        ends = [at for at in numbered if self.links[at].wanted & wanted and self._holds(at, End.TARGET, pair)]
        if not starts or not ends:
            return ()
        for length in range(2, MOST_LINKS + 1):
            for path in self._paths(starts, ends, length):
                if self._in_reach(path, pair):
                    return tuple(self.links[at] for at in path)
        return ()

    def _in_reach(self, path: Sequence[int], pair: Pair) -> bool:
        """A link that names no model stays inside one family."""
        met = (self._meet(one, other) for one, other in pairwise(path))
        stops = [_family(pair.part), *met, _family(pair.target)]
        ways = (tuple(way) for way in product(*stops))
        return any(all(self.links[at].roams or way[n] == way[n + 1] for n, at in enumerate(path)) for way in ways)

    def _paths(self, starts: Sequence[int], ends: Sequence[int], length: int) -> Iterator[tuple[int, ...]]:
        if length == 2:
            for first in starts:
                yield from ((first, last) for last in ends if self._meet(first, last))
            return
        for first in starts:
            for middle in (at for at in self._middles if self._meet(first, at)):
                for last in ends:
                    if self.links[last].rule is not self.links[first].rule and self._meet(middle, last):
                        yield (first, middle, last)

    def _holds(self, at: int, end: End, pair: Pair) -> bool:
        link = self.links[at]
        return _all_hold(link.rule, (*link.at(end), *link.at(End.BETWEEN)), pair)

    def _meet(self, one: int, other: int) -> frozenset[str]:
        """The families of the imagined vehicles that can be the target of one link and the giver of the next."""
        if (one, other) not in self._met:
            first, second = self.links[one], self.links[other]
            apart = first.rule is not second.rule and bool(first.wanted & second.offered)
            self._met[one, other] = _meeting(first, second, self.know) if apart else frozenset()
        return self._met[one, other]


Asked = tuple[Rule, tuple[Condition, ...]]
"""What a link asks of the imagined vehicle, as conditions of a target."""


def _all_hold(rule: Rule, conditions: Sequence[Condition], pair: Pair) -> bool:
    """Whether all surely hold; of alternatives one that does is enough."""
    held = [(each.alt, check(rule, each, pair).truth is Truth.YES) for each in conditions]
    met = {alt for alt, holds in held if holds}
    return all(holds or (alt > 0 and alt in met) for alt, holds in held)


def _meeting(one: Link, other: Link, know: Knowledge) -> frozenset[str]:
    given = tuple(replace(each, end=End.TARGET) for each in other.at(End.PART))
    asked = ((one.rule, one.at(End.TARGET)), (other.rule, given))
    families: set[str] = set()
    for model in _models(asked, know):
        if model.family not in families and _can_be(model, asked, know):
            families.add(model.family)
    return frozenset(families)


def _family(world: World) -> tuple[str, ...]:
    return (world["family"].value,) if "family" in world else ("",)


def _models(asked: Sequence[Asked], know: Knowledge) -> list[ModelInfo]:
    named = [
        {plain(value) for value in each.values}
        for _, conditions in asked
        for each in conditions
        if each.fact == "model" and each.op is Op.ANY_OF and not each.alt
    ]
    if not named:
        return list(know.models.values())
    common = set.intersection(*named)
    return [model for key, model in know.models.items() if plain(key) in common]


def _can_be(model: ModelInfo, asked: Sequence[Asked], know: Knowledge) -> bool:
    """True when one vehicle of the model, of any year it was built, is all that is asked."""
    every = [each for _, conditions in asked for each in conditions]
    codes = {rule.code for rule, _ in asked}
    moving = [move for move in know.moves if move.moves in codes]
    every += [each for move in moving for each in move.rule.conditions]
    facts = frozenset(name for each in every for name in (each.fact, each.other_fact) if name) - BUILT_IN
    months = {value for each in every if each.op in (Op.BEFORE, Op.FROM) for value in each.values}
    months |= {move.to_month for move in moving}
    plants = frozenset(value for each in every if each.fact == "plant" for value in each.values)
    by_year = any(each.fact == "year" for each in every)
    years: Sequence[int | None] = range(model.year_from, model.year_to + 1) if by_year else (None,)
    for subject in (Subject(Identity(model, year)) for year in years):
        for world in worlds(subject, Scope(facts, frozenset(months), plants), know.facts):
            pair = Pair(world, world, subject, subject, know.moves, know.today)
            if all(_all_hold(rule, conditions, pair) for rule, conditions in asked):
                return True
    return False
