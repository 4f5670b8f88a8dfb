"""The bench at its screen: a frame's measures and mounts, and a new survey."""

from __future__ import annotations

import pytest

from app.book.frames import CAUTION, Measure, Survey, survey_frame
from app.book.work import Book
from app.fit.terms import FrontSuspension, RearSuspension, Section
from tests.screens.desk_pilot import at, fill, press, seen
from tests.screens.desk_yard import INTAKE, MONDAY, furnish, take_in_v1
from tests.support.clock import Clock


@pytest.fixture
def yard(sqlite_book: Book, clock: Clock) -> Book:
    """The small yard on Monday with its first vehicle."""
    clock.now = MONDAY
    furnish(sqlite_book)
    take_in_v1(sqlite_book)
    return sqlite_book


def survey(book: Book) -> None:
    """A bent frame: 118 7/16 and 118 15/16 by hook tape."""
    pair = (Measure("118 7/16"), Measure("118 15/16"))
    look = (Section.BOXED, FrontSuspension.COIL_OVER, RearSuspension.FIVE_LINK_COIL)
    survey_frame(book, INTAKE, Survey("D1", *look, diagonals={"middle": pair}, datum="cowl mount"))


async def test_a_surveyed_frame_shows_its_lengths_with_tool_and_doubt_and_its_arithmetic(yard: Book) -> None:
    # d = 0.50, U = 0.125, 0.375 > 0.25: bent (job map, section 6).
    survey(yard)
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "enter")
        words = seen(pilot)
        assert "= 0.375, over 0.25: bent" in words
        (row,) = [line for line in words.splitlines() if line.startswith("diagonal middle 1")]
        assert row.split() == [
            "diagonal",
            "middle",
            "1",
            "118",
            "7/16",
            "118.44",
            "in",
            "±",
            "0.06",
            "in",
            "hook",
            "tape",
        ]
        assert "datum cowl mount" in words
        assert CAUTION in words


async def test_a_design_shows_its_mounts_as_a_table(yard: Book) -> None:
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "end", "enter")
        words = seen(pilot)
        (row,) = [line for line in words.splitlines() if line.startswith("M2")]
        assert row.split()[:7] == ["M2", "32.00", "in", "19.00", "in", "4.00", "in"]
        assert "Dunmarsh Longwagon light 2007-2013" in words


async def test_a_vehicle_is_surveyed_from_the_bench(yard: Book) -> None:
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "f")
        await fill(pilot, "d1")
        await press(pilot, "enter")
        await fill(pilot, "1", "1", "2")
        await press(pilot, "f2")
        assert "looked at, no diagonals" in seen(pilot)
        await press(pilot, "enter")
        assert "D1" in seen(pilot).split("frame designs")[0]


async def test_a_frame_design_is_found_by_its_name(yard: Book) -> None:
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "slash")
        await fill(pilot, "lw-light")
        await press(pilot, "enter")
        assert "Longwagon light frame" in seen(pilot)
        assert "mount" in seen(pilot)


async def test_a_survey_file_that_is_not_there_is_said_where_it_is_typed(yard: Book) -> None:
    async with at(yard, "bench", "OW") as pilot:
        await press(pilot, "l")
        await fill(pilot, "/tmp/none/at all.csv")
        await press(pilot, "enter")
        assert "there is no '/tmp/none/at all.csv'" in seen(pilot)
        assert "survey files" not in seen(pilot)
