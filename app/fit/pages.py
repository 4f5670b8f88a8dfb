"""The first page of an answer: candidates are judged in the order of the best that they could come to.

A part is looked at only while it could still be on the page, and where all of its kind come to the same only once it
is on it. So the page costs the same however much stands behind it.
"""

from __future__ import annotations

from collections.abc import Iterable
from heapq import heappop, heappush
from itertools import count

from app.fit.candidates import Candidate, Kind, Source
from app.fit.decide import Decision, Judge
from app.fit.hopes import Hope
from app.fit.known import Offer, Target
from app.fit.lines import Judged, Rank, judged, rank
from app.fit.making import record
from app.fit.merging import Merged
from app.fit.sets import Stock
from app.fit.severals import Alike, Single, Singles, single_of
from app.fit.terms import Grade
from app.fit.wants import OF_EVERY_TAG, PRICE, missed, most_cents

PAGE = 50
Found = Candidate | Judged
"""An answer; a candidate is one that nobody had to look at, for all of its kind come to the same."""
Waiting = Found | Single
"""What may come to be an answer; of a single lot that is short of pieces, what it would with the others it needs."""


@record(frozen=True, slots=True)
class _Fate:
    """What is known of all parts of a kind; `decision` is what they come to where nothing else is looked at.

    `alike` are those that come to the same, without companions that each has its own. `rank` is that of the grade, or
    of the best that it could be, None for what is not shown; `refused` is what is not to be sold.
    """

    hope: Hope
    decision: Decision | None
    alike: bool
    rank: int | None
    refused: bool = False


def _fate_of(hope: Hope, decision: Decision | None) -> _Fate:
    if not hope.alike or (decision is not None and decision.merged.in_company):
        return _Fate(hope, decision, False, hope.best)
    if decision is None or _is_unrelated(decision.grade, decision.merged):
        return _Fate(hope, decision, True, None)
    return _Fate(hope, decision, True, decision.grade.rank, decision.grade is Grade.WONT_FIT)


class Ranking:
    """The answers found so far, in their order, and what was judged on the way."""

    def __init__(self, judge: Judge, source: Source) -> None:
        self.judged: list[Decision] = []
        self._judge = judge
        self._source = source
        self._stock = Stock(source.stock, judge.banned, judge.target)
        self._met: list[Found] = []
        self._missing: list[Judged] = []
        self._refused: list[tuple[str, Found]] = []
        self._fates: dict[Kind, _Fate] = {}
        self._bare: dict[tuple[object, ...], Offer] = {}
        self._seen: set[frozenset[str]] = set()
        self._numbers = count()
        self._waiting: list[tuple[Rank, int, Waiting, _Fate | None]] = []
        self._singles = Singles(most_cents(judge.target.wants))
        self._gone_together: set[str] = set()
        self.counted_alike: dict[str, Alike] = {}
        self._never_offered: list[Candidate] = []
        for each in source.candidates:
            if each.may_be_offered:
                self._take(each, self._fate(each))
            else:
                self._never_offered.append(each)
        self._waiting.sort()

    def met(self, most: int) -> list[Judged]:
        """The answers that meet what is wanted, best first."""
        return self._whole(self._met[:most])

    def missing(self, most: int) -> list[Judged]:
        """The answers that do not, best first."""
        return self._missing[:most]

    def refused(self, most: int) -> list[Judged]:
        """What is not to be sold, by tag."""
        first = sorted(self._refused, key=lambda row: row[0])[:most]
        return self._whole(found for _, found in first)

    @property
    def answers(self) -> int:
        """How many answers meet what is wanted, with those that nobody had to look at."""
        return len(self._met) + sum(self._is_answer(each) for _, _, each, _ in self._waiting)

    def _is_answer(self, each: Waiting) -> bool:
        """Whether what waits is an answer of its own, and not one that others make up, or that went with them."""
        if not isinstance(each, Judged):
            return isinstance(each, Candidate)
        return not each.several and each.parts[0].tag not in self._gone_together

    def fill(self, most: int) -> None:
        """Find so many answers that meet what is wanted, and all that is refused."""
        near = self._worth_a_look(most)
        self._source.bring(near, in_company=any(self._fate(each).hope.in_company for each in near))
        while self._waiting and len(self._met) < most:
            _, _, each, fate = heappop(self._waiting)
            if isinstance(each, Judged):
                self._settle(each)
            elif isinstance(each, Single):
                self._wait(self._singles.add(each))
            elif fate is not None and fate.alike:
                self._settle_alike(each, fate)
            else:
                self._look_at(each)
        self._look_at_what_may_be_refused()

    def _take(self, each: Candidate, fate: _Fate) -> None:
        """Let a candidate wait, by the best that it could come to."""
        if fate.refused:
            self._refused.append((each.standing[-1][0], each))
        elif fate.rank is not None:
            self._waiting.append(((fate.rank, each.standing), next(self._numbers), each, fate))

    def _worth_a_look(self, most: int) -> list[Candidate]:
        """The best, beyond the page only of those that must be looked at, and all that may be refused."""
        found = [
            each
            for at, (_, _, each, fate) in enumerate(self._waiting)
            if isinstance(each, Candidate) and (at < most or _may_be_looked_at(fate, near=at < 2 * most))
        ]
        return [*found, *self._never_offered]

    def _look_at_what_may_be_refused(self) -> None:
        waiting, self._waiting = self._waiting, []
        for row in waiting:
            _, _, each, fate = row
            if isinstance(each, Candidate) and _may_be_looked_at(fate, near=False):
                self._look_at(each)
            else:
                self._waiting.append(row)
        for candidate in self._never_offered:
            self._look_at(candidate)

    def _look_at(self, candidate: Candidate) -> None:
        decision = self._judge.decide(self._source.offer(candidate))
        if decision is None:
            return
        row = judged(decision, self._stock)
        if row.grade is Grade.WONT_FIT:
            self._refused.append((decision.offer.tag, row))
        elif not unrelated(row) and candidate.may_be_offered:
            self.judged.append(decision)
            self._wait(self._with_others(decision, row))

    def _with_others(self, decision: Decision, row: Judged) -> Judged:
        """A lot that is short of pieces also waits for others to make them up.

        Where a number of pieces is asked for, it is one of the lots that are put to that.
        """
        single = single_of(decision, self._judge, self._stock) if row.grade is Grade.SET_SHORT else None
        wanted = self._judge.target.quantity
        if single is None:
            return row
        if wanted is None:
            heappush(self._waiting, (rank(single.row), next(self._numbers), single, None))
        elif wanted >= single.needs:
            self.counted_alike[decision.offer.tag] = single.alike
            return single.row
        return row

    def _wait(self, row: Judged | None) -> None:
        if row is not None:
            heappush(self._waiting, (rank(row), next(self._numbers), row, None))

    def _settle(self, row: Judged) -> None:
        tags = frozenset(each.tag for each in row.parts)
        if row.several:
            if not self._singles.waits(row):
                return
            self._gone_together |= tags
            self._wait(self._singles.take(row))
        elif tags & self._gone_together:
            return
        if tags in self._seen:
            # A set that is reached from each of its pieces is one answer.
            return
        self._seen.add(tags)
        if misses(row, self._judge.target):
            self._missing.append(row)
        else:
            self._met.append(row)

    def _settle_alike(self, candidate: Candidate, fate: _Fate) -> None:
        decision = fate.decision
        assert decision is not None
        self.judged.append(decision)
        if self._judge.target.wants:
            self._settle(self._row(candidate))
        else:
            self._seen.add(frozenset(candidate.standing[-1]))
            self._met.append(candidate)

    def _whole(self, found: Iterable[Found]) -> list[Judged]:
        """Answers with all that is known of their parts."""
        listed = list(found)
        self._source.bring([each for each in listed if isinstance(each, Candidate)])
        return [self._row(each) if isinstance(each, Candidate) else each for each in listed]

    def _row(self, candidate: Candidate) -> Judged:
        decision = self._fate(candidate).decision
        assert decision is not None
        return judged(Decision(self._source.offer(candidate), decision.merged), self._stock)

    def _fate(self, candidate: Candidate) -> _Fate:
        """What is known of all of its kind."""
        if candidate.kind not in self._fates:
            self._fates[candidate.kind] = self._fate_of_silent(candidate) or self._work_out(candidate)
        return self._fates[candidate.kind]

    def _work_out(self, candidate: Candidate) -> _Fate:
        bare = self._source.bare(candidate)
        self._bare.setdefault(candidate.kind[:3], bare)
        hope, merged = self._judge.hope(bare)
        return _fate_of(hope, None if merged is None else Decision(bare, merged))

    def _fate_of_silent(self, candidate: Candidate) -> _Fate | None:
        """That of another model of the same family, where nothing speaks of either."""
        bare, model = self._bare.get(candidate.kind[:3]), self._source.model(candidate)
        told = self._judge.hope_off(bare, model) if bare is not None and model is not None else None
        if told is None:
            return None
        hope, merged = told
        return _fate_of(hope, None if merged is None or bare is None else Decision(bare, merged))


def _may_be_looked_at(fate: _Fate | None, *, near: bool) -> bool:
    """Whether one of a kind that must be looked at is: near the page, and where it may be refused."""
    return fate is not None and not fate.alike and (near or fate.hope.may_be_refused)


def unrelated(row: Judged) -> bool:
    """What was never compared is shown only inside a family."""
    return _is_unrelated(row.grade, row.decision.merged)


def _is_unrelated(grade: Grade, merged: Merged) -> bool:
    return grade is Grade.NOT_COMPARED and not merged.kin


def misses(row: Judged, target: Target) -> tuple[str, ...]:
    """Why an answer is not what was asked: every tag of an asked type must meet it, "today" every tag at all."""
    main = row.decision.offer.part_type
    asked_for = [each for each in row.parts if each.part_type in target.wanted or each.part_type == main]
    # Of several lots to a count the price in all is held against what was asked, once they are put together.
    wants = [each for each in target.wants if target.quantity is None or each.fact != PRICE]
    held = [(want, row.parts if want.fact in OF_EVERY_TAG else asked_for) for want in wants]
    return tuple(why for want, parts in held if (why := missed(want, parts, row.price_cents)))
