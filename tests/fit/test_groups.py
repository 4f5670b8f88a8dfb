"""Answers made of several lots, held against every subset of the lots on hand. Invented lots."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from app.fit.answers import AnswerLine
from app.fit.groups import Row, to_count
from app.fit.knowledge import Offer, Subject
from app.fit.terms import Condition, Grade, Side

GRADES = (Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.BOLTS_IN)
CONDITIONS = (Condition.A, Condition.B, Condition.C)


def row(tag: str, pieces: int, grade: Grade, shelf: bool, condition: Condition, price: int, age: int) -> Row:
    """A lot as the engine lists it."""
    offer = Offer(
        tag=tag, part_type="cushion", wider="", name="cushion", subject=Subject(None, pieces=pieces), donor="D1",
        condition=condition, price_cents=price, core_cents=0, on_shelf=shelf, where="A1", miles=None,
        made_on=date(2026, 1, 1) + timedelta(days=age), pieces=pieces,
    )  # fmt: skip
    line = AnswerLine((tag,), ("cushion",), grade, price, 0, condition, ("A1",), ("D1",), 0, "said", ("why",), ("R1",))
    return line, (offer,)


rows = st.lists(
    st.tuples(
        st.integers(1, 5), st.sampled_from(GRADES), st.booleans(), st.sampled_from(CONDITIONS), st.integers(0, 3000),
        st.integers(0, 9),
    ),
    max_size=7,
).map(lambda every: [row(f"S{number}", *each) for number, each in enumerate(every)])  # fmt: skip


def rank(group: Sequence[Row]) -> tuple[int, ...]:
    """Lots sold as one answer: worst grade, shelf and condition, then total price and age."""
    return (
        max(line.grade.rank for line, _ in group),
        max(not parts[0].on_shelf for _, parts in group),
        max(line.condition.rank for line, _ in group),
        sum(line.price_cents for line, _ in group),
        sum(parts[0].made_on.toordinal() for _, parts in group),
    )


def by_hand(found: list[Row], wanted: int) -> list[tuple[int, ...]]:
    """The ranks of the best exact groups, one after the other, by looking at every subset."""
    ranks: list[tuple[int, ...]] = []
    left = list(found)
    while True:
        every = [
            group
            for size in range(1, len(left) + 1)
            for group in combinations(left, size)
            if sum(parts[0].pieces for _, parts in group) == wanted
        ]
        if not every:
            return ranks
        best = min(every, key=rank)
        ranks.append(rank(best))
        # Of several equal ones any may be taken; what is left must not be worse for it, so stop where it matters.
        if sum(rank(each) == rank(best) for each in every) > 1:
            return ranks
        left = [each for each in left if each not in best]


@given(rows, st.integers(1, 10))
def test_groups_to_a_count_are_the_best_of_every_subset(found: list[Row], wanted: int) -> None:
    by_tag = {line.tags[0]: (line, parts) for line, parts in found}
    made = [(line, parts) for line, parts in to_count(found, wanted) if line.grade is not Grade.SET_SHORT]
    exact = [parts for _, parts in made if sum(part.pieces for part in parts) == wanted]
    ranks = [rank([by_tag[part.tag] for part in parts]) for parts in exact]
    expected = by_hand(found, wanted)
    assert ranks[: len(expected)] == expected


@given(rows, st.integers(1, 10))
def test_every_lot_is_in_one_answer_and_money_adds_up(found: list[Row], wanted: int) -> None:
    made = to_count(found, wanted)
    tags = sorted(part.tag for _, parts in made for part in parts)
    assert tags == sorted(line.tags[0] for line, _ in found)
    for line, parts in made:
        assert line.price_cents == sum(part.price_cents for part in parts)
        assert set(line.tags) == {part.tag for part in parts}


@given(rows, st.integers(1, 10))
def test_a_lot_that_makes_no_group_says_how_many_it_is_of_how_many(found: list[Row], wanted: int) -> None:
    for line, parts in to_count(found, wanted):
        if line.grade is Grade.SET_SHORT and parts[0].pieces < wanted:
            assert f"{parts[0].pieces} of {wanted}" in line.say


def test_without_a_wanted_count_nothing_is_put_together() -> None:
    found = [row("S1", 2, Grade.BOLTS_UP, True, Condition.A, 100, 0)]
    assert to_count(found, None) == found
    assert parts_sided(to_count([sided(found[0])], 4)) == [Side.LH]


def sided(each: Row) -> Row:
    """The same lot of a part that has sides: a pair is one of each, not two of one."""
    line, (offer,) = each
    return line, (replace(offer, subject=replace(offer.subject, side=Side.LH)),)


def parts_sided(made: list[Row]) -> list[Side]:
    return [parts[0].subject.side for line, parts in made if line.grade is Grade.BOLTS_UP]
