"""Two of a thing that has sides go along as a left and a right one, where the rule names no side."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.fit.answers import AnswerLine, Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, ModelInfo, Offer, Subject, Target
from app.fit.rules import Companion, Direction, Evidence, EvidenceLine, Rule, RuleKind, RuleState
from app.fit.terms import Condition, Grade, Group, Side
from tests.fit.small_yard_rules import TODAY

MODEL = ModelInfo("T1", "Dunmarsh", "T1", "", "", "Tolliver", "", "", 2007, 2008)
LEFT, RIGHT, EITHER = Side.LH, Side.RH, Side.NONE


def part(tag: str, part_type: str, cents: int, side: Side = EITHER) -> Offer:
    subject = Subject(Identity(MODEL), {}, {}, side, part_type, 1)
    return Offer(tag, part_type, "", part_type, subject, "D01", Condition.A, cents, 0, True, "A1-1", None, TODAY)


def line(*clips: Offer) -> AnswerLine:
    types = frozenset({"beam"})
    rule = Rule(
        "R01", RuleKind.FIT, Grade.SET, Direction.ONE_WAY, RuleState.OPEN, "two clips hold it", types, types,
        companions=(Companion("clip", count=2),), evidence=(EvidenceLine(Evidence.MEASURED),),
    )  # fmt: skip
    know = Knowledge({}, (rule,), groups={"beam": Group.FRAME, "clip": Group.FRAME}, models={"T1": MODEL}, today=TODAY)
    target = Target(types, {Group.FRAME: (Identity(MODEL),)})
    (found,) = answer(Asked("", ("beam",)), target, [part("S1", "beam", 5000)], clips, know).answers
    return found


def test_a_pair_is_one_of_each_side_however_cheap_two_of_one_are() -> None:
    found = line(part("L1", "clip", 100, LEFT), part("L2", "clip", 100, LEFT), part("R1", "clip", 900, RIGHT))
    assert found.grade is Grade.SET
    assert set(found.tags) == {"S1", "L1", "R1"} or set(found.tags) == {"S1", "L2", "R1"}
    assert found.price_cents == 6000


def test_two_of_one_side_are_short_of_the_other() -> None:
    found = line(part("L1", "clip", 100, LEFT), part("L2", "clip", 100, LEFT))
    assert (found.grade, found.missing) == (Grade.SET_SHORT, ("clip RH",))


@pytest.mark.parametrize("pieces", [1, 2])
def test_what_has_no_side_is_only_counted(pieces: int) -> None:
    lots = [replace(part(f"C{at}", "clip", 100), pieces=pieces) for at in range(2 // pieces)]
    assert set(line(*lots).tags) == {"S1", *(each.tag for each in lots)}


def test_a_lot_of_no_side_is_the_other_of_a_left_one_and_two_left_ones_are_still_no_pair() -> None:
    found = line(part("L1", "clip", 100, LEFT), part("L2", "clip", 100, LEFT), part("E1", "clip", 900))
    assert (found.grade, found.price_cents) == (Grade.SET, 6000)
    assert "E1" in found.tags
