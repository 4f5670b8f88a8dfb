"""Several sets wanted at once: each with companions of its own, as far as there are enough."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice, permutations

from app.fit.candidates import standing, worst_of
from app.fit.decide import Judge
from app.fit.known import Offer, Target
from app.fit.lines import Judged, judged
from app.fit.sets import Stock
from app.fit.terms import QUOTABLE, Condition, Grade
from app.fit.wants import most_cents

MOST_LOTS, MOST_GROUPS, MOST_ORDERS = 24, 24, 6
"""So many of the best lots are looked at, so many groups of them, and each in so many orders of taking its pieces."""
MOST_BEST, MOST_ROUNDS, MOST_MADE = 3, 3, 120
"""So many groups are found by trying, each in so many rounds, and with so many sets made up; then the best go first."""
State = tuple[bool, Condition]
"""Whether all of several parts are on the shelf, and the condition of the worst."""
Group = tuple[Judged, ...]


def with_their_own(rows: Sequence[Judged], source: Callable[[], Iterable[Offer]], judge: Judge) -> list[Judged]:
    """The rows, best first, in which a set takes no piece that another has, where others would do.

    Where sets want the same pieces those go first that make the best group of the wanted count; what is left of the
    pieces goes to the best of the rest.
    """
    makers = _Makers(Stock(source, judge.banned, judge.target))
    left, found, taken = list(rows), list[Judged](), frozenset[str]()
    for _ in range(MOST_BEST):
        group = _best_group(left, taken, makers, judge.target)
        if not group:
            break
        mains = {row.decision.offer.tag for row in group}
        left = [row for row in left if row.decision.offer.tag not in mains]
        found += group
        taken = taken.union(*map(_tags, group))
    for row in left:
        row = makers.without(row, taken) or row
        if row.grade is Grade.SET:
            taken = taken.union(_tags(row))
        found.append(row)
    return found


def _best_group(rows: Sequence[Judged], taken: frozenset[str], makers: _Makers, target: Target) -> Group:
    """The best group of the wanted count, with pieces for each of its sets; empty where there is none with a set."""
    lots = [row for row in rows if _is_lot(row) and _pieces(row) <= (target.quantity or 0)]
    halved = not target.side and any(row.decision.offer.subject.side for row in lots)
    if halved or not any(row.grade is Grade.SET for row in lots):
        return ()
    groups = islice(_groups(lots[:MOST_LOTS], target.quantity or 0), MOST_GROUPS)
    made = (each for group in groups if makers.made < MOST_MADE for each in _made_up(group, taken, makers))
    most = most_cents(target.wants)
    return min(made, key=lambda group: _rank(group, most), default=())


def _groups(lots: Sequence[Judged], wanted: int) -> Iterator[Group]:
    """The groups that have just so many pieces, those of the first lots first."""
    reached = [{0}]
    for row in reversed(lots):
        reached.append({*reached[-1], *(count + _pieces(row) for count in reached[-1])})
    reached.reverse()

    def go(at: int, left: int, taken: Group) -> Iterator[Group]:
        if not left:
            yield taken
        elif at < len(lots) and left in reached[at]:
            yield from go(at + 1, left - _pieces(lots[at]), (*taken, lots[at]))
            yield from go(at + 1, left, taken)

    yield from go(0, wanted, ())


def _made_up(group: Group, taken: frozenset[str], makers: _Makers) -> Iterator[Group]:
    """The group with pieces of its own for each, in whatever order they take them."""
    for order in islice(permutations(group), MOST_ORDERS):
        # No piece has to be better than the worst of the group is anyway.
        worst = _state([row.decision.offer for row in order])
        for _ in range(MOST_ROUNDS):
            made = tuple(_one_by_one(order, taken, makers, worst))
            if len(made) < len(order):
                break
            yield made
            before, worst = worst, _state([part for row in made for part in row.parts])
            if worst == before:
                break


def _one_by_one(order: Group, taken: frozenset[str], makers: _Makers, worst: State) -> Iterator[Judged]:
    """The rows as they take their pieces one after the other, up to the first for which there are none."""
    for row in order:
        own = makers.without(row, taken, worst)
        if own is None:
            return
        taken = taken.union(_tags(own))
        yield own


class _Makers:
    """Makes sets up anew, of what others left; what was made once is kept, and `made` counts them."""

    def __init__(self, stock: Stock) -> None:
        self._stock = stock
        self._known: dict[tuple[str, State, frozenset[str]], Judged | None] = {}
        self.made = 0

    def without(self, row: Judged, taken: frozenset[str], worst: State | None = None) -> Judged | None:
        """A row with none of the pieces taken, its set made up of others where it had; None where there are none.

        Of several the cheapest that are no worse than `worst`, on the shelf or not and in what condition.
        """
        free = taken.isdisjoint(_tags(row))
        if row.grade is not Grade.SET or row.decision.offer.tag in taken:
            return row if free else None
        if free and worst in (None, _state(row.parts)):
            return row
        worst = worst or _state([row.decision.offer])
        found = self._as_bad_as(row, worst, frozenset())
        return found if found is None or taken.isdisjoint(_tags(found)) else self._as_bad_as(row, worst, taken)

    def _as_bad_as(self, row: Judged, worst: State, taken: frozenset[str]) -> Judged | None:
        key = (row.decision.offer.tag, worst, taken)
        if key not in self._known:
            self.made += 1
            self._known[key] = _as_bad_as(row, worst, self._stock.without(taken))
        return self._known[key]


def _as_bad_as(row: Judged, worst: State, stock: Stock) -> Judged | None:
    """The set made up as if its part were as bad as the worst; None where pieces are missing."""
    offer = row.decision.offer
    shelf, condition = worst
    as_if = replace(row.decision, offer=replace(offer, on_shelf=shelf, condition=condition))
    again = judged(as_if, stock)
    if again.grade is not Grade.SET:
        return None
    parts = tuple(offer if each.tag == offer.tag else each for each in again.parts)
    return replace(again, decision=row.decision, parts=parts)


def _state(parts: Sequence[Offer]) -> State:
    return all(each.on_shelf for each in parts), worst_of(parts)


def _rank(group: Group, most: int | None) -> tuple[object, ...]:
    """How a group stands in the list; of two with the same tags the one that gives the best row the best pieces."""
    dear = most is not None and sum(row.price_cents for row in group) > most
    *stands, _ = standing(tuple(part for row in group for part in row.parts))
    tags = sorted(tag for row in group for tag in _tags(row))
    return (dear, max(row.grade.rank for row in group), *stands, tags)


def _is_lot(row: Judged) -> bool:
    return row.grade in QUOTABLE and (row.grade is Grade.SET or len(row.parts) == 1)


def _pieces(row: Judged) -> int:
    """How many pieces of what was asked for there are, in a set too."""
    return sum(part.pieces for part in row.parts if part.part_type == row.decision.offer.part_type)


def _tags(row: Judged) -> tuple[str, ...]:
    return tuple(each.tag for each in row.parts)
