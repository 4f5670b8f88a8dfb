"""The first day at the intake desk from 08:10 to 13:30, typed at the screen, with the figures it must close with."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from decimal import Decimal

import pytest
from textual.pilot import Pilot

from app.book.donors import donor_page, donors
from app.book.drafts import drafts
from app.book.history import history
from app.book.reports import day_sheet
from app.book.schema import FrameState, Outcome, TicketKind
from app.book.work import Book
from tests.screens.desk_pilot import at, fill, press, seen
from tests.screens.desk_yard import INTAKE, MONDAY, REFUSED, V1, V1_AS_TYPED, V2, V2_DASH, V3, furnish
from tests.support.clock import Clock


@pytest.fixture
def yard(sqlite_book: Book, clock: Clock) -> Book:
    """The small yard on Monday, 08:10."""
    clock.now = MONDAY
    return furnish(sqlite_book)


def at_time(clock: Clock, wall: str) -> None:
    """Set the yard's clock to a time of Monday."""
    hour, minute = wall.split(":")
    clock.now = datetime(2026, 3, 2, int(hour), int(minute)).astimezone()


async def read(pilot: Pilot[None], *vins: str) -> None:
    """Type what each plate reads."""
    for vin in vins:
        await fill(pilot, vin)
        await press(pilot, "enter")


async def weigh(pilot: Pilot[None], gross: str, tare: str) -> None:
    """Weigh the vehicle in that was just taken in, and leave it on its page."""
    await fill(pilot, gross, tare)
    await press(pilot, "f2", "y", "escape")


async def survey(pilot: Pilot[None], look: tuple[str, str, str], one: str, other: str) -> None:
    """Survey the frame on the donor's page."""
    await press(pilot, "f")
    await fill(pilot, *look)
    await press(pilot, "pagedown", "pagedown")
    await fill(pilot, "", "", one, other)
    await press(pilot, "f2")


async def first_vehicle(pilot: Pilot[None], clock: Clock) -> None:
    """08:10 to 08:35: V1."""
    await press(pilot, "n")
    await read(pilot, V1_AS_TYPED)
    assert "works out 7" in seen(pilot)
    await press(pilot, "f5", "1", "enter", "y")
    await read(pilot, V1)
    await fill(pilot, "longwagon light", "2008", "2007-11")
    await press(pilot, "pagedown", "pagedown")
    await fill(pilot, "salvage", "auction")
    await press(pilot, "pagedown")
    await fill(pilot, "1,150.00", "285.00", "120.00")
    await press(pilot, "f2", "y")
    at_time(clock, "08:20")
    await weigh(pilot, "25,480", "19,860")
    at_time(clock, "08:35")
    await survey(pilot, ("1", "1", "2"), "118 7/16", "118 1/2")
    assert "frame straight" in seen(pilot)
    assert "agrees with the plate" in seen(pilot)
    await press(pilot, "enter", "t")
    assert "fuel not drained" in seen(pilot)
    await press(pilot, "enter", "escape")


async def second_vehicle(pilot: Pilot[None], clock: Clock) -> None:
    """10:40 to 11:05: V2, read three times, bent."""
    at_time(clock, "10:40")
    await press(pilot, "n")
    await read(pilot, V2_DASH, V2)
    assert "MISMATCH: position 4" in seen(pilot)
    await read(pilot, V2)
    await fill(pilot, "longwagon heavy")
    await press(pilot, "pagedown", "pagedown")
    await fill(pilot, "clean", "walk-in", "A. Walker", "A. Walker", "1", "WA-11", "2027-05-31")
    await press(pilot, "pagedown")
    await fill(pilot, "900", "", "", "check")
    await press(pilot, "f2", "y")
    assert "held until Thu 5 Mar 10:40" in seen(pilot)
    await weigh(pilot, "24,900", "18,420")
    at_time(clock, "11:05")
    await survey(pilot, ("2", "2", "1"), "118 3/4", "119 1/4")
    assert "0.375, over 0.25: bent" in seen(pilot)
    assert "frame scrap only" in seen(pilot)
    await press(pilot, "enter", "escape")


async def refused_vehicle(pilot: Pilot[None], clock: Clock) -> None:
    """11:30: turned away."""
    at_time(clock, "11:30")
    await press(pilot, "n")
    await read(pilot, REFUSED, REFUSED)
    await press(pilot, "pagedown", "pagedown")
    await fill(pilot, "1", "walk-in", "B. Offer", "C. Owner", "1", "BO-22", "2025-12-31")
    await press(pilot, "f2", "y", "f9", "f2")
    assert "1 turned away" in seen(pilot)


async def third_vehicle(pilot: Pilot[None], clock: Clock) -> None:
    """13:05 to 13:15: V3, two digits turned round, gross and tare turned round."""
    at_time(clock, "13:05")
    await press(pilot, "n")
    await read(pilot, "0KGTC22B28K047613")
    assert V3 in seen(pilot)
    await read(pilot, V3, V3)
    await fill(pilot, "tansy")
    await press(pilot, "pagedown", "pagedown")
    await fill(pilot, "lien", "tow yard")
    await press(pilot, "pagedown")
    await fill(pilot, "225")
    await press(pilot, "f2", "y")
    at_time(clock, "13:15")
    await fill(pilot, "18,420", "21,180")
    await press(pilot, "f2", "f4", "y", "escape", "escape")


async def test_the_first_day_typed_at_the_desk_closes_with_its_figures(yard: Book, clock: Clock) -> None:
    async with at(yard, "intake", "IN1") as pilot:
        await first_vehicle(pilot, clock)
        await second_vehicle(pilot, clock)
        await refused_vehicle(pilot, clock)
        await third_vehicle(pilot, clock)
        at_time(clock, "13:30")
        await press(pilot, "n")
        await read(pilot, V1)
        assert "Open D1?" in seen(pilot)
        await press(pilot, "y", "escape")
        assert "today: 3 in, 1 turned away" in seen(pilot)
    sheet = day_sheet(yard, MONDAY.date())
    arrivals = next(each for each in sheet.weighed if each.kind is TicketKind.ARRIVAL)
    assert (sheet.vehicles, sheet.turned_away, sheet.landed_cents) == (3, 1, 268_000)
    assert (arrivals.tickets, arrivals.net_lb) == (3, Decimal(5620 + 6480 + 2760))
    assert [row.stock_number for row in donors(yard)] == ["D3", "D2", "D1"], "no number used up by the refusal"
    assert [donor_page(yard, name).row.frame_state for name in ("D1", "D2", "D3")] == [
        FrameState.STRAIGHT,
        FrameState.SCRAP_ONLY,
        FrameState.UNMEASURED,
    ]
    refused = Counter(row.action for row in history(yard) if row.outcome is Outcome.REFUSED)
    assert refused == {
        "vin": 2,
        "vin mismatch": 1,
        "weight swapped": 1,
        "duplicate vin": 1,
        "purchase": 1,
        "torch": 1,
    }
    assert drafts(yard, INTAKE) == ()
