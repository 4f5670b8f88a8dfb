"""The floor at forty by sixteen: a part is looked at again, and whoever waits for one is named. Invented data."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.finding import part
from app.book.harvest import Harvest, harvest
from app.book.schema import Standing
from app.book.sheets import load_folder
from app.book.wanting import write_want
from app.book.work import Book, Who
from app.fit.terms import Condition
from app.screens.app import Donorbook
from app.screens.parts.form import Form
from app.screens.parts.sheets import FormSheet
from tests.screens.hands import flat, press, scan, seen, settle
from tests.support.yard import OWNER

CASEBOOK = Path(__file__).parents[1] / "casebook"
SIZE = (40, 16)
P1 = Who("P1", seat="floor")


@pytest.fixture
def yard(sqlite_book: Book) -> Book:
    """The casebook's yard on its day, 2026-03-04."""
    load_folder(sqlite_book, OWNER, CASEBOOK)
    return sqlite_book


async def test_one_key_and_a_digit_write_a_new_test_date(yard: Book) -> None:
    app = Donorbook(yard, "floor")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, "S375")
        await press(pilot, "c")
        assert isinstance(app.screen, FormSheet)
        assert "or 1 for today" in flat(app)
        assert app.screen.query_one(Form).values()["tested on"] == "2026-02-25"
        await press(pilot, "1", *["enter"] * len(app.screen.query_one(Form).blanks))
        await settle(pilot)
        assert "S375 checked, it is free" in flat(app)
    assert dict(part(yard, "S375").facts)["tested on"] == "2026-03-04"


async def test_what_is_not_new_is_not_written(yard: Book) -> None:
    app = Donorbook(yard, "floor")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, "S375")
        await press(pilot, "c")
        await press(pilot, *["enter"] * len(app.screen.query_one(Form).blanks))
        assert "nothing is new" in flat(app)


async def test_a_recall_looked_up_frees_the_airbag_on_the_screen(yard: Book) -> None:
    tag = harvest(yard, P1, Harvest("D13", "driver airbag module")).tag
    app = Donorbook(yard, "floor")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, tag)
        assert "no recall check on this vehicle" in flat(app)
        await press(pilot, "c")
        app.screen.query_one(Form).fill({"recall checked": "today", "open recall": "no"})
        await press(pilot, *["enter"] * len(app.screen.query_one(Form).blanks))
        await settle(pilot)
        assert "no recall check" not in flat(app)
    assert part(yard, tag).standing is Standing.FREE


async def test_whoever_waits_for_a_part_is_named_when_it_is_tagged(yard: Book) -> None:
    found = ask(yard, OWNER, "gas tank 08 tolliver light", keep=False)
    write_want(yard, OWNER, found, "R. Ash", "555-0142")
    tank = Harvest("D03", "fuel tank, left side", condition=Condition.A, price_cents=12_000)
    made, other = harvest(yard, P1, tank), harvest(yard, P1, Harvest("D03", "hood", price_cents=9_000))
    app = Donorbook(yard, "floor")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, made.tag)
        assert "call R. Ash 555-0142: want 1, gas tank" in flat(app)
        assert "goes to" in seen(app)
        await scan(pilot, other.tag)
        assert "call" not in seen(app)
