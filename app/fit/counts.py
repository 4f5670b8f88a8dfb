"""Several lots to a wanted count: the exact best group, by the order of the answer list.

Lots are sold whole. The best exact group comes first, then the best of what is left; where no group is
exact, the one with the least left over.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from typing import TypeVar

Lot = TypeVar("Lot")


def exact_groups(
    lots: Sequence[Lot],
    pieces: Callable[[Lot], int],
    worst_of: Sequence[Callable[[Lot], int]],
    cost: Callable[[Lot], tuple[int, ...]],
    wanted: int,
    most: int | None = None,
    *,
    with_surplus: bool = True,
) -> tuple[list[list[Lot]], list[Lot]]:
    """Groups of lots with the wanted number of pieces, best first, and the lots left over.

    `worst_of` are the criteria by which a group is as bad as its worst lot, in their order; among groups
    equal in these the least summed `cost` is taken. Groups come before all others whose summed first cost is at
    most `most`. With no exact group the one of least surplus is given.
    """
    left, groups = list(lots), []
    limits = [None] if most is None else [most, None]
    for limit in limits:
        while group := best_group(left, pieces, worst_of, cost, wanted, limit):
            groups.append(group)
            left = [lot for lot in left if lot not in group]
    if groups or not with_surplus:
        return groups, left
    total = sum(pieces(lot) for lot in left)
    for limit, surplus in product(limits, range(wanted + 1, total + 1)):
        group = best_group(left, pieces, worst_of, cost, surplus, limit)
        if group:
            return [group], [lot for lot in left if lot not in group]
    return groups, left


def best_group(
    lots: Sequence[Lot],
    pieces: Callable[[Lot], int],
    worst_of: Sequence[Callable[[Lot], int]],
    cost: Callable[[Lot], tuple[int, ...]],
    wanted: int,
    most: int | None = None,
) -> list[Lot]:
    """The best group of exactly the wanted number of pieces; empty where there is none.

    Its summed first cost is at most `most`, where that is given.
    """
    fitting = [lot for lot in lots if 0 < pieces(lot) <= wanted]
    found = _within(most, _cheapest(fitting, pieces, cost, wanted), cost)
    for worst in worst_of if found else ():
        for bound in sorted({worst(lot) for lot in fitting}):
            within = [lot for lot in fitting if worst(lot) <= bound]
            if best := _within(most, _cheapest(within, pieces, cost, wanted), cost):
                fitting, found = within, best
                break
    return found


def _within(most: int | None, group: list[Lot], cost: Callable[[Lot], tuple[int, ...]]) -> list[Lot]:
    """A group that costs no more than may be; empty where it does, for the cheapest of its count was given."""
    return group if most is None or sum(cost(lot)[0] for lot in group) <= most else []


def _cheapest(
    lots: Sequence[Lot], pieces: Callable[[Lot], int], cost: Callable[[Lot], tuple[int, ...]], wanted: int
) -> list[Lot]:
    """The least-cost subset of exact count: the 0/1 knapsack over counts, exact."""
    best: dict[int, tuple[tuple[int, ...], tuple[int, ...]]] = {0: ((), ())}
    for index, lot in enumerate(lots):
        for count, (spent, taken) in sorted(best.items(), reverse=True):
            reached = count + pieces(lot)
            if reached > wanted:
                continue
            price = cost(lot)
            summed = tuple(map(sum, zip(spent or (0,) * len(price), price, strict=True)))
            offered = (summed, (*taken, index))
            if reached not in best or offered < best[reached]:
                best[reached] = offered
    return [lots[index] for index in best[wanted][1]] if wanted in best and wanted > 0 else []


def cheapest_group(
    lots: Sequence[Lot], pieces: Callable[[Lot], int], cost: Callable[[Lot], tuple[int, ...]], wanted: int
) -> list[Lot]:
    """The group of least summed cost with at least the wanted number of pieces; empty where there is none.

    Costs are not below zero, so that a group that would do without one of its lots is never the cheapest: no more
    than the largest lot less one can be over.
    """
    over = max(map(pieces, lots), default=1) - 1
    totals = range(wanted, min(sum(map(pieces, lots)), wanted + max(over, 0)) + 1)
    groups = [group for total in totals if (group := _cheapest(lots, pieces, cost, total))]
    return min(groups, key=lambda group: tuple(map(sum, zip(*map(cost, group), strict=True))), default=[])
