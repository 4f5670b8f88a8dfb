"""Which of two rules asks for less: a rule is the more specific where all it asks for lies within what the other asks.

The rules of the game are those of section 1.7.2 of the casebook: models, designs and conditions, on both ends.
"""

from __future__ import annotations

import pytest

from app.fit.rules import Condition, End, Op
from app.fit.within import all_within, turned_condition


def part(fact: str, op: Op, *values: str, allowed: str = "", alt: int = 0) -> Condition:
    return Condition(End.PART, fact, op, values, allowed=allowed, alt=alt)


def target(fact: str, op: Op, *values: str) -> Condition:
    return Condition(End.TARGET, fact, op, values)


def both(fact: str, op: Op, other: str = "", allowed: str = "") -> Condition:
    return Condition(End.BETWEEN, fact, op, (), other, allowed)


SMALL, BIG = part("motor", Op.ANY_OF, "1.2"), target("motor", Op.ANY_OF, "1.6")

NESTED = [
    ("one motor on each end, and motors that differ", [SMALL, BIG], [both("motor", Op.DIFFERS)]),
    (
        "one motor on both ends, and the same motor",
        [SMALL, target("motor", Op.ANY_OF, "1.2")],
        [both("motor", Op.SAME)],
    ),
    (
        "some years, and years from one on",
        [part("year", Op.ANY_OF, "2009", "2010")],
        [part("year", Op.AT_LEAST, "2008")],
    ),
    (
        "one month, and months before another",
        [part("built", Op.ANY_OF, "2007-04")],
        [part("built", Op.BEFORE, "2007-06")],
    ),
    (
        "a figure, and the same with its unit",
        [part("amps", Op.ANY_OF, "145")],
        [part("amps", Op.ANY_OF, "145 A", "105 A")],
    ),
    ("one value, and anything known", [part("code", Op.ANY_OF, "4711")], [part("code", Op.KNOWN)]),
    (
        "a closer tape, and a wider",
        [both("length", Op.WITHIN, allowed="5 mm")],
        [both("length", Op.WITHIN, allowed="1/2 in")],
    ),
    (
        "a newer test, and an older",
        [part("tested", Op.FRESH, allowed="30 d")],
        [part("tested", Op.FRESH, allowed="6 weeks")],
    ),
    (
        "long out of date, and out of date",
        [part("tested", Op.FRESH, "no", allowed="2 years")],
        [part("tested", Op.FRESH, "no", allowed="1 year")],
    ),
]


@pytest.mark.parametrize(("inner", "outer"), [each[1:] for each in NESTED], ids=[each[0] for each in NESTED])
def test_what_asks_for_more_lies_within_what_asks_for_less(inner: list[Condition], outer: list[Condition]) -> None:
    assert all_within(inner, outer)
    assert not all_within(outer, inner)


APART = [
    ("motors that may be the same", [part("motor", Op.ANY_OF, "1.2", "1.6"), BIG], [both("motor", Op.DIFFERS)]),
    ("an alternative that need not hold", [part("motor", Op.ANY_OF, "1.2", alt=1), BIG], [both("motor", Op.DIFFERS)]),
    ("only one end told", [SMALL], [both("motor", Op.DIFFERS)]),
    ("the turbo of the same size", [part("motor", Op.ANY_OF, "1.6 turbo")], [part("motor", Op.ANY_OF, "1.6")]),
    ("words against a figure", [part("year", Op.ANY_OF, "early")], [part("year", Op.AT_LEAST, "2008")]),
]


@pytest.mark.parametrize(("inner", "outer"), [each[1:] for each in APART], ids=[each[0] for each in APART])
def test_rules_that_merely_overlap_lie_within_neither(inner: list[Condition], outer: list[Condition]) -> None:
    assert not all_within(inner, outer)
    assert not all_within(outer, inner)


def test_a_rule_turned_round_holds_each_end_to_its_own_fact() -> None:
    turned = turned_condition(both("amps", Op.AT_LEAST, "amps needed"))
    assert turned == both("amps needed", Op.AT_MOST, "amps")
    assert turned_condition(turned) == both("amps", Op.AT_LEAST, "amps needed")
    assert turned_condition(both("side", Op.SAME)) == both("side", Op.SAME)
    assert turned_condition(SMALL) == target("motor", Op.ANY_OF, "1.2")
