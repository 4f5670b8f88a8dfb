"""Stated requirements: "at least 30 gal", "today", "by tomorrow", "under 200", "A or better"."""

from __future__ import annotations

from collections.abc import Sequence

from app.fit.knowledge import Offer, Want
from app.fit.terms import Condition
from app.fit.values import compare, number, same, unit_of

PRICE, SHELF, READY, CONDITION, MILES = "price", "shelf", "ready", "condition", "miles"
OF_EVERY_TAG = frozenset({SHELF, READY})
"""What companions must meet too."""
AT_LEAST, AT_MOST, IS = "at least", "at most", "is"


def missed(want: Want, offers: Sequence[Offer], price_cents: int) -> str:
    """Why an answer misses a requirement; empty when it meets it. A value not recorded misses it."""
    if want.fact == PRICE:
        limit = number(want.value)
        over = limit is not None and price_cents > limit * 100
        return f"{price_cents / 100:,.2f} is over {want.value}" if over else ""
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
    good = order is not None and (order >= 0 if want.op == AT_LEAST else order <= 0)
    return "" if good else f"{value}: {want.op} {want.value} was asked"


def _condition_good(want: Want, offer: Offer) -> bool:
    if want.op != AT_LEAST or want.value not in set(Condition):
        return str(offer.condition) == want.value
    return offer.condition.rank <= Condition(want.value).rank


def _missed_miles(want: Want, offer: Offer) -> str:
    limit = number(want.value)
    if offer.miles is None:
        return "miles not recorded"
    good = limit is not None and (offer.miles >= limit if want.op == AT_LEAST else offer.miles <= limit)
    return "" if good else f"{offer.miles:,} mi: {want.op} {want.value} was asked"


def _by_unit(want: Want, offer: Offer) -> str | None:
    """A figure asked for by its unit alone ("30 gal") means the part's fact in that unit."""
    unit = unit_of(want.value)
    if want.fact or not unit:
        return None
    return next((known.value for known in offer.subject.facts.values() if unit_of(known.value) == unit), None)
