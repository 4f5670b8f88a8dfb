"""Pieces that two needs would both take: as every way to give them out, written out."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest

from app.fit.answers import AnswerLine, Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Identity, Known, ModelInfo, Offer, Subject, Target
from app.fit.rules import Companion, Direction, Evidence, EvidenceLine, Rule, RuleKind, RuleState
from app.fit.shares import Need, cheapest_shares
from app.fit.terms import Condition, FactKind, Grade, Group, Side
from tests.fit.small_yard_rules import TODAY

Lot = tuple[int, Side, int]
"""Pieces, side and price."""
MODEL = ModelInfo("T1", "Dunmarsh", "T1", "", "", "Tolliver", "", "", 2007, 2008)
PLUG = FactInfo("plug", FactKind.CHOICE, choices=("square", "oval"))


def filled(need: Need, lots: list[Lot]) -> bool:
    count = {side: sum(pieces for pieces, of, _ in lots if of is side) for side in Side}
    if not need.halves:
        return sum(count.values()) >= need.count
    half = need.count // 2
    return max(0, half - count[Side.LH]) + max(0, half - count[Side.RH]) <= count[Side.NONE]


def every_price(lots: list[Lot], needs: list[Need]) -> Iterator[int]:
    for given in itertools.product((None, *range(len(needs))), repeat=len(lots)):
        shares = [[at for at, number in enumerate(given) if number == of] for of in range(len(needs))]
        if all(set(share) <= need.among for share, need in zip(shares, needs, strict=True)) and all(
            filled(need, [lots[at] for at in share]) for share, need in zip(shares, needs, strict=True)
        ):
            yield sum(lots[at][2] for share in shares for at in share)


@pytest.mark.parametrize("seed", range(150))
def test_shares_cost_the_least_of_all_ways_to_give_the_lots_out(seed: int) -> None:
    random = Random(seed)
    lots = [
        (random.choice((1, 1, 2, 3)), random.choice(tuple(Side)), random.randint(1, 9))
        for _ in range(random.randint(1, 6))
    ]
    needs = []
    for _ in range(random.randint(1, 3)):
        among = frozenset(at for at in range(len(lots)) if random.random() < 0.7)
        count = random.choice((1, 2, 2, 4))
        needs.append(Need(count, among, count % 2 == 0 and random.random() < 0.5))
    found = cheapest_shares(lots, needs, lambda lot: lot[0], lambda lot: lot[1], lambda lot: (lot[2],))
    least = min(every_price(lots, needs), default=None)
    assert (None if found is None else sum(lot[2] for share in found for lot in share)) == least
    if found is not None:
        assert all(filled(need, share) for need, share in zip(needs, found, strict=True))


def part(tag: str, part_type: str, cents: int, plug: str = "") -> Offer:
    subject = Subject(Identity(MODEL), {"plug": Known(plug)} if plug else {}, part_type=part_type)
    return Offer(tag, part_type, "", part_type, subject, "D01", Condition.A, cents, 0, True, "A1-1", None, TODAY)


def told(*rings: Offer) -> AnswerLine:
    """A hub to which two rules speak at once: one asks for any ring, the other for a square one."""
    types = frozenset({"hub"})
    rule = Rule(
        "R01", RuleKind.FIT, Grade.SET, Direction.ONE_WAY, RuleState.OPEN, "a ring fills the gap", types, types,
        companions=(Companion("ring"),), evidence=(EvidenceLine(Evidence.MEASURED),),
    )  # fmt: skip
    other = replace(rule, code="R02", companions=(Companion("ring", given=("plug=square",)),))
    groups = {"hub": Group.FRAME, "ring": Group.FRAME}
    know = Knowledge({"plug": PLUG}, (rule, other), groups=groups, models={"T1": MODEL}, today=TODAY)
    target = Target(types, {Group.FRAME: (Identity(MODEL),)})
    (line,) = answer(Asked("", ("hub",)), target, [part("S1", "hub", 5000)], rings, know).answers
    return line


def test_what_only_one_rule_can_use_is_left_to_it_however_cheap_it_is() -> None:
    line = told(part("G1", "ring", 100, "square"), part("G2", "ring", 900, "oval"))
    assert (line.grade, line.tags, line.price_cents) == (Grade.SET, ("S1", "G2", "G1"), 6000)


def test_one_ring_for_two_rules_that_ask_for_it_in_different_words_is_short_of_the_other() -> None:
    line = told(part("G1", "ring", 100, "square"))
    assert (line.grade, line.tags, line.missing) == (Grade.SET_SHORT, ("S1",), ("ring",))
