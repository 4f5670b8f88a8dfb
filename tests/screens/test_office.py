"""The office at its screen: two days in figures, trucks, the history by filter, people, places, settings."""

from __future__ import annotations

import pytest

from app.book.office import settings
from app.book.people import people
from app.book.places import places
from app.book.work import Book
from tests.screens.desk_pilot import at, fill, press, seen
from tests.screens.desk_yard import INTAKE, MONDAY, furnish, take_in_v1, weigh_in_v1
from tests.support.clock import Clock


@pytest.fixture
def yard(sqlite_book: Book, clock: Clock) -> Book:
    """A vehicle of Monday, looked at on Tuesday."""
    clock.now = MONDAY
    furnish(sqlite_book)
    take_in_v1(sqlite_book)
    weigh_in_v1(sqlite_book, "D1")
    clock.forward(days=1)
    return sqlite_book


async def test_the_first_screen_sets_yesterday_beside_today_and_lists_the_trucks(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        words = seen(pilot)
        (arrival,) = [line for line in words.splitlines() if line.startswith("weighed, arrival")]
        assert arrival.split("  ")[0] == "weighed, arrival"
        assert "1, 5,620 lb" in arrival
        assert "0, 0 lb" in arrival
        (landed,) = [line for line in words.splitlines() if line.startswith("vehicles in")]
        assert "1, 1,555.00" in landed
        assert "-1,555.00" in words, "the truck is in the red by its cost"
        await press(pilot, "enter")
        assert "D1  2008 Dunmarsh Longwagon light" in seen(pilot)


async def test_the_tickets_beneath_a_day_are_one_key_away(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "d")
        assert "2026-03-03" in seen(pilot)
        await press(pilot, "left")
        assert "2026-03-02" in seen(pilot)
        await press(pilot, "escape")
        assert "trucks" in seen(pilot)


async def test_the_history_is_narrowed_by_who_what_and_when(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "y")
        assert "sign on" in seen(pilot)
        await press(pilot, "f2")
        await fill(pilot, "in1", "weigh", "d1", "2026-03-02", "2026-03-02")
        words = seen(pilot)
        assert "1 of 1: by IN1, with “weigh”, about D1, from 2026-03-02, up to 2026-03-02" in words
        await press(pilot, "enter", "enter")
        await press(pilot, "enter")
        assert "IN1 at intake, done" in seen(pilot)
        await press(pilot, "enter", "f4")
        assert "by anybody" in seen(pilot)


async def test_a_day_that_is_none_is_said_and_the_list_stays(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "y", "f2")
        await fill(pilot, "", "", "", "yesterday")
        assert "'yesterday' is no day" in seen(pilot)


async def test_the_owner_signs_a_person_on(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "p", "n")
        await fill(pilot, "p1", "first puller", "puller")
        await press(pilot, "enter")
        assert "P1 first puller is puller here" in seen(pilot)
    assert "P1" in [row.code for row in people(yard)]


async def test_a_place_is_added_and_its_sign_is_sent_or_saved(yard: Book) -> None:
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "l", "n")
        await fill(pilot, "A1-2", "she", "", "60", "")
        await press(pilot, "enter")
        assert "place A1-2, shelf" in seen(pilot)
        await press(pilot, "p")
        assert "sent to the printer" in seen(pilot) or "saved, no printer took it" in seen(pilot)
    assert [(row.code, row.limits) for row in places(yard)] == [("A1-2", "60 lb a piece")]


async def test_a_setting_is_changed_by_the_owner_and_by_nobody_else(yard: Book) -> None:
    async with at(yard, "office", INTAKE.code) as pilot:
        await press(pilot, "g", "down", "down", "down", "enter")
        await fill(pilot, "7")
        await press(pilot, "enter")
        assert "IN1 may not do this" in seen(pilot)
    async with at(yard, "office", "OW") as pilot:
        await press(pilot, "g", "down", "down", "down", "enter")
        await fill(pilot, "7.00")
        await press(pilot, "enter")
        assert "tax percent is now 7.00" in seen(pilot)
        assert "changed" in seen(pilot)
    assert next(row.value for row in settings(yard) if row.name == "tax_percent") == "7.00"
