"""A number of a closed list that nobody recorded: a look decides, or none could, and then nothing is to be measured."""

from __future__ import annotations

import pytest

from app.fit.answers import Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Identity, ModelInfo, Offer, Subject, Target
from app.fit.rules import Condition as Asks
from app.fit.rules import Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import Condition, FactKind, Grade, Group
from tests.fit.small_yard_rules import TODAY

MODEL = ModelInfo("T1", "Dunmarsh", "T1", "", "", "Tolliver", "", "", 2007, 2008)
LISTED = FactInfo("cap", FactKind.LENGTH, "in", ("3.22 in", "3.62 in"), "How far across the caps?")
OPEN = FactInfo("cap", FactKind.LENGTH, "in", (), "How far across the caps?")


@pytest.mark.parametrize(
    ("fact", "most", "grade"),
    [
        (LISTED, "4 in", Grade.BOLTS_UP),  # Either is small enough (1.7.1): no look could decide anything (1.1).
        (LISTED, "3.50 in", Grade.MEASURE),
        (OPEN, "4 in", Grade.MEASURE),  # 1.7.5
    ],
)
def test_a_number_nobody_recorded_waits_for_a_look_where_one_could_decide(
    fact: FactInfo, most: str, grade: Grade
) -> None:
    types = frozenset({"joint"})
    rule = Rule(
        "R01", RuleKind.NUMBERS, Grade.BOLTS_UP, Direction.ONE_WAY, RuleState.OPEN, "no wider", types, types,
        (Asks(End.PART, "cap", Op.AT_MOST, (most,)),), evidence=(EvidenceLine(Evidence.MEASURED),),
    )  # fmt: skip
    part = Offer(
        "S1", "joint", "", "joint", Subject(Identity(MODEL), part_type="joint"), "D01", Condition.A, 3000, 0, True,
        "A1-1", None, TODAY,
    )  # fmt: skip
    know = Knowledge({"cap": fact}, (rule,), groups={"joint": Group.FRAME}, models={"T1": MODEL}, today=TODAY)
    target = Target(types, {Group.FRAME: (Identity(MODEL),)})
    (line,) = answer(Asked("", ("joint",)), target, [part], (), know).answers
    assert line.grade is grade
