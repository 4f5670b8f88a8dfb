"""The counter over the casebook: what must be accepted in writing, what law forbids, whom a part is kept for."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.book.behind import behind
from app.book.finding import part
from app.book.holds import hold, hold_longer
from app.book.quotes import open_sets, quote
from app.book.reverse import why
from app.book.schema import Standing
from app.book.sheets import load_folder
from app.book.tickets import ticket
from app.book.work import Book, Who
from app.screens.app import Donorbook
from app.screens.counter import CounterSeat
from app.screens.counter_sheets import ReceiptSheet, SellSheet
from app.screens.parts.form import Form
from app.screens.parts.rows import Rows
from app.screens.parts.sheets import Notice
from tests.screens.counter_desk import SIZE, ask
from tests.screens.hands import flat, press, settle
from tests.support.clock import Clock
from tests.support.yard import OWNER

CASEBOOK = Path(__file__).parents[1] / "casebook"
C1 = Who("C1", seat="counter")
MISSING = "short of rear air control, digital, rear air harness, digital"


@pytest.fixture
def yard(sqlite_book: Book) -> Book:
    load_folder(sqlite_book, OWNER, CASEBOOK)
    return sqlite_book


async def test_a_short_set_is_sold_only_with_the_customers_words(yard: Book) -> None:
    """The casebook's C23: the third answer wants a control and a harness that are not in stock."""
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "rear heater with knobs 08 longwagon light")
        await press(pilot, "3", "s")
        assert isinstance(app.screen, SellSheet)
        assert "no price until this is accepted in writing: S232 " + MISSING in flat(app)
        await press(pilot, "enter", "enter", "enter", "enter")
        assert "not accepted in writing" in flat(app)
        app.screen.query_one(Form).fill({"accepted": "has both, R. Ash"})
        await press(pilot, "enter", "enter", "enter", "enter", "1")
        assert isinstance(app.screen, ReceiptSheet)
    assert f"{MISSING}; accepted in writing: has both, R. Ash" in ticket(yard, "1").lines[0].said


async def test_a_short_set_is_quoted_only_with_the_customers_words(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "rear heater with knobs 08 longwagon light")
        await press(pilot, "3", "q")
        app.screen.query_one(Form).fill({"name": "R. Ash"})
        await press(pilot, "enter", "enter", "enter")
        assert "not accepted in writing" in flat(app)
        app.screen.query_one(Form).fill({"accepted": "has both"})
        await press(pilot, "enter")
        await settle(pilot)
    assert [row.accepted for row in open_sets(yard)] == [f"{MISSING}; accepted in writing: has both"]


async def test_what_has_a_price_asks_for_no_acceptance(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "lca rh 08 longwagon light")
        await press(pilot, "s")
        assert "accepted" not in app.screen.query_one(Form).values()
        assert "75 before tax" in flat(app)


async def test_the_sell_sheet_warns_of_the_set_it_spoils(yard: Book) -> None:
    """The casebook's C38: the lock alone spoils the computer and its theft module (R66)."""
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "S312")
        await press(pilot, "s")
        assert "S312 makes a set with S310 + S311 (R66)" in flat(app)


async def test_what_law_forbids_is_not_held_at_the_counter(yard: Book, clock: Clock) -> None:
    """The pack was tested more than 30 days ago; typed by its tag it is under the cursor all the same."""
    clock.forward(days=60)
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "S375")
        assert "must not be sold: yard law: last tested 2026-02-25" in flat(app)
        await press(pilot, "h")
        app.screen.query_one(Form).fill({"name": "R. Ash"})
        await press(pilot, "enter", "enter")
        await settle(pilot)
        assert "S375 must not be sold" in flat(app)
        assert "Have it tested" in flat(app)
    assert part(yard, "S375").standing is Standing.FREE


@pytest.mark.parametrize("size", [(80, 24), (40, 16)])
async def test_where_the_only_fit_is_held_the_counter_says_for_whom_and_until_when(
    yard: Book, size: tuple[int, int]
) -> None:
    hold(yard, C1, "S134", "B. Oak")
    app = Donorbook(yard, "counter")
    async with app.run_test(size=size) as pilot:
        await ask(pilot, "lca lh 09 longwagon heavy")
        said = flat(app)
        assert "nothing is free that answers this: S134 is held for B. Oak until 2026-03-05 10:02" in said
        assert "w writes a want" in said


async def test_the_sell_sheet_asks_for_what_a_rule_wants_on_the_ticket(yard: Book) -> None:
    """C59 of the casebook: both readings of a cluster are required on the ticket (R97)."""
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "gauge cluster 08 longwagon light")
        await press(pilot, "s")
        assert isinstance(app.screen, SellSheet)
        assert "goes on the ticket: mileage shown" in flat(app)
        assert "What does yours read? ours 118,400 mi; or: later" in flat(app)
        await press(pilot, "enter", "enter", "enter", "enter")
        assert "mileage shown is not written down" in flat(app)
        app.screen.query_one(Form).fill({"mileage shown": "161,200"})
        await press(pilot, "enter", "enter", "enter", "enter", "1")
        assert isinstance(app.screen, ReceiptSheet)
    assert ticket(yard, "1").lines[0].said.endswith("mileage shown: ours 118,400 mi, the customer's 161,200 mi")


async def test_what_the_customer_told_stands_in_the_sell_sheet_already(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "gauge cluster 08 longwagon light")
        assert isinstance(app.screen, CounterSeat)
        app.screen.state.facts["mileage shown"] = "161200"
        await press(pilot, "s")
        assert app.screen.query_one(Form).values()["mileage shown"] == "161200"


async def test_a_quote_that_is_sold_asks_for_it_too(yard: Book) -> None:
    answer = why(yard, "S395", "08 longwagon light")
    quote(yard, C1, ["S395"], "R. Ash", grade=str(answer.grade), behind=behind(answer))
    quote(yard, C1, ["S395", "S130"], "B. Oak")
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "gauge cluster 08 longwagon light")
        await press(pilot, "g", "s")
        assert "for B. Oak falls short without S395" in flat(app)
        app.screen.query_one(Form).fill({"mileage shown": "later"})
        await press(pilot, "enter", "enter", "enter")
        await settle(pilot)
    assert "the customer's not written down at the sale" in ticket(yard, "1").lines[0].said


async def test_what_wont_fit_is_sold_from_under_do_not_sell_once_it_is_accepted_in_writing(yard: Book) -> None:
    """Built before the plug changed: the oval hub won't fit (R27), which the customer takes on himself."""
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "left front hub 2007 tolliver light 4x4 built 2007-04")
        await press(pilot, "d")
        screen = app.screen
        assert isinstance(screen, CounterSeat)
        at = next(n for n, each in enumerate(screen.entries) if each.line is not None and each.line.tags == ("S191",))
        screen.query_one(Rows).highlighted = at
        await settle(pilot)
        assert "only if the customer accepts it in writing" in flat(app)
        await press(pilot, "s")
        assert "no price until this is accepted in writing: S191 won't fit" in flat(app)
        app.screen.query_one(Form).fill({"accepted": "for a trailer, R. Ash"})
        await press(pilot, "enter", "enter", "enter", "enter", "1")
        assert isinstance(app.screen, ReceiptSheet)
    assert "accepted in writing: for a trailer, R. Ash" in ticket(yard, "1").lines[0].said


@pytest.mark.parametrize("key", ["s", "q"])
async def test_nobody_is_asked_to_accept_what_law_forbids(yard: Book, clock: Clock, key: str) -> None:
    clock.forward(days=60)
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "driver airbag 08 longwagon light")
        await press(pilot, "d", key)
        assert isinstance(app.screen, Notice)
        assert "must not be sold: won't fit" in flat(app)
        assert "Offer another." in flat(app)


@pytest.mark.parametrize("words", ["S134", "555-0142"])
async def test_what_is_held_is_sold_to_whom_it_is_held_for_and_his_deposit_counts(yard: Book, words: str) -> None:
    made = hold_longer(yard, C1, "S134", "B. Oak", "555-0142", paid_how="cash")
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, words)
        assert "held S134 for B. Oak" in flat(app)
        await press(pilot, "s")
        assert app.screen.query_one(Form).values()["customer"] == "B. Oak"
        await press(pilot, "enter", "enter", "enter", "1")
        assert isinstance(app.screen, ReceiptSheet)
    sold = ticket(yard, "1")
    assert (sold.customer, [line.tag for line in sold.lines]) == ("B. Oak", ["S134"])
    assert sold.deposit_cents == made.deposit_cents > 0
    assert part(yard, "S134").standing is Standing.SOLD


async def test_a_held_tag_under_do_not_sell_is_sold_to_its_holder(yard: Book) -> None:
    hold(yard, C1, "S134", "B. Oak")
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "lca lh 09 longwagon heavy")
        await press(pilot, "d")
        screen = app.screen
        assert isinstance(screen, CounterSeat)
        screen.query_one(Rows).highlighted = next(n for n, each in enumerate(screen.entries) if each.kept is not None)
        await settle(pilot)
        assert "s sells it to him" in flat(app)
        await press(pilot, "s", "enter", "enter", "enter", "1")
        assert isinstance(app.screen, ReceiptSheet)
    assert ticket(yard, "1").customer == "B. Oak"
