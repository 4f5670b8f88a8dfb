"""A rule about so many pieces counts the lot in hand, whichever way round it is heard."""

from __future__ import annotations

import pytest

from app.fit.answers import Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, ModelInfo, Offer, Subject, Target
from app.fit.rules import Condition as Asks
from app.fit.rules import Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import Condition, Grade, Group
from tests.fit.small_yard_rules import TODAY

ONE, OTHER = (ModelInfo(key, "Dunmarsh", key, "", "", "Tolliver", "", "", 2007, 2008) for key in ("T1", "T2"))


@pytest.mark.parametrize(("donor", "vehicle"), [(ONE, OTHER), (OTHER, ONE)])
@pytest.mark.parametrize(("pieces", "grade"), [(1, Grade.SET_SHORT), (2, Grade.BOLTS_UP)])
def test_a_pair_fits_both_ways_and_one_piece_is_short_of_it_both_ways(
    donor: ModelInfo, vehicle: ModelInfo, pieces: int, grade: Grade
) -> None:
    types = frozenset({"spring"})
    rule = Rule(
        "R01", RuleKind.FIT, Grade.BOLTS_UP, Direction.BOTH_WAYS, RuleState.OPEN, "the same wire", types, types,
        (
            Asks(End.PART, "model", Op.ANY_OF, ("T1",)),
            Asks(End.TARGET, "model", Op.ANY_OF, ("T2",)),
            Asks(End.PART, "pieces", Op.AT_LEAST, ("2",)),
        ),
        evidence=(EvidenceLine(Evidence.MEASURED),),
    )  # fmt: skip
    spring = Offer(
        "S1", "spring", "", "spring", Subject(Identity(donor), pieces=pieces, part_type="spring"), "D01", Condition.A,
        4000, 0, True, "A1-1", None, TODAY, pieces=pieces,
    )  # fmt: skip
    know = Knowledge({}, (rule,), groups={"spring": Group.FRAME}, models={"T1": ONE, "T2": OTHER}, today=TODAY)
    target = Target(types, {Group.FRAME: (Identity(vehicle),)})
    (line,) = answer(Asked("", ("spring",)), target, [spring], (), know).answers
    assert line.grade is grade
