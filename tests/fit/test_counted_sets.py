"""Several sets wanted at once whose companions compete: held against every way to give the companions out."""

from __future__ import annotations

from itertools import combinations, permutations
from random import Random

import pytest

from app.fit.answers import Asked
from app.fit.engine import answer
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Identity, Known, ModelInfo, Offer, Subject, Target
from app.fit.rules import Companion, Direction, Evidence, EvidenceLine, Rule, RuleKind, RuleState
from app.fit.terms import Condition, FactKind, Grade, Group
from tests.fit.small_yard_rules import TODAY

MODEL = ModelInfo("T1", "Dunmarsh", "T1", "", "", "Tolliver", "", "", 2007, 2008)
PLUG = FactInfo("plug", FactKind.CHOICE, choices=("square", "oval"))
RULE = Rule(
    "R01", RuleKind.FIT, Grade.SET, Direction.ONE_WAY, RuleState.OPEN, "a ring fills the gap",
    frozenset({"hub"}), frozenset({"hub"}),
    companions=(Companion("ring", given=("plug=same",)),), evidence=(EvidenceLine(Evidence.MEASURED),),
)  # fmt: skip
KNOW = Knowledge(
    {"plug": PLUG}, (RULE,), groups={"hub": Group.FRAME, "ring": Group.FRAME}, models={"T1": MODEL}, today=TODAY
)
Rank = tuple[bool, int, int]


def part(random: Random, tag: str, part_type: str) -> Offer:
    plug, state = random.choice(PLUG.choices), random.choice((Condition.A, Condition.A, Condition.B))
    subject = Subject(Identity(MODEL), {"plug": Known(plug)}, part_type=part_type)
    cents, shelf = 100 * random.randint(1, 60), random.random() < 0.8
    return Offer(tag, part_type, "", part_type, subject, "D01", state, cents, 0, shelf, "A1-1", None, TODAY)


def rank(parts: tuple[Offer, ...]) -> Rank:
    """1.2 as far as it speaks of several tags sold as one."""
    return (
        any(not each.on_shelf for each in parts),
        max(each.condition.rank for each in parts),
        sum(each.price_cents for each in parts),
    )


def best(hubs: list[Offer], rings: list[Offer], wanted: int) -> Rank | None:
    groups = (
        (*some, *given)
        for some in combinations(hubs, wanted)
        for given in permutations(rings, wanted)
        if all(one.subject.facts["plug"] == other.subject.facts["plug"] for one, other in zip(some, given, strict=True))
    )
    return min(map(rank, groups), default=None)


@pytest.mark.parametrize("seed", range(120))
def test_the_best_group_of_sets_has_the_pieces_that_put_it_highest(seed: int) -> None:
    random = Random(seed)
    hubs = [part(random, f"S{number}", "hub") for number in range(random.randint(2, 4))]
    rings = [part(random, f"G{number}", "ring") for number in range(random.randint(2, 4))]
    target = Target(RULE.offered_types, {Group.FRAME: (Identity(MODEL),)}, quantity=2)
    found = answer(Asked("", ("hub",), quantity=2), target, hubs, rings, KNOW).answers
    every = {each.tag: each for each in (*hubs, *rings)}
    first = next((line for line in found if line.grade is Grade.SET), None)
    assert (rank(tuple(every[tag] for tag in first.tags)) if first else None) == best(hubs, rings, 2)
    sold = [tag for line in found for tag in line.tags if line.grade is Grade.SET]
    assert len(set(sold)) == len(sold), "each tag in one answer"
