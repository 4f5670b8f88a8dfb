"""Holding a part for somebody."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from sqlalchemy import select, update

from app.book.keeping import free_expired, free_hold, why_not_for_sale
from app.book.parts import find_part
from app.book.schema import Hold, Part, Standing
from app.book.times import say_time
from app.book.work import Book, Who
from app.errors import BadInput, NotFound


@dataclass(frozen=True, slots=True)
class Held:
    """A hold as it was made."""

    number: int
    tag: str
    name: str
    until: datetime
    words: str


def hold(book: Book, who: Who, tag: str, name: str, phone: str = "", *, hours: Decimal | None = None) -> Held:
    """Keep a part for somebody: a day for nothing; longer needs a deposit and is refused here.

    Raises:
        NotForSale: it is not free. BadInput: no name, or longer than the yard holds for nothing.
    """
    if not name.strip():
        raise BadInput("a hold needs a name", "Say for whom.", place="name")
    with book.write(who) as work:
        free = work.settings.hold_hours
        wanted = free if hours is None else hours
        if not 0 < wanted <= free:
            raise BadInput(f"{wanted} h: the yard holds {free} h for nothing", "Hold shorter.", place="hours")
        part = find_part(work.session, tag)
        free_expired(work, part)
        free_hold(work, part, "")
        kept = work.session.execute(
            update(Part)
            .where(Part.id == part.id, Part.standing == Standing.FREE)
            .values(standing=Standing.HELD)
            .returning(Part.id)
        ).scalar()
        if kept is None:
            raise why_not_for_sale(work, part)
        until = work.now + timedelta(hours=float(wanted))
        row = Hold(
            number=work.number("holds"),
            part_id=part.id,
            name=name.strip(),
            phone=phone,
            made_at=work.now,
            until=until,
            by=work.who.code,
        )
        work.session.add(row)
        words = f"{part.tag} held for {row.name} until {say_time(until)}"
        work.note("hold", part.tag, words, until=until.isoformat())
        return Held(row.number, part.tag, row.name, until, words)


def release_hold(book: Book, who: Who, tag: str, why: str = "released") -> str:
    """End a hold; the part is free again."""
    with book.write(who) as work:
        part = find_part(work.session, tag)
        open_hold = work.session.scalar(select(Hold).where(Hold.part_id == part.id, Hold.ended_at.is_(None)))
        if open_hold is None:
            raise NotFound(f"{part.tag} is not held", "", place="tag")
        open_hold.ended_at, open_hold.ended_why = work.now, why
        work.session.execute(
            update(Part).where(Part.id == part.id, Part.standing == Standing.HELD).values(standing=Standing.FREE)
        )
        words = f"{part.tag} is free again: {why}"
        work.note("release hold", part.tag, words)
        return words
