"""One tag at the counter: why not this one, what it fits, who has it; and a phone that rings in the middle."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from app.book.holds import hold
from app.book.sheets import load_folder
from app.book.work import Book
from app.screens.app import Donorbook
from app.screens.counter import CounterSeat
from app.screens.counter_sheets import PaySheet
from app.screens.counter_told import of_fits
from app.screens.parts.form import Form
from app.screens.parts.sheets import FormSheet, Notice
from tests.screens.counter_desk import SIZE, ask, rows
from tests.screens.hands import flat, press, say, seen, settle
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

YARD = Path(__file__).parents[1] / "casebook"
GEAR = "steering box 08 longwagon light plain"


@pytest.fixture
def yard(sqlite_template: Path, tmp_path: Path, clock: Clock) -> Any:
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, YARD)
        yield book


async def why(pilot: Any, app: Donorbook, tag: str) -> None:
    await press(pilot, "n")
    app.screen.query_one(Form).fill({"tag": tag})
    await press(pilot, "enter")
    await settle(pilot)


async def test_where_all_must_be_measured_each_row_says_what_it_is(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "steering box 08 longwagon light")
        found = rows(app, "measure first")
        assert [("variable" in row, "plain" in row) for row in found[:3]] == [
            (True, False),
            (False, True),
            (False, True),
        ]
        assert sum("two-wire plug" in row for row in seen(app).splitlines()) == 1


async def test_a_held_tag_says_who_has_it_and_what_it_would_come_to(yard: Book) -> None:
    hold(yard, OWNER, "S102", "Bo Wren")
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, GEAR)
        await why(pilot, app, "s102")
        said = flat(app)
        assert "is S102 steering gear, A1-1" in said
        assert "now held for Bo Wren until" in said
        assert "fit bolts up" in said


async def test_another_kind_of_part_says_so_and_still_what_it_comes_to(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, GEAR)
        await why(pilot, app, "S130")
        assert "It is not what was asked for." in seen(app)
        assert "fit bolts up" in flat(app)


async def test_the_vehicle_that_was_answered_counts_when_a_tag_is_looked_at(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "left hub 07 tolliver 4x4")
        assert "H heavy Tolliver l light Tolliver" in flat(app)
        await press(pilot, "l")
        await settle(pilot)
        await why(pilot, app, "S310")
        stated = app.screen_stack[-2]
        assert isinstance(stated, CounterSeat)
        assert stated.state.stated().vehicle == "left hub 07 tolliver 4x4 light Tolliver"


async def test_a_mistyped_tag_is_put_right_where_it_was_typed(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, GEAR)
        await why(pilot, app, "S999")
        assert isinstance(app.screen, FormSheet)
        assert "'S999' is not ours" in seen(app)
        app.screen.query_one(Form).fill({"tag": "S104"})
        await press(pilot, "enter")
        await settle(pilot)
        assert "mounting bolts differ by 1: 3 against 4" in flat(app)


@pytest.mark.parametrize("width", [80, 40])
async def test_what_a_tag_fits_is_read_to_the_end_of_every_reason(yard: Book, width: int) -> None:
    from app.book.reverse import fits

    said = of_fits(fits(yard, "S104"), width).plain
    assert "…" not in said
    assert max(map(len, said.splitlines())) <= width
    assert " ".join(said.split()).count("input splines differ by 4: 26 against 30") == 7


async def test_a_fit_of_a_typed_tag_opens_with_its_reason(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "S104")
        await press(pilot, "9", "enter")
        await settle(pilot)
        assert isinstance(app.screen, Notice)
        assert "S104 on 2007-2013 light Longwagon" in flat(app)
        assert "3 bolts against 4, spline differs" in flat(app)


@pytest.mark.parametrize("name", ["Bo", "bo wren"])
async def test_somebody_is_found_by_his_name_alone(yard: Book, name: str) -> None:
    hold(yard, OWNER, "S102", name.title(), "555-0134")
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, name)
        assert "held S102" in seen(app)
        assert "Enter first; then Enter opens it" in flat(app)
        await press(pilot, "enter", "enter")
        await settle(pilot)
        assert isinstance(app.screen, Notice)
        assert "now S102 is held for" in flat(app)
        assert "not what was asked" not in seen(app)


async def test_a_word_of_the_yard_is_no_name(yard: Book) -> None:
    hold(yard, OWNER, "S102", "Longwagon")
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, "longwagon")
        assert "held S102" not in seen(app)


async def test_the_phone_rings_over_a_half_filled_hold(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, GEAR)
        await press(pilot, "h")
        assert "F2 other customer" in seen(app)
        app.screen.query_one(Form).fill({"name": "Ada"})
        await press(pilot, "f2")
        assert isinstance(app.screen, CounterSeat)
        await say(pilot, "left hub 07 tolliver light 4x4")
        assert "S190" in seen(app)
        await press(pilot, "tab", "h")
        await settle(pilot)
        assert app.screen.query_one(Form).values()["name"] == "Ada"


async def test_two_frames_against_each_other_are_shown_the_way_to_the_bench(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "which mounts line up between the half-ton and the three-quarter?")
        assert "F10, then 6: the bench" in flat(app)


async def test_every_key_that_acts_on_an_answer_stands_at_the_foot(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, GEAR)
        keys = " ".join(" ".join(seen(app).splitlines()[-2:]).split())
        for each in ("s sell", "h hold", "w want", "n why not", "f fits", "d don't sell", "F9 new", "F1 help"):
            assert each in keys


async def test_a_basket_that_was_cleared_by_a_slip_is_back_with_the_same_key(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "lca rh 08 light longwagon")
        await press(pilot, "b", "f9")
        assert "cleared with 1 in the basket: F9 on the empty line brings it back" in seen(app)
        assert "1 in the basket ·" not in seen(app)
        await press(pilot, "f9")
        await settle(pilot)
        assert "counter · OW · 1 in the basket" in seen(app)
        assert "S130" in seen(app)
        assert "brings it back" not in seen(app)
        await press(pilot, "f9")
        await say(pilot, "left hub 07 tolliver light 4x4")
        await press(pilot, "f9")
        assert "S190" not in seen(app)


async def test_a_ticket_that_waits_for_its_money_is_told_when_the_phone_rings(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "lca rh 08 light longwagon")
        await press(pilot, "s", *["enter"] * 4)
        await settle(pilot)
        assert isinstance(app.screen, PaySheet)
        await press(pilot, "f2")
        await settle(pilot)
        assert isinstance(app.screen, CounterSeat)
        assert app.screen.at == 1
        assert "ticket 1 is left open under o" in seen(app)


async def test_the_phone_rings_over_two_sheets(yard: Book) -> None:
    app = Donorbook(yard, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "lca rh 08 light longwagon")
        await press(pilot, "x", "1", "f2")
        await settle(pilot)
        assert isinstance(app.screen, CounterSeat)
        assert app.screen.at == 1
