"""Sale tickets as the screens and the receipt see them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import Part, SaleLine, SaleTicket, TicketState
from app.book.tags import as_number, clean
from app.book.work import Book
from app.errors import NotFound


@dataclass(frozen=True, slots=True)
class SoldLine:
    """One part on a ticket."""

    tag: str
    words: str
    grade: str
    said: str
    price_cents: int
    discount_cents: int
    core_cents: int


@dataclass(frozen=True, slots=True)
class SoldRow:
    """A sale ticket; all amounts in cents."""

    number: int
    tag: str
    state: TicketState
    customer: str
    exempt_number: str
    lines: tuple[SoldLine, ...]
    parts_cents: int
    discount_cents: int
    core_cents: int
    tax_rate: str
    tax_cents: int
    deposit_cents: int
    total_cents: int
    paid_how: str
    slip: str
    made_at: datetime
    paid_at: datetime | None
    seat: str
    by: str
    receipts: int
    void_reason: str


def ticket_row(session: Session, ticket: SaleTicket) -> SoldRow:
    """A ticket with its lines as a frozen row."""
    session.flush()
    lines = session.execute(
        select(SaleLine, Part.tag)
        .join(Part, Part.id == SaleLine.part_id)
        .where(SaleLine.ticket_id == ticket.id)
        .order_by(SaleLine.number)
    )
    return SoldRow(
        number=ticket.number,
        tag=ticket.tag,
        state=ticket.state,
        customer=ticket.customer,
        exempt_number=ticket.exempt_number,
        lines=tuple(
            SoldLine(tag, line.words, line.grade, line.said, line.price_cents, line.discount_cents, line.core_cents)
            for line, tag in lines
        ),
        parts_cents=ticket.parts_cents,
        discount_cents=ticket.discount_cents,
        core_cents=ticket.core_cents,
        tax_rate=ticket.tax_rate,
        tax_cents=ticket.tax_cents,
        deposit_cents=ticket.deposit_cents,
        total_cents=ticket.total_cents,
        paid_how=ticket.paid_how,
        slip=ticket.slip,
        made_at=ticket.made_at,
        paid_at=ticket.paid_at,
        seat=ticket.seat,
        by=ticket.by,
        receipts=ticket.receipts,
        void_reason=ticket.void_reason,
    )


def find_ticket(session: Session, said: str) -> SaleTicket:
    """The ticket of a number or a ticket tag.

    Raises:
        NotFound: there is none.
    """
    number = as_number(clean(said))
    wanted = SaleTicket.tag == clean(said) if number is None else SaleTicket.number == number
    found = session.scalar(select(SaleTicket).where(wanted))
    if found is None:
        raise NotFound(f"there is no sale ticket {said!r}", "Type its number.", place="ticket")
    return found


def ticket(book: Book, said: str) -> SoldRow:
    """One ticket by number or tag."""
    with book.read() as session:
        return ticket_row(session, find_ticket(session, said))


def open_tickets(book: Book, seat: str | None = None) -> tuple[SoldRow, ...]:
    """Drafts and payments not recorded, oldest first; of one seat if given."""
    states = (TicketState.DRAFT, TicketState.NOT_RECORDED)
    query = select(SaleTicket).where(SaleTicket.state.in_(states)).order_by(SaleTicket.number)
    if seat is not None:
        query = query.where(SaleTicket.seat == seat)
    with book.read() as session:
        return tuple(ticket_row(session, row) for row in session.scalars(query))


def unprinted_tickets(book: Book, seat: str) -> tuple[SoldRow, ...]:
    """Paid tickets of a seat whose receipt never went to a printer."""
    query = select(SaleTicket).where(
        SaleTicket.state == TicketState.PAID, SaleTicket.receipts == 0, SaleTicket.seat == seat
    )
    with book.read() as session:
        return tuple(ticket_row(session, row) for row in session.scalars(query.order_by(SaleTicket.number)))
