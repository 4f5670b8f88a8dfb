"""Parts on hand before anybody looks at them: what ranks one among its equals, and how to have it whole."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import Protocol

from app.fit.known import ModelInfo, Offer
from app.fit.making import record
from app.fit.sets import NOT_OFFERED, price_of
from app.fit.terms import Condition

Standing = tuple[bool | int, int, int, int, str, tuple[str, ...]]
"""The order among answers of one grade: off the shelf, condition, miles, price in cents, day of the tag, tags.

The day is written YYYY-MM-DD.
"""
Kind = tuple[Hashable, ...]
"""Part type, side, design and model, as the source tells them apart."""


@record(frozen=True, slots=True)
class Candidate:
    """A part that may answer; parts of one `kind` meet the same rules.

    `may_be_offered` is False for what is blocked, scrap or a core: it is only ever refused. `at` is its number in its
    source.
    """

    kind: Kind
    standing: Standing
    may_be_offered: bool
    at: int


class Source(Protocol):
    """Where candidates come from, and all else that is known of them, once it is looked at."""

    @property
    def candidates(self) -> Sequence[Candidate]:
        """All that may answer."""

    def model(self, candidate: Candidate) -> ModelInfo | None:
        """The model a candidate is off."""

    def bare(self, candidate: Candidate) -> Offer:
        """What a candidate is of and off, without what was seen on it."""

    def bring(self, candidates: Iterable[Candidate], *, in_company: bool = False) -> None:
        """Have these at hand: they will be looked at; also what sets may be made up with, where they may ask for it."""

    def offer(self, candidate: Candidate) -> Offer:
        """A candidate whole."""

    def stock(self) -> Iterable[Offer]:
        """All that companions may be taken from."""


class AtHand:
    """A source of parts that are all at hand already."""

    def __init__(self, offers: Sequence[Offer], stock: Sequence[Offer]) -> None:
        self._offers, self._stock = offers, stock
        self.candidates = [
            Candidate(_kind(each), standing([each]), may_be_offered(each), at) for at, each in enumerate(offers)
        ]

    def model(self, candidate: Candidate) -> ModelInfo | None:
        """The model a part is off."""
        identity = self._offers[candidate.at].subject.identity
        return identity.model if identity is not None else None

    def bare(self, candidate: Candidate) -> Offer:
        """The part itself."""
        return self._offers[candidate.at]

    def bring(self, candidates: Iterable[Candidate], *, in_company: bool = False) -> None:
        """All are at hand."""

    def offer(self, candidate: Candidate) -> Offer:
        """The part itself."""
        return self._offers[candidate.at]

    def stock(self) -> Sequence[Offer]:
        """All that companions may be taken from."""
        return self._stock


def _kind(offer: Offer) -> Kind:
    identity = offer.subject.identity
    return (offer.part_type, str(offer.subject.side), offer.design, identity.model.key if identity is not None else "")


def may_be_offered(offer: Offer) -> bool:
    """Neither blocked nor scrap nor a core."""
    return offer.condition not in NOT_OFFERED and not offer.blocked


def standing(parts: Sequence[Offer]) -> Standing:
    """What ranks one part, or several sold as one, among answers of their grade: as bad as the worst, at one price."""
    return (
        any(not each.on_shelf for each in parts),
        worst_of(parts).rank,
        max([each.miles_ranked for each in parts]),
        price_of(parts),
        min([each.made_on for each in parts]).isoformat(),
        tuple([each.tag for each in parts]),
    )


def worst_of(parts: Sequence[Offer]) -> Condition:
    """The condition of the worst of several parts."""
    return parts[0].condition if len(parts) == 1 else max([each.condition for each in parts], key=_rank_of)


def _rank_of(condition: Condition) -> int:
    return condition.rank
