"""The intake desk at its screen: the moments of the first day, and that nothing typed is lost."""

from __future__ import annotations

from decimal import Decimal

import pytest
from textual.pilot import Pilot

from app.book.boards import intake_board, readings
from app.book.donors import donor_page, donors
from app.book.drafts import drafts
from app.book.history import history
from app.book.scale import weight_tickets
from app.book.schema import FrameState
from app.book.work import Book
from app.errors import BadInput
from app.screens.intake_typed import read_vehicle
from tests.screens.desk_pilot import at, fill, focus_value, press, seen
from tests.screens.desk_yard import (
    INTAKE,
    MONDAY,
    REFUSED,
    V1,
    V1_AS_TYPED,
    V2,
    V2_DASH,
    V3,
    furnish,
    take_in_v1,
    weigh_in_v1,
)
from tests.support.clock import Clock


@pytest.fixture
def yard(sqlite_book: Book, clock: Clock) -> Book:
    """The small yard on Monday, 08:10."""
    clock.now = MONDAY
    return furnish(sqlite_book)


async def read_plates(pilot: Pilot[None], *vins: str) -> None:
    """Type a VIN for each place the form asks for."""
    for vin in vins:
        await fill(pilot, vin)
        await press(pilot, "enter")


async def buy_at_auction(pilot: Pilot[None], model: str, price: str, fee: str = "", tow: str = "") -> None:
    """Fill the pages after the plate in and take the vehicle in."""
    await fill(pilot, model)
    await press(pilot, "pagedown", "pagedown")
    await fill(pilot, "2", "1")
    await press(pilot, "pagedown")
    await fill(pilot, price, fee, tow)
    await press(pilot, "f2", "y")


async def test_a_vin_that_cannot_be_right_is_refused_as_typed_and_its_look_alike_is_shown(yard: Book) -> None:
    # Day 1, 08:10: check digit typed X, works out 7; one look-alike, position 8, 5 to S.
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, V1_AS_TYPED)
        words = seen(pilot)
        assert "check digit typed X, works out 7" in words
        assert f"{V1}  position 8: 5 read as S" in words
        assert focus_value(pilot) == V1_AS_TYPED, "nothing is changed by itself"
        assert "dash         0 D M" not in words, "a refused reading is none"
    assert [row.action for row in history(yard, action="vin")] == ["vin"]


async def test_a_suggestion_counts_only_after_a_person_has_read_it_on_the_plate(yard: Book) -> None:
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, V1_AS_TYPED)
        await press(pilot, "f5", "1")
        assert focus_value(pilot) == V1
        await press(pilot, "enter")
        assert f"Does the dash itself read {V1}?" in seen(pilot)
        await press(pilot, "n")
        assert "needs a second reading" not in seen(pilot), "not read, so not taken"
        await press(pilot, "enter", "y")
        assert "needs a second reading" in seen(pilot)


async def test_swapped_digits_are_suggested_among_wrong_ones_and_none_is_taken(yard: Book) -> None:
    # Day 1, 13:05: typed 2, works out 7; the swap at 15 and 16 is among the suggestions.
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, "0KGTC22B28K047613")
        await press(pilot, "f5")
        assert f"{V3}   positions 15 and 16" in seen(pilot)
        await press(pilot, "escape")
        assert focus_value(pilot) == "0KGTC22B28K047613"


async def test_two_plates_that_differ_show_the_position_and_ask_for_a_third(yard: Book) -> None:
    # Day 1, 10:40 to 10:46: 8 against H at position 4, settled by the frame stamp.
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, V2_DASH)
        assert "needs a second reading" in seen(pilot), "the check digit passes; a second reading is asked all the same"
        await read_plates(pilot, V2)
        words = seen(pilot)
        assert "MISMATCH: position 4: 8 on the dash, H on the door label" in words
        assert "^ position 4" in words
        assert "frame stamp" in words, "the third place is asked for"
        await press(pilot, "f2")
        await press(pilot, "y")
        assert donors(yard) == (), "it cannot go on without a third reading"
        await press(pilot, "pageup")
        await read_plates(pilot, V2)
        assert f"VIN settled: {V2}" in seen(pilot)
    assert len(history(yard, action="vin mismatch")) == 1


async def test_an_auction_truck_is_taken_in_with_its_landed_cost_and_its_label(yard: Book) -> None:
    # Day 1, 08:14: 1,150.00 + 285.00 + 120.00 = 1,555.00.
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, V1, V1)
        await fill(pilot, "longwagon light", "", "11/2007")
        assert "Dunmarsh Longwagon light (lw-light)" in seen(pilot)
        await press(pilot, "pagedown", "pagedown")
        await fill(pilot, "2", "1")
        await press(pilot, "pagedown")
        await fill(pilot, "1,150.00", "285.00", "120")
        assert "landed cost 1,555.00" in seen(pilot)
        await press(pilot, "f2")
        assert "landed 1,555.00" in seen(pilot)
        await press(pilot, "y")
        assert "label" in seen(pilot)
        assert "weigh in D1" in seen(pilot), "the scale comes next"
    page = donor_page(yard, "D1")
    assert (page.row.vin, page.year, page.built, page.landed_cents) == (V1, 2008, "2007-11", 155_500)
    assert str(page.paper) == "salvage title"
    assert drafts(yard, INTAKE) == (), "a form that is done is no draft"


async def test_an_outvoted_reading_stays_with_the_vehicle(yard: Book) -> None:
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, V2_DASH, V2, V2)
        await buy_at_auction(pilot, "longwagon heavy", "900")
        await press(pilot, "escape")
        assert f"kept as read: dash {V2_DASH}" in seen(pilot)
    assert [row.read for row in readings(yard, "D1")] == [V2_DASH, V2, V2]


async def test_swapped_weights_are_refused_and_turned_round_by_one_key(yard: Book) -> None:
    # Day 1, 13:15: gross 18,420, tare 21,180; after one key, net 2,760.
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, V3, V3)
        await buy_at_auction(pilot, "tansy", "225")
        await fill(pilot, "18,420", "21,180")
        await press(pilot, "f2")
        assert "net would be -2,760" in seen(pilot)
        assert weight_tickets(yard) == ()
        await press(pilot, "f4")
        assert "gross 21,180   tare 18,420\nnet 2,760 lb" in seen(pilot)
        await press(pilot, "y")
    assert [ticket.net for ticket in weight_tickets(yard)] == [Decimal(2760)]
    assert len(history(yard, action="weight swapped")) == 1


async def test_a_vin_that_is_here_already_shows_its_donor_and_makes_no_second_one(yard: Book) -> None:
    # Day 1, 13:30.
    taken = take_in_v1(yard)
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, V1)
        assert f"Open {taken.stock_number}?" in seen(pilot)
        await press(pilot, "y")
        assert f"{taken.stock_number}  2008 Dunmarsh Longwagon light" in seen(pilot)
    assert len(donors(yard)) == 1
    assert len(history(yard, action="duplicate vin")) == 1
    assert drafts(yard, INTAKE) == ()


async def test_what_is_half_typed_comes_back_after_escape_and_after_the_program_was_closed(yard: Book) -> None:
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, V1)
        await press(pilot, "pagedown")
        await fill(pilot, "longwagon light", "", "2007-11")
        await press(pilot, "escape")
        assert "half filled" in seen(pilot)
        assert "new vehicle" in seen(pilot)
        await press(pilot, "n")
        assert "2007-11" in seen(pilot), "back on the page that was left"
        await press(pilot, "pagedown", "pagedown")
        await fill(pilot, "2")
        # The window is closed in the middle of the form.
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        words = seen(pilot)
        assert "restored, typed at 08:10 by IN1" in words
        assert "salvage title" in words
        await press(pilot, "pageup", "pageup", "pageup")
        assert "0 D M L W 5 4 S X 8 A 2 0 4 5 1 7" in seen(pilot), "the reading is kept, the VIN is typed once"


async def test_a_second_vehicle_can_be_begun_beside_a_half_filled_one(yard: Book) -> None:
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await fill(pilot, "0DM")
        await press(pilot, "escape", "N")
        assert focus_value(pilot) == ""
        await fill(pilot, "0KG")
        await press(pilot, "escape")
    assert {row.form: row.fields["vin"] for row in drafts(yard, INTAKE)} == {
        "new vehicle": "0DM",
        "new vehicle 2": "0KG",
    }


async def test_papers_that_speak_against_it_turn_the_vehicle_away_without_a_number(yard: Book) -> None:
    # Day 1, 11:30: title in another name, ID expired 2025-12-31.
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "n")
        await read_plates(pilot, REFUSED, REFUSED)
        await fill(pilot, "harrow")
        await press(pilot, "pagedown", "pagedown")
        await fill(pilot, "1", "2", "A. Walker", "B. Other", "1", "X-77", "2025-12-31")
        await press(pilot, "f2", "y")
        words = seen(pilot)
        assert "title in another name (B. Other)" in words
        assert "ID expired 2025-12-31" in words
        await press(pilot, "f9")
        assert REFUSED in seen(pilot), "what was typed is handed on"
        await press(pilot, "f2")
        assert "1 turned away" in seen(pilot)
    (row,) = intake_board(yard).refusals
    assert (row.vin, row.reasons) == (REFUSED, ("title in another name (B. Other)", "ID expired 2025-12-31"))
    assert donors(yard) == ()


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("paper", "a napkin", "none of the list"),
        ("source", "the moon", "none of the list"),
        ("year", "208", "no model year"),
        ("miles", "many", "no whole number"),
        ("price", "-5", "cannot be paid"),
        ("price", "1,150.005", "more than two decimals"),
        ("seller ID expires", "31.12.2025", "no day"),
    ],
)
def test_what_cannot_be_is_refused_by_the_name_of_its_field(field: str, typed: str, said: str) -> None:
    fields = {"source": "walk-in", "seller name": "A. Walker", field: typed}
    with pytest.raises(BadInput) as caught:
        read_vehicle(fields, ())
    assert caught.value.place == field
    assert said in caught.value.title


async def test_a_frame_is_surveyed_with_its_arithmetic_and_whose_it_is(yard: Book) -> None:
    # Day 1, 08:35: 118 7/16 and 118 1/2, 0.0625 + 0.125 = 0.1875: straight.
    take_in_v1(yard)
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "f")
        assert "certified welder" in seen(pilot), "the caution about structural welding is shown"
        await fill(pilot, "1", "1", "2")
        await press(pilot, "pagedown")
        await fill(pilot, "7.10", "2 3/4")
        await press(pilot, "pagedown")
        await fill(pilot, "", "", "118 7/16", "118 1/2")
        assert "0.0625 + 0.125 = 0.1875, within 0.25: straight" in seen(pilot)
        await press(pilot, "f2")
        words = seen(pilot)
        assert "D1: frame straight" in words
        assert "agrees with the plate" in words
    assert donor_page(yard, "D1").row.frame_state is FrameState.STRAIGHT


async def test_bad_repair_condemns_a_frame_however_straight_it_measures(yard: Book) -> None:
    take_in_v1(yard)
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "f")
        await fill(pilot, "1", "1", "2", "14")
        assert "clamp teeth" in seen(pilot)
        await press(pilot, "f2")
        assert "frame scrap only" in seen(pilot)
    assert donor_page(yard, "D1").row.frame_state is FrameState.SCRAP_ONLY


async def test_a_length_that_cannot_be_read_is_said_at_its_blank(yard: Book) -> None:
    take_in_v1(yard)
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "f")
        await fill(pilot, "1", "1", "2")
        await press(pilot, "pagedown")
        await fill(pilot, "seven")
        await press(pilot, "f2")
        assert "rail height" in seen(pilot)
        assert focus_value(pilot) == "seven"


async def test_no_torch_before_the_fuel_is_drained_and_a_permit_with_its_caution_after(yard: Book) -> None:
    # Day 1, 09:05, 14:00 and 14:50: 134.95 lb of fluids; 5,620 - 134.95 - 2.6 - 41.0 = 5,441.45.
    taken = take_in_v1(yard)
    weigh_in_v1(yard, taken.stock_number)
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "t")
        assert "no torch on D1: fuel not drained" in seen(pilot)
        await press(pilot, "enter", "d")
        await fill(pilot, "11.5", "", "1.5", "4.0", "2.5", "", "", "", "2.6", "41.0", "", "0.75", "15.00")
        assert "134.95" in seen(pilot)
        await press(pilot, "enter")
        assert "fluids 134.95 lb" in seen(pilot)
        await press(pilot, "t")
        assert "torch allowed on D1" in seen(pilot)
        assert "No flame" in seen(pilot)
    balance = donor_page(yard, "D1").balance
    assert balance is not None
    assert balance.expected == Decimal("5441.45")


async def test_the_donor_s_page_shows_cost_hulk_weight_and_its_history(yard: Book) -> None:
    taken = take_in_v1(yard)
    weigh_in_v1(yard, taken.stock_number)
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "enter")
        words = seen(pilot)
        assert "price 1,150.00, fee 285.00, tow 120.00" in words
        assert "expected 5,620 lb, doubt 80" in words
        await press(pilot, "y")
        assert "weigh in: net 5,620 lb" in seen(pilot)


async def test_text_of_the_book_is_never_markup(yard: Book) -> None:
    async with at(yard, "intake", "IN1") as pilot:
        await press(pilot, "r")
        await fill(pilot, "", "a [b]wagon[/x]", "2", "A. [/red] Walker", "B. Other")
        await press(pilot, "f2")
        assert "1 turned away" in seen(pilot)
        await press(pilot, "n")
        await fill(pilot, "[/x]")
        await press(pilot, "enter", "escape")
        assert "half filled" in seen(pilot)
        assert "[/x]" in seen(pilot)
