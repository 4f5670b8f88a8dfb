"""Companions found in stock: the ones that put the whole answer highest, or what is missing."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import replace
from functools import cached_property

from app.fit.counts import cheapest_group
from app.fit.known import Known, Offer, Target, Want
from app.fit.making import record
from app.fit.outcomes import Outcome
from app.fit.rules import Companion, End, Op
from app.fit.shares import Need, cheapest_shares
from app.fit.terms import Condition, Side
from app.fit.values import same
from app.fit.wants import OF_EVERY_TAG, PRICE, missed, most_cents
from app.fit.worlds import NO_SUCH, Scope, worlds

INSIDE = "inside the lump=yes"
"""A companion that comes inside the offered lump, and is there unless a piece of its kind was taken off."""

NOT_OFFERED = frozenset({Condition.SCRAP, Condition.CORE})


@record(frozen=True, slots=True)
class Company:
    """What goes with a part: companions in stock, those missing, those the customer has."""

    found: tuple[Offer, ...] = ()
    missing: tuple[Companion, ...] = ()
    had: tuple[Companion, ...] = ()


ALONE = Company()
"""Nothing goes with it."""


Choices = Sequence[tuple[Companion, list[Offer]]]
"""Companions, each with the parts that would do."""
Numbered = tuple[int, tuple[Companion, list[Offer]]]
"""One of them, with its place."""


class Stock:
    """The parts that companions may be taken from, fetched when the first is looked for.

    What was worked out of one for one answer is kept. `wants` are the customer's stated requirements, of parts of the
    `wanted` types where they are not of every tag.
    """

    def __init__(self, source: Callable[[], Iterable[Offer]], banned: Callable[[Offer], bool], target: Target) -> None:
        self._source = source
        self._banned = banned
        self.wants = target.wants
        self.wanted = target.wanted
        self._known: dict[tuple[str, str], Known | None] = {}
        self._of: dict[str, list[Offer]] = {}
        self._fitting: dict[tuple[object, ...], list[Offer]] = {}
        self._taken: Collection[str] = ()

    def without(self, taken: Collection[str]) -> Stock:
        """The same less some tags; what was worked out of one is known of the other."""
        left = copy(self)
        left._taken = taken
        return left

    @cached_property
    def _every(self) -> Mapping[str, Sequence[Offer]]:
        found: dict[str, list[Offer]] = {}
        for each in self._source():
            found.setdefault(each.part_type, []).append(each)
        return found

    def of(self, part_type: str) -> list[Offer]:
        """Those of a kind that may be sold."""
        if part_type not in self._of:
            every = self._every.get(part_type, ())
            self._of[part_type] = [each for each in every if _may_go_along(each) and not self._banned(each)]
        return self._of[part_type]

    def known(self, candidate: Offer, name: str) -> Known | None:
        """What is known of a part by a fact's name: written down, or the one thing its vehicle can have had."""
        key = (candidate.tag, name)
        if key not in self._known:
            self._known[key] = _known(candidate, name)
        return self._known[key]

    def fitting(self, companion: Companion, offer: Offer, outcome: Outcome) -> list[Offer]:
        """Those that would do as the companion of a part under the rules of an outcome."""
        fires = outcome.resolved.fires if outcome.resolved else ()
        donor = offer.donor if companion.same_donor else ""
        alike = tuple(_is_alike(self, offer, given) for given in companion.given)
        key = (companion, donor, alike, offer.subject.side, tuple(fire.rule.code for fire in fires))
        if key not in self._fitting:
            self._fitting[key] = [
                each
                for each in self.of(companion.part_type)
                if _fits(companion, offer, each, self) and _own_kind_meets(each, outcome, self)
            ]
        return [each for each in self._fitting[key] if each.tag != offer.tag and each.tag not in self._taken]


def _may_go_along(each: Offer) -> bool:
    return not each.blocked and each.condition not in NOT_OFFERED


def _is_alike(stock: Stock, offer: Offer, given: str) -> str:
    """The value that a companion must share with the part itself; empty where it need not."""
    name, _, value = (part.strip() for part in given.partition("="))
    own = stock.known(offer, name) if value == "same" else None
    return own.value if own is not None else ""


def companions_of(outcome: Outcome) -> tuple[Companion, ...]:
    """All companions that the rules of an outcome ask for, each once."""
    fires = outcome.resolved.fires if outcome.resolved else ()
    return tuple(dict.fromkeys(companion for fire in fires for companion in fire.rule.companions))


def gather(offer: Offer, outcome: Outcome, stock: Stock) -> Company:
    """Find the companions of a part in the stock.

    Of several that would do, those are taken that put the whole answer highest: as the customer wants it, on the
    shelf, then condition, then miles, then price, then the older tag.
    """
    had: list[Companion] = []
    missing: list[Companion] = []
    asked: list[tuple[Companion, list[Offer]]] = []
    for companion in companions_of(outcome):
        if is_itself(companion, offer):
            continue
        if INSIDE in companion.given:
            if companion.part_type in {name for name, _ in offer.gone_pieces}:
                missing.append(companion)
            continue
        if _has_it(companion, outcome):
            had.append(companion)
            continue
        asked.append((companion, stock.fitting(companion, offer, outcome)))
    choices, short = _fillable(asked)
    found = _as_wanted(offer, choices, stock) or _best(offer, choices) or ()
    return Company(found, (*missing, *short), tuple(had))


def _fillable(choices: Choices) -> tuple[Choices, list[Companion]]:
    """The companions for which there are pieces enough, all of them together, and the others as far as they lack."""
    kept: list[Numbered] = []
    short: list[tuple[int, list[Companion]]] = []
    for rows in _contending(choices):
        filled: list[Numbered] = []
        for at, row in rows:
            if _fill([each for _, each in (*filled, (at, row))]):
                filled.append((at, row))
            else:
                short.append((at, _lacking(*row)))
        kept += filled
    in_order = [row for _, row in sorted(kept, key=_place)]
    return in_order, [each for _, lacking in sorted(short, key=_place) for each in lacking]


def _place(row: tuple[int, object]) -> int:
    return row[0]


def _fill(rows: Choices) -> bool:
    """Whether there are pieces enough for companions that the same parts would do for."""
    if len(rows) > 1 or _is_paired(*rows[0]):
        return _shared(rows) is not None
    companion, fitting = rows[0]
    return sum(each.pieces for each in fitting) >= companion.count


def _lacking(companion: Companion, fitting: Sequence[Offer]) -> list[Companion]:
    """What a companion lacks: the one side, where the other is there."""
    if not _is_paired(companion, fitting):
        return [companion]
    half = companion.count // 2
    there = {side: sum(each.pieces for each in fitting if each.subject.side in (side, Side.NONE)) for side in _SIDES}
    return [replace(companion, side=side, count=half) for side in _SIDES if there[side] < half] or [companion]


def _is_paired(companion: Companion, fitting: Iterable[Offer]) -> bool:
    """Of parts that have sides, where none is named, half come from the left and half from the right."""
    return not companion.side and companion.count % 2 == 0 and any(each.subject.side for each in fitting)


_SIDES = (Side.LH, Side.RH)


def is_itself(companion: Companion, offer: Offer) -> bool:
    """True where the part is one of the pieces its own set asks for."""
    side_agrees = companion.side in (Side.NONE, offer.subject.side)
    return companion.part_type == offer.part_type and side_agrees and companion.count <= offer.pieces


def _own_kind_meets(candidate: Offer, outcome: Outcome, stock: Stock) -> bool:
    """A companion of a kind the rule itself speaks of must be what the rule asks of its part."""
    fires = outcome.resolved.fires if outcome.resolved else ()
    for fire in fires:
        if candidate.part_type in fire.rule.offered_types:
            for condition in fire.rule.conditions:
                if condition.end is End.PART and condition.op is Op.ANY_OF:
                    known = stock.known(candidate, condition.fact)
                    if known is not None and not any(same(known.value, value) for value in condition.values):
                        return False
    return True


def _known(candidate: Offer, name: str) -> Known | None:
    """What is written down of a part, else the one thing its vehicle can have had."""
    known = candidate.subject.facts.get(name) or candidate.subject.donor_facts.get(name)
    if known is not None or candidate.subject.identity is None:
        return known
    found = [world.get(name) for world in worlds(candidate.subject, Scope(frozenset({name})), {})]
    values = {each.value if each is not None else NO_SUCH for each in found}
    return found[0] if len(values) == 1 and NO_SUCH not in values else None


def had_already(outcome: Outcome) -> tuple[Companion, ...]:
    """The companions that the customer has in this world."""
    return tuple(each for each in companions_of(outcome) if _has_it(each, outcome))


def _has_it(companion: Companion, outcome: Outcome) -> bool:
    if "=" not in companion.already_there:
        return False
    name, _, value = companion.already_there.partition("=")
    known = outcome.target.get(name.strip())
    return known is not None and same(known.value, value.strip())


def _fits(companion: Companion, offer: Offer, candidate: Offer, stock: Stock) -> bool:
    if not _of_the_side(companion, offer.subject.side, candidate.subject.side):
        return False
    if companion.same_donor and candidate.donor != offer.donor:
        return False
    return all(_is(candidate, given, offer, stock) for given in companion.given)


def _of_the_side(companion: Companion, own: Side, other: Side) -> bool:
    """Of the side that is named; where none is, one piece that has a side is of the part's own."""
    if companion.side is not Side.NONE:
        return other is companion.side
    return companion.count > 1 or Side.NONE in (own, other) or own is other


def _is(candidate: Offer, given: str, offer: Offer, stock: Stock) -> bool:
    name, _, value = (part.strip() for part in given.partition("="))
    known = stock.known(candidate, name)
    if value == "same":
        own = stock.known(offer, name)
        return known is not None and own is not None and same(known.value, own.value)
    return known is not None and same(known.value, value)


def _as_wanted(offer: Offer, choices: Choices, stock: Stock) -> tuple[Offer, ...]:
    """The best that meet all that the customer wants; none where nothing is wanted, or nothing in stock meets it."""
    if not stock.wants or not choices:
        return ()
    most = most_cents(stock.wants)
    wants = [each for each in stock.wants if each.fact != PRICE]
    asked = stock.wanted | {offer.part_type}
    if not _meets(offer, wants, asked):
        return ()
    meeting = [(companion, [each for each in some if _meets(each, wants, asked)]) for companion, some in choices]
    found = _best(offer, meeting, most)
    if found is None:
        return ()
    return found if most is None or price_of((offer, *found)) <= most else ()


def _meets(each: Offer, wants: Iterable[Want], wanted: frozenset[str]) -> bool:
    held = (want for want in wants if want.fact in OF_EVERY_TAG or each.part_type in wanted)
    return not any(missed(want, (each,), 0) for want in held)


def _best(offer: Offer, choices: Choices, most: int | None = None) -> tuple[Offer, ...] | None:
    """Exact: each worst-of criterion is bounded by the least that still fills every need, then prices are least.

    None where the needs cannot all be filled.

    A bound is only as low as leaves the whole at `most` cents, where any does.
    """
    bottlenecks: tuple[Callable[[Offer], int], ...] = (
        lambda each: not each.on_shelf,
        lambda each: each.condition.rank,
        lambda each: each.miles_ranked,
    )
    for worst_of in bottlenecks:
        choices = _bounded(offer, worst_of, choices, most)
    return _cheapest(choices)


def _bounded(offer: Offer, worst_of: Callable[[Offer], int], choices: Choices, most: int | None) -> Choices:
    """The choices within the least bound that fills every need at no more than the most."""
    least = max([worst_of(offer), *(_least_bound(worst_of, *choice) for choice in choices)])
    higher = {worst_of(each) for _, fitting in choices for each in fitting if worst_of(each) > least}
    for bound in (least, *sorted(higher)):
        within = [(companion, [each for each in fitting if worst_of(each) <= bound]) for companion, fitting in choices]
        if most is None:
            if all(_fill([row for _, row in rows]) for rows in _contending(within)):
                return within
        elif (taken := _cheapest(within)) is not None and price_of((offer, *taken)) <= most:
            return within
    return choices


def _cheapest(choices: Choices) -> tuple[Offer, ...] | None:
    """The cheapest that fill every need; None where they cannot all be filled."""
    taken: list[tuple[int, Sequence[Offer]]] = []
    for rows in _contending(choices):
        shares = _cheapest_of([row for _, row in rows])
        if shares is None:
            return None
        taken += zip([at for at, _ in rows], shares, strict=True)
    return tuple([each for _, some in sorted(taken, key=_place) for each in some])


def _cheapest_of(rows: Choices) -> Sequence[Sequence[Offer]] | None:
    """The same for companions that the same parts would do for."""
    if len(rows) > 1 or _is_paired(*rows[0]):
        return _shared(rows)
    companion, fitting = rows[0]
    group = cheapest_group(fitting, lambda each: each.pieces, _cost, companion.count)
    return [group] if group else None


def _contending(choices: Choices) -> list[list[Numbered]]:
    """The companions with their places, together those for which the same parts would do."""
    groups: list[list[Numbered]] = []
    for at, (companion, fitting) in enumerate(choices):
        alike = [rows for rows in groups if rows[0][1][0].part_type == companion.part_type]
        tags = {each.tag for each in fitting} if alike else set[str]()
        near = [rows for rows in alike if any(each.tag in tags for _, (_, some) in rows for each in some)]
        groups = [rows for rows in groups if rows not in near]
        groups.append([*(row for rows in near for row in rows), (at, (companion, fitting))])
    return groups


def _shared(rows: Choices) -> list[list[Offer]] | None:
    """The cheapest parts for each of several companions, no part for two of them."""
    every = {each.tag: each for _, fitting in rows for each in fitting}
    places = {tag: at for at, tag in enumerate(every)}
    needs = [
        Need(companion.count, frozenset(places[each.tag] for each in fitting), _is_paired(companion, fitting))
        for companion, fitting in rows
    ]
    return cheapest_shares(list(every.values()), needs, lambda each: each.pieces, lambda each: each.subject.side, _cost)


def _least_bound(worst_of: Callable[[Offer], int], companion: Companion, fitting: list[Offer]) -> int:
    """The least bound within which there are pieces enough."""
    for bound in sorted({worst_of(each) for each in fitting}):
        if sum(each.pieces for each in fitting if worst_of(each) <= bound) >= companion.count:
            return bound
    return 0


def _cost(offer: Offer) -> tuple[int, ...]:
    return (offer.price_cents, offer.made_on.toordinal())


def price_of(parts: Iterable[Offer]) -> int:
    """The price of all in cents; a piece that is gone takes its own off its lump, which never asks below nothing."""
    return sum([max(0, each.price_cents - _gone(each)) if each.gone_pieces else each.price_cents for each in parts])


def _gone(lump: Offer) -> int:
    return sum(price for _, price in lump.gone_pieces)
