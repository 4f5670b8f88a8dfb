"""Who asks for a part has one: vehicles without such a part are none that he may have, unless he says so."""

from __future__ import annotations

from dataclasses import replace

from app.fit.answers import Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Identity, Known, ModelInfo, Offer, Possible, Subject, Target
from app.fit.rules import Condition as Asks
from app.fit.rules import Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import Condition, FactKind, Grade, Group
from tests.fit.small_yard_rules import TODAY

CASE = "transfer case"
FACTS = {
    "drive": FactInfo("drive", FactKind.CHOICE, choices=("4x4", "2WD")),
    "splines": FactInfo("splines", FactKind.COUNT),
}
ROWS = (Possible("drive", "4x4"), Possible("drive", "2WD"), Possible("splines", "27", given=(("drive", "4x4"),)))
TRUCK = ModelInfo("T1", "Dunmarsh", "T1", "", "", "Tolliver", "", "", 2007, 2008, possible=ROWS)
NOT_THESE = Rule(
    "R01", RuleKind.FIT, Grade.WONT_FIT, Direction.ONE_WAY, RuleState.OPEN, "the input does not go on",
    frozenset({CASE}), frozenset({CASE}),
    (Asks(End.PART, "splines", Op.ANY_OF, ("32",)), Asks(End.TARGET, "splines", Op.ANY_OF, ("27",))),
    evidence=(EvidenceLine(Evidence.MEASURED),),
)  # fmt: skip
PART = Offer(
    "S1", CASE, "", CASE, Subject(Identity(TRUCK), {"splines": Known("32")}, part_type=CASE), "D01", Condition.A,
    35000, 0, True, "A1-1", None, TODAY,
)  # fmt: skip


def told(*look_for: str, wanted: str = CASE, **facts: str) -> Grade | None:
    rule = replace(NOT_THESE, wanted_types=frozenset({wanted}))
    groups = {CASE: Group.DRIVELINE, wanted: Group.DRIVELINE}
    know = Knowledge(FACTS, (rule,), groups=groups, models={"T1": TRUCK}, today=TODAY, look_for={CASE: look_for})
    said = {name: Known(value) for name, value in facts.items()}
    target = Target(frozenset({wanted}), {Group.DRIVELINE: (Identity(TRUCK),)}, said)
    found = answer(Asked("", (wanted,)), target, [PART], (), know)
    return next((line.grade for line in (*found.answers, *found.do_not_sell)), None)


def test_what_fits_no_vehicle_that_has_such_a_part_is_not_sold() -> None:
    assert told("splines") is Grade.WONT_FIT


def test_a_vehicle_that_is_said_to_have_none_was_never_compared() -> None:
    assert told("splines", drive="2WD") is Grade.NOT_COMPARED


def test_looks_at_something_else_do_not_tell_that_the_part_is_there() -> None:
    assert told() is Grade.NOT_COMPARED
    assert told("drive") is Grade.NOT_COMPARED


def test_what_goes_in_its_place_is_looked_at_on_vehicles_that_have_what_is_asked_for() -> None:
    assert told("splines", wanted="gearbox") is None, "the rule is silent where there is no transfer case"
