"""The floor at forty by sixteen: scan anything, put away, take back, harvest one question a screen."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from app.book.donors import donor_page
from app.book.drafts import drafts
from app.book.finding import part
from app.book.places import in_hand, put_away
from app.book.schema import Place, PlaceKind, Whereabouts
from app.book.work import Book, Who
from app.fit.terms import Condition, Side
from app.screens.app import Donorbook
from app.screens.floor import FloorSeat
from app.screens.floor_harvest import HarvestScreen
from app.screens.parts.sheets import Sure
from tests.screens.hands import SHELF_TAG, TAGS, TRUCK_TAG, flat, furnish, listen, press, scan, seen, settle
from tests.support.yard import keep
from tests.support.yard import part as arm

SIZE = (40, 16)
P1 = Who("P1", seat="floor")


@pytest.fixture
def app(sqlite_book: Book) -> Donorbook:
    """The floor, with P1 at it."""
    return Donorbook(furnish(sqlite_book), "floor", "P1")


async def test_a_part_shows_its_tag_large_with_side_name_and_where_it_goes(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        assert "scan anything" in seen(app)
        await scan(pilot, TAGS[3])
        first = next(row for row in seen(app).splitlines() if " ".join(TAGS[3]) in row)
        assert first.endswith("RH")
        assert "lower control arm" in seen(app)
        assert "[bumper] Longwagon [/x]" in seen(app)
        assert "goes to A1-2" in flat(app)
        assert "Stored force" in seen(app)
        assert "scan the place" in seen(app)


async def test_part_then_place_puts_it_away_and_u_takes_it_back(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TAGS[0])
        await scan(pilot, "A1-3")
        assert part(sqlite_book, TAGS[0]).place == "A1-3"
        assert f"{TAGS[0]} is in A1-3" in seen(app)
        assert "u take back" in flat(app)
        await press(pilot, "u")
        assert part(sqlite_book, TAGS[0]).place == "A1-2"


async def test_from_the_hand_to_the_shelf_and_back(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TAGS[3])
        await scan(pilot, SHELF_TAG)
        assert part(sqlite_book, TAGS[3]).place == "A1-2"
        await press(pilot, "u")
        assert part(sqlite_book, TAGS[3]).whereabouts is Whereabouts.IN_HAND


async def test_slowly_typed_tags_work_in_the_scan_line(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await press(pilot, *TAGS[0], "enter")
        assert " ".join(TAGS[0]) in seen(app)
        await press(pilot, *"A1-3", "enter")
    assert part(sqlite_book, TAGS[0]).place == "A1-3"


async def test_a_place_lists_what_stands_there(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, SHELF_TAG)
        for tag in TAGS[:3]:
            assert tag in seen(app)
        assert TAGS[3] not in seen(app)


async def test_a_full_place_lists_a_page_and_says_how_many_there_are(sqlite_book: Book) -> None:
    from app.book.tags import TagKind, make_tag

    book = furnish(sqlite_book)
    here = keep(book, Place(code="Z9", tag="", kind=PlaceKind.SHELF))[0]
    keep(book, *(arm(tag=make_tag(TagKind.PART, 100 + n), side=Side.RH, place_id=here) for n in range(205)))
    app = Donorbook(book, "floor", "P1")
    async with app.run_test(size=(40, 240)) as pilot:
        await settle(pilot)
        await press(pilot, *"Z9", "enter")
        assert "200 of 205" in seen(app)


async def test_hands_list_and_where_each_goes(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await press(pilot, "i")
        row = next(row for row in seen(app).splitlines() if TAGS[3] in row)
        assert row.endswith("to A1-2")


async def test_q_goes_back_first_to_the_clear_screen_then_to_the_seats(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TAGS[0])
        await press(pilot, "q")
        assert "scan anything" in seen(app)
        await press(pilot, "q")
        assert not isinstance(app.screen, FloorSeat)


async def test_what_is_not_ours_is_said_as_it_is(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        app.screen.query_one("#scan", Input).value = "[/x]"
        await press(pilot, "enter")
        assert "[/X] is not ours" in seen(app)


async def test_a_label_without_a_printer_is_saved_as_a_file(
    app: Donorbook, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("PATH", str(tmp_path))
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await settle(pilot)
        await scan(pilot, TAGS[0])
        await press(pilot, "l", "1")
        await settle(pilot)
        assert "label not sent" in seen(app)
        await press(pilot, "f")
        await settle(pilot)
    assert (tmp_path / f"label-{TAGS[0]}.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / f"label-{TAGS[0]}.png").read_bytes().startswith(b"\x89PNG")


async def test_harvest_asks_one_question_a_screen_and_makes_the_tag_at_the_end(
    app: Donorbook, sqlite_book: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        assert isinstance(app.screen, HarvestScreen)
        assert "Which part is it?" in seen(app)
        await press(pilot, *"arm", "1")
        assert "Stored force" in seen(app)
        await press(pilot, "enter")
        assert "Which side, as seated facing forward?" in flat(app)
        await press(pilot, "2", "2", "enter", *"17", "space", *"1/4", "enter", "1", "2", "6", "enter")
        await press(pilot, *"28.5", "enter", *"75", "enter")
        assert "Is the part in your hand?" in seen(app)
        assert len(in_hand(sqlite_book, P1)) == 1, "no tag before the part is in the hand"
        await press(pilot, "1")
        await settle(pilot)
        assert isinstance(app.screen, FloorSeat)
        tag = next(each for each in in_hand(sqlite_book, P1) if each != TAGS[3])
        assert " ".join(tag) in seen(app)
        await scan(pilot, SHELF_TAG)
    made = part(sqlite_book, tag)
    assert (made.part_type, made.side, made.condition) == ("lower control arm", Side.RH, Condition.B)
    assert (str(made.weight_lb), made.weight_how, made.price_cents) == ("28.5", "weighed", 7500)
    assert made.facts == (("arm length", "17 1/4"), ("torsion socket", "no"), ("lugs", "6"))
    assert made.place == "A1-2"
    assert not drafts(sqlite_book, P1)


async def test_a_doubtful_weight_is_confirmed_with_y(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        await press(pilot, *"arm", "1", "enter", "2", "1", "enter", "enter", "enter")
        await press(pilot, *"128", "enter", "enter", "1")
        assert isinstance(app.screen, Sure)
        assert "usually 20 to 40 lb" in flat(app)
        await press(pilot, "y")
        await settle(pilot)
    assert [str(row.weight_lb) for row in donor_page(sqlite_book, "D1").parts if row.weight_how == "weighed"] == ["128"]


async def test_still_on_the_vehicle_is_listed_and_not_in_hand(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        await press(pilot, *"tailg", "enter", "1", "enter", "enter", "2")
        await settle(pilot)
    listed = [row for row in donor_page(sqlite_book, "D1").parts if row.part_type == "tailgate"]
    assert [row.whereabouts for row in listed] == [Whereabouts.ON_VEHICLE]


async def test_a_length_that_is_none_is_refused_at_its_question(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        await press(pilot, *"arm", "1", "enter", "1", "1", *"long", "enter")
        assert "From the pivot to the ball joint?" in flat(app)
        assert app.screen.query_one("#fault").display


async def test_escape_goes_a_question_back_and_keeps_what_was_answered(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        await press(pilot, *"arm", "1", "enter", "2", "2", *"bent", "enter", "escape")
        assert "What is wrong with it?" in flat(app)
        assert app.screen.query_one("#answer", Input).value == "bent"


async def test_a_harvest_cut_off_by_a_dead_battery_goes_on_where_it_was(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        await press(pilot, *"arm", "1", "enter", "2", "2", *"ben")
        await listen(pilot)
        kept = drafts(sqlite_book, P1)[0].fields
        assert kept["side"] == "RH"
        assert kept["typing"] == "ben"
    again = Donorbook(sqlite_book, "floor", "P1")
    async with again.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        assert "restored, typed at 10:02" in seen(again)
        await press(pilot, "enter")
        assert "What is wrong with it?" in flat(again)
        assert again.screen.query_one("#answer", Input).value == "ben"


async def test_two_scans_in_the_middle_of_a_harvest_are_a_move(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await scan(pilot, TRUCK_TAG)
        await press(pilot, *"arm", "1", "enter", "2", "1")
        await scan(pilot, TAGS[0])
        await scan(pilot, "A1-3")
        assert isinstance(app.screen, HarvestScreen)
        assert app.screen.query_one("#answer", Input).value == ""
    assert part(sqlite_book, TAGS[0]).place == "A1-3"


async def test_the_hand_is_another_mans(app: Donorbook, sqlite_book: Book) -> None:
    put_away(sqlite_book, P1, TAGS[3], "A1-3")
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await press(pilot, "i")
        assert "your hands are empty" in seen(app)
