"""The cheapest sets of parts and work, held against every choice written out. Invented parts."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fit.answers import WorkLine
from app.fit.plans import UNSURE, Need, Option, plans
from app.fit.terms import Grade

PRICES = {f"T{number}": 1000 * (number * 7 % 11 + 1) for number in range(8)}
WORK = [WorkLine(f"work {number}", Decimal(number * 3 % 5) / 2) for number in range(5)]
RATE = Decimal(9000)

options = st.builds(
    Option,
    tags=st.lists(st.sampled_from(sorted(PRICES.items())), min_size=1, max_size=3, unique=True).map(tuple),
    grade=st.sampled_from([Grade.BOLTS_UP, Grade.SET, Grade.MEASURE, Grade.NEEDS_WORK, Grade.NOT_COMPARED]),
    work=st.lists(st.sampled_from(WORK), max_size=3, unique=True).map(tuple),
    missing=st.lists(st.sampled_from(["harness", "pigtail"]), max_size=1).map(tuple),
)
needs = st.lists(st.lists(options, min_size=1, max_size=4).map(tuple), min_size=1, max_size=4).map(
    lambda every: [Need(f"need {number}", each) for number, each in enumerate(every)]
)


def scores(chosen: tuple[Option, ...]) -> tuple[int, int, Decimal]:
    """A choice of options by hand: what is missing, what is unsure, dollars and hours once each."""
    prices = {tag: price for option in chosen for tag, price in option.tags}
    hours = sum((line.hours or Decimal(0) for line in {line for option in chosen for line in option.work}), Decimal(0))
    return (
        sum(len(option.missing) for option in chosen),
        sum(option.grade in UNSURE for option in chosen),
        sum(prices.values()) + hours * RATE,
    )


@given(needs)
def test_the_first_plan_is_the_best_of_every_choice(wanted: list[Need]) -> None:
    every = [scores(chosen) for chosen in product(*(need.options for need in wanted))]
    best = plans(wanted, RATE)[0]
    found = scores(tuple(option for _, option in best.chosen))
    assert found == min(every)
    assert best.total_cents == found[2]


@given(needs, st.integers(1, 4))
def test_plans_come_in_order_and_none_twice(wanted: list[Need], most: int) -> None:
    found = plans(wanted, RATE, most)
    ranks = [scores(tuple(option for _, option in plan.chosen)) for plan in found]
    assert ranks == sorted(ranks)
    assert len({frozenset(plan.tags) for plan in found}) == len(found) <= most


@given(needs)
def test_the_order_of_needs_changes_no_price(wanted: list[Need]) -> None:
    assert plans(wanted, RATE)[0].total_cents == plans(list(reversed(wanted)), RATE)[0].total_cents


def test_a_tag_and_a_job_that_two_needs_share_are_paid_once() -> None:
    drop = WorkLine("drop the crossmember", Decimal("1.5"))
    left = Option((("ARM-L", 9000), ("BOLTS", 1200)), Grade.SET, (drop,))
    right = Option((("ARM-R", 9500), ("BOLTS", 1200)), Grade.SET, (drop,))
    (plan,) = plans([Need("arm LH", (left,)), Need("arm RH", (right,))], RATE)
    assert plan.tags == ("ARM-L", "BOLTS", "ARM-R")
    assert (plan.parts_cents, plan.hours, plan.labor_cents) == (19_700, Decimal("1.5"), 13_500)


def test_what_is_whole_comes_before_what_is_cheap() -> None:
    short = Option((("CHEAP", 100),), Grade.SET_SHORT, missing=("harness",))
    whole = Option((("DEAR", 90_000),), Grade.SET)
    first, second = plans([Need("unit", (short, whole))], RATE)
    assert (first.tags, second.tags) == (("DEAR",), ("CHEAP",))
    assert second.missing == ("unit: harness",)


def test_what_nothing_is_in_stock_for_is_missing_with_its_why() -> None:
    arm = Need("arm", (Option((("A", 100),), Grade.BOLTS_IN, consequences=("1.00 in longer",)),))
    (plan,) = plans([arm, Need("upper arm", refused=("S140 won't fit: 8.60 against 10.25",)), Need("bar")], RATE)
    assert plan.missing == ("upper arm: S140 won't fit: 8.60 against 10.25", "bar: none in stock")
    assert plan.consequences == ("1.00 in longer",)
    assert not plan.complete


def test_without_anything_there_is_no_plan() -> None:
    assert plans([Need("arm")], RATE) == ()
    assert plans([], RATE) == ()


def test_the_cheaper_bed_with_work_wins_at_the_shops_rate() -> None:
    """Casebook: 500 and three hours at 90 are 80 under the straight fit at 850."""
    straight = Option((("S362", 85_000),), Grade.BOLTS_UP)
    older = Option((("S360", 50_000),), Grade.NEEDS_WORK, (WorkLine("drill 2 holes, move the pocket", Decimal(3)),))
    first, second = plans([Need("bed", (straight, older))], RATE)
    assert (first.tags, first.total_cents) == (("S360",), 77_000)
    assert second.total_cents - first.total_cents == 8_000


@pytest.mark.parametrize("size", [12])
def test_a_dozen_needs_of_eight_options_are_no_matter(size: int) -> None:
    wanted = [
        Need(str(at), tuple(Option(((f"{at}-{n}", 1000 + 37 * n * (at + 1) % 500),), Grade.BOLTS_UP) for n in range(8)))
        for at in range(size)
    ]
    assert plans(wanted, RATE)[0].parts_cents == sum(
        min(1000 + 37 * n * (at + 1) % 500 for n in range(8)) for at in range(size)
    )
