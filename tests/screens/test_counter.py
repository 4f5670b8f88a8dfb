"""The counter: an answer while the words are typed, and keys that act on it; nothing typed is lost."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from textual.widgets import Input

from app.book.finding import part
from app.book.history import history
from app.book.schema import Standing
from app.book.sheets import load_folder
from app.book.tickets import ticket
from app.book.wanting import wants
from app.book.work import Book
from app.screens import counter_ask
from app.screens.app import Donorbook
from app.screens.counter_sheets import ReceiptSheet, SellSheet
from app.screens.parts.finder import Finder
from app.screens.parts.form import Form
from app.screens.parts.sheets import FormSheet, Notice
from tests.screens.counter_desk import SIZE, Engine, ask, rows
from tests.screens.hands import TAGS, flat, furnish, press, say, scan, seen, settle
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

CASEBOOK = Path(__file__).parents[1] / "casebook"


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> Engine:
    """The answers come from the test yard and not from its rules."""
    made = Engine()
    monkeypatch.setattr(counter_ask, "ask", made)
    return made


@pytest.fixture
def app(sqlite_book: Book, engine: Engine) -> Donorbook:
    """The counter, with C1 at it."""
    del engine
    return Donorbook(furnish(sqlite_book), "counter", "C1")


async def test_the_answer_comes_while_typing_and_says_everything(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, "08 longwagon lca rh flibbertigib")
        first = rows(app, "bolts up")[0]
        assert first.split()[:5] == ["1", "bolts", "up", "75", "B"]
        assert "A1-2, seen 6 days ago" in first
        assert "17.25 in" in first
        assert "2008 · Longwagon [/x] · RH" in seen(app)
        assert "not understood: flibbertigib" in seen(app)
        assert "“I have the right arm on the shelf.”" in seen(app)
        assert "[by tape]" in seen(app)
        assert "do not sell: 1 more, somebody has: 1, under d" in seen(app)
        assert "“Leafs or coils in the back?”" in seen(app)


async def test_typing_writes_nothing_and_enter_keeps_the_ask_once(app: Donorbook, engine: Engine) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "slash", "enter")
        assert [keep for _, _, keep in engine.asked].count(True) == 1
        assert not engine.asked[0][2]


async def test_a_late_answer_to_old_words_is_dropped(app: Donorbook, engine: Engine) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        engine.gate.clear()
        box = app.screen.query_one("#ask", Input)
        box.value = "slow nothing"
        await pilot.pause(0.3)
        box.value = "lca"
        await pilot.pause(0.3)
        engine.gate.set()
        await settle(pilot)
        assert rows(app, "bolts up")
        assert "nothing in the yard" not in seen(app)


async def test_an_answer_that_is_not_there_at_once_is_said_to_be_looked_for(app: Donorbook, engine: Engine) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        engine.gate.clear()
        app.screen.query_one("#ask", Input).value = "slow lca"
        await pilot.pause(0.2)
        assert "looking …" not in seen(app)
        await pilot.pause(0.5)
        assert "looking …" in seen(app)
        engine.gate.set()
        await settle(pilot)
        assert "looking …" not in seen(app)
        assert "bolts up" in seen(app)


async def test_a_digit_goes_to_its_line_and_says_the_difference(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "2")
        assert "1.00 in longer" in seen(app)
        assert "move the stops over, 0.5 h" in seen(app)


async def test_the_question_is_answered_with_a_letter_of_its_choice(app: Donorbook, engine: Engine) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        assert "c coils" in flat(app)
        await press(pilot, "c")
        await settle(pilot)
        assert engine.asked[-1][1] == {"rear springs": "coils"}
        assert "Leafs or coils" not in seen(app)


async def test_no_idea_puts_a_question_aside(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "question_mark")
        assert "Leafs or coils" not in seen(app)


async def test_a_scan_into_the_price_box_of_a_want_leaves_it_alone(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "w")
        form = app.screen.query_one(Form)
        form.start("most")
        await press(pilot, "6", "0")
        await scan(pilot, TAGS[0])
        assert form.values()["most"] == "60"
        assert isinstance(app.screen, FormSheet)


async def test_nothing_found_offers_a_want_and_the_want_is_kept(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "nothing of that")
        assert "w writes a want" in flat(app)
        await press(pilot, "w")
        app.screen.query_one(Form).fill({"name": "Ada", "phone": "555 0100", "most": "60"})
        await press(pilot, "enter", "enter")
        assert "want 1 written for Ada" in seen(app)
    kept = wants(sqlite_book)[0]
    assert (kept.words, kept.name, kept.most_cents) == ("nothing of that", "Ada", 6000)


async def test_two_asks_stand_one_key_apart(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "2", "tab")
        assert app.screen.query_one("#ask", Input).value == ""
        assert "other: 08 longwagon lca rh" in seen(app)
        await say(pilot, "nothing of that")
        await press(pilot, "tab")
        assert app.screen.query_one("#ask", Input).value == "08 longwagon lca rh"
        assert "1.00 in longer" in seen(app)


async def test_the_words_of_both_asks_outlive_the_program(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, "first [/x] words")
        await press(pilot, "tab")
        await say(pilot, "second words")
    again = Donorbook(sqlite_book, "counter", "C1")
    async with again.run_test(size=SIZE) as pilot:
        await settle(pilot)
        assert again.screen.query_one("#ask", Input).value == "first [/x] words"
        await press(pilot, "tab")
        assert again.screen.query_one("#ask", Input).value == "second words"


@pytest.mark.parametrize(
    ("tag", "reason"),
    [(TAGS[2], "the socket is not there"), (TAGS[3], "held for Ada"), (TAGS[1], "1.00 in longer")],
)
async def test_why_not_this_one(app: Donorbook, tag: str, reason: str) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "n")
        app.screen.query_one(Form).fill({"tag": tag.lower()})
        await press(pilot, "enter")
        await settle(pilot)
        assert f"Why not {tag}" in seen(app)
        assert reason in seen(app)


async def test_why_not_a_part_that_is_another_thing(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "nothing of that")
        await press(pilot, "n")
        app.screen.query_one(Form).fill({"tag": TAGS[0]})
        await press(pilot, "enter")
        await settle(pilot)
        assert "It is not what was asked for." in seen(app)


async def test_enter_shows_a_line_in_full(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "enter")
        assert isinstance(app.screen, Notice)
        assert "17.25 in pivot to ball joint on both [by tape]" in flat(app)


async def test_forty_columns_show_grade_price_and_place(app: Donorbook) -> None:
    async with app.run_test(size=(40, 16)) as pilot:
        await ask(pilot)
        assert rows(app, "bolts up")[0].split() == ["1", "bolts", "up", "75", "A1-2"]


@contextmanager
def casebook_counter(template: Path, folder: Path, clock: Clock) -> Iterator[tuple[Book, Donorbook]]:
    """The counter over the casebook's rules and parts."""
    with opened(str(copy_file(template, folder / "case.book")), clock) as book:
        load_folder(book, OWNER, CASEBOOK)
        yield book, Donorbook(book, "counter")


async def test_the_casebook_yard_answers_and_sells_through_the_real_engine(
    sqlite_template: Path, tmp_path: Path, clock: Clock
) -> None:
    """The whole way over the casebook's rules: words, a line that bolts up at the top, a paid ticket."""
    with casebook_counter(sqlite_template, tmp_path, clock) as (book, app):
        async with app.run_test(size=SIZE) as pilot:
            await ask(pilot, "08 light longwagon lca rh")
            await settle(pilot)
            assert rows(app, "bolts up")[0].split()[0] == "1"
            await press(pilot, "s", "enter", "enter", "enter", "1")
            await settle(pilot)
            assert isinstance(app.screen, ReceiptSheet)
        sold = ticket(book, "1")
        assert sold.lines[0].grade == "bolts_up"
        assert part(book, sold.lines[0].tag).standing is Standing.SOLD
        assert history(book, action="ask")


async def test_a_build_month_is_answered_by_the_time_it_stands_for(
    sqlite_template: Path, tmp_path: Path, clock: Clock
) -> None:
    """Early pumps were built in before 2009-01 (the casebook's R29 to R31); the key gives that time to the ask."""
    with casebook_counter(sqlite_template, tmp_path, clock) as (_, app):
        async with app.run_test(size=SIZE) as pilot:
            await ask(pilot, "fuel pump 2009 light longwagon 26 gal")
            assert "A before 2009-01   B 2009-01 or later" in seen(app)
            await press(pilot, "B")
            await settle(pilot)
            assert rows(app, "bolts up")[0].split()[0] == "1"
            assert "· 2009-01 or later" in seen(app)


async def test_of_two_parts_asked_at_once_every_row_names_its_own(
    sqlite_template: Path, tmp_path: Path, clock: Clock
) -> None:
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, CASEBOOK)
        app = Donorbook(book, "counter")
        async with app.run_test(size=SIZE) as pilot:
            await ask(pilot, "grille and headlights 2008 brae")
            first, second, third = rows(app, "bolts up")[:3]
            assert "grille" in first
            assert "headlamp LH" in second
            assert "headlamp RH" in third


async def test_words_of_which_nothing_is_understood_stay_in_the_line(sqlite_book: Book) -> None:
    app = Donorbook(sqlite_book, "counter")
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot, "gavlock")
        await press(pilot, "v", "x")
        assert app.screen.query_one("#ask", Input).value == "gavlockvx"


async def test_what_the_part_under_the_cursor_fits(sqlite_template: Path, tmp_path: Path, clock: Clock) -> None:
    """Three keys after the answer: every vehicle the tag fits, best first."""
    with casebook_counter(sqlite_template, tmp_path, clock) as (_, app):
        async with app.run_test(size=SIZE) as pilot:
            await ask(pilot, "08 light longwagon lca rh")
            await press(pilot, "f", "enter")
            await settle(pilot)
            said = seen(app)
            assert "What S130 fits" in said
            assert said.index("light Longwagon") < said.index("won't fit")


async def test_the_palette_at_the_ask_line_offers_what_acts_there_and_names_what_acts_in_the_list(
    app: Donorbook,
) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, "08 longwagon lca rh")
        await press(pilot, "f3")
        assert "Clear the line for the next customer" in seen(app)
        said = seen(app)
        assert said.index("Open quotes") < said.index("In the list, where Enter goes:") < said.index("Sell the answer")
        await say(pilot, "sell the answer")
        await press(pilot, "enter")
        assert isinstance(app.screen, Finder)
        await press(pilot, "escape", "enter", "f3")
        await say(pilot, "sell the answer")
        assert "In the list" not in seen(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, SellSheet)
