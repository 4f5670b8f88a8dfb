"""Faults of rules by table: one small broken set of rules for each kind. Invented models and parts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from app.fit.knowledge import Knowledge
from app.fit.known import DateMove, FactInfo, ModelInfo, Possible
from app.fit.rulechecks.rulefaults import Fault, RuleFinding, moves_nothing, never_hold, no_such_choice, not_a_choice
from app.fit.rulechecks.rulepairs import contradictions, never_turned, unreachable
from app.fit.rulechecks.ruleways import Pairs, pairs_by_type
from app.fit.rules import (
    Companion,
    Condition,
    Direction,
    End,
    Evidence,
    EvidenceLine,
    Op,
    Rule,
    RuleKind,
    RuleState,
)
from app.fit.terms import FactKind, Grade

BOTH, ONE = Direction.BOTH_WAYS, Direction.ONE_WAY
FACTS = {
    "plug": FactInfo("plug", FactKind.CHOICE, choices=("square", "oval")),
    "towing": FactInfo("towing", FactKind.YES_NO),
    "ratio": FactInfo("ratio", FactKind.NUMBER),
    "wheels": FactInfo("wheels", FactKind.WORDS),
}


def model(key: str, family: str = "big", **facts: tuple[str, ...]) -> ModelInfo:
    rows = tuple(Possible(name, value) for name, values in facts.items() for value in values)
    return ModelInfo(key, "Dunmarsh", key, "", "", family, "", "", 2007, 2013, rows)


MODELS = {
    each.key: each
    for each in (
        model("wagon", plug=("square",), towing=("yes", "no"), wheels=("four",)),
        model("pickup", plug=("square", "oval"), towing=("no",), wheels=("four",)),
        model("small", family="small", towing=("no",), wheels=("three",)),
    )
}


def part(fact: str, op: Op, *values: str, **more: str | int) -> Condition:
    return Condition(End.PART, fact, op, values, **more)  # type: ignore[arg-type]


def target(fact: str, op: Op, *values: str, **more: str | int) -> Condition:
    return Condition(End.TARGET, fact, op, values, **more)  # type: ignore[arg-type]


def between(fact: str, op: Op) -> Condition:
    return Condition(End.BETWEEN, fact, op)


def on(*models: str) -> tuple[Condition, Condition]:
    return part("model", Op.ANY_OF, *models), target("model", Op.ANY_OF, *models)


def rule(
    code: str,
    grade: Grade,
    *conditions: Condition,
    direction: Direction = BOTH,
    known: Evidence = Evidence.MEASURED,
    kind: RuleKind = RuleKind.FIT,
    state: RuleState = RuleState.OPEN,
    parts: tuple[str, ...] = ("hub",),
) -> Rule:
    types = frozenset(parts)
    proof = (EvidenceLine(known),)
    return Rule(code, kind, grade, direction, state, code, types, types, tuple(conditions), evidence=proof)


def know(*rules: Rule, moves: tuple[DateMove, ...] = ()) -> Knowledge:
    return Knowledge(FACTS, rules, moves, models=MODELS)


def faults(known: Knowledge) -> Iterator[RuleFinding]:
    yield from not_a_choice(known.rules, known.facts)
    yield from no_such_choice(known.rules, known.facts)
    yield from moves_nothing(known)
    yield from never_hold(known)
    yield from paired(Pairs(known))


def paired(pairs: Pairs) -> Iterator[RuleFinding]:
    yield from unreachable(pairs)
    yield from contradictions(pairs)
    yield from never_turned(pairs)


UP, NO, MEASURE, SET, WORK = Grade.BOLTS_UP, Grade.WONT_FIT, Grade.MEASURE, Grade.SET, Grade.NEEDS_WORK
HEAVY = (*on("wagon", "pickup"),)
LAW = RuleKind.LAW
SQUARE, OVAL = part("plug", Op.ANY_OF, "square"), target("plug", Op.ANY_OF, "oval")
TOLD = Evidence.TOLD
BROKEN: dict[str, tuple[list[Rule], list[tuple[Fault, str, str]]]] = {
    "a value no look can give": (
        [rule("A", UP, *HEAVY, part("plug", Op.ANY_OF, "round"))],
        [(Fault.DEAD, "A", ""), (Fault.NEVER, "A", "")],
    ),
    "a yes or no that is neither": (
        [rule("A", UP, *HEAVY, target("towing", Op.NONE_OF, "maybe"))],
        [(Fault.DEAD, "A", "")],
    ),
    "months that leave no month": (
        [rule("A", UP, *HEAVY, part("built", Op.FROM, "2009-01"), part("built", Op.BEFORE, "2008-06"))],
        [(Fault.NEVER, "A", "")],
    ),
    "months outside the model's run": (
        [rule("A", UP, *HEAVY, target("built", Op.FROM, "2014-01"))],
        [(Fault.NEVER, "A", "")],
    ),
    "at least above at most": (
        [rule("A", UP, *HEAVY, part("ratio", Op.AT_LEAST, "4.10"), part("ratio", Op.AT_MOST, "3.42"))],
        [(Fault.NEVER, "A", "")],
    ),
    "two values at once": (
        [rule("A", UP, *HEAVY, SQUARE, part("plug", Op.ANY_OF, "oval"))],
        [(Fault.NEVER, "A", "")],
    ),
    "a value taken away again": (
        [rule("A", UP, *HEAVY, SQUARE, part("plug", Op.NONE_OF, "square"))],
        [(Fault.NEVER, "A", "")],
    ),
    "a value the model never had": (
        [rule("A", UP, *on("wagon"), target("plug", Op.ANY_OF, "oval"))],
        [(Fault.NEVER, "A", "")],
    ),
    "no alternative can be": (
        [rule("A", UP, *on("wagon"), part("plug", Op.ANY_OF, "oval", alt=1), part("year", Op.ANY_OF, "1999", alt=1))],
        [(Fault.NEVER, "A", "")],
    ),
    "a split that a rule read both ways forgets": (
        [rule("A", UP, *HEAVY, target("built", Op.BEFORE, "2009-01")),
         rule("B", NO, *HEAVY, target("built", Op.FROM, "2009-01"), direction=ONE)],
        [(Fault.CONTRADICTION, "A", "B")],
    ),
    "two measured rules at odds": (
        [rule("A", UP, *HEAVY), rule("B", NO, *on("pickup", "small"))],
        [(Fault.CONTRADICTION, "A", "B")],
    ),
    "a pair, and two or four": (
        [rule("A", UP, *HEAVY, part("pieces", Op.AT_LEAST, "2")),
         rule("B", NO, *HEAVY, part("pieces", Op.ANY_OF, "1", "4"))],
        [(Fault.CONTRADICTION, "A", "B")],
    ),
    "two told rules at odds": (
        [rule("A", UP, *HEAVY, known=TOLD), rule("B", NO, *HEAVY, known=Evidence.GUESS)],
        [(Fault.CONTRADICTION, "A", "B")],
    ),
    "a narrower hearsay: measure": (
        [rule("A", UP, *HEAVY), rule("B", NO, *on("pickup"), known=TOLD)],
        [(Fault.CONTRADICTION, "A", "B")],
    ),
    "narrower hearsay of other work: measure, not both": (
        [rule("A", SET, *HEAVY), rule("B", WORK, *on("pickup"), known=TOLD)],
        [(Fault.CONTRADICTION, "A", "B")],
    ),
    "a way back that no vehicle can meet": (
        [rule("A", WORK, part("model", Op.ANY_OF, "pickup"), target("model", Op.ANY_OF, "wagon"), direction=ONE),
         rule("B", NO, part("model", Op.ANY_OF, "wagon"), part("plug", Op.ANY_OF, "oval", alt=1),
              part("towing", Op.ANY_OF, "maybe", alt=1), target("model", Op.ANY_OF, "pickup"), direction=ONE)],
        [(Fault.DEAD, "B", ""), (Fault.NEVER, "B", ""), (Fault.ONE_WAY, "A", ""), (Fault.ONE_WAY, "B", "")],
    ),
    "hearsay under a measured rule of the same vehicles": (
        [rule("A", UP, *HEAVY), rule("B", NO, *HEAVY, known=TOLD)],
        [(Fault.UNREACHABLE, "B", "A")],
    ),
    "a general rule that narrower ones leave nothing": (
        [rule("A", UP, *on("pickup"), known=TOLD, direction=ONE), rule("B", NO, *on("pickup"), SQUARE, direction=ONE),
         rule("C", WORK, *on("pickup"), part("plug", Op.ANY_OF, "oval"), direction=ONE)],
        [(Fault.UNREACHABLE, "A", "B")],
    ),
    "what yard law forbids anyhow": (
        [rule("A", UP, *HEAVY), rule("L", NO, *HEAVY, kind=LAW, direction=ONE)],
        [(Fault.UNREACHABLE, "A", "L")],
    ),
    "the same on both of what is one thing here and another there": (
        [rule("A", UP, *HEAVY, SQUARE, OVAL, between("plug", Op.SAME))],
        [(Fault.NEVER, "A", "")],
    ),
    "another on both of what is one thing on either": (
        [rule("A", UP, *HEAVY, SQUARE, target("plug", Op.ANY_OF, "square"), between("plug", Op.DIFFERS))],
        [(Fault.NEVER, "A", "")],
    ),
    "the left one for the right, and the same side": (
        [rule("A", UP, *HEAVY, part("side", Op.ANY_OF, "LH"), target("side", Op.ANY_OF, "RH"),
              between("side", Op.SAME))],
        [(Fault.NEVER, "A", "")],
    ),
    "figures that are the same and never meet": (
        [rule("A", UP, *HEAVY, part("ratio", Op.AT_LEAST, "4.10"), target("ratio", Op.AT_MOST, "3.42"),
              between("ratio", Op.SAME))],
        [(Fault.NEVER, "A", "")],
    ),
    "no model, and its ends are of two families": (
        [rule("A", UP, target("towing", Op.ANY_OF, "yes"), part("wheels", Op.ANY_OF, "three"))],
        [(Fault.NEVER, "A", "")],
    ),
    "a part type that the rule is not about": (
        [rule("A", UP, *HEAVY, part("part type", Op.ANY_OF, "axle"))],
        [(Fault.NEVER, "A", "")],
    ),
    "a companion told by a value no look can give": (
        [replace(rule("A", SET, *HEAVY), companions=(Companion("ring", given=("plug=round",)),))],
        [(Fault.DEAD, "A", "")],
    ),
    "had already by a value no look can give": (
        [replace(rule("A", SET, *HEAVY), companions=(Companion("ring", already_there="plug=round"),))],
        [(Fault.DEAD, "A", "")],
    ),
    "the way back only in a closed rule": (
        [rule("A", WORK, part("model", Op.ANY_OF, "pickup"), target("model", Op.ANY_OF, "wagon"), direction=ONE),
         rule("B", NO, part("model", Op.ANY_OF, "wagon"), target("model", Op.ANY_OF, "pickup"), direction=ONE,
              state=RuleState.CLOSED)],
        [(Fault.ONE_WAY, "A", "")],
    ),
    "one way and never the other": (
        [rule("A", WORK, part("model", Op.ANY_OF, "pickup"), target("model", Op.ANY_OF, "wagon"), direction=ONE)],
        [(Fault.ONE_WAY, "A", "")],
    ),
}  # fmt: skip


@pytest.mark.parametrize("broken", BROKEN)
def test_each_broken_set_has_its_finding(broken: str) -> None:
    rules, expected = BROKEN[broken]
    assert [(each.kind, each.code, each.other) for each in faults(know(*rules))] == expected


SOUND: dict[str, list[Rule]] = {
    "vehicles that never meet": [rule("A", UP, *on("wagon")), rule("B", NO, *on("pickup"))],
    "parts that never meet": [rule("A", UP, *HEAVY), rule("B", NO, *HEAVY, parts=("axle",))],
    "one plug or the other": [
        rule("A", UP, *HEAVY, Condition(End.BETWEEN, "plug", Op.SAME)),
        rule("B", NO, *HEAVY, Condition(End.BETWEEN, "plug", Op.DIFFERS)),
    ],
    "before the split and from it on": [
        rule("A", UP, *HEAVY, target("built", Op.BEFORE, "2009-01"), direction=ONE),
        rule("B", NO, part("model", Op.ANY_OF, "wagon", "pickup"), target("model", Op.ANY_OF, "wagon", "pickup"),
             target("built", Op.FROM, "2009-01"), direction=ONE),
    ],
    "years apart": [
        rule("A", UP, *HEAVY, target("year", Op.AT_MOST, "2008"), direction=ONE),
        rule("B", NO, *HEAVY, target("year", Op.AT_LEAST, "2009"), direction=ONE),
    ],
    "a month before a year": [
        rule("A", UP, *HEAVY, target("built", Op.BEFORE, "2008-07"), direction=ONE),
        rule("B", NO, *HEAVY, target("year", Op.AT_LEAST, "2010"), direction=ONE),
    ],
    "one side or the other": [
        rule("A", UP, *HEAVY, between("side", Op.SAME)),
        rule("B", NO, *HEAVY, between("side", Op.DIFFERS)),
    ],
    "the same of lists that share a value": [
        rule("A", UP, *HEAVY, part("plug", Op.ANY_OF, "square", "oval"), OVAL, between("plug", Op.SAME)),
    ],
    "one that says both ways what another says back": [
        rule("A", WORK, part("model", Op.ANY_OF, "pickup"), target("model", Op.ANY_OF, "wagon"), direction=ONE),
        rule("B", NO, part("model", Op.ANY_OF, "wagon", "small"), target("model", Op.ANY_OF, "small", "pickup")),
    ],
    "beaten in one of its directions": [
        rule("A", UP, part("model", Op.ANY_OF, "pickup"), target("model", Op.ANY_OF, "wagon"), known=TOLD),
        rule("B", NO, part("model", Op.ANY_OF, "pickup"), target("model", Op.ANY_OF, "wagon"), direction=ONE),
    ],
    "a law about some of the parts": [rule("A", UP, *HEAVY), rule("L", NO, SQUARE, kind=LAW, direction=ONE)],
    "a pair, and a single piece": [
        rule("A", UP, *HEAVY, part("pieces", Op.AT_LEAST, "2")), rule("B", NO, *HEAVY, part("pieces", Op.ANY_OF, "1")),
    ],
    "more than a pair, and no more than one": [
        rule("A", UP, *HEAVY, part("pieces", Op.ANY_OF, "2", "4")),
        rule("B", NO, *HEAVY, part("pieces", Op.AT_MOST, "1"), direction=ONE),
    ],
    "work that adds up": [rule("A", SET, *HEAVY), rule("B", WORK, *HEAVY)],
    "a narrower measured rule": [rule("A", UP, *HEAVY), rule("B", NO, *on("pickup"))],
    "a disputed rule": [rule("A", UP, *HEAVY, state=RuleState.DISPUTED), rule("B", NO, *HEAVY)],
    "a closed rule": [rule("A", UP, *HEAVY, state=RuleState.CLOSED), rule("B", NO, *HEAVY)],
    "one way among the same vehicles": [rule("A", UP, *HEAVY, direction=ONE)],
    "one way, and another the other way": [
        rule("A", WORK, part("model", Op.ANY_OF, "pickup"), target("model", Op.ANY_OF, "wagon"), direction=ONE),
        rule("B", NO, part("model", Op.ANY_OF, "wagon"), target("model", Op.ANY_OF, "pickup"), direction=ONE),
    ],
    "families that no rule names": [
        rule("A", UP, part("plug", Op.ANY_OF, "square")),
        rule("B", NO, part("model", Op.ANY_OF, "pickup"), target("model", Op.ANY_OF, "small")),
    ],
}  # fmt: skip


@pytest.mark.parametrize("sound", SOUND)
def test_a_sound_set_has_none(sound: str) -> None:
    assert list(faults(know(*SOUND[sound]))) == []


def test_a_moved_split_keeps_two_rules_apart_or_lets_them_meet() -> None:
    """At plant K the early rule runs on for three months, into those of a rule that knows nothing of plants."""
    early = rule("A", UP, *HEAVY, target("built", Op.BEFORE, "2007-06"), direction=ONE)
    late = rule("B", NO, *HEAVY, target("built", Op.FROM, "2007-06"), direction=ONE)
    mover = rule("M", MEASURE, target("plant", Op.ANY_OF, "K"), kind=RuleKind.MOVES_DATE)
    both = tuple(DateMove(mover, code, "2007-06", "2007-09") for code in "AB")
    assert [each.kind for each in contradictions(Pairs(know(early, late, mover, moves=both)))] == []


def test_a_move_of_a_month_that_the_moved_rule_does_not_look_at_is_a_dead_reference() -> None:
    early = rule("A", UP, *HEAVY, target("built", Op.BEFORE, "2009-01"), direction=ONE)
    mover = rule("M", MEASURE, target("plant", Op.ANY_OF, "K"), kind=RuleKind.MOVES_DATE)
    for month, found in (("2009-01", []), ("2008-01", [("M", "A")])):
        moves = (DateMove(mover, "A", month, "2009-06"),)
        assert [(each.code, each.other) for each in moves_nothing(know(early, mover, moves=moves))] == found


def test_a_finding_says_where_what_and_what_to_do() -> None:
    (found,) = faults(know(*BROKEN["two measured rules at odds"][0]))
    assert found.place == "A and B"
    assert '"won\'t fit" is answered' in found.words
    assert "pickup" in found.example
    assert found.remedy


def test_the_order_of_the_rules_changes_no_finding() -> None:
    for rules, _ in BROKEN.values():
        there = {(each.kind, each.code, each.other) for each in faults(know(*rules))}
        back = {(each.kind, each.code, each.other) for each in faults(know(*reversed(rules)))}
        assert {(kind, code) for kind, code, _ in there} == {(kind, code) for kind, code, _ in back}


@pytest.mark.parametrize("name", BROKEN)
def test_part_types_looked_at_apart_give_the_same_findings(name: str) -> None:
    """The same rules for hubs and for doors, and a law over both: what is found there is found among all at once."""
    hubs = BROKEN[name][0]
    doors = [
        replace(each, code=f"{each.code}9", offered_types=frozenset(["door"]), wanted_types=frozenset(["door"]))
        for each in hubs
    ]
    law = rule("L", NO, OVAL, kind=LAW, parts=("hub", "door"))
    known = know(law, *hubs, *doors)
    apart = list(pairs_by_type(known))
    assert len(apart) >= 2
    found = [each for pairs in apart for each in paired(pairs)]
    assert sorted(map(str, found)) == sorted(map(str, paired(Pairs(known))))


def test_a_rule_for_two_part_types_is_held_against_the_rules_of_both() -> None:
    both = rule("A", UP, *HEAVY, parts=("hub", "door"))
    hub, door = rule("B", NO, *HEAVY), rule("C", NO, *HEAVY, parts=("door",))
    (pairs,) = pairs_by_type(know(hub, both, door))
    assert {(each.code, each.other) for each in contradictions(pairs)} == {("A", "B"), ("A", "C")}


def test_closing_one_of_two_rules_at_odds_ends_the_finding() -> None:
    close: Callable[[Rule], Rule] = lambda each: replace(each, state=RuleState.CLOSED)  # noqa: E731
    one, other = BROKEN["two measured rules at odds"][0]
    assert list(faults(know(close(one), other))) == []
