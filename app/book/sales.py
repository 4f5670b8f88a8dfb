"""Selling: a draft keeps its parts, a paid ticket is never edited, only voided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal

from sqlalchemy import delete, select, update

from app.book.accepting import NOTHING_AGAINST, Acceptance, refuse_unaccepted
from app.book.behind import Behind, fit_details
from app.book.bench.blocking import free_again
from app.book.keeping import hold_again, keep, taken_up_deposits
from app.book.lawful import refuse_banned
from app.book.lumps import asking_price, pieces_on
from app.book.money import CASH, PAID_HOW, dollars, percent_of
from app.book.numbers import new_tag
from app.book.parts import PartRow, find_part, part_rows
from app.book.schema import (
    Part,
    Role,
    SaleLine,
    SaleTicket,
    Standing,
    TicketState,
    Whereabouts,
)
from app.book.tags import TagKind, clean
from app.book.tickets import SoldRow, ticket_row
from app.book.work import Book, Who, Work
from app.book.written import written_on
from app.errors import BadInput, NotFound, Refused


@dataclass(frozen=True, slots=True)
class Line:
    """A part on a ticket, with what was said about its fit; price None takes the asking price.

    `behind` is what the word of fit stood on; a return that did not fit asks for it. `accepted` is what speaks
    against the part on the vehicle stated, with the customer's words that accept it; `written` is, by fact, what
    the rules behind it want on the ticket.
    """

    tag: str
    price_cents: int | None = None
    grade: str = ""
    said: str = ""
    old_one_in: bool = False
    behind: Behind | None = None
    accepted: Acceptance = NOTHING_AGAINST
    written: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Basket:
    """What a customer takes: lines, who, discount in percent, and how it is paid."""

    lines: Sequence[Line]
    customer: str = ""
    exempt_number: str = ""
    discount_percent: Decimal = Decimal(0)
    discount_by: str = ""
    discount_role: Role | None = None
    paid_how: str = CASH
    slip: str = ""


def sell(book: Book, who: Who, basket: Basket) -> SoldRow:
    """Sell and take the money in one go.

    Raises:
        NotForSale: a part is sold, held for somebody else, blocked or missing; no money is asked for.
        Refused: the discount is over the counter's limit, law forbids a part, or it won't fit or is short on the
            vehicle stated and nobody accepted that in writing, or what a rule wants on the ticket is not written.
        BadInput: an empty basket, an unknown way to pay.
    """
    with book.write(who) as work:
        return sell_in(work, basket)


def sell_in(work: Work, basket: Basket) -> SoldRow:
    """Sell inside a transaction that does more besides; raises as `sell` does."""
    _check_payment(basket.paid_how)
    ticket = _draft(work, basket)
    _pay(work, ticket, basket.paid_how, basket.slip)
    return _done(work, ticket, _fit(basket))


def start_ticket(book: Book, who: Who, basket: Basket) -> SoldRow:
    """Open a draft: its parts are kept for this seat for a while, nothing is sold."""
    with book.write(who) as work:
        ticket = _draft(work, basket)
        tags = [line.tag for line in ticket_row(work.session, ticket).lines]
        work.note("start ticket", f"ticket {ticket.number}", f"draft with {', '.join(tags)}", tags=tags, **_fit(basket))
        return ticket_row(work.session, ticket)


def mark_unrecorded(book: Book, who: Who, number: int) -> SoldRow:
    """The card terminal has it now: until a person looks at the slip the payment is not recorded."""
    with book.write(who) as work:
        ticket = _open_ticket(work, number)
        ticket.state = TicketState.NOT_RECORDED
        work.note("card started", f"ticket {number}", "payment not recorded yet: look at the card slip")
        return ticket_row(work.session, ticket)


def pay_ticket(book: Book, who: Who, number: int, paid_how: str, slip: str = "") -> SoldRow:
    """Take the money for a draft; its parts leave the stock.

    Raises:
        NotFound: no such ticket. Refused: it is paid or voided already, or law forbids a part by now.
        NotForSale: a part is gone.
    """
    _check_payment(paid_how)
    with book.write(who) as work:
        ticket = _open_ticket(work, number)
        _keep_again(work, ticket)
        _pay(work, ticket, paid_how, slip)
        return _done(work, ticket)


def drop_ticket(book: Book, who: Who, number: int) -> None:
    """Give a draft up; its parts are free again."""
    with book.write(who) as work:
        ticket = _open_ticket(work, number)
        _let_go(work, ticket)
        work.session.execute(delete(SaleLine).where(SaleLine.ticket_id == ticket.id))
        work.session.delete(ticket)
        work.note("drop ticket", f"ticket {number}", "draft given up")


def void_ticket(book: Book, who: Who, number: int, reason: str) -> SoldRow:
    """Void a paid ticket with a reason; its parts go back for sale where they were.

    Raises:
        NotFound: no such ticket. Refused: it is not paid. BadInput: no reason.
    """
    if not reason.strip():
        raise BadInput("a void needs a reason", "Say why.", place="reason")
    with book.write(who) as work:
        ticket = _ticket(work, number)
        if ticket.state is not TicketState.PAID:
            raise Refused(f"ticket {number} is {ticket.state}", "", action="void", subject=f"ticket {number}")
        _let_go(work, ticket)
        ticket.state, ticket.voided_at = TicketState.VOIDED, work.now
        ticket.void_reason, ticket.voided_by = reason.strip(), work.who.code
        back = f"{dollars(ticket.total_cents)} {ticket.paid_how} goes back"
        work.note("void", f"ticket {number}", f"{reason.strip()}: {back}", total_cents=ticket.total_cents)
        work.session.flush()
        return ticket_row(work.session, ticket)


def _check_payment(paid_how: str) -> None:
    if paid_how not in PAID_HOW:
        raise BadInput(f"{paid_how!r} is no way to pay here", f"Say {', '.join(PAID_HOW)}.", place="paid")


def _ticket(work: Work, number: int) -> SaleTicket:
    ticket = work.session.scalar(select(SaleTicket).where(SaleTicket.number == number).with_for_update())
    if ticket is None:
        raise NotFound(f"there is no ticket {number}", "See the tickets in the history.", place="ticket")
    return ticket


def _open_ticket(work: Work, number: int) -> SaleTicket:
    ticket = _ticket(work, number)
    if ticket.state not in (TicketState.DRAFT, TicketState.NOT_RECORDED):
        raise Refused(f"ticket {number} is {ticket.state}", "", action="pay", subject=f"ticket {number}")
    return ticket


def _draft(work: Work, basket: Basket) -> SaleTicket:
    if not basket.lines:
        raise BadInput("the ticket is empty", "Put a part on it.", place="ticket")
    tags = [clean(line.tag) for line in basket.lines]
    if len(set(tags)) != len(tags):
        raise BadInput("the same tag twice on one ticket", "Take one off.", place="ticket")
    _check_discount(work, basket)
    ticket = SaleTicket(
        number=work.number("sale_tickets"),
        tag=new_tag(work, TagKind.SALE),
        made_at=work.now,
        seat=work.who.seat,
        by=work.who.code,
        customer=basket.customer,
        exempt_number=basket.exempt_number,
        discount_by=basket.discount_by if basket.discount_percent else "",
        tax_rate="0" if basket.exempt_number else str(work.settings.tax_percent),
    )
    work.session.add(ticket)
    work.session.flush()
    lines = _add_lines(work, ticket, basket)
    _total(ticket, lines, basket.discount_percent, taken_up_deposits(work, [line.part_id for line in lines]))
    work.session.flush()
    return ticket


def _check_discount(work: Work, basket: Basket) -> None:
    percent, limit = basket.discount_percent, work.settings.counter_discount_percent
    if not 0 <= percent <= 100:
        raise BadInput(f"a discount of {percent} % cannot be", "Type 0 to 100.", place="discount")
    if percent > limit and Role.OWNER not in (work.who.role, basket.discount_role):
        raise Refused(
            f"{percent} % is over the counter's {limit} %",
            "The owner's badge is needed.",
            action="discount",
            subject=", ".join(line.tag for line in basket.lines),
            place="discount",
        )


def _add_lines(work: Work, ticket: SaleTicket, basket: Basket) -> list[SaleLine]:
    keeps = timedelta(minutes=float(work.settings.line_keeps_minutes))
    taken, parts = _with_pieces(work, basket.lines)
    # In one order for everybody, so that two tickets with the same parts cannot wait for each other.
    for part in sorted(parts, key=lambda each: each.id):
        keep(work, part, basket.customer)
    refuse_banned(work, parts, "sell")
    for line in basket.lines:
        refuse_unaccepted(work, [clean(line.tag)], line.accepted, line.grade, line.behind, "sell")
    rows = part_rows(work.session, parts)
    lines = [
        SaleLine(
            ticket_id=ticket.id,
            number=number,
            part_id=part.id,
            words=_line_words(row, line),
            grade=line.grade,
            said=_said(work, part, line),
            price_cents=asking_price(work.session, part) if line.price_cents is None else line.price_cents,
            core_cents=0 if line.old_one_in else part.core_cents,
            keeps_until=work.now + keeps,
        )
        for number, (line, part, row) in enumerate(zip(taken, parts, rows, strict=True), start=1)
    ]
    work.session.add_all(lines)
    return lines


def _said(work: Work, part: Part, line: Line) -> str:
    """What its line says: the word of fit, what was accepted in writing, what a rule wants written there."""
    wanted = written_on(work, part, line.behind, line.written)
    return "; ".join(words for words in (line.said, line.accepted.said, *wanted) if words)


def _with_pieces(work: Work, lines: Sequence[Line]) -> tuple[list[Line], list[Part]]:
    """The lines with their parts; a lump brings a line for each of its pieces, which goes with it for nothing."""
    taken = list(lines)
    parts = [find_part(work.session, line.tag) for line in lines]
    named = {part.id: part for part in parts}
    for lump in list(parts):
        for piece in pieces_on(work.session, lump):
            if piece.id in named:
                raise BadInput(f"{piece.tag} goes with {lump.tag}", "Take one of them off.", place=piece.tag)
            taken.append(Line(piece.tag, 0, said=f"goes with {lump.tag}", old_one_in=True))
            parts.append(piece)
    return taken, parts


def _line_words(row: PartRow, line: Line) -> str:
    vehicle = f"{row.name}, {row.vehicle}".strip(", ")
    return f"{vehicle}, {line.said}" if line.said.startswith("goes with ") else vehicle


def _total(ticket: SaleTicket, lines: list[SaleLine], discount_percent: Decimal, deposit_cents: int) -> None:
    """Tax is on parts after discount, never on cores, and is rounded once for the ticket."""
    ticket.parts_cents = sum(line.price_cents for line in lines)
    ticket.discount_cents = percent_of(ticket.parts_cents, discount_percent)
    shares = split(ticket.discount_cents, [line.price_cents for line in lines])
    for line, share in zip(lines, shares, strict=True):
        line.discount_cents = share
    ticket.core_cents = sum(line.core_cents for line in lines)
    ticket.tax_cents = percent_of(ticket.parts_cents - ticket.discount_cents, Decimal(ticket.tax_rate))
    whole = ticket.parts_cents - ticket.discount_cents + ticket.core_cents + ticket.tax_cents
    ticket.deposit_cents = min(deposit_cents, whole)
    ticket.total_cents = whole - ticket.deposit_cents


def split(amount: int, weights: Sequence[int]) -> list[int]:
    """Split cents in proportion to weights; the shares add up to the amount (largest remainder first)."""
    whole = sum(weights)
    if not whole:
        return [0] * len(weights)
    shares = [amount * weight // whole for weight in weights]
    left = amount - sum(shares)
    by_remainder = sorted(range(len(weights)), key=lambda i: (-(amount * weights[i] % whole), i))
    for index in by_remainder[:left]:
        shares[index] += 1
    return shares


def _keep_again(work: Work, ticket: SaleTicket) -> None:
    """A line that ran out of time takes its part back if nobody else has it and law still allows it."""
    for line in work.session.scalars(select(SaleLine).where(SaleLine.ticket_id == ticket.id)):
        part = work.session.get_one(Part, line.part_id)
        if ticket.state is TicketState.DRAFT:
            # A test or a check may have run out since; what the card terminal has taken is recorded all the same.
            refuse_banned(work, [part], "sell")
        if not line.live:
            keep(work, part, ticket.customer)
            line.live = True


def _pay(work: Work, ticket: SaleTicket, paid_how: str, slip: str) -> None:
    work.session.flush()
    lines = work.session.scalars(select(SaleLine).where(SaleLine.ticket_id == ticket.id, SaleLine.live)).all()
    for line in lines:
        line.keeps_until = None
    work.session.flush()
    gone = work.session.execute(
        update(Part)
        .where(Part.id.in_([line.part_id for line in lines]), Part.standing == Standing.ON_TICKET)
        .values(standing=Standing.SOLD)
        .returning(Part.id)
    ).all()
    assert len(gone) == len(lines), "every part of the ticket is kept by it"
    ticket.state, ticket.paid_how, ticket.slip, ticket.paid_at = TicketState.PAID, paid_how, slip, work.now
    work.session.flush()


def _fit(basket: Basket) -> dict[str, object]:
    written = {clean(line.tag): dict(line.written) for line in basket.lines if line.written}
    fit = fit_details((clean(line.tag), line.behind) for line in basket.lines)
    return fit | ({"written": written} if written else {})


def _done(work: Work, ticket: SaleTicket, fit: Mapping[str, object] | None = None) -> SoldRow:
    row = ticket_row(work.session, ticket)
    tags = [line.tag for line in row.lines]
    words = f"{', '.join(tags)} sold, {dollars(row.total_cents)} {row.paid_how}"
    work.note("sell", f"ticket {row.number}", words, tags=tags, total_cents=row.total_cents, **fit or {})
    return row


def _let_go(work: Work, ticket: SaleTicket) -> None:
    lines = work.session.scalars(select(SaleLine).where(SaleLine.ticket_id == ticket.id, SaleLine.live)).all()
    for line in lines:
        line.live = False
        part = work.session.get_one(Part, line.part_id)
        if part.whereabouts is Whereabouts.GONE:
            raise Refused(f"{part.tag} has left the yard", "Take it back as a return.", action="void", subject=part.tag)
        free_again(work, part)
    work.session.flush()
    hold_again(work, [line.part_id for line in lines], ticket.made_at)
