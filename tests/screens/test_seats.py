"""The seat chooser: six seats by digit, who sits there, what waits."""

from __future__ import annotations

import subprocess
import sys

import pytest

from app.book.drafts import keep_draft
from app.book.work import Book, Who
from app.errors import NotFound
from app.screens.app import Donorbook, run
from app.screens.floor import FloorSeat
from app.screens.seats import SEATS, Chooser, make_seat
from tests.screens.hands import furnish, press, seen, settle

HEAVY = ("alembic", "numpy", "PIL", "qrcode", "barcode", "rapidfuzz")


@pytest.mark.parametrize("size", [(80, 24), (40, 16)])
async def test_six_seats_with_their_digits_at_both_sizes(sqlite_book: Book, size: tuple[int, int]) -> None:
    app = Donorbook(sqlite_book)
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        rows = seen(app).splitlines()
        for digit, entry in enumerate(SEATS, 1):
            assert any(row.split()[:2] == [str(digit), entry.name] for row in rows), rows


async def test_a_new_book_has_an_owner_and_asks_nobody(sqlite_book: Book) -> None:
    app = Donorbook(sqlite_book)
    async with app.run_test(size=(40, 16)) as pilot:
        await settle(pilot)
        await press(pilot, "2")
        assert isinstance(app.screen, FloorSeat)
        assert app.screen.who.code == "OW"


async def test_with_people_in_the_book_one_line_asks_who(sqlite_book: Book) -> None:
    app = Donorbook(furnish(sqlite_book))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "2")
        assert "who sits at floor?" in seen(app)
        await press(pilot, "p", "1", "enter")
        assert isinstance(app.screen, FloorSeat)
        assert app.screen.who.code == "P1"


async def test_a_code_nobody_has_is_told_and_opens_nothing(sqlite_book: Book) -> None:
    app = Donorbook(furnish(sqlite_book))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settle(pilot)
        await press(pilot, "2", "[", "/", "x", "]", "enter")
        assert isinstance(app.screen, Chooser)
        assert "nobody here is called [/x]" in seen(app)


def test_a_code_nobody_has_on_the_command_line_opens_no_screen(sqlite_book: Book) -> None:
    with pytest.raises(NotFound, match="nobody here is called ZZ"):
        run(furnish(sqlite_book), "counter", "ZZ")


async def test_a_seat_given_on_the_command_line_opens_at_once(sqlite_book: Book) -> None:
    app = Donorbook(furnish(sqlite_book), "floor", "P1")
    async with app.run_test(size=(40, 16)) as pilot:
        await settle(pilot)
        assert "floor · P1" in seen(app)


async def test_half_done_forms_are_counted_at_their_seat(sqlite_book: Book) -> None:
    keep_draft(sqlite_book, Who("OW", seat="intake"), "take in", {"vin": "0DM"})
    app = Donorbook(sqlite_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        waiting = [row for row in seen(app).splitlines() if "half done" in row]
        assert [row.split()[1] for row in waiting] == ["intake"]


@pytest.mark.parametrize("name", [entry.name for entry in SEATS])
def test_every_seat_of_the_list_can_be_made(sqlite_book: Book, name: str) -> None:
    assert make_seat(name, sqlite_book, Who("OW", seat=name)).who.seat == name


def test_the_first_screen_loads_nothing_heavy() -> None:
    """Asked in a fresh interpreter, because the test runner has everything loaded already."""
    check = (
        "import sys\n"
        "import app.screens.app\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules],\n"
        "      [name for name in sys.modules if name.startswith('app.screens.') and name.split('.')[2] in\n"
        "       ('intake', 'floor', 'counter', 'scale', 'office', 'bench')])"
    )
    said = subprocess.run([sys.executable, "-c", check], capture_output=True, text=True, check=True)
    assert said.stdout.split() == ["[]", "[]"]
