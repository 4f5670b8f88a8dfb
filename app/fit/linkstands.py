"""Whether the last link of a chain stands on the vehicle asked for, or another rule surely speaks against it there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

from app.fit.closure import Link, models_named
from app.fit.conditions import Pair, all_hold
from app.fit.making import record
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
    return tuple(each for rule in rules for each in _heard_beside(rule, link))


def stands(link: Link, pair: Pair, beside: Iterable[Heard]) -> bool:
    """Whether a link and the rules that are heard beside it come to "bolts up" on a target."""
    fires = [
        Fire(rule, back, Grade.MEASURE if rule.state is RuleState.DISPUTED else rule.grade, ())
        for rule, back, conditions in beside
        if all_hold(rule, conditions, pair)
    ]
    return not fires or resolve([Fire(link.rule, link.back, Grade.BOLTS_UP, ()), *fires]).grade is Grade.BOLTS_UP


def _heard_beside(rule: Rule, link: Link) -> Iterator[Heard]:
    if rule is link.rule:
        return
    models = models_named(link.conditions, End.PART)
    for each in _directions(rule):
        of_types = link.offered <= each.offered and link.wanted <= each.wanted
        of_models = each.models is None or (models is not None and models <= each.models)
        if of_types and of_models and all_within(link.at(End.PART), each.of_part):
            yield rule, each.back, each.of_target


@record(frozen=True, slots=True)
class _Direction:
    """A rule in one direction: its types, the models it names on the part, and all it asks of either end."""

    back: bool
    offered: frozenset[str]
    wanted: frozenset[str]
    models: frozenset[str] | None
    of_part: tuple[Condition, ...]
    of_target: tuple[Condition, ...]


@lru_cache(maxsize=2048)
def _directions(rule: Rule) -> tuple[_Direction, ...]:
    """The directions in which a rule may be heard wherever it holds end by end."""
    speaks = rule.kind is RuleKind.FIT and rule.state is not RuleState.CLOSED
    by_ends = all(each.alt == 0 and each.end is not End.BETWEEN for each in rule.conditions if not _same_side(each))
    if not speaks or not by_ends or not any(each.fact == "model" for each in rule.conditions):
        return ()
    types = (rule.offered_types, rule.wanted_types)
    found = [_direction(False, *types, rule.conditions)]
    if rule.direction is Direction.BOTH_WAYS:
        found.append(_direction(True, *types[::-1], tuple(map(turned_condition, rule.conditions))))
    return tuple(found)


def _direction(
    back: bool, offered: frozenset[str], wanted: frozenset[str], conditions: tuple[Condition, ...]
) -> _Direction:
    of_part, of_target = (tuple(each for each in conditions if each.end is end) for end in (End.PART, End.TARGET))
    return _Direction(back, offered, wanted, models_named(of_part, End.PART), of_part, of_target)


def _same_side(condition: Condition) -> bool:
    return condition.end is End.BETWEEN and condition.fact == "side" and condition.alt == 0
