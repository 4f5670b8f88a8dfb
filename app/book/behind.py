"""What the word of fit on a sold line stood on: rules, a chain, a design; kept in the sale's history line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import History, Outcome
from app.fit.answers import AnswerLine

FIT = "fit"
"""The name under which a sale's history line keeps it, by tag."""


@dataclass(frozen=True, slots=True)
class Behind:
    """The rules an answer stood on, or the links of its chain in order, and the models it was given for.

    A link that ran turned round ends with " back". All empty: nothing was compared.
    """

    rules: tuple[str, ...] = ()
    chain: tuple[str, ...] = ()
    models: tuple[str, ...] = ()
    year: int | None = None

    def as_record(self) -> dict[str, object]:
        """As the history keeps it."""
        return {"rules": list(self.rules), "chain": list(self.chain), "models": list(self.models), "year": self.year}


def behind(line: AnswerLine) -> Behind:
    """What an answer stands on."""
    return Behind(line.stands_on, line.chain, line.models, line.year)


def fit_details(kept: Iterable[tuple[str, Behind | None]]) -> dict[str, object]:
    """The details of a sale's history line; empty where nothing is known of any fit."""
    told = {tag: each.as_record() for tag, each in kept if each is not None}
    return {FIT: told} if told else {}


def behind_sale(session: Session, ticket: int, tag: str) -> Behind | None:
    """What a part on a ticket was sold on; None where the sale did not say."""
    lines = select(History).where(History.subject == f"ticket {ticket}", History.outcome == Outcome.DONE)
    for line in session.scalars(lines.order_by(History.id.desc())):
        told = line.details.get(FIT, {})
        if tag in told:
            return read_behind(told[tag])
    return None


def read_behind(kept: Mapping[str, Any]) -> Behind:
    """The record of a history line as a row again."""
    year = kept.get("year")
    return Behind(
        tuple(kept.get("rules", ())),
        tuple(kept.get("chain", ())),
        tuple(kept.get("models", ())),
        int(year) if year is not None else None,
    )
