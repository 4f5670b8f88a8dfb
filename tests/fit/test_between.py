"""Whether a vehicle can stand between two links: held against every vehicle of the model, one by one.

What "a vehicle of a model can be" and that all conditions must hold for one vehicle: casebook, 1.4.
"""

from __future__ import annotations

import random
from itertools import product

import pytest

from app.fit.chains.closure import Asked, Between
from app.fit.conditions import Pair, all_hold
from app.fit.knowledge import Knowledge
from app.fit.known import DateMove, FactInfo, Identity, ModelInfo, Possible, Subject
from app.fit.rules import Condition, Direction, End, Op, Rule, RuleKind, RuleState
from app.fit.terms import FactKind, Grade
from app.fit.worlds import Scope, worlds

FACTS = {
    "towing": FactInfo("towing", FactKind.YES_NO),
    "drive": FactInfo("drive", FactKind.CHOICE, choices=("2wd", "4x4")),
    "axle": FactInfo("axle", FactKind.CHOICE, choices=("light", "heavy")),
    "tank": FactInfo("tank", FactKind.LENGTH, "in"),
    "bed": FactInfo("bed", FactKind.LENGTH, "in"),
}
VALUES = {
    "towing": ("yes", "no"),
    "drive": ("2wd", "4x4"),
    "axle": ("light", "heavy"),
    "tank": ("20 in", "30 in"),
    "bed": ("20 in", "30 in"),
}
MONTHS = ("2003-06", "2004-01", "2005-03")
EVERY = Scope(frozenset(FACTS), frozenset(MONTHS), frozenset("KM"))
"""All that anybody asks about, so that every vehicle that differs in anything is looked at."""


def rule(code: str, conditions: tuple[Condition, ...] = ()) -> Rule:
    types = frozenset({"hub"})
    return Rule(code, RuleKind.FIT, Grade.BOLTS_UP, Direction.ONE_WAY, RuleState.OPEN, "", types, types, conditions)


def model(chosen: random.Random, key: str) -> ModelInfo:
    possible = []
    for fact, values in VALUES.items():
        for value in values:
            if chosen.random() < 0.6:
                given = (("drive", chosen.choice(VALUES["drive"])),) if fact == "axle" and chosen.random() < 0.4 else ()
                start, plants = chosen.choice(("", "", "", "2004-06")), chosen.choice(("", "", "", "K"))
                possible.append(Possible(fact, value, None, start, "", frozenset(plants), given))
    first = chosen.choice((2002, 2004))
    weight = chosen.choice(("light", "heavy"))
    return ModelInfo(key, "Belgal", "Tanver", "", weight, "Tanver family", "", "", first, first + 2, tuple(possible))


def condition(chosen: random.Random) -> Condition:
    fact = chosen.choice([*VALUES, "built", "built", "plant", "year", "weight class", "tank", "side"])
    alt = chosen.choice((0, 0, 1))
    if fact == "built":
        return Condition(End.TARGET, fact, chosen.choice((Op.BEFORE, Op.FROM)), (chosen.choice(MONTHS),), alt=alt)
    if fact == "tank" and chosen.random() < 0.5:
        return Condition(End.TARGET, fact, chosen.choice((Op.AT_LEAST, Op.AT_MOST)), (), "bed", alt=alt)
    values = {"plant": ("K", "M"), "weight class": ("light",), "year": ("2003", "2004"), "side": ("LH",)}
    value = chosen.choice(values.get(fact) or VALUES[fact])
    return Condition(End.TARGET, fact, chosen.choice((Op.ANY_OF, Op.ANY_OF, Op.NONE_OF)), (value,), alt=alt)


def one_vehicle_is_both(asked: tuple[Asked, ...], which: ModelInfo, know: Knowledge) -> bool:
    """Year by year, month by month, plant by plant, value by value."""
    by_year = any(each.fact == "year" for one in asked for each in one.conditions)
    years = range(which.year_from, which.year_to + 1) if by_year else (None,)
    for year in years:
        subject = Subject(Identity(which, year))
        for world in worlds(subject, EVERY, FACTS):
            pair = Pair(world, world, subject, subject, know.moves, know.today)
            if all(all_hold(rule(each.code), each.conditions, pair) for each in asked):
                return True
    return False


@pytest.mark.parametrize("seed", range(6))
def test_a_model_can_be_what_one_of_its_vehicles_is(seed: int) -> None:
    chosen = random.Random(seed)
    moving = rule("R9", (Condition(End.TARGET, "plant", Op.ANY_OF, ("K",)),))
    know = Knowledge(FACTS, (), (DateMove(moving, "R1", MONTHS[1], MONTHS[2]),))
    models = [model(chosen, f"M {number}") for number in range(10)]
    between, answers = Between(know), set()
    for _ in range(40):
        one, other = (
            Asked(chosen.choice(("", "", "R1")), tuple(condition(chosen) for _ in range(chosen.randint(0, 3))))
            for _ in range(2)
        )
        for which in models:
            can = between.asking(one, other)(which)
            assert can is one_vehicle_is_both((one, other), which, know)
            answers.add(can)
    assert answers == {True, False}


def test_what_hangs_together_is_not_judged_apart() -> None:
    """A heavy axle came only before 2004-06: no vehicle has it that was built from 2005-03."""
    early = Possible("axle", "heavy", built_to="2004-05")
    plain = Possible("axle", "heavy")
    heavy = Asked("", (Condition(End.TARGET, "axle", Op.ANY_OF, ("heavy",)),))
    late = Asked("", (Condition(End.TARGET, "built", Op.FROM, ("2005-03",)),))
    for row, asked in product((early, plain), ((heavy, late), (late, heavy))):
        which = ModelInfo("M 1", "Belgal", "Tanver", "", "", "Tanver family", "", "", 2003, 2006, (row,))
        assert Between(Knowledge(FACTS, ())).asking(*asked)(which) is (row is plain)
