"""The counter over the casebook: what must be accepted in writing, what law forbids, whom a part is kept for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.book.finding import part
from app.book.holds import hold
from app.book.quotes import open_sets
from app.book.schema import Standing
from app.book.sheets import load_folder
from app.book.tickets import ticket
from app.book.work import Book, Who
from app.screens.app import Donorbook
from app.screens.counter_sheets import ReceiptSheet, SellSheet
from app.screens.parts.form import Form
from tests.screens.counter_desk import SIZE, ask
from tests.screens.hands import flat, press, settle
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

CASEBOOK = Path(__file__).parents[1] / "casebook"
C1 = Who("C1", seat="counter")
MISSING = "short of rear air control, digital, rear air harness, digital"


@pytest.fixture
def yard(sqlite_template: Path, tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, CASEBOOK)
        yield book


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
        for _ in range(3):
            # The sheet is there at once; what it spoils comes when it was looked up.
            await settle(pilot)
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
