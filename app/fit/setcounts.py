"""Several sets wanted at once: each with companions of its own, as far as there are enough."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from app.fit.decide import Judge
from app.fit.known import Offer
from app.fit.lines import Judged, judged
from app.fit.sets import Stock
from app.fit.terms import Grade


def with_their_own(rows: Sequence[Judged], stock: Callable[[], Iterable[Offer]], judge: Judge) -> list[Judged]:
    """The rows, best first, in which a set takes no piece that a better one has, where others would do."""
    taken: set[str] = set()
    found: list[Judged] = []
    for row in rows:
        if row.grade is Grade.SET and taken.intersection(_tags(row)):
            left = tuple(each for each in stock() if each.tag not in taken)
            again = judged(row.decision, Stock(left.__iter__, judge.banned, judge.target))
            row = again if again.grade is Grade.SET else row
        if row.grade is Grade.SET:
            taken.update(_tags(row))
        found.append(row)
    return found


def _tags(row: Judged) -> tuple[str, ...]:
    return tuple(each.tag for each in row.parts)
