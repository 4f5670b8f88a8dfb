"""Several needs filled at once from the same lots: exact, each lot given whole to one need.

A need of both sides takes as many pieces of the left as of the right; a lot of no side may be split between the two.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from app.fit.terms import Side

Lot = TypeVar("Lot")
Left = tuple[int, ...]
"""Pieces that are still needed, of each slot."""
Cost = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Need:
    """So many pieces of the lots with these numbers; `halves` where half must be of the left and half of the right."""

    count: int
    among: frozenset[int]
    halves: bool = False


def cheapest_shares(
    lots: Sequence[Lot],
    needs: Sequence[Need],
    pieces: Callable[[Lot], int],
    side: Callable[[Lot], Side],
    cost: Callable[[Lot], Cost],
) -> list[list[Lot]] | None:
    """The lots for each need, of least summed cost in all; None where the needs cannot all be filled."""
    start = tuple(slot for need in needs for slot in ([need.count // 2] * 2 if need.halves else [need.count]))
    best: dict[Left, tuple[Cost, tuple[tuple[int, int], ...]]] = {start: ((), ())}
    for at in _worth_taking(lots, needs, pieces, side, cost):
        price = cost(lots[at])
        for left, (spent, taken) in list(best.items()):
            summed = tuple(map(sum, zip(spent or (0,) * len(price), price, strict=True)))
            for number, after in _given(at, left, needs, pieces(lots[at]), side(lots[at])):
                offered = (summed, (*taken, (at, number)))
                if after != left and (after not in best or offered < best[after]):
                    best[after] = offered
    found = best.get((0,) * len(start))
    if found is None:
        return None
    return [[lots[at] for at, of in sorted(found[1]) if of == number] for number in range(len(needs))]


def _given(at: int, left: Left, needs: Sequence[Need], count: int, side: Side) -> Iterator[tuple[int, Left]]:
    """What is still needed once a lot is given to one of the needs, with the number of that need."""
    slot = 0
    for number, need in enumerate(needs):
        if at in need.among:
            for first in _splits(need, count, side):
                given = (first, count - first) if need.halves else (count,)
                filled = [max(0, each - more) for each, more in zip(left[slot : slot + len(given)], given, strict=True)]
                yield number, (*left[:slot], *filled, *left[slot + len(given) :])
        slot += 2 if need.halves else 1


def _splits(need: Need, count: int, side: Side) -> Iterable[int]:
    """How many pieces of a lot may count for the left."""
    if not need.halves or side is Side.LH:
        return (count,)
    return (0,) if side is Side.RH else range(count + 1)


def _worth_taking(
    lots: Sequence[Lot],
    needs: Sequence[Need],
    pieces: Callable[[Lot], int],
    side: Callable[[Lot], Side],
    cost: Callable[[Lot], Cost],
) -> list[int]:
    """Of lots that nothing but their price tells apart, no more than all needs could use."""
    most, kept = sum(need.count for need in needs), []
    alike: dict[Hashable, int] = {}
    for at in sorted(range(len(lots)), key=lambda at: (cost(lots[at]), at)):
        kind = (tuple(at in need.among for need in needs), pieces(lots[at]), side(lots[at]))
        alike[kind] = alike.get(kind, 0) + 1
        if alike[kind] <= most:
            kept.append(at)
    return kept
