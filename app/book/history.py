"""What was done by whom and when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from app.book.schema import History, Outcome
from app.book.work import Book


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One line of the history."""

    at: datetime
    seat: str
    by: str
    action: str
    subject: str
    outcome: Outcome
    words: str
    details: Mapping[str, object]


def history(
    book: Book, *, subject: str = "", action: str = "", seat: str = "", limit: int = 200
) -> tuple[HistoryRow, ...]:
    """The newest lines first, about one subject, of one action or one seat if given."""
    query = select(History).order_by(History.at.desc(), History.id.desc()).limit(limit)
    for column, wanted in ((History.subject, subject), (History.action, action), (History.seat, seat)):
        if wanted:
            query = query.where(column == wanted)
    with book.read() as session:
        return tuple(
            HistoryRow(row.at, row.seat, row.by, row.action, row.subject, row.outcome, row.words, row.details)
            for row in session.scalars(query)
        )
