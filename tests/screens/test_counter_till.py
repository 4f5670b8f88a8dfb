"""The till of the counter: tickets with tax, cores, discounts, holds, voids; money that is right, once."""

from __future__ import annotations

import threading
from typing import Any

import pytest

from app.book.finding import part
from app.book.history import history
from app.book.holds import hold
from app.book.keeping import NotForSale
from app.book.sales import Basket, Line, drop_ticket, sell, start_ticket
from app.book.schema import Standing, TicketState
from app.book.tickets import open_tickets, ticket, unprinted_tickets
from app.book.work import Book, Who
from app.screens import counter_ask
from app.screens.app import Donorbook
from app.screens.counter_sheets import PaySheet, ReceiptSheet
from app.screens.counter_till import Paid, Till
from app.screens.parts.form import Form
from app.screens.parts.sheets import Notice
from tests.screens.counter_desk import SIZE, Engine, ask, rows
from tests.screens.hands import TAGS, flat, furnish, press, say, seen, settle

C1 = Who("C1", seat="counter")


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> Engine:
    """The answers come from the test yard and not from its rules."""
    made = Engine()
    monkeypatch.setattr(counter_ask, "ask", made)
    return made


@pytest.fixture
def app(sqlite_book: Book, engine: Engine) -> Donorbook:
    """The counter, with C1 at it."""
    del engine
    return Donorbook(furnish(sqlite_book), "counter", "C1")


async def test_what_is_not_to_be_sold_shows_under_d_and_has_no_price_until_it_is_accepted(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "d")
        assert rows(app, "won't fit")
        assert "held for Ada until 10:02" in seen(app)
        assert "the socket is not there" in seen(app)
        await press(pilot, "s")
        assert "no price until this is accepted in writing" in flat(app)
        await press(pilot, "enter", "enter", "enter", "enter")
        assert "not accepted in writing" in flat(app)


async def test_sold_in_at_most_twelve_keys_with_tax_and_total_shown(book: Book, engine: Engine) -> None:
    """75.00 at 6.25 % is 4.6875 of tax, carried up to 4.69 (half a cent up, as N.D.C.C. 57-39.4-25 has it)."""
    del engine
    app = Donorbook(furnish(book), "counter", "C1")
    keys = ["enter", "s", "enter", "enter", "enter", "1"]
    assert len(keys) <= 12
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, "08 longwagon lca rh")
        await press(pilot, *keys[:-1])
        assert isinstance(app.screen, PaySheet)
        assert rows(app, "tax 6.25 %")[0].split()[-1] == "4.69"
        assert rows(app, "total")[0].split()[-1] == "79.69"
        await press(pilot, keys[-1])
        assert isinstance(app.screen, ReceiptSheet)
    sold = ticket(book, "1")
    assert (sold.state, sold.total_cents, sold.paid_how, sold.by) == (TicketState.PAID, 7969, "cash", "C1")
    assert sold.lines[0].grade == "bolts_up"
    assert part(book, TAGS[0]).standing is Standing.SOLD


async def test_two_fast_presses_of_pay_sell_once(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter")
        await pilot.press("1", "1")
        await settle(pilot)
        await settle(pilot)
    assert len(history(sqlite_book, action="sell")) == 1


async def test_a_payment_running_starts_no_second_one(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "escape")
        seat = app.screen
        assert isinstance(seat, Till)
        gate, paid = threading.Event(), []

        def pay() -> Paid:
            gate.wait(5)
            paid.append(1)
            return Paid(ticket(sqlite_book, "1"))

        assert seat.writes("pay", pay)
        assert not seat.writes("pay", pay)
        gate.set()
        await settle(pilot)
        assert paid == [1]


async def test_the_old_one_in_saves_the_core_and_a_discount_is_taken(app: Donorbook, sqlite_book: Book) -> None:
    """85.00 less 10 % is 76.50; 6.25 % of that is 4.78125; the core of 15.00 is not owed."""
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "2", "s")
        assert "old one in? 15" in seen(app)
        app.screen.query_one(Form).fill({"discount": "10", "old_one": "yes", "customer": "Ada [/x]"})
        await press(pilot, "enter", "enter", "enter", "enter")
        assert "Ada [/x]" in seen(app)
        assert rows(app, "discount")[0].split()[-1] == "-8.50"
        await press(pilot, "3")
    sold = ticket(sqlite_book, "1")
    assert (sold.total_cents, sold.core_cents, sold.tax_cents, sold.paid_how) == (8128, 0, 478, "check")
    assert sold.lines[0].said == "1.00 in longer"


async def test_a_core_that_is_not_in_is_on_the_ticket(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "2", "s", "enter", "enter", "enter", "enter")
        assert rows(app, "core")[0].split()[-1] == "15.00"
    assert open_tickets(sqlite_book)[0].core_cents == 1500


async def test_an_exempt_number_takes_the_tax_off_and_stands_on_the_ticket(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s")
        app.screen.query_one(Form).fill({"exempt": "EX-[1]"})
        await press(pilot, "enter", "enter", "enter")
        assert "tax, exempt EX-[1]" in seen(app)
    assert open_tickets(sqlite_book)[0].tax_cents == 0


async def test_a_discount_over_the_limit_waits_for_the_owners_badge(app: Donorbook, sqlite_book: Book) -> None:
    """Without a badge no ticket is made and what was typed is kept; a puller's badge is none."""
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s")
        app.screen.query_one(Form).fill({"discount": "25"})
        await press(pilot, "enter", "enter", "enter")
        assert "25 % is over the counter's 10 %" in flat(app)
        await press(pilot, "escape", "s")
        assert app.screen.query_one(Form).values()["discount"] == "25"
        assert part(sqlite_book, TAGS[0]).standing is Standing.FREE
        await press(pilot, "enter", "enter", "enter")
        await _badge(app, pilot, "P1")
        assert "owner's badge" in flat(app)
        await _badge(app, pilot, "ow")
        assert isinstance(app.screen, PaySheet)
        assert rows(app, "discount")[0].split()[-1] == "-18.75"
    assert history(sqlite_book, action="discount")


async def _badge(app: Donorbook, pilot: Any, code: str) -> None:
    app.screen.query_one(Form).fill({"badge": code})
    await press(pilot, "enter")
    await settle(pilot)


async def test_a_week_is_held_against_a_quarter_of_the_price_which_comes_off_the_ticket(
    app: Donorbook, sqlite_book: Book
) -> None:
    """25 % of 75.00 is 18.75; the ticket of 79.69 asks for 60.94 more."""
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "k")
        app.screen.query_one(Form).fill({"name": "Ada", "paid": "card"})
        await press(pilot, "enter", "enter", "enter", "enter")
        await settle(pilot)
        assert "18.75 deposit card" in flat(app)
    assert part(sqlite_book, TAGS[0]).standing is Standing.HELD
    with pytest.raises(NotForSale):
        start_ticket(sqlite_book, C1, Basket([Line(TAGS[0])], customer="Grace"))
    draft = start_ticket(sqlite_book, C1, Basket([Line(TAGS[0])], customer="ada"))
    assert (draft.tax_cents, draft.deposit_cents, draft.total_cents) == (469, 1875, 6094)
    drop_ticket(sqlite_book, C1, draft.number)
    assert part(sqlite_book, TAGS[0]).standing is Standing.HELD
    sold = sell(sqlite_book, C1, Basket([Line(TAGS[0])], customer="Ada"))
    assert sold.total_cents == 6094


async def test_a_choice_is_picked_anew_and_not_typed_on_to(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "k", "down", "down", "down", "2")
        assert app.screen.query_one(Form).values()["paid"] == "card"


async def test_a_held_part_is_let_go_by_a_key(app: Donorbook, sqlite_book: Book) -> None:
    hold(sqlite_book, C1, TAGS[0], "Ada", "555-0142")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "555 0142")
        assert f"held {TAGS[0]}" in flat(app)
        await press(pilot, "u", "y")
        await settle(pilot)
    assert part(sqlite_book, TAGS[0]).standing is Standing.FREE


async def test_two_lines_of_a_basket_are_one_ticket(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "b", "2", "b", "s", "enter", "enter", "enter", "enter", "1")
    assert [row.tag for row in ticket(sqlite_book, "1").lines] == [TAGS[0], TAGS[1]]


async def test_card_waits_for_the_slip_and_an_open_payment_is_found_under_o(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "2")
        assert open_tickets(sqlite_book)[0].state is TicketState.NOT_RECORDED
        await press(pilot, "escape")
        assert "payment not recorded" in seen(app)
        await press(pilot, "o")
        assert "payment not recorded" in flat(app)
        await press(pilot, "1", "A", "7", "enter")
    sold = ticket(sqlite_book, "1")
    assert (sold.paid_how, sold.slip, sold.state) == ("card", "A7", TicketState.PAID)


async def test_escape_at_the_pay_sheet_leaves_the_draft_open_and_x_gives_it_up(
    app: Donorbook, sqlite_book: Book
) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "escape")
        assert part(sqlite_book, TAGS[0]).standing is Standing.ON_TICKET
        await press(pilot, "o", "1", "x")
    assert part(sqlite_book, TAGS[0]).standing is Standing.FREE
    assert not open_tickets(sqlite_book)


async def test_a_receipt_can_be_saved_and_waits_under_o_until_printed(
    app: Donorbook, sqlite_book: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "1", "f")
        await settle(pilot)
        assert (tmp_path / "receipt-1.pdf").read_bytes().startswith(b"%PDF")
        await press(pilot, "o")
        assert "paid, no receipt yet" in seen(app)
    assert [row.number for row in unprinted_tickets(sqlite_book, "counter")] == [1]


async def test_hold_takes_a_name_and_shows_until_when(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "h")
        app.screen.query_one(Form).fill({"name": "[bumper]"})
        await press(pilot, "enter", "enter")
        assert f"{TAGS[0]} held for [bumper]" in seen(app)
    assert part(sqlite_book, TAGS[0]).standing is Standing.HELD


async def test_a_half_typed_hold_comes_back_after_escape(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "h", "A", "d", "a", "escape", "h")
        assert app.screen.query_one(Form).values()["name"] == "Ada"
        assert "restored, typed at 10:02" in seen(app)


async def test_a_paid_ticket_is_voided_with_a_reason(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "1", "enter", "v")
        app.screen.query_one(Form).fill({"ticket": "1", "reason": "wrong [side]"})
        await press(pilot, "enter", "enter")
        assert "wrong [side]" in seen(app)
        await press(pilot, "y")
    assert ticket(sqlite_book, "1").void_reason == "wrong [side]"
    assert part(sqlite_book, TAGS[0]).standing is Standing.FREE


async def test_a_part_sold_elsewhere_meanwhile_is_refused_with_who_has_it(app: Donorbook, sqlite_book: Book) -> None:
    from app.book.sales import Basket, Line, sell
    from app.book.work import Who

    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s")
        sell(sqlite_book, Who("OW", seat="counter 2"), Basket([Line(TAGS[0])]))
        await press(pilot, "enter", "enter", "enter")
        assert isinstance(app.screen, Notice)
        assert "was sold" in flat(app)
