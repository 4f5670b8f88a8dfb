"""Lots that are each short of the pair their rule needs make it together; what no rule says the same of does not."""

from __future__ import annotations

from dataclasses import replace

from app.fit.answers import AnswerLine, Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Identity, Known, ModelInfo, Offer, Subject, Target, Want
from app.fit.rules import Condition as Asks
from app.fit.rules import Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import Condition, FactKind, Grade, Group, Side
from tests.fit.small_yard_rules import TODAY

MODEL = ModelInfo("T1", "Dunmarsh", "T1", "", "", "Tolliver", "", "", 2007, 2008)
LEFT, RIGHT, EITHER = Side.LH, Side.RH, Side.NONE
WIRE = FactInfo("wire", FactKind.CHOICE, choices=("thin", "thick"), question="How thick is the wire?")
TYPES = frozenset({"spring"})


def spring(tag: str, cents: int = 4000, side: Side = EITHER, wire: str = "thin", pieces: int = 1) -> Offer:
    subject = Subject(Identity(MODEL), {"wire": Known(wire)}, {}, side, "spring", pieces)
    return Offer(
        tag, "spring", "", "spring", subject, f"D{tag[1:]}", Condition.A, cents, 0, True, "A1-1", None, TODAY,
        pieces=pieces,
    )  # fmt: skip


def rule(code: str, grade: Grade, wire: str) -> Rule:
    return Rule(
        code, RuleKind.FIT, grade, Direction.ONE_WAY, RuleState.OPEN, f"{wire} wire", TYPES, TYPES,
        (Asks(End.PART, "wire", Op.ANY_OF, (wire,)), Asks(End.PART, "pieces", Op.AT_LEAST, ("2",))),
        evidence=(EvidenceLine(Evidence.MEASURED),),
    )  # fmt: skip


def lines(
    *springs: Offer, side: Side = EITHER, quantity: int | None = None, wants: tuple[Want, ...] = ()
) -> list[AnswerLine]:
    rules = (rule("R85", Grade.BOLTS_IN, "thick"), rule("R86", Grade.BOLTS_UP, "thin"))
    know = Knowledge({"wire": WIRE}, rules, groups={"spring": Group.FRAME}, models={"T1": MODEL}, today=TODAY)
    target = Target(TYPES, {Group.FRAME: (Identity(MODEL),)}, side=side, quantity=quantity, wants=wants)
    found = answer(Asked("", ("spring",), side), target, springs, (), know)
    assert found.counted == (len(found.answers), len(found.answers))
    return [*found.answers, *found.not_what_was_asked]


def told(found: list[AnswerLine]) -> list[tuple[tuple[str, ...], Grade]]:
    return [(line.tags, line.grade) for line in found]


def test_a_left_and_a_right_one_are_the_pair_and_it_is_said_that_nobody_matched_them() -> None:
    (line,) = lines(spring("S1", 4000, LEFT), spring("S2", 4500, RIGHT))
    assert (line.tags, line.grade, line.price_cents) == (("S1", "S2"), Grade.BOLTS_UP, 8500)
    assert line.say == "2 pieces together: the LH, S1 + the RH, S2, 85 for the lot."
    assert line.reasons[-1] == "off different vehicles, D1 and D2: lay them side by side first"


def test_two_stock_lines_of_one_piece_are_the_pair_too() -> None:
    assert told(lines(spring("S1"), spring("S2"))) == [(("S1", "S2"), Grade.BOLTS_UP)]


def test_a_pair_in_one_lot_stands_before_a_dearer_made_up_one_and_after_a_cheaper() -> None:
    assert told(lines(spring("S1"), spring("S2"), spring("S3", 7000, pieces=2), spring("S4", 9000, pieces=2))) == [
        (("S3",), Grade.BOLTS_UP),
        (("S1", "S2"), Grade.BOLTS_UP),
        (("S4",), Grade.BOLTS_UP),
    ]


def test_two_left_ones_are_no_pair_and_what_is_over_is_told_as_short() -> None:
    short = Grade.SET_SHORT
    assert told(lines(spring("S1", side=LEFT), spring("S2", side=LEFT))) == [(("S1",), short), (("S2",), short)]
    three = lines(spring("S1", 4000, LEFT), spring("S2", 5000, LEFT), spring("S3", 4000, RIGHT))
    assert told(three) == [(("S1", "S3"), Grade.BOLTS_UP), (("S2",), short)]


def test_springs_that_different_rules_speak_of_are_no_pair() -> None:
    found = lines(spring("S1", side=LEFT), spring("S2", side=RIGHT, wire="thick"))
    assert told(found) == [(("S1",), Grade.SET_SHORT), (("S2",), Grade.SET_SHORT)]


def test_who_asks_for_one_side_is_told_that_it_is_short_of_the_pair() -> None:
    assert told(lines(spring("S1", side=LEFT), spring("S2", side=RIGHT), side=LEFT)) == [(("S1",), Grade.SET_SHORT)]


def test_who_asks_for_a_pair_gets_the_same_pair_and_who_asks_for_four_two_of_each_side() -> None:
    pair = spring("S1", side=LEFT), spring("S2", side=RIGHT)
    assert told(lines(*pair, quantity=2)) == [(("S1", "S2"), Grade.BOLTS_UP)]
    assert told(lines(*pair, quantity=4)) == [(("S1",), Grade.SET_SHORT), (("S2",), Grade.SET_SHORT)]
    mixed = spring("S1"), spring("S2", wire="thick")
    assert {line.grade for line in lines(*mixed, quantity=2)} == {Grade.SET_SHORT}


def test_the_pair_is_made_up_at_the_price_that_was_asked_where_it_can_be() -> None:
    under = (Want("price", "at most", "90", "under 90"),)
    dear = replace(spring("S1", 6000), condition=Condition.A)
    cheap = [replace(spring(f"S{at}", 4000), condition=Condition.B) for at in (2, 3)]
    assert told(lines(dear, spring("S4", 6000), *cheap, wants=under))[0] == (("S2", "S3"), Grade.BOLTS_UP)


def test_a_page_full_of_better_answers_leaves_the_made_up_pair_where_it_belongs() -> None:
    lots = [spring(f"P{at:02d}", 9000 + at, pieces=2) for at in range(60)]
    found = answer_of(*lots, spring("S1"), spring("S2"))
    assert found[0].tags == ("S1", "S2")
    assert len(found) == 50


def answer_of(*springs: Offer) -> tuple[AnswerLine, ...]:
    know = Knowledge(
        {"wire": WIRE}, (rule("R86", Grade.BOLTS_UP, "thin"),), groups={"spring": Group.FRAME}, models={"T1": MODEL},
        today=TODAY,
    )  # fmt: skip
    target = Target(TYPES, {Group.FRAME: (Identity(MODEL),)})
    return answer(Asked("", ("spring",)), target, springs, (), know).answers
