"""Keeping a part for one ticket or one person: the database decides when two desks ask at once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from sqlalchemy import func, or_, select, update
from sqlalchemy.orm import Session

from app.book.schema import Hold, Part, SaleLine, SaleTicket, Standing, TicketState
from app.book.times import say_time
from app.book.work import Book, Who, Work
from app.errors import Refused

TAKEN_UP = "taken up"
"""Why a hold ended: its own customer bought the part."""


class NotForSale(Refused):
    """A part that cannot go on a ticket, with who has it since when."""

    def __init__(self, tag: str, title: str, remedy: str) -> None:
        super().__init__(title, remedy, action="sell", subject=tag, place=tag)


def keep(work: Work, part: Part, customer: str) -> None:
    """Put a part on the ticket, or say who has it; the database decides when two desks ask at once."""
    free_expired(work, part)
    free_hold(work, part, customer)
    kept = work.session.execute(
        update(Part)
        .where(Part.id == part.id, Part.standing == Standing.FREE)
        .values(standing=Standing.ON_TICKET)
        .returning(Part.id)
    ).scalar()
    if kept is None:
        raise why_not_for_sale(work, part)
    work.session.refresh(part)


def free_expired(work: Work, part: Part) -> None:
    """A draft's line keeps a part only for its time."""
    expired = (
        select(SaleLine.part_id)
        .join(SaleTicket, SaleTicket.id == SaleLine.ticket_id)
        .where(
            SaleLine.part_id == part.id,
            SaleLine.live,
            SaleLine.keeps_until <= work.now,
            SaleTicket.state == TicketState.DRAFT,
        )
    )
    lines = update(SaleLine).where(SaleLine.part_id.in_(expired), SaleLine.live).values(live=False)
    freed = work.session.execute(lines.returning(SaleLine.id)).all()
    if freed:
        parts = update(Part).where(Part.id == part.id, Part.standing == Standing.ON_TICKET)
        work.session.execute(parts.values(standing=Standing.FREE))


def free_run_out(book: Book, who: Who, tags: Sequence[str]) -> None:
    """Free those of some parts that a hold or a draft keeps whose time is over."""
    now = book.clock()
    held = select(Hold.part_id).where(Hold.ended_at.is_(None), Hold.until <= now)
    draft = select(SaleLine.part_id).join(SaleTicket, SaleTicket.id == SaleLine.ticket_id)
    draft = draft.where(SaleLine.live, SaleLine.keeps_until <= now, SaleTicket.state == TicketState.DRAFT)
    over = select(Part).where(Part.tag.in_(tags), or_(Part.id.in_(held), Part.id.in_(draft))).order_by(Part.tag)
    with book.write(who) as work:
        for part in work.session.scalars(over).all():
            free_expired(work, part)
            free_hold(work, part, "")
        late = ", ".join(tags)
        work.note("keep no longer", late, f"{late}: the time of the hold or the draft is over")


def free_hold(work: Work, part: Part, customer: str) -> None:
    """A hold that has run out frees the part; one in the customer's own name is taken up."""
    hold = work.session.scalar(select(Hold).where(Hold.part_id == part.id, Hold.ended_at.is_(None)))
    if hold is None:
        return
    own = bool(customer) and hold.name.casefold() == customer.casefold()
    if own or hold.until <= work.now:
        hold.ended_at, hold.ended_why = work.now, TAKEN_UP if own else "ran out"
        freed = update(Part).where(Part.id == part.id, Part.standing == Standing.HELD)
        work.session.execute(freed.values(standing=Standing.FREE))


def taken_up_deposits(work: Work, parts: Sequence[int]) -> int:
    """The deposits, in cents, of the holds that a ticket takes up now."""
    taken = select(func.coalesce(func.sum(Hold.deposit_cents), 0)).where(
        Hold.part_id.in_(parts), Hold.ended_at == work.now, Hold.ended_why == TAKEN_UP
    )
    return int(work.session.scalar(taken) or 0)


def hold_again(work: Work, parts: Sequence[int], taken_at: datetime) -> None:
    """A ticket that comes to nothing gives its customer the holds back whose deposit it had counted."""
    taken = select(Hold).where(
        Hold.part_id.in_(parts),
        Hold.ended_at == taken_at,
        Hold.ended_why == TAKEN_UP,
        Hold.deposit_cents > 0,
        Hold.until > work.now,
    )
    for hold in work.session.scalars(taken).all():
        held = update(Part).where(Part.id == hold.part_id, Part.standing == Standing.FREE)
        if work.session.execute(held.values(standing=Standing.HELD).returning(Part.id)).scalar() is not None:
            hold.ended_at, hold.ended_why = None, ""
    work.session.flush()


def why_not_for_sale(work: Work, part: Part) -> NotForSale:
    """The refusal for a part that is not free, with who has it since when."""
    work.session.refresh(part)
    title = standing_words(work.session, part, work.now) or f"{part.tag} is {part.standing}"
    remedies = {Standing.HELD: "Offer another, or write a want.", Standing.ON_TICKET: "Wait, or offer another."}
    return NotForSale(part.tag, title, remedies.get(part.standing, "Offer another."))


def standing_words(session: Session, part: Part, now: datetime) -> str:
    """Why a part is not on offer, with who has it since when or until when; empty for one that is free to sell.

    A hold or a draft whose time is over keeps nothing.
    """
    if part.standing is Standing.FREE:
        return ""
    if part.standing in (Standing.SOLD, Standing.ON_TICKET):
        return _taken(session, part, now)
    if part.standing is Standing.HELD:
        hold = session.scalar(select(Hold).where(Hold.part_id == part.id, Hold.ended_at.is_(None)))
        if hold is None:
            return f"{part.tag} is held"
        return f"{part.tag} is held for {hold.name} until {say_time(hold.until)}" if hold.until > now else ""
    reason = f": {part.block_reason}" if part.block_reason else ""
    return f"{part.tag} is {part.standing}{reason}"


def _taken(session: Session, part: Part, now: datetime) -> str:
    live = select(SaleTicket, SaleLine.keeps_until).join(SaleLine, SaleLine.ticket_id == SaleTicket.id)
    found = session.execute(live.where(SaleLine.part_id == part.id, SaleLine.live)).first()
    if found is None:
        return f"{part.tag} is {part.standing}"
    ticket, keeps_until = found
    if part.standing is Standing.SOLD and ticket.paid_at is not None:
        return f"{part.tag} was sold {_ago(now - ticket.paid_at)} by {ticket.by} on ticket {ticket.number}"
    if ticket.state is TicketState.DRAFT and keeps_until is not None and keeps_until <= now:
        return ""
    return f"{part.tag} is on ticket {ticket.number} of {ticket.by} at {ticket.seat}"


def _ago(passed: timedelta) -> str:
    seconds = int(passed.total_seconds())
    if seconds < 120:
        return f"{seconds} s ago"
    if seconds < 7200:
        return f"{seconds // 60} min ago"
    return f"{seconds // 3600} h ago" if seconds < 172_800 else f"{seconds // 86_400} days ago"
