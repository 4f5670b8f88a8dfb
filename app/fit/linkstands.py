"""Whether the last link of a chain stands on the vehicle asked for, or another rule surely speaks against it there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from app.fit.closure import Link
from app.fit.conditions import Pair, all_hold
from app.fit.resolve import Fire, resolve
from app.fit.rules import Condition, Direction, End, Rule, RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.within import all_within, turned_condition

Heard = tuple[Rule, bool, tuple[Condition, ...]]
"""A rule, whether it is turned round, and what it asks of the target."""


def heard_beside(link: Link, rules: Iterable[Rule]) -> tuple[Heard, ...]:
    """The rules that speak of every vehicle a link may come from: all they ask of the part lies around what it asks.

    One that names no model is heard inside one family alone, which nobody knows of an imagined vehicle.
    """
    return tuple(each for rule in rules for each in _directed(rule, link))


def stands(link: Link, pair: Pair, beside: Iterable[Heard]) -> bool:
    """Whether a link and the rules that are heard beside it come to "bolts up" on a target."""
    fires = [
        Fire(rule, back, Grade.MEASURE if rule.state is RuleState.DISPUTED else rule.grade, ())
        for rule, back, conditions in beside
        if all_hold(rule, conditions, pair)
    ]
    return not fires or resolve([Fire(link.rule, link.back, Grade.BOLTS_UP, ()), *fires]).grade is Grade.BOLTS_UP


def _directed(rule: Rule, link: Link) -> Iterator[Heard]:
    speaks = rule.kind is RuleKind.FIT and rule is not link.rule and rule.state is not RuleState.CLOSED
    if not speaks or not any(each.fact == "model" for each in rule.conditions):
        return
    for back in (False, True) if rule.direction is Direction.BOTH_WAYS else (False,):
        conditions = tuple(map(turned_condition, rule.conditions)) if back else rule.conditions
        offered, wanted = (rule.wanted_types, rule.offered_types) if back else (rule.offered_types, rule.wanted_types)
        of_part = tuple(each for each in conditions if each.end is End.PART)
        plain = all(each.alt == 0 and each.end is not End.BETWEEN for each in conditions if not _same_side(each))
        if plain and link.offered <= offered and link.wanted <= wanted and all_within(link.at(End.PART), of_part):
            yield rule, back, tuple(each for each in conditions if each.end is End.TARGET)


def _same_side(condition: Condition) -> bool:
    return condition.end is End.BETWEEN and condition.fact == "side" and condition.alt == 0
