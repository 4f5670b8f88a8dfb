"""What a body of rules comes to before anybody asks: which rule reaches which vehicle, and which links can meet.

A rule reaches a part type on a model where it could be heard when that part is asked for on that model; a rule that
names no model reaches all of them. Two links meet where one imagined vehicle can be the target of the first and the
giver of the second. Both are kept as rows, so that an ask reads the few rules that bear on it and no others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from app.fit.conditions import Pair
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, ModelInfo, Possible, Subject
from app.fit.links.link import ANYWHERE, Families, Link, LinkKey, links_of, models_named
from app.fit.links.linkgraph import LinkGraph, step_of
from app.fit.links.linkways import surely_hold
from app.fit.making import record
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.values import plain
from app.fit.worlds import BUILT_IN, Scope, closure, worlds

ANY_MODEL = ""
"""The model of a rule that names none."""


@record(frozen=True, slots=True)
class Asked:
    """What a link asks of the vehicle on one end besides naming models, as conditions of a target.

    `code` is the rule's where another rule moves its dates, else empty: then it is all one whose conditions they are.
    """

    code: str = ""
    conditions: tuple[Condition, ...] = ()


class Between:
    """Says of models whether a vehicle can stand between two links: whether one vehicle can be all that both ask."""

    def __init__(self, know: Knowledge) -> None:
        self._know = know
        self._whole: dict[tuple[Asked, ...], _Part] = {}
        self._parts: dict[tuple[Asked, ...], Sequence[_Part]] = {}

    def asking(self, *asked: Asked) -> Callable[[ModelInfo], bool]:
        """Whether one vehicle of a model, of any year it was built, is all that is asked."""
        if asked not in self._parts:
            self._parts[asked] = [self._part(each) for each in _apart(asked)]
        parts, whole = self._parts[asked], self._part(asked)
        if len(parts) == 1:
            return whole.can_be
        return lambda model: (
            whole.can_be(model) if whole.hangs_together(model) else all(part.can_be(model) for part in parts)
        )

    def _part(self, asked: tuple[Asked, ...]) -> _Part:
        if asked not in self._whole:
            self._whole[asked] = _Part(asked, self._know)
        return self._whole[asked]


def _apart(asked: Sequence[Asked]) -> list[tuple[Asked, ...]]:
    """What is asked, in parts that look at nothing in common; alternatives stay together."""
    if any(each.code for each in asked):
        return [tuple(asked)]
    parts: list[tuple[set[object], list[Condition]]] = []
    for number, each in enumerate(asked):
        for condition in each.conditions:
            names: set[object] = {"built" if name in _OF_TIME else name for name in _names(condition)}
            if condition.alt:
                names.add((number, condition.alt))
            joined = [part for part in parts if part[0] & names]
            parts = [part for part in parts if not part[0] & names]
            parts.append((names.union(*(part[0] for part in joined)), [*_conditions(joined), condition]))
    return [
        tuple(Asked("", own) for each in asked if (own := tuple(one for one in each.conditions if one in conditions)))
        for _, conditions in parts
    ]


def _conditions(parts: Iterable[tuple[object, list[Condition]]]) -> Iterator[Condition]:
    return (condition for _, conditions in parts for condition in conditions)


def _names(condition: Condition) -> set[str]:
    return {name for name in (condition.fact, condition.other_fact) if name}


_OF_TIME = frozenset({"built", "plant", "year"})
"""What hangs together for every vehicle."""


class _Part:
    """What is asked of one vehicle; models that are alike in all that is looked at are judged once."""

    def __init__(self, asked: Sequence[Asked], know: Knowledge) -> None:
        self._asked = [(_bearer(each.code), each.conditions) for each in asked]
        self._know = know
        moving = [move for move in know.moves if move.moves in {each.code for each in asked}]
        every = [each for _, conditions in self._asked for each in conditions]
        every += [each for move in moving for each in move.rule.conditions]
        names = frozenset[str]().union(*map(_names, every))
        months = {value for each in every if each.op in (Op.BEFORE, Op.FROM) for value in each.values}
        months |= {move.to_month for move in moving}
        plants = frozenset(value for each in every if each.fact == "plant" for value in each.values)
        self._scope = Scope(names - BUILT_IN, frozenset(months), plants)
        self._by_year = "year" in names
        self._by_model = bool(names & _OF_MODEL)
        self._judged: dict[tuple[object, ...], bool] = {}

    def can_be(self, model: ModelInfo) -> bool:
        """True when one vehicle of the model is all of it."""
        key = self._looked_at(model)
        if key not in self._judged:
            self._judged[key] = any(map(self._holds, self._subjects(model)))
        return self._judged[key]

    def hangs_together(self, model: ModelInfo) -> bool:
        """True where a value of what is looked at goes with a time, a plant or another value."""
        return any(row.built_from or row.built_to or row.plants or row.given for row in self._rows(model))

    def _rows(self, model: ModelInfo) -> tuple[Possible, ...]:
        facts = self._scope.facts
        return tuple([row for row in model.possible if row.fact in facts]) if facts else ()

    def _looked_at(self, model: ModelInfo) -> tuple[object, ...]:
        """All of a model that the judgement hangs on."""
        rows, own = self._rows(model), self._by_model
        if rows and any(row.given for row in rows):
            facts = closure(self._scope.facts, model.possible)
            rows = tuple(row for row in model.possible if row.fact in facts)
            own = own or any(name in _OF_MODEL for row in rows for name, _ in row.given)
        return model.year_from, model.year_to, rows, model.key if own else ""

    def _subjects(self, model: ModelInfo) -> Iterator[Subject]:
        years: Sequence[int | None] = range(model.year_from, model.year_to + 1) if self._by_year else (None,)
        return (Subject(Identity(model, year)) for year in years)

    def _holds(self, subject: Subject) -> bool:
        for world in worlds(subject, self._scope, self._know.facts):
            pair = Pair(world, world, subject, subject, self._know.moves, self._know.today)
            if all(surely_hold(rule, conditions, pair) for rule, conditions in self._asked):
                return True
        return False


_OF_MODEL = frozenset({"model", "make", "family", "weight class", "frame design", "body style"})
"""What only the model itself says of a vehicle."""


def _bearer(code: str) -> Rule:
    """A rule of which nothing is known but its code, to judge conditions by themselves."""
    nothing: frozenset[str] = frozenset()
    return Rule(code, RuleKind.FIT, Grade.BOLTS_UP, Direction.ONE_WAY, RuleState.OPEN, "", nothing, nothing)


class Meeting:
    """Says of two links in which families a vehicle can stand between them; what was worked out once is kept."""

    def __init__(self, know: Knowledge) -> None:
        self.know = know
        self._sides: dict[tuple[LinkKey, End], tuple[frozenset[str] | None, Asked]] = {}
        self._between = Between(know)
        self._moved = {move.moves for move in know.moves}

    def families(self, one: Link, other: Link) -> Families:
        """The families of the vehicles that can be the target of one link and the giver of the next."""
        if one.rule is other.rule or not one.wanted & other.offered:
            return frozenset()
        (taken, asked), (given, also) = self._side(one, End.TARGET), self._side(other, End.PART)
        asks = bool(asked.conditions or also.conditions)
        if taken is None and given is None and not asks:
            return ANYWHERE
        found: set[str] = set()
        can_be = self._between.asking(asked, also) if asks else None
        for key in self._models(taken, given):
            model = self.know.models[key]
            if model.family not in found and (can_be is None or can_be(model)):
                found.add(model.family)
        return frozenset(found)

    def _side(self, link: Link, end: End) -> tuple[frozenset[str] | None, Asked]:
        """The models that a link names on one end, and all else that it asks there."""
        known = self._sides.get((link.key, end))
        if known is None:
            conditions = tuple(replace(each, end=End.TARGET) for each in link.at(end))
            code = link.rule.code if link.rule.code in self._moved else ""
            asked = Asked(code, tuple(each for each in conditions if not _names_model(each)))
            known = self._sides[link.key, end] = models_named(conditions, End.TARGET), asked
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


def _names_model(condition: Condition) -> bool:
    return condition.fact == "model" and condition.op is Op.ANY_OF and not condition.alt


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


def graph_of(know: Knowledge, rules: Iterable[Rule]) -> LinkGraph:
    """All links that rules make, over all the models that are known, numbered by the codes of their rules."""
    links = sorted(links_of(rules, know.facts), key=lambda each: each.order)
    numbers = {link.key: number for number, link in enumerate(links)}
    joints, meeting = Joints(links), Meeting(know)
    after: dict[int, list[int]] = {}
    families = {}
    for number, link in enumerate(links):
        for other in joints.after(link):
            if met := meeting.families(link, other):
                after.setdefault(number, []).append(numbers[other.key])
                families[number, numbers[other.key]] = met
    steps = {number: step_of(link) for number, link in enumerate(links)}
    return LinkGraph(steps, {number: sorted(following) for number, following in after.items()}, families)
