"""A chain by way of another part type: its last link looks at facts of the vehicle that no rule about the part does."""

from __future__ import annotations

import pytest

from app.fit.answers import Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Identity, Known, ModelInfo, Offer, Possible, Subject, Target
from app.fit.rules import Condition as Asks
from app.fit.rules import Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import Condition, FactKind, Grade, Group
from tests.fit.small_yard_rules import TODAY

PLUG = FactInfo("plug", FactKind.CHOICE, choices=("square", "oval"), question="Square or oval?", group=Group.FRAME)
MODELS = {
    key: ModelInfo(
        key, "Dunmarsh", key, "", "", "Tolliver", "", "", 2007, 2008,
        (Possible("plug", "square", built_to="2007-05"), Possible("plug", "oval", built_from="2007-06")),
    )
    for key in ("T1", "T2", "T3")
}  # fmt: skip


def link(code: str, part: tuple[str, str], place: tuple[str, str], *more: Asks) -> Rule:
    models = (Asks(End.PART, "model", Op.ANY_OF, (part[1],)), Asks(End.TARGET, "model", Op.ANY_OF, (place[1],)))
    return Rule(
        code, RuleKind.FIT, Grade.BOLTS_UP, Direction.ONE_WAY, RuleState.OPEN, "same bolts", frozenset({part[0]}),
        frozenset({place[0]}), (*models, *more), evidence=(EvidenceLine(Evidence.MEASURED),),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("facts", "built", "grade"),
    [
        ({"plug": "square"}, None, Grade.BOLTS_UP),
        ({"plug": "oval"}, None, Grade.NOT_COMPARED),
        ({}, None, Grade.MEASURE),
        ({}, "2007-03", Grade.BOLTS_UP),
    ],
)
def test_what_the_last_link_asks_of_the_vehicle_decides(facts: dict[str, str], built: str | None, grade: Grade) -> None:
    rules = (
        link("R1", ("hub", "T1"), ("hub, early", "T2")),
        link("R2", ("hub, early", "T2"), ("hub", "T3"), Asks(End.TARGET, "plug", Op.ANY_OF, ("square",))),
    )
    know = Knowledge(
        {"plug": PLUG}, rules, groups=dict.fromkeys(("hub", "hub, early"), Group.FRAME), models=MODELS, today=TODAY
    )
    hub = Offer(
        "S1", "hub", "", "hub", Subject(Identity(MODELS["T1"]), part_type="hub"), "D01", Condition.A, 7000, 0, True,
        "A1-1", None, TODAY,
    )  # fmt: skip
    known = {name: Known(value, None, "customer") for name, value in facts.items()}
    target = Target(frozenset({"hub"}), {Group.FRAME: (Identity(MODELS["T3"], 2007, built),)}, known)
    found = answer(Asked("", ("hub",)), target, [hub], (), know)
    (line,) = found.answers
    assert line.grade is grade
    # The month of the plate tells the plug as well as a look at it does.
    assert {each.fact for each in found.questions} == ({"plug", "built"} if grade is Grade.MEASURE else set())
