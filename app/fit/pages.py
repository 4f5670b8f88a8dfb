"""The first page of an answer: candidates are judged in the order of the best that they could come to.

A part is looked at only while it could still be on the page. So the page costs the same however much stands behind it.
"""

from __future__ import annotations

from heapq import heappop, heappush
from itertools import count

from app.fit.candidates import Candidate, Kind, Source
from app.fit.decide import Decision, Judge
from app.fit.hopes import Hope
from app.fit.knowledge import Target
from app.fit.lines import Judged, Rank, judged, rank
from app.fit.sets import Stock
from app.fit.terms import Grade
from app.fit.wants import OF_EVERY_TAG, missed

PAGE = 50


class Ranking:
    """The answers found so far, in their order, and what was judged on the way."""

    def __init__(self, judge: Judge, source: Source) -> None:
        self.met: list[Judged] = []
        self.missing: list[Judged] = []
        self.judged: list[Decision] = []
        self._judge = judge
        self._source = source
        self._stock = Stock(source.stock, judge.banned)
        self._refused: list[Judged] = []
        self._hopes: dict[Kind, Hope] = {}
        self._seen: set[frozenset[str]] = set()
        self._numbers = count()
        offered = [each for each in source.candidates if each.may_be_offered]
        self._never_offered = [each for each in source.candidates if not each.may_be_offered]
        self._waiting: list[tuple[Rank, int, Candidate | Judged]] = sorted(
            ((self._hope(each).best, *each.standing), next(self._numbers), each) for each in offered
        )

    @property
    def refused(self) -> list[Judged]:
        """What is not to be sold, by tag."""
        return sorted(self._refused, key=lambda row: row.decision.offer.tag)

    @property
    def left(self) -> int:
        """How many more may be answers, of those that nobody had to look at."""
        return len(self._waiting)

    def fill(self, most: int) -> None:
        """Find so many answers that meet what is wanted, and all that is refused."""
        best = (each for _, _, each in self._waiting[: 2 * most] if isinstance(each, Candidate))
        self._source.bring(list({each.at: each for each in (*best, *self._may_be_refused())}.values()))
        while self._waiting and len(self.met) < most:
            _, _, each = heappop(self._waiting)
            if isinstance(each, Candidate):
                self._look_at(each)
            else:
                self._settle(each)
        self._look_at_what_may_be_refused()

    def _look_at_what_may_be_refused(self) -> None:
        waiting, self._waiting = self._waiting, []
        for row in waiting:
            each = row[2]
            if isinstance(each, Candidate) and self._hope(each).may_be_refused:
                self._look_at(each)
            else:
                self._waiting.append(row)
        for candidate in self._never_offered:
            self._look_at(candidate)

    def _may_be_refused(self) -> list[Candidate]:
        """Of those nobody looked at yet the ones that a rule or the law may forbid."""
        waiting = (each for _, _, each in self._waiting if isinstance(each, Candidate))
        return [*(each for each in waiting if self._hope(each).may_be_refused), *self._never_offered]

    def _look_at(self, candidate: Candidate) -> None:
        decision = self._judge.decide(self._source.offer(candidate))
        if decision is None:
            return
        row = judged(decision, self._stock)
        if row.grade is Grade.WONT_FIT:
            self._refused.append(row)
        elif not unrelated(row) and candidate.may_be_offered:
            self.judged.append(decision)
            heappush(self._waiting, (rank(row), next(self._numbers), row))

    def _settle(self, row: Judged) -> None:
        tags = frozenset(each.tag for each in row.parts)
        if tags in self._seen:
            # A set that is reached from each of its pieces is one answer.
            return
        self._seen.add(tags)
        (self.missing if misses(row, self._judge.target) else self.met).append(row)

    def _hope(self, candidate: Candidate) -> Hope:
        if candidate.kind not in self._hopes:
            self._hopes[candidate.kind] = self._judge.hope(self._source.bare(candidate))
        return self._hopes[candidate.kind]


def unrelated(row: Judged) -> bool:
    """What was never compared is shown only inside a family."""
    return row.grade is Grade.NOT_COMPARED and not row.decision.merged.kin


def misses(row: Judged, target: Target) -> tuple[str, ...]:
    """Why an answer is not what was asked: every tag of an asked type must meet it, "today" every tag at all."""
    asked_for = [each for each in row.parts if each.part_type in target.wanted]
    held = [(want, row.parts if want.fact in OF_EVERY_TAG else asked_for) for want in target.wants]
    return tuple(why for want, parts in held if (why := missed(want, parts, row.price_cents)))
