"""Half-filled forms: kept at every pause in typing, so that Escape, a crash or a power cut loses nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, delete, select

from app.book.schema import Draft
from app.book.work import Book, Who


@dataclass(frozen=True, slots=True)
class DraftRow:
    """A half-filled form."""

    form: str
    by: str
    at: datetime
    fields: Mapping[str, Any]


def _own(who: Who) -> tuple[ColumnElement[bool], ColumnElement[bool]]:
    """The drafts of one person at one kind of seat: two people at two counters keep two drafts."""
    return Draft.seat == who.seat, Draft.by == who.code


def keep_draft(book: Book, who: Who, form: str, fields: Mapping[str, Any]) -> None:
    """Keep what is typed so far; a draft is nobody's act yet, so it leaves no history line."""
    with book.unrecorded(who) as work:
        draft = work.session.scalar(select(Draft).where(*_own(who), Draft.form == form))
        if draft is None:
            draft = Draft(seat=who.seat, by=who.code, form=form)
            work.session.add(draft)
        draft.at, draft.fields = work.now, dict(fields)


def draft(book: Book, who: Who, form: str) -> DraftRow | None:
    """The draft of a form at this seat, if there is one."""
    with book.read() as session:
        row = session.scalar(select(Draft).where(*_own(who), Draft.form == form))
        return DraftRow(row.form, row.by, row.at, row.fields) if row else None


def drafts(book: Book, who: Who) -> tuple[DraftRow, ...]:
    """All drafts at this seat, newest first."""
    with book.read() as session:
        rows = session.scalars(select(Draft).where(*_own(who)).order_by(Draft.at.desc()))
        return tuple(DraftRow(row.form, row.by, row.at, row.fields) for row in rows)


def drop_draft(book: Book, who: Who, form: str) -> None:
    """Forget a draft once its form was finished."""
    with book.unrecorded(who) as work:
        work.session.execute(delete(Draft).where(*_own(who), Draft.form == form))
