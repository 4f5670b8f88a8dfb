"""Companions, lots and the order of the list: 1.2 and the settled readings 6, 11 and 12, by trying everything."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from app.fit.knowledge import Knowledge
from app.fit.known import Known, Offer
from app.fit.rules import Companion
from app.fit.terms import Condition, Grade, Side
from tests.fit.oracle_values import equal, plain
from tests.fit.oracle_worlds import OpenQuestion

UNSALEABLE = (Condition.CORE, Condition.SCRAP)
IN_LUMP = "inside the lump"
Fitting = Callable[[Offer], bool]
ValueOf = Callable[[Offer, str], str | None]


@dataclass(frozen=True)
class Line:
    """One answer: what is sold together, main part first."""

    offers: tuple[Offer, ...]
    grade: Grade

    @property
    def tags(self) -> tuple[str, ...]:
        return tuple(offer.tag for offer in self.offers)

    @property
    def price(self) -> int:
        return sum(price_of(offer) for offer in self.offers)

    @property
    def rank(self) -> tuple[int, bool, int, float, int]:
        """1.2 as far as it speaks of several tags sold as one."""
        return (
            self.grade.rank,
            not all(offer.on_shelf for offer in self.offers),
            max(offer.condition.rank for offer in self.offers),
            max(_miles(offer) for offer in self.offers),
            self.price,
        )

    @property
    def order(self) -> tuple[tuple[int, bool, int, float, int], date, str]:
        return (self.rank, self.offers[0].made_on, self.offers[0].tag)


def price_of(offer: Offer) -> int:
    """A piece that is gone takes its own price off the lump."""
    return offer.price_cents - sum(price for _, price in offer.gone_pieces)


def _miles(offer: Offer) -> float:
    """Fewer miles, where the part has miles: of an engine that nobody knows the miles of there is no fewer."""
    if offer.miles is None:
        return float("inf") if offer.has_miles else 0
    return offer.miles


def recorded(offer: Offer, name: str) -> Known | None:
    """What is written down of a part: on the part itself, else of its donor."""
    return offer.subject.facts.get(name) or offer.subject.donor_facts.get(name)


@dataclass(frozen=True)
class Need:
    """A companion that has to be found, and among which parts; `own` when the offered part is itself the piece."""

    row: Companion
    among: tuple[Offer, ...]
    own: bool = False


def candidates(
    know: Knowledge, main: Offer, row: Companion, stock: Sequence[Offer], fitting: Fitting, value_of: ValueOf
) -> list[Offer]:
    """The parts that may stand for a companion; `value_of` is what a fact of a part is in every world."""
    return [
        offer
        for offer in stock
        if offer.part_type == row.part_type
        and _of_side(row, main.subject.side, offer.subject.side)
        and (not row.same_donor or offer.donor == main.donor)
        and offer.condition not in UNSALEABLE
        and not offer.blocked
        and all(_is_given(know, main, offer, words, value_of) for words in row.given)
        and fitting(offer)
    ]


def _of_side(row: Companion, own: Side, side: Side) -> bool:
    """4.9: a piece of one side never stands for one of the other; two of them may be one of each."""
    if row.side is not Side.NONE:
        return side is row.side
    return row.count > 1 or Side.NONE in (own, side) or own is side


def _is_given(know: Knowledge, main: Offer, offer: Offer, words: str, value_of: ValueOf) -> bool:
    name, _, wanted = words.partition("=")
    info = know.facts.get(name)
    own = value_of(offer, name)
    if wanted == "same":
        mine = value_of(main, name)
        return own is not None and mine is not None and equal(info, plain(info, own), mine)
    return own is not None and equal(info, plain(info, own), wanted)


def in_lump(row: Companion) -> bool:
    return any(words.partition("=")[0] == IN_LUMP for words in row.given)


def best_set(main: Offer, needs: Sequence[Need], as_wanted: Callable[[Line], bool]) -> tuple[Line, ...]:
    """The sets that put the whole answer highest by 1.2, what was asked for first; several where they are equal."""
    found = [_line(main, needs, chosen) for chosen in itertools.product(*(_fills(main, need) for need in needs))]
    every = [line for line in found if len(set(line.tags)) == len(line.tags)]
    whole = [line for line in every if as_wanted(line)] or every
    least = min((line.rank for line in whole), default=None)
    return tuple(line for line in whole if line.rank == least)


def _line(main: Offer, needs: Sequence[Need], chosen: Sequence[tuple[Offer, ...]]) -> Line:
    """The offered part first, or in its own place where it is one of the named pieces."""
    pieces = tuple(itertools.chain(*chosen))
    return Line(pieces if any(need.own for need in needs) else (main, *pieces), Grade.SET)


def _fills(main: Offer, need: Need) -> list[tuple[Offer, ...]]:
    """Every group of lots that gives the wanted number of pieces."""
    if need.own:
        return [(main,)]
    return [
        group
        for size in range(1, min(len(need.among), need.row.count) + 1)
        for group in itertools.combinations(need.among, size)
        if sum(offer.pieces for offer in group) >= need.row.count and _of_both_sides(need, group)
    ]


def _of_both_sides(need: Need, group: Sequence[Offer]) -> bool:
    """A pair of what has sides is one of each, where the rule names none; a lot of no side is of either."""
    if need.row.side is not Side.NONE or need.row.count % 2:
        return True
    of = {side: sum(each.pieces for each in group if each.subject.side is side) for side in Side}
    if of[Side.LH] == of[Side.RH] == 0:
        return True
    half = need.row.count // 2
    return max(0, half - of[Side.LH]) + max(0, half - of[Side.RH]) <= of[Side.NONE]


def groups_of(lines: Sequence[Line], wanted: int) -> list[Line]:
    """Lots put together to a wanted count; those that make no group are told apart as short (1.7.11)."""
    left, found = list(lines), list[Line]()
    while exact := [group for group in _every(left) if _pieces(group) == wanted]:
        best = _only(exact, [group.rank for group in exact])
        found.append(best)
        left = [line for line in left if line.offers[0] not in best.offers]
    enough = [group for group in _every(left) if _pieces(group) > wanted] if not found else []
    if enough:
        surplus = min(_pieces(group) for group in enough)
        closest = [group for group in enough if _pieces(group) == surplus]
        best = _only(closest, [group.rank for group in closest])
        found.append(best)
        left = [line for line in left if line.offers[0] not in best.offers]
    return [*found, *(Line(line.offers, Grade.SET_SHORT) for line in left)]


def made_up(singles: Sequence[tuple[Offer, Grade, tuple[frozenset[str], int]]], most: float | None) -> list[Line]:
    """Lots each short of the pieces that rules need, put together; only what the same rules say the same of."""
    found: list[Line] = []
    for alike in {(grade, said, bool(offer.subject.side)) for offer, grade, said in singles}:
        grade, (_, needs), sided = alike
        left = [each for each, *same in singles if (*same, bool(each.subject.side)) == alike]
        if grade is Grade.MEASURE and len(left) > 1:
            raise OpenQuestion("lots in doubt, each maybe for a reason of its own, that would make up a pair")
        while True:
            exact = [
                Line(tuple(sorted(chosen, key=lambda each: (-each.pieces, each.tag))), grade)
                for size in range(2, len(left) + 1)
                for chosen in itertools.combinations(left, size)
                if sum(each.pieces for each in chosen) == needs and (not sided or _halved(chosen, needs))
            ]
            exact = [line for line in exact if most is not None and line.price <= most] or exact
            if not exact:
                break
            found.append(_only(exact, [line.rank for line in exact]))
            left = [each for each in left if each not in found[-1].offers]
    return found


def _halved(chosen: Sequence[Offer], needs: int) -> bool:
    """A left and a right make a pair, two left ones do not."""
    return all(
        2 * sum(each.pieces for each in chosen if each.subject.side is side) == needs for side in (Side.LH, Side.RH)
    )


def _only(groups: Sequence[Line], ranks: Sequence[object]) -> Line:
    least = min(groups, key=lambda group: group.rank)
    if list(ranks).count(least.rank) > 1:
        raise OpenQuestion("groups that 1.2 does not tell apart")
    return least


def _every(lines: Sequence[Line]) -> Iterator[Line]:
    for size in range(1, len(lines) + 1):
        for chosen in itertools.combinations(lines, size):
            grade = max((line.grade for line in chosen), key=lambda grade: grade.rank)
            yield Line(tuple(offer for line in chosen for offer in line.offers), grade)


def _pieces(group: Line) -> int:
    return sum(offer.pieces for offer in group.offers)
