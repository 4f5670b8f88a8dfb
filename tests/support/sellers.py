"""Ways to sell one part: the program's, and two that are wrong on purpose so that the tests can be seen to fail."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import select

from app.book.keeping import NotForSale
from app.book.sales import Basket, Line, sell
from app.book.schema import Part, SaleTicket, Standing
from app.book.work import Book, Who
from tests.support.yard import paid_ticket, sale_line

Seller = Callable[[Book, Who, str], None]


def sell_well(book: Book, who: Who, tag: str) -> None:
    """Sell as the program does."""
    sell(book, who, Basket(lines=(Line(tag=tag),)))


def sell_after_a_look(book: Book, who: Who, tag: str) -> None:
    """Look whether the part is free, and then sell it without looking again."""
    with book.read() as session:
        part = session.scalars(select(Part).where(Part.tag == tag)).one()
    if part.standing is not Standing.FREE:
        raise NotForSale(tag, f"{tag} is {part.standing}", "Offer another.")
    with book.write(who) as work:
        ticket = _write_ticket(book, work.number("sale_tickets"))
        work.session.add(ticket)
        work.session.flush()
        work.session.add(sale_line(ticket_id=ticket.id, part_id=part.id))
        work.session.get_one(Part, part.id).standing = Standing.SOLD
        work.session.flush()
        work.note("sell", f"ticket {ticket.number}", f"{tag} sold")


def sell_in_two_steps(book: Book, who: Who, tag: str) -> None:
    """Take the part out of stock in one transaction and write its ticket in another."""
    with book.write(who) as work:
        part = work.session.scalars(select(Part).where(Part.tag == tag)).one()
        part.standing = Standing.SOLD
        work.note("take out", tag, f"{tag} taken out")
    with book.write(who) as work:
        ticket = _write_ticket(book, work.number("sale_tickets"))
        work.session.add(ticket)
        work.session.flush()
        work.session.add(sale_line(ticket_id=ticket.id, part_id=part.id))
        work.note("sell", f"ticket {ticket.number}", f"{tag} sold")


def _write_ticket(book: Book, number: int) -> SaleTicket:
    return paid_ticket(number=number, tag=f"S{number:06}", made_at=book.clock(), paid_at=book.clock())
