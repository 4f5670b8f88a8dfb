"""What conditions look at on one vehicle: its facts, and the months and plants at which something changes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from app.fit.known import DateMove
from app.fit.making import record
from app.fit.rules import Condition, Op
from app.fit.worlds import BUILT_IN, Scope

WITH_THE_KIND = frozenset({"model", "family", "side", "part type"})
"""What is told by which kind of part it is, off which model."""


@record(frozen=True, slots=True)
class Looks:
    """What is looked at; `built_in` are what a vehicle is by its plate.

    `to_the_month` says that a build month itself is looked at, and not only which of two months it lies between.
    """

    facts: frozenset[str] = frozenset()
    months: frozenset[str] = frozenset()
    plants: frozenset[str] = frozenset()
    built_in: frozenset[str] = frozenset()
    to_the_month: bool = False

    @property
    def scope(self) -> Scope:
        """What the worlds of a vehicle must tell apart."""
        return Scope(self.facts, self.months, self.plants)


NOTHING = Looks()


def looks_of(conditions: Sequence[Condition]) -> Looks:
    """What conditions look at."""
    if all(each.fact in WITH_THE_KIND and not each.other_fact for each in conditions):
        return NOTHING
    names = {name for each in conditions for name in (each.fact, each.other_fact) if name}
    found = Looks(
        frozenset(names - BUILT_IN),
        frozenset(value for each in conditions if each.op in (Op.BEFORE, Op.FROM) for value in each.values),
        frozenset(value for each in conditions if each.fact == "plant" for value in each.values),
        frozenset(names & BUILT_IN - WITH_THE_KIND),
        any(each.fact == "built" and each.op not in (Op.BEFORE, Op.FROM) for each in conditions),
    )
    return NOTHING if found == NOTHING else found


def together(every: Iterable[Looks]) -> Looks:
    """All that any of these looks at."""
    some = [each for each in every if each is not NOTHING]
    if len(some) < 2:
        return some[0] if some else NOTHING
    return Looks(
        frozenset().union(*(each.facts for each in some)),
        frozenset().union(*(each.months for each in some)),
        frozenset().union(*(each.plants for each in some)),
        frozenset().union(*(each.built_in for each in some)),
        any(each.to_the_month for each in some),
    )


def looks_of_moves(moves: Iterable[DateMove], codes: Iterable[str]) -> Looks:
    """What the rules look at that move the dates of rules of these codes."""
    moved = set(codes)
    moving = [move for move in moves if move.moves in moved]
    months = frozenset(month for move in moving for month in (move.from_month, move.to_month))
    return together([Looks(months=months), *(looks_of(move.rule.conditions) for move in moving)]) if moving else NOTHING
