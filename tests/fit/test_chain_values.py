"""Chains over rules that ask the same, or another, value of part and vehicle.

One imagined vehicle must satisfy the conditions on both ends of every link, and nothing that a tolerance decides is a
link: casebook, 1.4 and 1.7.15. All is held against the plain decision that writes every vehicle out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from itertools import permutations, product

import pytest

from app.fit.answers import Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Identity, ModelInfo, Offer, Possible, Subject, Target
from app.fit.links.link import links_of
from app.fit.links.linkways import MOST_WAYS
from app.fit.rules import Condition, Direction, End, Op, Rule
from app.fit.terms import Condition as State
from app.fit.terms import FactKind, Grade, Group
from tests.fit.oracle import decide
from tests.support.compared import compared

TODAY = date(2026, 3, 4)
FACTS = {
    "splines": FactInfo("splines", FactKind.COUNT, choices=("30", "33")),
    "plug": FactInfo("plug", FactKind.CHOICE, choices=("square", "oval", "round")),
    "heated": FactInfo("heated", FactKind.YES_NO),
    "joint": FactInfo("joint", FactKind.LENGTH, "in", ("3.20 in", "3.60 in")),
    "amps": FactInfo("amps", FactKind.NUMBER, "A"),
    "bolts": FactInfo("bolts", FactKind.COUNT, choices=tuple(map(str, range(MOST_WAYS + 1)))),
    "bolts needed": FactInfo("bolts needed", FactKind.COUNT, choices=("30", "33")),
}
SAME_SPLINES = Condition(End.BETWEEN, "splines", Op.SAME)
OTHER_PLUG = Condition(End.BETWEEN, "plug", Op.DIFFERS)
Values = Mapping[str, Sequence[str]]
FITS, UNKNOWN = (Grade.BOLTS_UP, Grade.BOLTS_UP), (Grade.NOT_COMPARED, Grade.NOT_COMPARED)


def rule(code: str, one: str, other: str, *asked: Condition, direction: Direction = Direction.ONE_WAY) -> Rule:
    return compared(code, "shaft", one, other, *asked, direction=direction)


def model(key: str, *rows: Possible) -> ModelInfo:
    return ModelInfo(key, "Dunmarsh", key, "", "light", "Tolliver", "", "", 2007, 2008, rows)


def can_be(values: Values) -> list[Possible]:
    return [Possible(fact, each) for fact, some in values.items() for each in some]


def grades(*rules: Rule, part: Values, between: ModelInfo, target: Values) -> tuple[Grade, Grade]:
    """What becomes of a part off A for C by way of B: by the engine, and by every vehicle written out."""
    models = {"A": model("A", *can_be(part)), "B": between, "C": model("C", *can_be(target))}
    return judged(*rules, models=models)


def judged(*rules: Rule, models: Mapping[str, ModelInfo]) -> tuple[Grade, Grade]:
    know = Knowledge(FACTS, rules, groups={"shaft": Group.FRAME}, models=models, today=TODAY)
    ours, theirs = (Identity(models[key], 2007, "2007-03", "K") for key in ("A", "C"))
    subject = Subject(ours, {}, {}, part_type="shaft", pieces=1)
    offer = Offer("S001", "shaft", "", "shaft", subject, "D01", State.A, 100, 0, True, "A1-1", None, TODAY, 1)
    asked = Target(frozenset({"shaft"}), dict.fromkeys(Group, (theirs,)))
    given = answer(Asked("", ("shaft",)), asked, [offer], (), know).answers
    return given[0].grade, decide(asked, [offer], (), know).answers[0][1]


def both(first: Sequence[Condition] = (), last: Sequence[Condition] = ()) -> tuple[Rule, Rule]:
    return rule("R01", "A", "B", *first), rule("R02", "B", "C", *last)


@pytest.mark.parametrize("between", [("30",), ("33",), ("30", "33"), ()])
@pytest.mark.parametrize(("ours", "theirs"), list(product(("30", "33"), repeat=2)))
def test_a_part_goes_by_way_of_a_vehicle_that_has_its_splines(ours: str, theirs: str, between: tuple[str, ...]) -> None:
    """Where nobody wrote down what the vehicle between comes with, it may come with any."""
    splines = between or ("30", "33")
    middle = model("B", *can_be({"splines": between}))
    given: dict[str, Values] = {"part": {"splines": (ours,)}, "target": {"splines": (theirs,)}}
    first = grades(*both(first=[SAME_SPLINES]), between=middle, **given)
    assert first == (FITS if ours in splines else UNKNOWN)
    last = grades(*both(last=[SAME_SPLINES]), between=middle, **given)
    assert last == (FITS if theirs in splines else UNKNOWN)
    through = grades(*both([SAME_SPLINES], [SAME_SPLINES]), between=middle, **given)
    assert through == (FITS if ours == theirs and ours in splines else UNKNOWN)


def test_the_splines_and_what_else_is_asked_must_be_those_of_one_vehicle() -> None:
    """Thirty splines came with a square plug only."""
    tied = model("B", Possible("splines", "30", given=(("plug", "square"),)), *can_be({"plug": ("square", "oval")}))
    ends: dict[str, Values] = {"part": {"splines": ("30",)}, "target": {}}
    for plug, wanted in (("square", FITS), ("oval", UNKNOWN)):
        asked = [Condition(End.PART, "plug", Op.ANY_OF, (plug,))]
        assert grades(*both([SAME_SPLINES], asked), between=tied, **ends) == wanted


@pytest.mark.parametrize(("ours", "middle", "theirs"), list(product(("square", "oval"), repeat=3)))
def test_a_part_goes_by_way_of_a_vehicle_that_has_another_plug(ours: str, middle: str, theirs: str) -> None:
    found = grades(
        *both([OTHER_PLUG], [OTHER_PLUG]),
        part={"plug": (ours,)},
        between=model("B", *can_be({"plug": (middle,)})),
        target={"plug": (theirs,)},
    )
    assert found == (FITS if ours != middle and middle != theirs else UNKNOWN)


@pytest.mark.parametrize(("heated", "plug"), list(product(("yes", "no"), ("square", "oval"))))
def test_of_two_things_that_must_be_the_same_both_are(heated: str, plug: str) -> None:
    same = [Condition(End.BETWEEN, "heated", Op.SAME), Condition(End.BETWEEN, "plug", Op.SAME)]
    found = grades(
        *both(same),
        part={"heated": ("yes",), "plug": ("oval",)},
        between=model("B", *can_be({"heated": (heated,), "plug": (plug,)})),
        target={},
    )
    assert found == (FITS if (heated, plug) == ("yes", "oval") else UNKNOWN)


def test_one_of_two_things_that_must_be_the_same_is_enough_where_either_will_do() -> None:
    """That the part has what the vehicle at the far end has says nothing of the one between."""
    either = [Condition(End.BETWEEN, name, Op.SAME, alt=1) for name in ("heated", "plug")]
    ends: dict[str, Values] = {"part": {"heated": ("yes",), "plug": ("oval",)}}
    ends["target"] = ends["part"]
    for heated, plug in product(("yes", "no"), ("square", "oval")):
        middle = model("B", *can_be({"heated": (heated,), "plug": (plug,)}))
        wanted = FITS if heated == "yes" or plug == "oval" else UNKNOWN
        assert grades(*both(either), between=middle, **ends) == wanted
        assert grades(*both(last=either), between=middle, **ends) == wanted


@pytest.mark.parametrize("codes", list(permutations(("30", "33"))))
def test_what_one_end_has_is_held_against_what_the_other_needs_turned_round_too(codes: tuple[str, str]) -> None:
    has, needs = codes[0], "30"
    asked = Condition(End.BETWEEN, "splines", Op.SAME, other_fact="bolts needed")
    forth = rule("R01", "A", "B", asked)
    back = rule("R01", "B", "A", asked, direction=Direction.BOTH_WAYS)
    last = rule("R02", "B", "C")
    middle = model("B", *can_be({"bolts needed": (needs,)}))
    assert grades(forth, last, part={"splines": (has,)}, between=middle, target={}) == (
        FITS if has == needs else UNKNOWN
    )
    middle = model("B", *can_be({"splines": (has,)}))
    part = {"bolts needed": (needs,)}
    assert grades(back, last, part=part, between=middle, target={}) == (FITS if has == needs else UNKNOWN)


def test_a_chain_of_three_links_may_ask_it_of_two_imagined_vehicles() -> None:
    models = {key: model(key) for key in "ABC"} | {"D": model("D", *can_be({"splines": ("30",)}))}
    for splines, wanted in (("30", FITS), ("33", UNKNOWN)):
        models["B"] = model("B", *can_be({"splines": (splines,)}))
        links = (rule("R01", "A", "B"), rule("R02", "B", "D", SAME_SPLINES), rule("R03", "D", "C"))
        assert judged(*links, models=models) == wanted


def test_what_is_measured_with_a_doubt_is_never_proven_the_same() -> None:
    """A size off a list is one of its sizes; a model whose own size has a doubt is not known to have any."""
    same = both([Condition(End.BETWEEN, "joint", Op.SAME)])
    ends: dict[str, Values] = {"part": {"joint": ("3.20 in",)}, "target": {}}
    row = Possible("joint", "3.20 in")
    assert grades(*same, between=model("B", row), **ends) == FITS
    assert grades(*same, between=model("B", replace(row, u_mm=1.5875)), **ends)[0] is Grade.NOT_COMPARED
    models = {"A": model("A", replace(row, u_mm=1.5875)), "B": model("B", row), "C": model("C")}
    assert judged(*same, models=models)[0] is Grade.NOT_COMPARED


def test_a_figure_that_may_be_two_things_is_never_proven_another() -> None:
    """Without a unit 3.60 may be inches; that it is another joint than 91.44 mm is not said."""
    other = both([Condition(End.BETWEEN, "joint", Op.DIFFERS)])
    ends: dict[str, Values] = {"part": {"joint": ("3.60 in",)}, "target": {}}
    assert grades(*other, between=model("B", Possible("joint", "3.20 in")), **ends)[0] is Grade.BOLTS_UP
    assert grades(*other, between=model("B", Possible("joint", "3.61")), **ends)[0] is Grade.NOT_COMPARED


@pytest.mark.parametrize(
    "asked",
    [
        Condition(End.BETWEEN, "amps", Op.SAME),
        Condition(End.BETWEEN, "amps", Op.AT_LEAST),
        Condition(End.BETWEEN, "splines", Op.AT_LEAST),
        Condition(End.BETWEEN, "joint", Op.WITHIN, allowed="0.5 in"),
        Condition(End.BETWEEN, "bolts", Op.SAME),
        Condition(End.BETWEEN, "model", Op.SAME),
        Condition(End.BETWEEN, "amps", Op.SAME, alt=1),
    ],
)
def test_what_has_no_list_or_too_long_a_one_or_is_held_to_a_bound_is_no_link(asked: Condition) -> None:
    assert links_of([rule("R01", "A", "B", asked)], FACTS) == ()


def test_each_value_is_a_link_of_its_own() -> None:
    links = links_of([rule("R01", "A", "B", SAME_SPLINES, OTHER_PLUG)], FACTS)
    assert [link.way for link in links] == list(range(6))
    asked = {tuple((each.end, each.op, each.values) for each in link.conditions[2:]) for link in links}
    ends = (End.PART, End.TARGET)
    assert asked == {
        (
            *((end, Op.ANY_OF, (splines,)) for end in ends),
            (End.PART, Op.ANY_OF, (plug,)),
            (End.TARGET, Op.NONE_OF, (plug,)),
        )
        for splines, plug in product(FACTS["splines"].choices, FACTS["plug"].choices)
    }
