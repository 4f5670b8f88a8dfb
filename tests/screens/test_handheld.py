"""Forty columns by sixteen rows: nothing that matters is cut off, and whatever is longer can be read on."""

from __future__ import annotations

from decimal import Decimal

import pytest
from rich.cells import cell_len
from textual.containers import VerticalScroll
from textual.widgets import Input

from app.book.boards import ArrivalRow
from app.book.office import change_setting
from app.book.places import add_place
from app.book.sales import Basket, Line, pay_ticket, start_ticket
from app.book.schema import DonorState, Fact, FrameState, PartType, PlaceKind
from app.book.work import Book
from app.fit.terms import FactKind, Group
from app.screens.app import Donorbook
from app.screens.counter_sheets import PaySheet
from app.screens.floor import FloorSeat
from app.screens.floor_harvest import HarvestScreen, begins
from app.screens.office_lists import by_number
from app.screens.parts.board import Board, folded
from app.screens.parts.form import Blank, BlankLine
from app.screens.parts.rows import Rows
from app.screens.parts.sheets import FormSheet, ScanSheet
from app.screens.scale import say_waiting
from tests.screens.hands import SHELF_TAG, TAGS, TRUCK_TAG, flat, furnish, press, scan, seen, settle
from tests.support.clock import START
from tests.support.yard import OWNER, keep
from tests.support.yard import part as piece

SIZE = (40, 16)


@pytest.fixture
def yard(sqlite_book: Book) -> Book:
    return furnish(sqlite_book)


def at(book: Book, seat: str, by: str) -> Donorbook:
    return Donorbook(book, seat, by)


async def test_a_full_shelf_is_read_to_its_end_with_the_arrows(yard: Book) -> None:
    more = [piece(tag=f"Q{number}") for number in range(10, 22)]
    keep(yard, *more)
    app = at(yard, "floor", "P1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, SHELF_TAG)
        assert "↓ more" in seen(app)
        assert "Q21" not in seen(app)
        await press(pilot, *["pagedown"] * 3)
        assert "Q21" in seen(app)
        assert "↓ more" not in seen(app)
        await press(pilot, "i")
        assert app.screen.query_one("#shown", VerticalScroll).scroll_offset.y == 0


async def test_after_escape_no_part_waits_for_the_next_place(yard: Book) -> None:
    app = at(yard, "floor", "P1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TAGS[0])
        await press(pilot, "escape")
        assert "scan anything" in seen(app)
        assert "now its place" not in seen(app)
        await scan(pilot, "A1-3")
        assert isinstance(app.screen, FloorSeat)
        assert "A 1 - 3" in seen(app)
        assert "is in A1-3" not in seen(app)


async def test_a_label_that_cannot_be_sent_leaves_the_next_step_in_sight(
    yard: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", "")
    app = at(yard, "floor", "P1")
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await settle(pilot)
        await scan(pilot, TAGS[3])
        await press(pilot, "l", "1")
        await settle(pilot)
        assert "label not sent, f saves a file" in seen(app)
        assert "scan the place" in seen(app)
        assert not app._notifications


async def test_the_name_of_a_long_fact_stands_above_its_blank(yard: Book) -> None:
    app = at(yard, "floor", "P1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TAGS[0])
        await press(pilot, "c")
        assert "torsion socket" in seen(app)
        long, short = (
            next(row for row in app.screen.query(BlankLine) if row.blank.label == label)
            for label in ("torsion socket", "lugs")
        )
        assert long.box.region.y == long.region.y + 1
        assert short.box.region.y == short.region.y
        await press(pilot, "enter")
        assert "1 yes 2 no" in flat(app)


async def test_what_was_wrong_is_gone_with_the_next_letter(yard: Book) -> None:
    app = at(yard, "floor", "P1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        app.screen.query_one(Input).value = "zzz"
        await press(pilot, "enter")
        assert "No part is called that" in seen(app)
        app.screen.query_one(Input).value = "tail"
        await settle(pilot)
        assert "No part is called that" not in seen(app)
        assert "1 tailgate" in seen(app)


def test_a_word_finds_first_what_begins_with_it() -> None:
    names = ["blower motor", "front lower control arm", "A/C lower hose"]
    assert [begins("lower", name) for name in names] == [False, True, True]
    assert begins("c", "A/C lower hose".lower())


async def test_the_office_shows_every_figure_and_every_truck_in_one_list(yard: Book) -> None:
    change_setting(yard, OWNER, "tax_percent", "6.25")
    ticket = start_ticket(yard, OWNER, Basket(lines=[Line(TAGS[0])]))
    pay_ticket(yard, OWNER, ticket.number, "cash")
    app = at(yard, "office", "OW")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        listed = app.screen.query_one(Board)
        rows = [str(listed.get_option_at_index(n).prompt) for n in range(listed.option_count)]
        (total,) = [row for row in rows if row.startswith("total taken")]
        # 75.00 and 6.25 % of it, 4.6875, half a cent up.
        assert total.split() == ["total", "taken", "0.00", "79.69"]
        assert any(row.startswith("D1 ") and "to date" in row and "outlook" in row for row in rows)
        width = listed.scrollable_content_region.width
        assert max(len(line) for row in rows for line in row.splitlines()) <= width
        await press(pilot, "end")
        assert "D1" in seen(app)


async def test_the_history_has_the_screen_until_its_filter_is_asked_for(yard: Book) -> None:
    app = at(yard, "office", "OW")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await press(pilot, "y")
        assert "refused only" not in seen(app)
        assert app.screen.query_one(Rows).region.height >= 9
        await press(pilot, "f2")
        assert "from day" in seen(app)


def test_places_stand_in_the_order_of_the_aisle() -> None:
    codes = ["A1-10", "A1-2", "D", "A10-1", "A2-1"]
    assert sorted(codes, key=by_number) == ["A1-2", "A1-10", "A2-1", "A10-1", "D"]


async def test_a_place_beyond_the_first_page_is_found(yard: Book) -> None:
    for number in range(1, 206):
        add_place(yard, OWNER, f"B{number}", PlaceKind.SHELF)
    app = at(yard, "office", "OW")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await press(pilot, "l")
        listed = app.screen.query_one(Rows)
        assert "200 of 208" in str(listed.get_option_at_index(listed.option_count - 1).prompt)
        await press(pilot, "slash")
        app.screen.query_one(Input).value = "b205"
        await press(pilot, "enter")
        await settle(pilot)
        assert app.screen.query_one(Rows).option_count == 1
        assert "B205" in seen(app)


def test_a_folded_line_breaks_between_its_pieces() -> None:
    said = folded(" D4", "2010 Longwagon light", ["to date -1,665.00", "outlook -1,665.00"], 36).plain
    assert said.splitlines() == ["D4 2010 Longwagon light", " to date -1,665.00", " outlook -1,665.00"]


def test_what_a_hulk_weighed_as_it_came_is_seen_on_any_screen() -> None:
    row = ArrivalRow(
        "D4",
        "2010 Orvask Hestrow light",
        START,
        "auction",
        "parts only",
        Decimal(5580),
        0,
        FrameState.STRAIGHT,
        DonorState.TEARDOWN,
    )
    assert "5,580 lb in  came 2026-03-04" in say_waiting(row).plain
    assert cell_len(say_waiting(row).plain) <= 76
    assert say_waiting(row, 36).plain.splitlines()[1].strip() == "5,580 lb in  came 2026-03-04"


async def test_what_is_typed_into_a_blank_stays_in_sight_to_its_last_letter(yard: Book) -> None:
    app = at(yard, "counter", "C1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await press(pilot, "f7")
        for row in app.screen.query(BlankLine):
            assert row.box.region.right <= SIZE[0] - 1
        assert "a part, several with +, or front end" in flat(app)


async def test_the_keys_of_a_sheet_are_seen_however_much_it_asks(yard: Book) -> None:
    app = at(yard, "intake", "OW")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        blanks = [Blank(f"n{number}", f"a rather long question {number}") for number in range(9)]
        app.push_screen(FormSheet("A long sheet", blanks, words="What must be read first. " * 8))
        await settle(pilot)
        await press(pilot, *["enter"] * 8)
        assert "a rather long question 8" in seen(app)
        assert "Esc back" in seen(app)


async def test_the_first_figure_of_a_value_picks_no_other_line(yard: Book) -> None:
    engines = ["1.9", "4.9", "6.3", "7.4", "1.9 hybrid"]
    keep(
        yard,
        Fact(name="engine", kind=FactKind.CHOICE, choices=engines, question="Which engine?"),
        PartType(name="compressor 4x4", group=Group.BODY, look_for=["engine"]),
        PartType(name="compressor belt", group=Group.BODY),
    )
    app = at(yard, "floor", "P1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        app.screen.query_one(Input).value = "compressor "
        await press(pilot, "4", "enter", "1")
        assert "Which engine?" in seen(app)
        assert "its beginning; Enter: not looked" in seen(app)
        await press(pilot, "4")
        assert "Which engine?" in seen(app)
        assert "6.3" not in seen(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, HarvestScreen)
        assert app.screen.answers["fact engine"] == "4.9"
        await press(pilot, "escape", "1", "enter")
        assert "'1' is none of the choices" in flat(app)


async def test_the_last_good_label_is_scanned_into_the_sheet_that_asks_for_it(yard: Book) -> None:
    app = at(yard, "floor", "P1")
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await settle(pilot)
        await press(pilot, "g")
        assert isinstance(app.screen, ScanSheet)
        await scan(pilot, TAGS[0])
        assert not isinstance(app.screen, ScanSheet)
        assert "now its place" not in seen(app)


async def test_a_part_that_came_back_is_scanned_and_its_reason_still_asked(yard: Book) -> None:
    app = at(yard, "office", "OW")
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "r", "b")
        await scan(pilot, TAGS[0])
        assert isinstance(app.screen, ScanSheet)
        assert app.screen.form is not None
        assert app.screen.form.values()["tag"] == TAGS[0]


async def test_every_way_to_pay_is_seen(yard: Book) -> None:
    ticket = start_ticket(yard, OWNER, Basket(lines=[Line(TAGS[0])]))
    app = at(yard, "counter", "C1")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        app.push_screen(PaySheet(ticket))
        await settle(pilot)
        for key in ("1 cash", "2 card", "3 check", "x give up", "Esc leave it open", "F2 other customer"):
            assert key in flat(app)
