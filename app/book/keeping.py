"""Keeping a part for one ticket or one person: the database decides when two desks ask at once."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select, update

from app.book.schema import Hold, Part, SaleLine, SaleTicket, Standing, TicketState
from app.book.times import say_time
from app.book.work import Work
from app.errors import Refused


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


def free_hold(work: Work, part: Part, customer: str) -> None:
    """A hold that has run out frees the part; one in the customer's own name is taken up."""
    hold = work.session.scalar(select(Hold).where(Hold.part_id == part.id, Hold.ended_at.is_(None)))
    if hold is None:
        return
    own = bool(customer) and hold.name.casefold() == customer.casefold()
    if own or hold.until <= work.now:
        hold.ended_at, hold.ended_why = work.now, "taken up" if own else "ran out"
        freed = update(Part).where(Part.id == part.id, Part.standing == Standing.HELD)
        work.session.execute(freed.values(standing=Standing.FREE))


def why_not_for_sale(work: Work, part: Part) -> NotForSale:
    """The refusal for a part that is not free, with who has it since when."""
    work.session.refresh(part)
    if part.standing in (Standing.SOLD, Standing.ON_TICKET):
        return _taken(work, part)
    if part.standing is Standing.HELD:
        hold = work.session.scalar(select(Hold).where(Hold.part_id == part.id, Hold.ended_at.is_(None)))
        until = f" for {hold.name} until {say_time(hold.until)}" if hold else ""
        return NotForSale(part.tag, f"{part.tag} is held{until}", "Offer another, or write a want.")
    reason = f": {part.block_reason}" if part.block_reason else ""
    return NotForSale(part.tag, f"{part.tag} is {part.standing}{reason}", "Offer another.")


def _taken(work: Work, part: Part) -> NotForSale:
    line = work.session.execute(
        select(SaleTicket)
        .join(SaleLine, SaleLine.ticket_id == SaleTicket.id)
        .where(SaleLine.part_id == part.id, SaleLine.live)
    ).scalar()
    if line is None:
        return NotForSale(part.tag, f"{part.tag} is {part.standing}", "Offer another.")
    if part.standing is Standing.SOLD and line.paid_at is not None:
        ago = _ago(work.now - line.paid_at)
        return NotForSale(part.tag, f"{part.tag} was sold {ago} by {line.by} on ticket {line.number}", "Offer another.")
    return NotForSale(
        part.tag, f"{part.tag} is on ticket {line.number} of {line.by} at {line.seat}", "Wait, or offer another."
    )


def _ago(passed: timedelta) -> str:
    seconds = int(passed.total_seconds())
    if seconds < 120:
        return f"{seconds} s ago"
    if seconds < 7200:
        return f"{seconds // 60} min ago"
    return f"{seconds // 3600} h ago" if seconds < 172_800 else f"{seconds // 86_400} days ago"
