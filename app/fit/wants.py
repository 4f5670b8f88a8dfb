"""Stated requirements: "at least 30 gal", "today", "by tomorrow", "under 200", "A or better"."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from app.fit.known import Offer, Want
from app.fit.terms import Condition
from app.fit.values import compare, number, same, unit_of

PRICE, SHELF, READY, CONDITION, MILES = "price", "shelf", "ready", "condition", "miles"
OF_EVERY_TAG = frozenset({SHELF, READY})
"""What companions must meet too."""
AT_LEAST, AT_MOST, MORE_THAN, LESS_THAN, IS = "at least", "at most", "more than", "less than", "is"
_FROM, _UP_TO = (AT_LEAST, MORE_THAN), (AT_MOST, LESS_THAN)


def missed(want: Want, offers: Sequence[Offer], price_cents: int) -> str:
    """Why an answer misses a requirement; empty when it meets it. A value not recorded misses it."""
    if want.fact == PRICE:
        return "; ".join(missed_prices([want], price_cents))
    if want.fact == SHELF:
        away = [offer for offer in offers if not offer.on_shelf]
        return f"{away[0].tag} is {away[0].where or 'not on the shelf'}" if away else ""
    if want.fact == READY:
        late = [offer for offer in offers if not _ready(offer, want)]
        return f"{late[0].tag} is {late[0].where or 'not on the shelf'}" if late else ""
    for offer in offers:
        why = _missed_by(want, offer)
        if why:
            return why
    return ""


def missed_prices(wants: Iterable[Want], price_cents: int) -> list[str]:
    """Why a price in all is not as was asked."""
    limits = [(want, limit * 100) for want in wants if want.fact == PRICE and (limit := number(want.value)) is not None]
    orders = [(want, (price_cents > cents) - (price_cents < cents)) for want, cents in limits]
    return [
        f"{price_cents / 100:,.2f} is {_HOW[want.op in _FROM, order == 0]} {want.value}"
        for want, order in orders
        if not _holds(want.op, order)
    ]


_HOW = {(False, False): "over", (False, True): "not under", (True, False): "under", (True, True): "not over"}
"""How a price misses a limit, by whether that is a least and whether the price is just the limit."""


def most_cents(wants: Iterable[Want]) -> int | None:
    """The most that an answer may cost; None where nobody said. Under a price is a cent less."""
    limits = [(want.op, number(want.value)) for want in wants if want.fact == PRICE and want.op in _UP_TO]
    cents = [(op, int(limit * 100)) for op, limit in limits if limit is not None]
    return min((limit - (op == LESS_THAN) for op, limit in cents), default=None)


def _holds(op: str, order: int) -> bool:
    """Whether a figure is as was asked, by how it stands to the one that was said."""
    return {AT_LEAST: order >= 0, MORE_THAN: order > 0, LESS_THAN: order < 0}.get(op, order <= 0)


def _ready(offer: Offer, want: Want) -> bool:
    """On the shelf, or off the vehicle within the hours; hours that nobody wrote down are too many."""
    hours = number(want.value)
    return offer.on_shelf or (hours is not None and offer.pull_hours is not None and offer.pull_hours <= hours)


def _missed_by(want: Want, offer: Offer) -> str:
    if want.fact == CONDITION:
        return "" if _condition_good(want, offer) else f"condition {offer.condition}"
    if want.fact == MILES:
        return _missed_miles(want, offer)
    seen, told = offer.subject.facts, offer.subject.donor_facts
    known = seen.get(want.fact) or told.get(want.fact) or _by_unit(want, offer)
    if known is None:
        return f"{want.fact or want.words} not recorded"
    value = known if isinstance(known, str) else known.value
    if want.op == IS:
        return "" if same(value, want.value) else f"{want.fact} {value}, asked was {want.value}"
    order = compare(value, want.value)
    good = order is not None and _holds(want.op, order)
    return "" if good else f"{value}: {want.op} {want.value} was asked"


def _condition_good(want: Want, offer: Offer) -> bool:
    if want.op != AT_LEAST or want.value not in set(Condition):
        return str(offer.condition) == want.value
    return offer.condition.rank <= Condition(want.value).rank


def _missed_miles(want: Want, offer: Offer) -> str:
    limit = number(want.value)
    if offer.miles is None:
        return "miles not recorded"
    good = limit is not None and _holds(want.op, (offer.miles > limit) - (offer.miles < limit))
    return "" if good else f"{offer.miles:,} mi: {want.op} {want.value} was asked"


def _by_unit(want: Want, offer: Offer) -> str | None:
    """A figure asked for by its unit alone ("30 gal") means the part's fact in that unit."""
    unit = unit_of(want.value)
    if want.fact or not unit:
        return None
    return next((known.value for known in offer.subject.facts.values() if unit_of(known.value) == unit), None)
