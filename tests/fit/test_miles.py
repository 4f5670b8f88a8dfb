"""Fewer miles rank first, where a part has miles; miles that nobody knows are not none."""

from __future__ import annotations

from dataclasses import replace

from app.fit.answers import AnswerLine, Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import Identity, ModelInfo, Offer, Subject, Target
from app.fit.rules import Companion, Direction, Evidence, EvidenceLine, Rule, RuleKind, RuleState
from app.fit.terms import Condition, Grade, Group
from tests.fit.small_yard_rules import TODAY

MODEL = ModelInfo("T1", "Dunmarsh", "T1", "", "", "Tolliver", "", "", 2007, 2008)


def part(tag: str, cents: int, miles: int | None, part_type: str = "engine") -> Offer:
    subject = Subject(Identity(MODEL), part_type=part_type)
    return Offer(
        tag, part_type, "", part_type, subject, "D01", Condition.A, cents, 0, True, "A1-1", miles, TODAY,
        has_miles=part_type == "engine",
    )  # fmt: skip


def told(*offers: Offer, stock: tuple[Offer, ...] = (), companion: str = "", quantity: int | None = None) -> list[str]:
    types = frozenset({"engine"})
    rule = Rule(
        "R01", RuleKind.FIT, Grade.SET if companion else Grade.BOLTS_UP, Direction.ONE_WAY, RuleState.OPEN, "as built",
        types, types, companions=(Companion(companion),) if companion else (),
        evidence=(EvidenceLine(Evidence.MEASURED),),
    )  # fmt: skip
    know = Knowledge({}, (rule,), groups={"engine": Group.FRAME}, models={"T1": MODEL}, today=TODAY)
    target = Target(types, {Group.FRAME: (Identity(MODEL),)}, quantity=quantity)
    lines: tuple[AnswerLine, ...] = answer(Asked("", ("engine",)), target, offers, stock, know).answers
    return [" ".join(line.tags) for line in lines]


def test_unknown_miles_stand_behind_many_known_ones_and_none_at_all_before_them() -> None:
    assert told(part("S1", 100, None), part("S2", 900, 240_000), part("S3", 950, 0)) == ["S3", "S2", "S1"]


def test_what_goes_along_and_has_no_miles_makes_none_unknown() -> None:
    ring = part("G1", 10, None, "ring")
    assert told(part("S1", 100, None), part("S2", 900, 240_000), stock=(ring,), companion="ring") == ["S2 G1", "S1 G1"]


def test_of_two_that_may_go_along_the_one_whose_miles_are_known_is_taken() -> None:
    spare = replace(part("E1", 10, None, "spare"), has_miles=True), replace(part("E2", 900, 90_000, "spare"))
    assert told(part("S2", 900, 50_000), stock=spare, companion="spare") == ["S2 E2"]


def test_lots_to_a_count_are_those_with_known_miles_first() -> None:
    assert told(part("S1", 1, None), part("S2", 900, 9), part("S3", 900, 8), quantity=2)[0] == "S2 S3"
