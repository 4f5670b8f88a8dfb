"""What it would take: the cheapest complete sets of parts and work that put several wanted things on one vehicle.

One option is taken for each need. A tag or a piece of work that two options share is paid and done once. Plans
are ranked by what is missing, then by what is not sure, then by money: parts and hours at the shop's rate.
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from itertools import count

from app.fit.answers import WorkLine
from app.fit.terms import Grade

UNSURE = frozenset({Grade.MEASURE, Grade.NOT_COMPARED})
Score = tuple[Fraction, Fraction, Fraction]
"""Missing companions, options that are not sure, cents."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way to meet a need: its tags with their prices in cents, the work, and what is still missing for it."""

    tags: tuple[tuple[str, int], ...]
    grade: Grade
    work: tuple[WorkLine, ...] = ()
    missing: tuple[str, ...] = ()
    consequences: tuple[str, ...] = ()
    unknowns: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    say: str = ""


@dataclass(frozen=True, slots=True)
class Need:
    """Something wanted: its name, the options there are for it, and why what is left out of them was."""

    name: str
    options: tuple[Option, ...] = ()
    refused: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """One option for each need that has any, with everything united; money in cents, `grade` the worst of all."""

    chosen: tuple[tuple[str, Option], ...]
    tags: tuple[str, ...]
    parts_cents: int
    hours: Decimal
    labor_cents: int
    grade: Grade
    work: tuple[WorkLine, ...]
    missing: tuple[str, ...]
    consequences: tuple[str, ...]
    unknowns: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def total_cents(self) -> int:
        """Parts and labor."""
        return self.parts_cents + self.labor_cents

    @property
    def complete(self) -> bool:
        """True when nothing is missing."""
        return not self.missing


def plans(needs: Sequence[Need], rate_cents: Decimal, most: int = 3) -> tuple[Plan, ...]:
    """The best plans, best first, exact: no other choice of options ranks above the last of them.

    `rate_cents` is the shop's rate by the hour. A need without an option is missing in every plan; without any
    option at all there is no plan.
    """
    open_needs = [need for need in needs if need.options]
    if not open_needs or most < 1:
        return ()
    search = _Search(open_needs, Fraction(rate_cents), most)
    without = tuple(f"{need.name}: {_why(need)}" for need in needs if not need.options)
    return tuple(_plan(open_needs, chosen, rate_cents, without) for chosen in search.run())


def _why(need: Need) -> str:
    return "; ".join(need.refused[:2]) if need.refused else "none in stock"


class _Search:
    """Depth first over the needs; a branch is cut when even its cheapest end ranks under the plans found."""

    def __init__(self, needs: Sequence[Need], rate: Fraction, most: int) -> None:
        # Needs with few options first, so that little is undone.
        self.order = sorted(range(len(needs)), key=lambda at: len(needs[at].options))
        self.needs = needs
        self.rate = rate
        self.most = most
        self._best: list[tuple[tuple[Fraction, ...], int, tuple[Option, ...]]] = []
        self._serial = count()
        self._users = self._shared_by()
        self._rest = self._bounds()

    def run(self) -> list[tuple[Option, ...]]:
        """The best choices, each in the order of the needs."""
        self._go(0, {}, ())
        ranked = sorted(self._best, key=lambda each: (tuple(-value for value in each[0]), -each[1]))
        return [chosen for _, _, chosen in ranked]

    def _go(self, depth: int, paid: Mapping[object, Fraction], taken: tuple[tuple[int, Option], ...]) -> None:
        score = _score(paid, taken)
        if self._hopeless(self._least(score, depth, taken)):
            return
        if depth == len(self.order):
            self._keep(score, taken)
            return
        at = self.order[depth]
        for option in sorted(
            self.needs[at].options, key=lambda each: _score({**paid, **self._costs(each)}, ((at, each),))
        ):
            self._go(depth + 1, {**paid, **self._costs(option)}, (*taken, (at, option)))

    def _keep(self, score: Score, taken: tuple[tuple[int, Option], ...]) -> None:
        chosen = tuple(option for _, option in sorted(taken, key=lambda each: each[0]))
        entry = (tuple(-value for value in score), -next(self._serial), chosen)
        tags = _tags_of(chosen)
        same = next((each for each in self._best if _tags_of(each[2]) == tags), None)
        if same is not None:
            if entry[0] <= same[0]:
                return
            self._best.remove(same)
            heapq.heapify(self._best)
        heapq.heappush(self._best, entry)
        if len(self._best) > self.most:
            heapq.heappop(self._best)

    def _least(self, score: Score, depth: int, taken: Sequence[tuple[int, Option]]) -> Score:
        """The least that any end of a branch comes to.

        What is shared is paid in full by the first that needs it, so what is taken and what is left are weighed by
        their shares together; and no end costs less than what is paid already.
        """
        missing, unsure, cents = _plus(score, self._rest[depth])
        shares = sum((self._share(option)[2] for _, option in taken), Fraction(0))
        return missing, unsure, max(score[2], shares + cents - score[2])

    def _hopeless(self, least: Score) -> bool:
        return len(self._best) == self.most and least >= tuple(-value for value in self._best[0][0])

    def _costs(self, option: Option) -> dict[object, Fraction]:
        """What an option is paid for, by what is paid only once."""
        tags: dict[object, Fraction] = {tag: Fraction(price) for tag, price in option.tags}
        return tags | {line: Fraction(line.hours) * self.rate for line in option.work if line.hours is not None}

    def _shared_by(self) -> Counter[object]:
        """How many needs have an option with each tag and piece of work."""
        users: Counter[object] = Counter()
        for need in self.needs:
            users.update({key for option in need.options for key in self._costs(option)})
        return users

    def _bounds(self) -> list[Score]:
        """The least that the needs from each depth on can add: what is shared counts by its share."""
        sums: list[Score] = [(Fraction(0), Fraction(0), Fraction(0))]
        for at in reversed(self.order):
            every = [self._share(option) for option in self.needs[at].options]
            least = min(each[0] for each in every), min(each[1] for each in every), min(each[2] for each in every)
            sums.append(_plus(sums[-1], least))
        return list(reversed(sums))

    def _share(self, option: Option) -> Score:
        cents = sum((cost / self._users[key] for key, cost in self._costs(option).items()), Fraction(0))
        return Fraction(len(option.missing)), Fraction(option.grade in UNSURE), cents


def _score(paid: Mapping[object, Fraction], taken: Sequence[tuple[int, Option]]) -> Score:
    missing = sum(len(option.missing) for _, option in taken)
    unsure = sum(option.grade in UNSURE for _, option in taken)
    return Fraction(missing), Fraction(unsure), sum(paid.values(), Fraction(0))


def _plus(one: Score, other: Score) -> Score:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def _tags_of(chosen: Sequence[Option]) -> frozenset[str]:
    return frozenset(tag for option in chosen for tag, _ in option.tags)


def _plan(needs: Sequence[Need], chosen: Sequence[Option], rate_cents: Decimal, without: tuple[str, ...]) -> Plan:
    prices = dict(pair for option in chosen for pair in option.tags)
    work = tuple(dict.fromkeys(line for option in chosen for line in option.work))
    hours = sum((line.hours for line in work if line.hours is not None), Decimal(0))
    short = (f"{need.name}: {each}" for need, option in zip(needs, chosen, strict=True) for each in option.missing)
    return Plan(
        chosen=tuple((need.name, option) for need, option in zip(needs, chosen, strict=True)),
        tags=tuple(prices),
        parts_cents=sum(prices.values()),
        hours=hours,
        labor_cents=int((hours * rate_cents).quantize(Decimal(1), ROUND_HALF_UP)),
        grade=max((option.grade for option in chosen), key=lambda grade: grade.rank),
        work=work,
        missing=(*without, *short),
        consequences=_once(option.consequences for option in chosen),
        unknowns=_once(option.unknowns for option in chosen),
        cautions=_once(option.cautions for option in chosen),
    )


def _once(said: Iterator[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(word for words in said for word in words))
