"""Lots that are each short of the pieces their rule needs, put together: a left and a right spring make the pair.

Only lots of which the same rules say the same go together, so many that the count is exact; of parts that have sides
half are of the left and half of the right. Whether the two must be matched beyond that no rule says, so it is told
where they are off different vehicles.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from app.fit.conditions import Truth
from app.fit.counts import best_group
from app.fit.decide import Decision, Judge
from app.fit.groups import COUNTABLE
from app.fit.lines import Judged, judged
from app.fit.making import record
from app.fit.sets import ALONE, Stock, price_of
from app.fit.terms import Grade, Side
from app.fit.values import number

Alike = tuple[int, Grade, frozenset[str], bool]
"""So many pieces needed, what they come to then, the rules that say so, and whether the lots have sides."""


@record(frozen=True, slots=True)
class Single:
    """A lot as it would be with the others it needs: `row` as if it were whole, `needs` so many pieces in all."""

    row: Judged
    needs: int

    @property
    def alike(self) -> Alike:
        """What lots must have in common to go together."""
        sided = bool(self.row.parts[0].subject.side)
        spoken = (each.resolved.fires for each in self.row.decision.outcomes if each.resolved is not None)
        codes = frozenset(fire.rule.code for fires in spoken for fire in fires)
        return self.needs, self.row.grade, codes, sided


def single_of(decision: Decision, judge: Judge, stock: Stock) -> Single | None:
    """A lot that is short of pieces and nothing else; None where it is not."""
    needs = _pieces_needed(decision)
    if needs <= decision.offer.pieces:
        return None
    offer = decision.offer
    whole = judge.decide(replace(offer, pieces=needs, subject=replace(offer.subject, pieces=needs)))
    if whole is None or whole.grade not in COUNTABLE:
        return None
    row = judged(Decision(offer, whole.merged), stock)
    return Single(row, needs) if row.grade in COUNTABLE and row.parts == (offer,) else None


def _pieces_needed(decision: Decision) -> int:
    """The most pieces that a rule asks for which counts fewer as short; 0 where none does."""
    counts = [
        number(finding.condition.values[0])
        for outcome in decision.outcomes
        if outcome.grade is Grade.SET_SHORT and outcome.resolved is not None
        for fire in outcome.resolved.fires
        if fire.grade is Grade.SET_SHORT
        for finding in fire.findings
        if finding.condition.fact == "pieces" and finding.truth is Truth.NO and finding.condition.values
    ]
    return int(max((count for count in counts if count is not None), default=0))


class Singles:
    """Lots that wait for others to go with; those that cost no more than `most_cents` together are taken first."""

    def __init__(self, most_cents: int | None) -> None:
        self._most = most_cents
        self._waiting: dict[Alike, list[Judged]] = {}

    def add(self, single: Single) -> Judged | None:
        """Let one wait; the best that those like it come to together, if they do."""
        self._waiting.setdefault(single.alike, []).append(single.row)
        return self._best(single.alike)

    def take(self, group: Judged) -> Judged | None:
        """Take those of a group away; the best of what is left."""
        for alike, rows in self._waiting.items():
            if any(row is group.several[0] for row in rows):
                self._waiting[alike] = [row for row in rows if not any(row is each for each in group.several)]
                return self._best(alike)
        return None

    def waits(self, group: Judged) -> bool:
        """Whether none of a group was taken yet."""
        waiting = {id(row) for rows in self._waiting.values() for row in rows}
        return all(id(each) in waiting for each in group.several)

    def _best(self, alike: Alike) -> Judged | None:
        needs, *_, sided = alike
        if sided and needs % 2:
            return None
        rows = self._waiting[alike]
        found = _group(rows, needs, self._most, sided=sided) or _group(rows, needs, None, sided=sided)
        return _together(found) if found else None


def _group(rows: Sequence[Judged], needs: int, most: int | None, *, sided: bool) -> Sequence[Judged]:
    """The best group of exactly so many pieces, half of them of each side, at no more than the most."""
    # A piece of the right counts for more than all of the left do together.
    right = sum(map(_pieces, rows)) + 1 if sided else 1

    def counted(row: Judged) -> int:
        return _pieces(row) * (right if row.parts[0].subject.side is Side.RH else 1)

    wanted = needs // 2 + needs // 2 * right if sided else needs
    return best_group(rows, counted, _WORST_OF, _cost, wanted, most)


def _pieces(row: Judged) -> int:
    return row.parts[0].pieces


_WORST_OF: tuple[Callable[[Judged], int], ...] = (
    lambda row: not row.parts[0].on_shelf,
    lambda row: row.parts[0].condition.rank,
    lambda row: row.parts[0].miles_ranked,
)


def _cost(row: Judged) -> tuple[int, ...]:
    return row.price_cents, row.parts[0].made_on.toordinal()


def _together(rows: Sequence[Judged]) -> Judged:
    parts = tuple(row.parts[0] for row in sorted(rows, key=lambda row: row.parts[0].tag))
    first = rows[0]
    return Judged(first.decision, first.grade, (), ALONE, parts, price_of(parts), several=tuple(rows))
