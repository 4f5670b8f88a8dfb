"""A rule as a link of a chain, in each direction it runs and each way to meet it."""

from __future__ import annotations

from collections.abc import Iterable

from app.fit.links.linkways import Facts, ways_of
from app.fit.making import record
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState, code_order
from app.fit.terms import Grade
from app.fit.values import plain

Families = frozenset[str]
ANYWHERE: Families = frozenset({"*"})
"""Where two links that ask nothing of the vehicle between them can meet."""

LinkKey = tuple[str, bool, int]
"""A rule's code, whether it is turned round, and the number of the way it is met."""

_TURNED = {End.PART: End.TARGET, End.TARGET: End.PART, End.BETWEEN: End.BETWEEN}


@record(frozen=True, slots=True)
class Link:
    """A rule as a link, with its conditions and part types in the direction of travel.

    The vehicles at its ends are looked at one by one, so each `way` to meet it end by end is a link of its own, with
    the conditions that are to be looked at then.
    """

    rule: Rule
    back: bool
    conditions: tuple[Condition, ...]
    offered: frozenset[str]
    wanted: frozenset[str]
    way: int = 0

    @property
    def key(self) -> LinkKey:
        """The link's name."""
        return self.rule.code, self.back, self.way

    @property
    def order(self) -> tuple[object, ...]:
        """By which links are numbered."""
        return code_order(self.rule.code), self.back, self.way

    @property
    def roams(self) -> bool:
        """True for a link whose rule names a model: it is not kept inside one family."""
        return any(each.fact == "model" for each in self.rule.conditions)

    def at(self, end: End) -> tuple[Condition, ...]:
        """The conditions on one end."""
        return tuple(each for each in self.conditions if each.end is end)


def models_named(conditions: Iterable[Condition], end: End) -> frozenset[str] | None:
    """The models that an end must be one of, in plain words; None where it names none."""
    named = [
        {plain(value) for value in each.values}
        for each in conditions
        if each.end is end and each.fact == "model" and each.op is Op.ANY_OF and not each.alt
    ]
    return frozenset(set.intersection(*named)) if named else None


def links_of(rules: Iterable[Rule], facts: Facts) -> tuple[Link, ...]:
    """Every rule that may be a link of a chain, in each direction it runs and each way to meet it."""
    found = []
    for rule in rules:
        serves = rule.chains and rule.kind is RuleKind.FIT and rule.state is RuleState.OPEN
        if not serves or rule.grade is not Grade.BOLTS_UP:
            continue
        for number, way in enumerate(ways_of(rule.conditions, facts)):
            left = way.left(rule.conditions)
            found.append(Link(rule, False, left, rule.offered_types, rule.wanted_types, number))
            if rule.direction is Direction.BOTH_WAYS:
                turned = tuple(map(_turned, left))
                found.append(Link(rule, True, turned, rule.wanted_types, rule.offered_types, number))
    return tuple(found)


def _turned(each: Condition) -> Condition:
    return Condition(_TURNED[each.end], each.fact, each.op, each.values, each.other_fact, each.allowed, each.alt)
