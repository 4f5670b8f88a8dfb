"""A few rows to stand a test on: an invented truck, its parts, a shelf, tickets."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from app.book.schema import (
    Base,
    Donor,
    Hold,
    Part,
    PartType,
    Person,
    Place,
    PlaceKind,
    Role,
    SaleLine,
    SaleTicket,
    TicketKind,
    TicketState,
    WeightTicket,
    Whereabouts,
)
from app.book.tags import TagKind, make_tag
from app.book.work import Book, Who
from app.fit.terms import Condition, Group, Side
from tests.support.clock import START

OWNER = Who("OW", Role.OWNER, "office")
COUNTER = Who("C1", Role.COUNTER, "counter 1")


def keep(book: Book, *rows: Base) -> list[int]:
    """Write rows into the book, one after the other and without a history line; their ids."""
    with book.unrecorded(OWNER) as work:
        for row in rows:
            work.session.add(row)
            work.session.flush()
        return [row.id for row in rows]


def furnish(book: Book) -> None:
    """A person, a shelf, a part type and a donor, each the first of its table and so with id 1."""
    keep(
        book,
        Person(code="OW", name="owner", role=Role.OWNER),
        Place(code="A1-2", tag="", kind=PlaceKind.SHELF),
        PartType(name="steering gear", group=Group.FRAME),
        Donor(stock_number="D1", words="2008 Dunmarsh Longwagon, white", arrived_at=START),
    )


def stock(book: Book, count: int, *, price_cents: int = 7500) -> list[str]:
    """A furnished yard with so many parts on the shelf, all free to sell; their tags."""
    furnish(book)
    tags = [make_tag(TagKind.PART, 1_000_000 + number) for number in range(count)]
    with book.unrecorded(OWNER) as work:
        work.session.add_all([part(tag=tag, price_cents=price_cents) for tag in tags])
    return tags


def part(**changes: Any) -> Part:
    """A steering gear off D1 on the shelf A1-2."""
    usual = {
        "tag": make_tag(TagKind.PART, 1),
        "donor_id": 1,
        "part_type_id": 1,
        "side": Side.NONE,
        "condition": Condition.B,
        "price_cents": 7500,
        "whereabouts": Whereabouts.IN_PLACE,
        "place_id": 1,
        "made_at": START,
    }
    return Part(**{**usual, **changes})


def sale_ticket(**changes: Any) -> SaleTicket:
    """A draft over 75.00 without tax."""
    usual = {
        "number": 1,
        "tag": make_tag(TagKind.SALE, 1),
        "made_at": START,
        "seat": "counter 1",
        "by": "C1",
        "parts_cents": 7500,
        "total_cents": 7500,
    }
    return SaleTicket(**{**usual, **changes})


def paid_ticket(**changes: Any) -> SaleTicket:
    """The same, paid in cash."""
    return sale_ticket(**{"state": TicketState.PAID, "paid_how": "cash", "paid_at": START, **changes})


def sale_line(**changes: Any) -> SaleLine:
    """The first line of the first ticket, with the first part, live."""
    usual = {"ticket_id": 1, "number": 1, "part_id": 1, "words": "steering gear", "price_cents": 7500}
    return SaleLine(**{**usual, **changes})


def hold(**changes: Any) -> Hold:
    """The first part held for a day."""
    usual = {
        "number": 1,
        "part_id": 1,
        "name": "Ada",
        "made_at": START,
        "until": START + timedelta(hours=24),
        "by": "C1",
    }
    return Hold(**{**usual, **changes})


def weight_ticket(**changes: Any) -> WeightTicket:
    """A hulk of 2,480 lb: gross 5,820, tare 3,340 on a scale with divisions of 20 lb."""
    usual = {
        "number": 1,
        "tag": make_tag(TagKind.WEIGHT, 1),
        "kind": TicketKind.HULK_OUT,
        "donor_id": 1,
        "gross": Decimal(5820),
        "gross_at": START,
        "tare": Decimal(3340),
        "tare_at": START,
        "net": Decimal(2480),
        "unit": "lb",
        "division": Decimal(20),
        "at": START,
        "seat": "scale",
        "by": "S1",
    }
    return WeightTicket(**{**usual, **changes})
