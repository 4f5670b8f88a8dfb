"""The basket at the counter: held, quoted and sold as one, one alone by a key, and kept through a power cut."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

from app.book.finding import part
from app.book.holds import hold
from app.book.quotes import open_sets, quote_tags, sell_quote
from app.book.schema import Standing
from app.book.sheets import load_folder
from app.book.work import Book
from app.screens import counter_ask
from app.screens.app import Donorbook
from app.screens.counter import CounterSeat
from app.screens.parts.form import Form
from app.screens.parts.scans import PACE
from tests.screens.counter_desk import SIZE, Engine, ask
from tests.screens.hands import flat, furnish, press, say, seen, settle
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

YARD = Path(__file__).parents[1] / "casebook"
ARMS = "08 half-ton longwagon lca rh"
TANK = "big tank 08 half-ton longwagon"


@pytest.fixture
def yard(sqlite_template: Path, tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, YARD)
        yield book


async def _two_in_the_basket(pilot: Any) -> None:
    """A right arm and a tank of another grade, from two asks of one customer."""
    await settle(pilot)
    await say(pilot, ARMS)
    await press(pilot, "enter", "b", "slash")
    await say(pilot, TANK)
    await press(pilot, "enter", "b")


async def _filled(pilot: Any, **values: str) -> None:
    pilot.app.screen.query_one(Form).fill(values)
    await press(pilot, "enter", "enter")
    await settle(pilot)


@pytest.mark.parametrize("size", [SIZE, (40, 16)])
async def test_a_hold_is_of_all_in_the_basket_and_the_screen_says_so(yard: Book, size: tuple[int, int]) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=size) as pilot:
        await _two_in_the_basket(pilot)
        assert "basket of 2" in flat(app)
        await press(pilot, "h")
        assert "Hold the basket of 2: S130 + S170" in flat(app)
        await _filled(pilot, name="Ada")
        assert [part(yard, tag).standing for tag in ("S130", "S170")] == [Standing.HELD] * 2
        assert "basket of" not in flat(app)


async def test_one_key_holds_this_one_alone_and_gives_the_keys_back_to_the_basket(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await _two_in_the_basket(pilot)
        await press(pilot, "t")
        assert "act on this one alone" in flat(app)
        await press(pilot, "h")
        assert "Hold S170" in flat(app)
        await press(pilot, "escape", "t", "h")
        assert "Hold the basket of 2" in flat(app)


async def test_a_quote_is_of_the_basket_each_tag_with_what_was_said_of_it(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await _two_in_the_basket(pilot)
        await press(pilot, "q")
        await _filled(pilot, name="R. Ash")
    quoted = open_sets(yard)[0]
    assert quote_tags(yard, quoted.number) == ("S130", "S170")
    assert quoted.price_cents == part(yard, "S130").price_cents + part(yard, "S170").price_cents
    sold = sell_quote(yard, OWNER, quoted.number, written={"welder": "a shop"})
    assert [line.grade for line in sold.lines] == ["bolts_up", "needs_work"]


async def _answered_late(pilot: Any, engine: Engine) -> None:
    """Let the answer come that keys were pressed before."""
    await pilot.pause(0.2)
    assert not pilot.app.screen.query(Form), "no key acts yet"
    engine.gate.set()
    await settle(pilot)
    # A key that could begin a tag waits to be told from a scan.
    await pilot.pause(PACE * 2)
    await settle(pilot)


async def test_a_key_before_the_first_answer_acts_when_it_is_there(
    sqlite_book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = Engine()
    monkeypatch.setattr(counter_ask, "ask", engine)
    app = Donorbook(furnish(sqlite_book), "counter", "C1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        engine.gate.clear()
        await pilot.press(*"slow", "enter", "h")
        await _answered_late(pilot, engine)
        assert "Hold " in flat(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, CounterSeat)
        assert app.screen.state.words == "slow"


async def test_a_key_does_not_act_on_the_answer_to_older_words(
    sqlite_book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = Engine()
    monkeypatch.setattr(counter_ask, "ask", engine)
    app = Donorbook(furnish(sqlite_book), "counter", "C1")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "lca")
        await press(pilot, "slash")
        engine.gate.clear()
        app.screen.query_one("#ask").value = "slow nothing of that"  # type: ignore[attr-defined]
        await pilot.pause(0.1)
        await pilot.press("enter", "h")
        await _answered_late(pilot, engine)
        assert "Hold " not in flat(app)


async def test_the_basket_outlives_the_program_and_says_what_is_gone(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await _two_in_the_basket(pilot)
        await press(pilot, "slash")
        await say(pilot, "hood")
    again = Donorbook(yard, "counter")
    async with again.run_test(size=SIZE) as pilot:
        await settle(pilot)
        assert isinstance(again.screen, CounterSeat)
        assert [str(line.grade) for line in again.screen.state.basket] == ["bolts_up", "needs_work"]
    hold(yard, OWNER, "S130", "Ada")
    third = Donorbook(yard, "counter")
    async with third.run_test(size=SIZE) as pilot:
        await settle(pilot)
        assert isinstance(third.screen, CounterSeat)
        assert [line.tags for line in third.screen.state.basket] == [("S170",)]
        assert "not in the basket any more, for it is not free: S130" in seen(third)
        assert "counter · OW · 1 in the basket" in seen(third)


async def test_words_that_come_back_are_typed_on_at_their_end(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, "alternator 08")
    again = Donorbook(yard, "counter")
    async with again.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await press(pilot, "space", "l", "w")
        assert again.screen.query_one("#ask", Input).value == "alternator 08 lw"
        await press(pilot, "tab")
        await say(pilot, "hood")
        await press(pilot, "tab", "9")
        assert again.screen.query_one("#ask", Input).value == "alternator 08 lw9"


async def test_a_hold_of_another_part_than_the_one_under_the_cursor_says_which(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, ARMS)
        await press(pilot, "enter", "b", "slash")
        await say(pilot, TANK)
        await press(pilot, "enter", "h")
        assert "Hold S130 front lower control arm RH" in flat(app)
        await press(pilot, "escape", "s")
        assert "S130 front lower control arm RH, 75 before tax" in flat(app)


async def test_a_hold_says_how_it_is_let_go_and_f_asks_about_the_held_tag(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, ARMS)
        await press(pilot, "enter", "h")
        await _filled(pilot, name="Ada")
        assert "d, then u on it, lets it go" in flat(app)
        await press(pilot, "d", "f")
        assert app.screen.query_one(Form).values() == {"tag": "S130"}
        await press(pilot, "escape", "u", "y")
        await settle(pilot)
        assert part(yard, "S130").standing is Standing.FREE


async def test_words_after_the_new_key_pressed_twice_are_words_and_no_keys(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, ARMS)
        await press(pilot, "enter", "f9", "f9")
        assert "last the one before is back" in flat(app)
        await press(pilot, "space", "h", "o")
        assert app.screen.query_one("#ask", Input).value == f"{ARMS} ho"
        await press(pilot, "f9")
        assert app.screen.query_one("#ask", Input).value == ""
