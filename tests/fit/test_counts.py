"""Lots put together to a wanted count, held against every subset written out. Invented lots."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from app.fit.counts import best_group, cheapest_group, exact_groups


@dataclass(frozen=True)
class Lot:
    """A lot as the counter sees it: pieces, shelf, condition, price in cents, age in days."""

    tag: int
    pieces: int
    shelf: int
    condition: int
    price: int
    age: int


def lots(most: int = 8) -> st.SearchStrategy[list[Lot]]:
    row = st.tuples(st.integers(1, 6), st.integers(0, 1), st.integers(0, 2), st.integers(0, 4000), st.integers(0, 5))
    return st.lists(row, max_size=most).map(lambda rows: [Lot(tag, *row) for tag, row in enumerate(rows)])


PIECES: Callable[[Lot], int] = lambda lot: lot.pieces  # noqa: E731
WORST_OF: Sequence[Callable[[Lot], int]] = (lambda lot: lot.shelf, lambda lot: lot.condition)
COST: Callable[[Lot], tuple[int, ...]] = lambda lot: (lot.price, lot.age)  # noqa: E731


def subsets(found: Sequence[Lot]) -> Iterator[tuple[Lot, ...]]:
    for size in range(1, len(found) + 1):
        yield from combinations(found, size)


def rank(group: Sequence[Lot]) -> tuple[int, ...]:
    """The order of the list for lots sold as one: worst shelf, worst condition, then what they cost together."""
    return (
        max(lot.shelf for lot in group),
        max(lot.condition for lot in group),
        sum(lot.price for lot in group),
        sum(lot.age for lot in group),
    )


@given(lots(), st.integers(1, 14))
def test_the_best_group_is_the_best_of_all_subsets_of_that_count(found: list[Lot], wanted: int) -> None:
    every = [group for group in subsets(found) if sum(lot.pieces for lot in group) == wanted]
    best = best_group(found, PIECES, WORST_OF, COST, wanted)
    if not every:
        assert best == []
    else:
        assert sum(lot.pieces for lot in best) == wanted
        assert rank(best) == min(map(rank, every))


@given(lots(), st.integers(1, 14))
def test_groups_come_best_first_and_each_lot_is_in_one(found: list[Lot], wanted: int) -> None:
    groups, left = exact_groups(found, PIECES, WORST_OF, COST, wanted)
    used = [lot.tag for group in groups for lot in group] + [lot.tag for lot in left]
    assert sorted(used) == [lot.tag for lot in found]
    exact = [group for group in groups if sum(lot.pieces for lot in group) == wanted]
    rest = list(found)
    for group in exact:
        every = [each for each in subsets(rest) if sum(lot.pieces for lot in each) == wanted]
        assert rank(group) == min(map(rank, every))
        rest = [lot for lot in rest if lot not in group]
    if exact:
        assert exact == groups
        assert not any(sum(lot.pieces for lot in each) == wanted for each in subsets(rest))


@given(lots(), st.integers(1, 14))
def test_with_no_exact_group_the_one_of_least_left_over_is_given(found: list[Lot], wanted: int) -> None:
    totals = {sum(lot.pieces for lot in group) for group in subsets(found)}
    groups, _ = exact_groups(found, PIECES, WORST_OF, COST, wanted)
    if wanted in totals:
        return
    above = sorted(total for total in totals if total > wanted)
    if not above:
        assert groups == []
        return
    (group,) = groups
    every = [each for each in subsets(found) if sum(lot.pieces for lot in each) == above[0]]
    assert sum(lot.pieces for lot in group) == above[0]
    assert rank(group) == min(map(rank, every))


@given(lots(), st.integers(1, 14))
def test_the_cheapest_group_of_at_least_a_count(found: list[Lot], wanted: int) -> None:
    every = [each for each in subsets(found) if sum(lot.pieces for lot in each) >= wanted]
    group = cheapest_group(found, PIECES, COST, wanted)
    if not every:
        assert group == []
    else:
        assert rank(group)[2:] == min(rank(each)[2:] for each in every)


def test_a_great_many_lots_are_no_matter() -> None:
    """Two thousand lots to a count of a dozen: exact, and not by trying every subset."""
    found = [Lot(tag, tag % 5 + 1, 0, 0, 1000 + tag * 7919 % 5000, 0) for tag in range(2000)]
    group = best_group(found, PIECES, WORST_OF, COST, 12)
    assert sum(lot.pieces for lot in group) == 12
