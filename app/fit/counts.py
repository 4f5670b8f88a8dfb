"""Several lots to a wanted count: the exact best group, by the order of the answer list.

Lots are sold whole. The best exact group comes first, then the best of what is left; where no group is
exact, the one with the least left over.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

Lot = TypeVar("Lot")


def exact_groups(
    lots: Sequence[Lot],
    pieces: Callable[[Lot], int],
    worst_of: Sequence[Callable[[Lot], int]],
    cost: Callable[[Lot], tuple[int, ...]],
    wanted: int,
) -> tuple[list[list[Lot]], list[Lot]]:
    """Groups of lots with the wanted number of pieces, best first, and the lots left over.

    `worst_of` are the criteria by which a group is as bad as its worst lot, in their order; among groups
    equal in these the least summed `cost` is taken. With no exact group the one of least surplus is given.
    """
    left, groups = list(lots), []
    while group := best_group(left, pieces, worst_of, cost, wanted):
        groups.append(group)
        left = [lot for lot in left if lot not in group]
    if not groups:
        total = sum(pieces(lot) for lot in left)
        for surplus in range(wanted + 1, total + 1):
            group = best_group(left, pieces, worst_of, cost, surplus)
            if group:
                return [group], [lot for lot in left if lot not in group]
    return groups, left


def best_group(
    lots: Sequence[Lot],
    pieces: Callable[[Lot], int],
    worst_of: Sequence[Callable[[Lot], int]],
    cost: Callable[[Lot], tuple[int, ...]],
    wanted: int,
) -> list[Lot]:
    """The best group of exactly the wanted number of pieces; empty where there is none."""
    fitting = [lot for lot in lots if 0 < pieces(lot) <= wanted]
    if not _cheapest(fitting, pieces, cost, wanted):
        return []
    for worst in worst_of:
        for bound in sorted({worst(lot) for lot in fitting}):
            within = [lot for lot in fitting if worst(lot) <= bound]
            if _cheapest(within, pieces, cost, wanted):
                fitting = within
                break
    return _cheapest(fitting, pieces, cost, wanted)


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
