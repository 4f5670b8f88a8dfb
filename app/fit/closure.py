"""What a body of rules comes to before anybody asks: which rule reaches which vehicle, and which links can meet.

A rule reaches a part type on a model where it could be heard when that part is asked for on that model; a rule that
names no model reaches all of them. Two links meet where one imagined vehicle can be the target of the first and the
giver of the second. Both are kept as rows, so that an ask reads the few rules that bear on it and no others.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from app.fit.conditions import Pair, Truth, check
from app.fit.knowledge import Identity, Knowledge, ModelInfo, Subject
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.values import plain
from app.fit.worlds import BUILT_IN, Scope, worlds

ANY_MODEL = ""
"""The model of a rule that names none."""

Families = frozenset[str]
ANYWHERE: Families = frozenset({"*"})
"""Where two links that ask nothing of the vehicle between them can meet."""

LinkKey = tuple[str, bool]
"""A rule's code, and whether it is turned round."""

_TURNED = {End.PART: End.TARGET, End.TARGET: End.PART, End.BETWEEN: End.BETWEEN}


@dataclass(frozen=True, slots=True)
class Link:
    """A rule as a link, with its conditions and part types in the direction of travel."""

    rule: Rule
    back: bool
    conditions: tuple[Condition, ...]
    offered: frozenset[str]
    wanted: frozenset[str]

    @property
    def key(self) -> LinkKey:
        """The link's name."""
        return self.rule.code, self.back

    @property
    def roams(self) -> bool:
        """True for a link that names a model: it is not kept inside one family."""
        return any(each.fact == "model" for each in self.conditions)

    def at(self, end: End) -> tuple[Condition, ...]:
        """The conditions on one end."""
        return tuple(each for each in self.conditions if each.end is end)


def reach(rule: Rule) -> Iterator[tuple[str, str, bool]]:
    """Where a rule may be heard: part type asked for, model (plain, or ANY_MODEL), and whether turned round."""
    if rule.state is RuleState.CLOSED or rule.kind is RuleKind.MOVES_DATE:
        return
    wanted = rule.wanted_types or rule.offered_types
    heard_for = wanted | rule.offered_types if rule.kind is RuleKind.LAW else wanted
    ways = [(False, heard_for, End.TARGET)]
    if rule.direction is Direction.BOTH_WAYS:
        ways.append((True, rule.offered_types, End.PART))
    for back, types, end in ways:
        models = models_named(rule.conditions, end)
        for part_type in types:
            yield from ((part_type, model, back) for model in ((ANY_MODEL,) if models is None else models))


def models_named(conditions: Iterable[Condition], end: End) -> frozenset[str] | None:
    """The models that an end must be one of, in plain words; None where it names none."""
    named = [
        {plain(value) for value in each.values}
        for each in conditions
        if each.end is end and each.fact == "model" and each.op is Op.ANY_OF and not each.alt
    ]
    return frozenset(set.intersection(*named)) if named else None


def links_of(rules: Iterable[Rule]) -> tuple[Link, ...]:
    """Every rule that may be a link of a chain, in each direction it runs."""
    found = []
    for rule in rules:
        serves = rule.chains and rule.kind is RuleKind.FIT and rule.state is RuleState.OPEN
        if not serves or rule.grade is not Grade.BOLTS_UP or any(map(_bars, rule.conditions)):
            continue
        found.append(Link(rule, False, rule.conditions, rule.offered_types, rule.wanted_types))
        if rule.direction is Direction.BOTH_WAYS:
            turned = tuple(replace(each, end=_TURNED[each.end]) for each in rule.conditions)
            found.append(Link(rule, True, turned, rule.wanted_types, rule.offered_types))
    return tuple(found)


def _bars(condition: Condition) -> bool:
    """What no link may have: a tolerance, or two sides that do not agree."""
    return condition.op is Op.WITHIN or (condition.fact == "side" and condition.op is Op.DIFFERS)


@dataclass(frozen=True, slots=True)
class _Side:
    """What a link asks of the vehicle on one end: the models it names, and all else, as conditions of a target."""

    named: frozenset[str] | None
    conditions: tuple[Condition, ...]
    rest: tuple[object, ...]


class Meeting:
    """Says of two links in which families a vehicle can stand between them; what was worked out once is kept."""

    def __init__(self, know: Knowledge) -> None:
        self.know = know
        self._sides: dict[tuple[LinkKey, End], _Side] = {}
        self._can_be: dict[tuple[object, ...], bool] = {}
        self._moved = {move.moves for move in know.moves}

    def families(self, one: Link, other: Link) -> Families:
        """The families of the vehicles that can be the target of one link and the giver of the next."""
        if one.rule is other.rule or not one.wanted & other.offered:
            return frozenset()
        taking, giving = self._side(one, End.TARGET), self._side(other, End.PART)
        if taking.named is None and giving.named is None and not taking.conditions and not giving.conditions:
            return ANYWHERE
        asked = ((one.rule, taking.conditions), (other.rule, giving.conditions))
        rest = (*taking.rest, *giving.rest)
        found: set[str] = set()
        for key in self._models(taking.named, giving.named):
            model = self.know.models[key]
            if model.family not in found and (not rest or self._possible(model, asked, rest)):
                found.add(model.family)
        return frozenset(found)

    def _side(self, link: Link, end: End) -> _Side:
        known = self._sides.get((link.key, end))
        if known is None:
            conditions = tuple(replace(each, end=End.TARGET) for each in link.at(end))
            code = link.rule.code if link.rule.code in self._moved else ""
            rest = tuple((code, each) for each in conditions if not _names_model(each))
            known = self._sides[link.key, end] = _Side(models_named(conditions, End.TARGET), conditions, rest)
        return known

    def _models(self, one: frozenset[str] | None, other: frozenset[str] | None) -> Iterable[str]:
        """The keys of the models that both ends allow."""
        if one is None and other is None:
            return self.know.models
        common = one & other if one is not None and other is not None else one or other or frozenset()
        return [self._keys[name] for name in sorted(common) if name in self._keys]

    @cached_property
    def _keys(self) -> Mapping[str, str]:
        """The keys of the models by their plain words."""
        return {plain(key): key for key in self.know.models}

    def _possible(self, model: ModelInfo, asked: Sequence[Asked], rest: tuple[object, ...]) -> bool:
        """True when one vehicle of the model is all that is asked; asking for a model alone is settled by its name."""
        key = (model.key, rest)
        if key not in self._can_be:
            self._can_be[key] = _can_be(model, asked, self.know)
        return self._can_be[key]


Asked = tuple[Rule, tuple[Condition, ...]]
"""What a link asks of the imagined vehicle, as conditions of a target."""


def _names_model(condition: Condition) -> bool:
    return condition.fact == "model" and condition.op is Op.ANY_OF and not condition.alt


def all_hold(rule: Rule, conditions: Sequence[Condition], pair: Pair) -> bool:
    """Whether all surely hold; of alternatives one that does is enough."""
    held = [(each.alt, check(rule, each, pair).truth is Truth.YES) for each in conditions]
    met = {alt for alt, holds in held if holds}
    return all(holds or (alt > 0 and alt in met) for alt, holds in held)


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
            if all(all_hold(rule, conditions, pair) for rule, conditions in asked):
                return True
    return False


class Joints:
    """All the links of a body of rules by what they take and give, to find those that may follow one another."""

    def __init__(self, links: Iterable[Link]) -> None:
        self.links = tuple(links)
        self._giving = _by_place(self.links, End.PART)
        self._taking = _by_place(self.links, End.TARGET)

    def after(self, link: Link) -> Iterator[Link]:
        """The links that may start where this one ends."""
        return self._at(self._giving, link, End.TARGET)

    def before(self, link: Link) -> Iterator[Link]:
        """The links that may end where this one starts."""
        return self._at(self._taking, link, End.PART)

    @staticmethod
    def _at(index: _Places, link: Link, end: End) -> Iterator[Link]:
        models = models_named(link.conditions, end)
        seen: set[LinkKey] = set()
        for part_type in link.wanted if end is End.TARGET else link.offered:
            by_model = index.get(part_type, {})
            keys = by_model if models is None else (*models, ANY_MODEL)
            for key in keys:
                for other in by_model.get(key, ()):
                    if other.key not in seen and other.rule is not link.rule:
                        seen.add(other.key)
                        yield other


_Places = Mapping[str, Mapping[str, Sequence[Link]]]


def _by_place(links: Iterable[Link], end: End) -> _Places:
    """Links by the part type and the model of one end."""
    found: dict[str, dict[str, list[Link]]] = {}
    for link in links:
        named = models_named(link.conditions, end)
        for part_type in link.offered if end is End.PART else link.wanted:
            by_model = found.setdefault(part_type, {})
            for model in (ANY_MODEL,) if named is None else named:
                by_model.setdefault(model, []).append(link)
    return found
