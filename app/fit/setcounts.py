"""Several sets wanted at once: each with companions of its own, as far as there are enough."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice, permutations

from app.fit.candidates import Standing, standing, worst_of
from app.fit.decide import Judge
from app.fit.groups import SURE
from app.fit.known import Offer
from app.fit.lines import Judged, judged
from app.fit.sets import Stock
from app.fit.terms import Condition, Grade
from app.fit.wants import most_cents

MOST_LOTS, MOST_GROUPS, MOST_ORDERS = 24, 24, 6
"""So many of the best lots are looked at, so many groups of them, and each in so many orders of taking its pieces."""
MOST_BEST = 3
"""So many groups are found by trying; after them the pieces go to the best of what is left."""
Stocked = Callable[[], Iterable[Offer]]


def with_their_own(rows: Sequence[Judged], stock: Stocked, judge: Judge) -> list[Judged]:
    """The rows, best first, in which a set takes no piece that another has, where others would do.

    Where sets want the same pieces those go first that make the best group of the wanted count; what is left of the
    pieces goes to the best of the rest.
    """
    left, found, taken = list(rows), list[Judged](), set[str]()
    for _ in range(MOST_BEST):
        group = _best_group(left, taken, stock, judge)
        mains = {row.decision.offer.tag for row in group}
        left = [row for row in left if row.decision.offer.tag not in mains]
        found += group
        taken.update(tag for row in group for tag in _tags(row))
    for row in left:
        row = _without(row, taken, stock, judge) or row
        if row.grade is Grade.SET:
            taken.update(_tags(row))
        found.append(row)
    return found


def _best_group(rows: Sequence[Judged], taken: set[str], stock: Stocked, judge: Judge) -> tuple[Judged, ...]:
    """The best group of the wanted count, with pieces for each of its sets; empty where there is none with a set."""
    target = judge.target
    lots = [row for row in rows if _is_lot(row) and _pieces(row) <= (target.quantity or 0)]
    halved = not target.side and any(row.decision.offer.subject.side for row in lots)
    if halved or not any(row.grade is Grade.SET for row in lots):
        return ()
    groups = islice(_groups(lots[:MOST_LOTS], target.quantity or 0), MOST_GROUPS)
    made = (each for group in groups for each in _made_up(group, taken, stock, judge))
    most = most_cents(target.wants)
    return min(made, key=lambda group: _rank(group, most), default=())


def _groups(lots: Sequence[Judged], wanted: int) -> Iterator[tuple[Judged, ...]]:
    """The groups that have just so many pieces, those of the first lots first."""
    reached = [{0}]
    for row in reversed(lots):
        reached.append({*reached[-1], *(count + _pieces(row) for count in reached[-1])})
    reached.reverse()

    def go(at: int, left: int, taken: tuple[Judged, ...]) -> Iterator[tuple[Judged, ...]]:
        if not left:
            yield taken
        elif at < len(lots) and left in reached[at]:
            yield from go(at + 1, left - _pieces(lots[at]), (*taken, lots[at]))
            yield from go(at + 1, left, taken)

    yield from go(0, wanted, ())


def _made_up(group: tuple[Judged, ...], taken: set[str], stock: Stocked, judge: Judge) -> Iterator[tuple[Judged, ...]]:
    """The group with pieces of its own for each, in whatever order they take them."""
    for order in islice(permutations(group), MOST_ORDERS):
        # No piece has to be better than the worst of the group is anyway.
        worst, before = _state([row.decision.offer for row in order]), None
        while worst != before:
            used, made = set(taken), list[Judged]()
            for row in order:
                own = _without(row, used, stock, judge, worst)
                if own is None:
                    return
                used.update(_tags(own))
                made.append(own)
            yield tuple(made)
            worst, before = _state([part for row in made for part in row.parts]), worst


def _state(parts: Sequence[Offer]) -> tuple[bool, Condition]:
    return all(each.on_shelf for each in parts), worst_of(parts)


def _without(
    row: Judged, taken: set[str], stock: Stocked, judge: Judge, worst: tuple[bool, Condition] | None = None
) -> Judged | None:
    """A row with none of the pieces taken, its set made up of others where it had; None where there are none.

    Of several the cheapest that are no worse than `worst`, on the shelf or not and in what condition.
    """
    offer = row.decision.offer
    own = _state(row.parts)
    if row.grade is not Grade.SET or offer.tag in taken:
        return None if taken.intersection(_tags(row)) else row
    if not taken.intersection(_tags(row)) and worst in (None, own):
        return row
    left = tuple(each for each in stock() if each.tag not in taken)
    shelf, condition = worst or _state([offer])
    asif = replace(row.decision, offer=replace(offer, on_shelf=shelf, condition=condition))
    again = judged(asif, Stock(left.__iter__, judge.banned, judge.target))
    if again.grade is not Grade.SET:
        return None
    parts = tuple(offer if each.tag == offer.tag else each for each in again.parts)
    return replace(again, decision=row.decision, parts=parts)


def _rank(group: Sequence[Judged], most: int | None) -> tuple[bool, int, Standing]:
    dear = most is not None and sum(row.price_cents for row in group) > most
    return dear, max(row.grade.rank for row in group), standing(tuple(part for row in group for part in row.parts))


def _is_lot(row: Judged) -> bool:
    return row.grade is Grade.SET or (row.grade in SURE and len(row.parts) == 1)


def _pieces(row: Judged) -> int:
    """How many pieces of what was asked for there are, in a set too."""
    return sum(part.pieces for part in row.parts if part.part_type == row.decision.offer.part_type)


def _tags(row: Judged) -> tuple[str, ...]:
    return tuple(each.tag for each in row.parts)
