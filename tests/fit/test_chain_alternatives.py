"""Chains over rules of which one of several things must be so, each on another end.

One of the alternatives is enough, and one imagined vehicle must satisfy both its links: casebook, 1.4 and 1.7.15.
"""

from __future__ import annotations

from itertools import product

import pytest

from app.fit.answers import Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, Known, ModelInfo, Offer, Possible, Subject, Target
from app.fit.links.link import links_of
from app.fit.links.linkways import MOST_WAYS, ways_of
from app.fit.rules import Condition, Direction, End, Op, Rule
from app.fit.terms import Condition as State
from app.fit.terms import Grade, Group, Side
from tests.fit.oracle import decide
from tests.fit.small_yard_rules import FACTS, MAIN, TODAY
from tests.support.compared import compared

PLUGS = {"T1": "square", "T2": "oval", "T3": "square"}
"""From the first model by way of the second to the third; each comes with one plug only."""
MODELS = {
    key: ModelInfo(key, "Dunmarsh", key, "", "light", "Tolliver", "", "", 2007, 2008, (Possible("plug", plug),))
    for key, plug in PLUGS.items()
}
SQUARE = {end: Condition(end, "plug", Op.ANY_OF, ("square",), alt=1) for end in (End.PART, End.TARGET)}
OVAL = {end: Condition(end, "plug", Op.ANY_OF, ("oval",), alt=1) for end in (End.PART, End.TARGET)}
SAME_PLUG = Condition(End.BETWEEN, "plug", Op.SAME, alt=1)
SAME_SIDE = Condition(End.BETWEEN, "side", Op.SAME, alt=1)


def link(code: str, one: str, other: str, *asked: Condition, direction: Direction = Direction.ONE_WAY) -> Rule:
    return compared(code, MAIN, one, other, *asked, direction=direction)


def grades(*rules: Rule, side: Side = Side.NONE) -> tuple[Grade, Grade]:
    """What becomes of a part off the first model for the third: by the engine, and by every vehicle written out."""
    know = Knowledge(FACTS, rules, groups={MAIN: Group.FRAME}, models=MODELS, today=TODAY)
    ours, theirs = (Identity(MODELS[key], 2007, "2007-03", "K") for key in ("T1", "T3"))
    part = Subject(ours, {"plug": Known("square")}, {}, side, MAIN, 1)
    offer = Offer("S001", MAIN, "", MAIN, part, "D01", State.A, 100, 0, True, "A1-1", None, TODAY, 1)
    facts = {"plug": Known("square")}
    target = Target(frozenset({MAIN}), dict.fromkeys(Group, (theirs,)), facts, side)
    given = answer(Asked("", (MAIN,), side), target, [offer], (), know).answers
    found = decide(target, [offer], (), know).answers
    return given[0].grade, found[0][1]


@pytest.mark.parametrize("at", ["first", "last"])
@pytest.mark.parametrize(("one", "other"), list(product(("square", "oval"), repeat=2)))
def test_what_may_be_met_on_either_end_of_a_link_is_a_chain_where_one_end_meets_it(
    at: str, one: str, other: str
) -> None:
    asked = tuple(
        Condition(end, "plug", Op.ANY_OF, (plug,), alt=1) for end, plug in ((End.PART, one), (End.TARGET, other))
    )
    first, last = (asked, ()) if at == "first" else ((), asked)
    ends = ("T1", "T2") if at == "first" else ("T2", "T3")
    met = one == PLUGS[ends[0]] or other == PLUGS[ends[1]]
    wanted = Grade.BOLTS_UP if met else Grade.NOT_COMPARED
    assert grades(link("R01", "T1", "T2", *first), link("R02", "T2", "T3", *last)) == (wanted, wanted)


def test_a_link_that_runs_both_ways_is_met_on_either_end_turned_round_too() -> None:
    turned = link("R01", "T2", "T1", SQUARE[End.PART], SQUARE[End.TARGET], direction=Direction.BOTH_WAYS)
    assert grades(turned, link("R02", "T2", "T3")) == (Grade.BOLTS_UP, Grade.BOLTS_UP)
    turned = link("R01", "T2", "T1", SQUARE[End.PART], OVAL[End.TARGET], direction=Direction.BOTH_WAYS)
    assert grades(turned, link("R02", "T2", "T3")) == (Grade.NOT_COMPARED, Grade.NOT_COMPARED)


def test_a_figure_of_an_imagined_vehicle_that_cannot_be_the_parts_own_makes_no_chain() -> None:
    """The vehicle between comes with an oval plug only, so that part and target are square says nothing of it."""
    asked = (OVAL[End.PART], SAME_PLUG)
    assert grades(link("R01", "T1", "T2", *asked), link("R02", "T2", "T3")) == (Grade.NOT_COMPARED, Grade.NOT_COMPARED)
    asked = (SQUARE[End.PART], SAME_PLUG)
    assert grades(link("R01", "T1", "T2", *asked), link("R02", "T2", "T3")) == (Grade.BOLTS_UP, Grade.BOLTS_UP)


def test_of_one_side_or_of_one_plug_is_enough() -> None:
    asked = (OVAL[End.PART], SAME_SIDE)
    rules = link("R01", "T1", "T2", *asked), link("R02", "T2", "T3")
    assert grades(*rules, side=Side.LH) == (Grade.BOLTS_UP, Grade.BOLTS_UP)


def test_every_way_to_meet_a_rule_is_a_link_of_its_own() -> None:
    rule = link("R01", "T1", "T2", *SQUARE.values(), SAME_SIDE, SAME_PLUG, direction=Direction.BOTH_WAYS)
    links = links_of([rule], FACTS)
    assert len({each.key for each in links}) == len(links) == 10
    left = [[(each.end, each.values) for each in one.conditions[2:]] for one in links if not one.back]
    assert left[:3] == [[(End.PART, ("square",))], [(End.TARGET, ("square",))], [(End.BETWEEN, ())]]
    assert left[3:] == [[(end, (plug,)) for end in (End.PART, End.TARGET)] for plug in ("square", "oval")]


def test_alternatives_of_one_end_stay_together() -> None:
    asked = (SQUARE[End.PART], OVAL[End.PART])
    assert [each.conditions[2:] for each in links_of([link("R01", "T1", "T2", *asked)], FACTS)] == [asked]


def test_several_groups_are_met_in_every_combination_up_to_a_number() -> None:
    def groups(count: int) -> list[Condition]:
        ends = (End.PART, End.TARGET)
        return [Condition(end, "plug", Op.ANY_OF, ("oval",), alt=alt) for alt in range(1, count + 1) for end in ends]

    assert [len(ways_of(groups(count), FACTS)) for count in (0, 2, 4)] == [1, 4, 16]
    assert len(ways_of(groups(5), FACTS)) == len(ways_of(groups(60), FACTS)) == MOST_WAYS == 32
