"""What the check of rules finds, held against what the engine hears: no two rules at odds in an answer go unnamed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest

from app.fit.decide import Judge
from app.fit.knowledge import Knowledge
from app.fit.known import Offer, Target
from app.fit.resolve import Fire, stands_over
from app.fit.rulechecks.rulepairs import contradictions, unreachable
from app.fit.rulechecks.ruleways import Pairs
from app.fit.rules import RuleKind, RuleState
from app.fit.terms import Grade
from app.fit.values import plain
from tests.fit.small_yards import Yard, small_yard

SEEDS, BLOCK = 300, 100


def bare(yard: Yard) -> tuple[Target, tuple[Offer, ...], Knowledge]:
    """The yard with nothing seen on its parts or said of the truck: all is as the models can be."""
    offers = tuple(replace(each, subject=replace(each.subject, facts={}, donor_facts={})) for each in yard.offers)
    know = replace(yard.know, models={plain(key): model for key, model in yard.know.models.items()})
    return replace(yard.target, facts={}), offers, know


def heard_together(yard: Yard) -> Iterator[tuple[Fire, ...]]:
    """The rules that speak at once of any part of the yard, in any world, in the engine itself."""
    target, offers, know = bare(yard)
    judge = Judge(target, know)
    for offer in offers:
        decision = judge.decide(offer)
        for outcome in decision.outcomes if decision is not None else ():
            if outcome.resolved is not None:
                yield (*outcome.resolved.fires, *outcome.resolved.against)


def at_odds(one: Fire, other: Fire) -> bool:
    plainly = all(
        fire.rule.kind is RuleKind.FIT and fire.rule.state is RuleState.OPEN and fire.grade is fire.rule.grade
        for fire in (one, other)
    )
    grades = {one.rule.grade, other.rule.grade}
    verdicts = {stands_over(one, other), stands_over(other, one)} - {""}
    differ = len(grades) == 2 and bool(verdicts or grades & {Grade.BOLTS_UP, Grade.WONT_FIT})
    return plainly and differ and "beats" not in verdicts


@pytest.mark.parametrize("first", range(0, SEEDS, BLOCK))
def test_two_rules_that_the_engine_hears_at_odds_are_found_by_the_check(first: int) -> None:
    seen = 0
    for seed in range(first, first + BLOCK):
        yard = small_yard(seed)
        named = {frozenset((each.code, each.other)) for each in contradictions(Pairs(bare(yard)[2]))}
        written = {rule.code for rule in yard.know.rules}
        for fires in heard_together(yard):
            # What yard law says by part type is written in no rule.
            for one, other in combinations([each for each in fires if each.rule.code in written], 2):
                if at_odds(one, other):
                    seen += 1
                    assert {one.rule.code, other.rule.code} in named, f"small_yard({seed})"
    assert seen, "some yards have rules at odds"


@pytest.mark.parametrize("first", range(0, SEEDS, BLOCK))
def test_a_rule_that_the_engine_lets_stand_is_reachable(first: int) -> None:
    for seed in range(first, first + BLOCK):
        yard = small_yard(seed)
        beaten = {each.code for each in unreachable(Pairs(bare(yard)[2]))}
        target, offers, know = bare(yard)
        judge = Judge(target, know)
        for decision in filter(None, map(judge.decide, offers)):
            for outcome in decision.outcomes:
                standing = {fire.rule.code for fire in outcome.resolved.fires} if outcome.resolved else set()
                assert not standing & beaten, f"small_yard({seed})"
