"""Quotes and held sets at the screen: a set that lost a piece stands first and says which. Invented data."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from app.book.asking import ask
from app.book.holds import hold_set, release_hold
from app.book.people import sign_on
from app.book.quotes import open_sets, quote
from app.book.sales import Basket, Line, sell
from app.book.schema import Role
from app.book.sheets import load_folder
from app.book.wanting import write_want
from app.book.work import Book, Who
from tests.screens.desk_pilot import at, fill, press, seen, settle

YARD = Path(__file__).parents[1] / "casebook"
OWNER = Who("OW", Role.OWNER, "office")
NOSE = ("S385", "S386", "S387", "S388", "S389", "S390")


@pytest.fixture
def yard(sqlite_book: Book) -> Book:
    sign_on(sqlite_book, OWNER, "OW", "owner", Role.OWNER)
    load_folder(sqlite_book, OWNER, YARD)
    quote(sqlite_book, OWNER, NOSE, "R. Ash", "555-0142")
    return sqlite_book


async def test_a_quote_that_lost_a_piece_says_so_the_next_time_it_is_seen(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "s")
        assert "725.00" in seen(pilot)
        assert "S386 was sold" not in seen(pilot)
        sell(yard, OWNER, Basket([Line("S386")]))
        await press(pilot, "escape", "s")
        words = seen(pilot)
        assert words.index("short of a piece") < words.index("S386 was sold on ticket 1") < words.index("whole")
        await press(pilot, "enter")
        assert "set_short" in seen(pilot)


async def test_a_held_set_that_lost_a_piece_stands_beside_it(yard: Book) -> None:
    hold_set(yard, OWNER, ("S243", "S244"), "B. Oak")
    release_hold(yard, OWNER, "S244", "cracked")
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "s")
        assert "the hold of S244 ended: cracked" in seen(pilot)
        await press(pilot, "s")
        assert "Sell quote" not in seen(pilot), "a hold is sold at the counter"


async def test_a_whole_quote_is_sold_by_two_keys(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "s", "s")
        await fill(pilot, "cash", "")
        await press(pilot, "enter")
        assert "quote 1 sold on ticket 1" in seen(pilot)
    assert open_sets(yard) == ()


async def test_a_quote_is_closed_with_a_reason(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "s", "x")
        await fill(pilot, "found one nearer")
        await press(pilot, "enter")
        assert "is closed: found one nearer" in seen(pilot)
    assert open_sets(yard) == ()


async def test_the_counter_quotes_the_whole_set_under_the_cursor_and_finds_it_again(yard: Book) -> None:
    async with at(yard, "counter", "OW") as pilot:
        pilot.app.screen.query_one("#ask", Input).value = "2009 longwagon light grille"
        await settle(pilot)
        await press(pilot, "enter")
        assert "725" in seen(pilot)
        await press(pilot, "q")
        await fill(pilot, "B. Oak", "")
        await press(pilot, "enter")
        assert "for B. Oak: " in seen(pilot)
        await press(pilot, "g")
        words = seen(pilot)
        assert "quote 1    R. Ash" in words
        assert "quote 2    B. Oak" in words
    assert {row.name for row in open_sets(yard)} == {"R. Ash", "B. Oak"}


async def test_a_want_that_something_answers_stands_there_with_whom_to_call(yard: Book) -> None:
    for words in ("lca lh 2009 longwagon heavy", "lca lh 2009 longwagon heavy under 20"):
        write_want(yard, OWNER, ask(yard, OWNER, words, keep=False), "B. Oak", "555-0199")
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "s")
        await settle(pilot)
        words = seen(pilot)
        waiting = words[words.index("wanted, and here now") :]
        assert "S134 lca lh 2009 longwagon heavy" in " ".join(waiting.split())
        assert "under 20" not in words
