"""A ticket that was issued stays as it was: the database itself refuses to change it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy.exc import DBAPIError

from app.book.schema import (
    SaleTicket,
    TicketState,
    WeightTicket,
)
from app.book.work import Book
from tests.support.clock import START
from tests.support.refusals import change, column_of, refused_by
from tests.support.yard import (
    furnish,
    keep,
    paid_ticket,
    sale_line,
    sale_ticket,
    stock,
    weight_ticket,
)

# Sale tickets


@pytest.mark.parametrize(
    ("changes", "constraint"),
    [
        ({"total_cents": 7499}, "adds_up"),
        ({"discount_cents": 7501, "total_cents": -1}, "discount_in_range"),
        ({"discount_cents": -1, "total_cents": 7501}, "discount_in_range"),
        ({"tax_cents": -1, "total_cents": 7499}, "not_negative"),
        ({"core_cents": -1, "total_cents": 7499}, "not_negative"),
        ({"deposit_cents": -1, "total_cents": 7501}, "not_negative"),
        ({"state": TicketState.PAID}, "paid_has_time"),
        ({"state": TicketState.VOIDED, "paid_at": START}, "void_says_why"),
    ],
)
def test_a_ticket_adds_up_and_says_why(book: Book, changes: dict[str, Any], constraint: str) -> None:
    with refused_by(f"ck_sale_tickets_{constraint}"):
        keep(book, sale_ticket(**changes))


def test_a_ticket_number_is_given_once(book: Book) -> None:
    keep(book, sale_ticket())
    with refused_by(r"uq_sale_tickets_number|sale_tickets\.number"):
        keep(book, sale_ticket())


PAID_TICKET_EDITS = [
    "customer = 'somebody else'",
    "customer = ''",
    "paid_how = 'card'",
    "paid_at = NULL",
    "number = 2",
    "tag = 'S222222'",
    "by_ = 'C2'",
    "seat = 'office'",
    "exempt_number = 'X1'",
    "slip = 'lost'",
    "tax_rate = '0.0'",
    "discount_by = 'OW'",
    "discount_cents = 100, total_cents = 7400",
    "parts_cents = 100, total_cents = 100",
    "tax_cents = 1, total_cents = 7501",
    "deposit_cents = 7500, total_cents = 0",
    "core_cents = 100, total_cents = 7600",
    "state = 'draft'",
    "state = 'payment not recorded'",
    "contact_id = 99",
    "made_at = '2026-03-05 15:02:00'",
]


@pytest.mark.parametrize("edit", PAID_TICKET_EDITS)
def test_a_paid_ticket_is_never_edited(book: Book, edit: str) -> None:
    keep(book, paid_ticket(customer="Ada"))
    with pytest.raises(DBAPIError, match=r"never edited|paid_has_time"):
        change(book, f"UPDATE sale_tickets SET {edit}")


def test_every_field_of_a_paid_ticket_is_guarded_or_is_meant_to_change() -> None:
    may_change = {"id", "receipts", "voided_at", "void_reason", "voided_by", "total_cents"}
    tried = {piece.split(" = ")[0].strip() for edit in PAID_TICKET_EDITS for piece in edit.split(", ")}
    assert {column.name for column in SaleTicket.__table__.columns} - may_change <= tried


def test_a_draft_may_be_edited_and_dropped(book: Book) -> None:
    keep(book, sale_ticket())
    change(book, "UPDATE sale_tickets SET parts_cents = 100, total_cents = 100")
    change(book, "DELETE FROM sale_tickets")
    assert column_of(book, "sale_tickets", "number") == []


def test_a_paid_ticket_is_never_deleted_even_after_it_was_voided(book: Book) -> None:
    keep(book, paid_ticket())
    with pytest.raises(DBAPIError, match="never deleted"):
        change(book, "DELETE FROM sale_tickets")
    change(book, "UPDATE sale_tickets SET state = 'voided', void_reason = 'wrong side', voided_at = paid_at")
    with pytest.raises(DBAPIError, match="never deleted"):
        change(book, "DELETE FROM sale_tickets")


def test_a_paid_ticket_can_be_voided_once_and_never_paid_again(book: Book) -> None:
    keep(book, paid_ticket())
    change(book, "UPDATE sale_tickets SET receipts = receipts + 1")
    change(book, "UPDATE sale_tickets SET state = 'voided', void_reason = 'wrong side', voided_at = paid_at")
    with pytest.raises(DBAPIError, match="never edited"):
        change(book, "UPDATE sale_tickets SET state = 'paid'")
    assert column_of(book, "sale_tickets", "state") == ["voided"]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE sale_lines SET price_cents = 100",
        "UPDATE sale_lines SET part_id = 2",
        "UPDATE sale_lines SET said = 'fits like new'",
        "UPDATE sale_lines SET grade = 'bolts_up'",
        "UPDATE sale_lines SET core_cents = 100",
        "UPDATE sale_lines SET discount_cents = 100",
        "UPDATE sale_lines SET words = 'another part'",
        "UPDATE sale_lines SET ticket_id = 2",
        "DELETE FROM sale_lines",
    ],
)
def test_a_line_of_a_paid_ticket_is_never_edited_or_deleted(book: Book, statement: str) -> None:
    stock(book, 2)
    keep(book, paid_ticket(), sale_ticket(number=2), sale_line())
    with pytest.raises(DBAPIError, match="line of a paid ticket"):
        change(book, statement)


def test_a_line_can_be_let_go_by_a_void_but_not_brought_to_life_again(book: Book) -> None:
    stock(book, 1)
    keep(book, paid_ticket(), sale_line())
    change(book, "UPDATE sale_lines SET live = false")
    with pytest.raises(DBAPIError, match="never edited"):
        change(book, "UPDATE sale_lines SET live = true")


# Weight tickets


@pytest.mark.parametrize(
    ("changes", "constraint"),
    [
        ({"gross": Decimal(3340), "tare": Decimal(5820), "net": Decimal(-2480)}, "gross_over_tare|net_above_zero"),
        ({"gross": Decimal(3340), "net": Decimal(0)}, "gross_over_tare|net_above_zero"),
        ({"tare": Decimal(0), "net": Decimal(5820)}, "gross_over_tare"),
        ({"deductions": Decimal(2480), "net": Decimal(0)}, "net_above_zero"),
        ({"deductions": Decimal(-20), "net": Decimal(2500)}, "deductions_not_negative"),
        ({"net": Decimal(2460)}, "net_adds_up"),
        ({"gross": Decimal(5830), "net": Decimal(2490)}, "on_division"),
        ({"tare": Decimal(3330), "net": Decimal(2490)}, "on_division"),
        ({"division": Decimal(-20)}, "on_division"),
        ({"void_reason": "for nothing"}, "void_says_why"),
        ({"voided_at": START}, "void_says_why"),
    ],
)
def test_a_weight_ticket_that_cannot_be_is_refused(book: Book, changes: dict[str, Any], constraint: str) -> None:
    furnish(book)
    with refused_by(constraint):
        keep(book, weight_ticket(**changes))


WEIGHT_EDITS = {
    "number": "2",
    "tag": "'W222222'",
    "kind": "'arrival'",
    "donor_id": "NULL",
    "commodity": "'frame'",
    "party": "'another buyer'",
    "plate": "'XX'",
    "scale": "'other'",
    "gross": "gross + 20000, net = net + 20000",
    "gross_at": "'2026-03-05 15:02:00'",
    "tare": "tare + 20000, net = net - 20000",
    "tare_at": "'2026-03-05 15:02:00'",
    "deductions": "20000, net = net - 20000",
    "deduction_lines": '\'[["dirt", "20"]]\'',
    "net": "net - 20000, deductions = 20000",
    "unit": "'kg'",
    "division": "10000",
    "typed_by_hand": "NOT typed_by_hand",
    "price_cents": "1",
    "price_unit": "'tonne'",
    "amount_cents": "1",
    "at": "'2026-03-05 15:02:00'",
    "seat": "'office'",
    "by_": "'S2'",
}


@pytest.mark.parametrize("voiding", ["", ", voided_at = at, void_reason = 'wrong truck', voided_by = 'OW'"])
@pytest.mark.parametrize(("field", "value"), WEIGHT_EDITS.items())
def test_a_weight_ticket_is_never_edited_not_even_while_it_is_voided(
    book: Book, field: str, value: str, voiding: str
) -> None:
    furnish(book)
    keep(book, weight_ticket())
    with pytest.raises(DBAPIError, match="never edited"):
        change(book, f"UPDATE weight_tickets SET {field} = {value}{voiding}")


def test_every_field_of_a_weight_ticket_is_guarded() -> None:
    of_a_void = {"id", "voided_at", "void_reason", "voided_by"}
    assert {column.name for column in WeightTicket.__table__.columns} - of_a_void == set(WEIGHT_EDITS)


def test_a_weight_ticket_is_voided_once_and_stays_so(book: Book) -> None:
    furnish(book)
    keep(book, weight_ticket())
    void = "UPDATE weight_tickets SET voided_at = at, void_reason = :reason"
    change(book, void, reason="wrong truck")
    for again in ("UPDATE weight_tickets SET voided_at = NULL, void_reason = ''", void):
        with pytest.raises(DBAPIError, match="never edited"):
            change(book, again, **({"reason": "another reason"} if ":reason" in again else {}))
    assert column_of(book, "weight_tickets", "void_reason") == ["wrong truck"]


def test_a_weight_ticket_is_never_deleted(book: Book) -> None:
    furnish(book)
    keep(book, weight_ticket())
    with pytest.raises(DBAPIError, match="never deleted"):
        change(book, "DELETE FROM weight_tickets")


def test_no_line_is_added_to_a_paid_ticket(book: Book) -> None:
    """Lines may follow a paid ticket only until their prices make up its sum, as a load brings them."""
    stock(book, 2)
    keep(book, paid_ticket())
    keep(book, sale_line())
    with pytest.raises(DBAPIError, match="never added"):
        keep(book, sale_line(number=2, part_id=2, price_cents=1))


def test_a_void_stays_as_it_was_written(book: Book) -> None:
    furnish(book)
    keep(book, paid_ticket(state=TicketState.VOIDED, voided_at=START, void_reason="wrong side", voided_by="C1"))
    with pytest.raises(DBAPIError, match="never edited"):
        change(book, "UPDATE sale_tickets SET void_reason = 'another'")


def test_weights_and_money_come_back_exactly(book: Book) -> None:
    furnish(book)
    keep(
        book, weight_ticket(gross=Decimal("5820.5"), net=Decimal("2480.5"), division=Decimal("0.5"), price_cents=23500)
    )
    with book.read() as session:
        ticket = session.get_one(WeightTicket, 1)
        assert (ticket.gross, ticket.tare, ticket.net) == (Decimal("5820.5"), Decimal(3340), Decimal("2480.5"))
        assert ticket.division == Decimal("0.5")
        assert ticket.price_cents == 23500
