"""What is said a part comes to under some looks is what it comes to in every world that has them."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from app.fit.decide import Judge
from app.fit.merging import BUILT, PLANT, Merged
from app.fit.saying.ifs import If, ifs
from app.fit.terms import QUOTABLE, Grade
from app.fit.worlds import OTHER_PLANT, World
from tests.fit.small_yards import Yard, small_yard
from tests.fit.test_buildtimes import within

YARDS = st.integers(0, 10**6).map(small_yard)
WANTED = (QUOTABLE, frozenset({Grade.WONT_FIT}))


def holds(each: If, world: World, named: frozenset[str]) -> bool:
    """Whether a world is one that is spoken of; `named` are the plants that rules name."""
    return all(_is_one_of(name, values, world, named) for name, values in each.values)


def _is_one_of(name: str, values: tuple[str, ...], world: World, named: frozenset[str]) -> bool:
    known = world.get(name)
    if known is None:
        return False
    if name == BUILT:
        return any(within(known.value, said) for said in values)
    if name == PLANT and known.value not in named:
        return OTHER_PLANT in values
    return known.value in values


@settings(max_examples=300, deadline=None, derandomize=True)
@given(YARDS)
def test_a_condition_that_is_said_is_true_and_met_by_some_vehicle(yard: Yard) -> None:
    judge = Judge(yard.target, yard.know)
    for offer in yard.offers:
        decision = judge.decide(offer)
        if decision is None:
            continue
        for wanted in WANTED:
            for each in ifs(decision.merged, wanted).told:
                grades = _grades(each, decision.merged)
                assert grades == {each.grade} <= wanted, f"{offer.tag} of {yard}"


def _grades(each: If, merged: Merged) -> set[Grade]:
    named = merged.match.case.scope.plants
    every = ((world, outcome.grade) for _, theirs, outcome in merged.found for world in theirs.members)
    return {grade for world, grade in every if holds(each, world, named)}


@settings(max_examples=300, deadline=None, derandomize=True)
@given(YARDS)
def test_one_look_is_never_said_as_two(yard: Yard) -> None:
    """Where the grades by the values of one fact show that it settles a part, no second fact is asked for."""
    judge = Judge(yard.target, yard.know)
    for offer in yard.offers:
        decision = judge.decide(offer)
        if decision is None or decision.grade is not Grade.MEASURE:
            continue
        merged = decision.merged
        alone = [
            name
            for name in merged.target_facts
            if len(merged.by_target[name]) > 1
            and any(len(grades) == 1 and grades <= QUOTABLE for grades in merged.by_target[name].values())
        ]
        told = ifs(merged, QUOTABLE).told
        assert not alone or (told and all(len(each.values) == 1 for each in told))
