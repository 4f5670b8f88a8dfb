"""Answers made of several lots, held against every subset of the lots on hand. Invented lots."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from app.fit.answers import AnswerLine, WorkLine
from app.fit.groups import Row, to_count
from app.fit.known import Offer, Subject
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


sided_rows = st.tuples(rows, st.lists(st.sampled_from([Side.LH, Side.RH]), min_size=7, max_size=7)).map(
    lambda drawn: [sided(each, side) for each, side in zip(*drawn, strict=False)]
)


def sided(each: Row, side: Side) -> Row:
    """The same lot of a part that has sides."""
    line, (offer,) = each
    return line, (replace(offer, subject=replace(offer.subject, side=side)),)


@given(sided_rows, st.integers(1, 3))
def test_a_pair_is_one_of_each_side_and_the_best_of_every_subset_of_its_grade(found: list[Row], half: int) -> None:
    by_tag = {line.tags[0]: (line, parts) for line, parts in found}
    made = [parts for line, parts in to_count(found, 2 * half) if line.grade is not Grade.SET_SHORT]
    for grade in GRADES:
        mine = [[by_tag[part.tag] for part in parts] for parts in made if by_tag[parts[0].tag][0].grade is grade]
        assert all(pieces_of(group, side) == half for group in mine for side in (Side.LH, Side.RH))
        lots = [each for each in found if each[0].grade is grade]
        every = [
            group
            for size in range(1, len(lots) + 1)
            for group in combinations(lots, size)
            if pieces_of(group, Side.LH) == half == pieces_of(group, Side.RH)
        ]
        assert [rank(mine[0])] == [min(map(rank, every))] if every else not mine


def pieces_of(group: Sequence[Row], side: Side) -> int:
    return sum(part.pieces for _, parts in group for part in parts if part.subject.side is side)


def test_what_is_asked_for_by_its_side_is_counted_on_that_side() -> None:
    found = [sided(row(tag, 1, Grade.BOLTS_UP, True, Condition.A, 100, 0), Side.LH) for tag in ("S1", "S2")]
    assert [line.tags for line, _ in to_count(found, 2, Side.LH)] == [("S1", "S2")]
    assert [line.grade for line, _ in to_count(found, 2)] == [Grade.SET_SHORT, Grade.SET_SHORT]


@given(rows, st.integers(1, 10), st.integers(0, 6000))
def test_a_group_that_is_cheap_enough_comes_before_a_better_one_that_is_not(
    found: list[Row], wanted: int, most: int
) -> None:
    by_tag = {line.tags[0]: (line, parts) for line, parts in found}
    exact = [
        group
        for size in range(1, len(found) + 1)
        for group in combinations(found, size)
        if sum(parts[0].pieces for _, parts in group) == wanted and sum(line.price_cents for line, _ in group) <= most
    ]
    made = [parts for line, parts in to_count(found, wanted, most_cents=most) if line.grade is not Grade.SET_SHORT]
    if exact:
        assert rank([by_tag[part.tag] for part in made[0]]) == min(map(rank, exact))


def test_lots_that_were_never_compared_are_put_to_a_count_among_themselves() -> None:
    """Twelve of ten and two: one answer, and it stays what it is; what makes no group says how many it is of."""
    found = [
        row(tag, pieces, Grade.NOT_COMPARED, True, Condition.A, price, 0)
        for tag, pieces, price in (("S1", 10, 150), ("S2", 2, 30), ("S3", 5, 60))
    ]
    sure = row("S4", 5, Grade.BOLTS_UP, True, Condition.A, 70, 0)
    made = [(line.tags, line.grade) for line, _ in to_count([*found, sure], 12)]
    assert made == [
        (("S1", "S2"), Grade.NOT_COMPARED),
        (("S4",), Grade.SET_SHORT),
        (("S3",), Grade.NOT_COMPARED),
    ]
    assert "5 of 12" in to_count(found, 12)[1][0].say


def test_parts_in_doubt_are_a_pair_only_where_the_same_looks_make_them_right() -> None:
    """A square left hub and an oval right one are right on no truck; two square ones may be."""
    left, right, other = (
        sided(row(tag, 1, Grade.MEASURE, True, Condition.A, 100, 0), side)
        for tag, side in (("S1", Side.LH), ("S2", Side.RH), ("S3", Side.RH))
    )
    other = replace(other[0], right_if=("bolts_up if the plug is oval",)), other[1]
    made = [(line.tags, line.grade) for line, _ in to_count([left, other, right], 2)]
    assert made == [(("S1", "S2"), Grade.MEASURE), (("S3",), Grade.SET_SHORT)]


def test_a_pair_that_works_differently_says_how_and_the_work_on_every_piece_is_counted() -> None:
    work = WorkLine("drill the holes", Decimal("0.6"))
    told = ("1.00 in longer",)
    rows = [
        sided(row(tag, 1, Grade.NEEDS_WORK, True, Condition.A, 100, 0), side)
        for tag, side in (("S1", Side.LH), ("S2", Side.RH))
    ]
    worked = [(replace(line, operations=(work,)), parts) for line, parts in rows]
    pair = to_count(worked, 2)[0][0]
    assert [each.hours for each in pair.operations] == [Decimal("0.6"), Decimal("0.6")]
    assert "1.2 h" in pair.say
    differing = [(replace(line, grade=Grade.BOLTS_IN, consequences=told), parts) for line, parts in rows]
    assert "1.00 in longer" in to_count(differing, 2)[0][0].say
