"""The counter: an answer while the words are typed, keys that act on it, money that is right, nothing lost."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

from app.book.asking import wants
from app.book.finding import part
from app.book.history import history
from app.book.schema import Standing, TicketState
from app.book.sheets import load_folder
from app.book.tickets import open_tickets, ticket, unprinted_tickets
from app.book.work import Book
from app.fit.answers import Answer
from app.screens import counter_ask
from app.screens.app import Donorbook
from app.screens.counter import CounterSeat
from app.screens.counter_sheets import PaySheet, ReceiptSheet
from app.screens.counter_till import Paid, Till
from app.screens.parts.form import Form
from app.screens.parts.sheets import FormSheet, Notice
from tests.screens.hands import TAGS, arms_answer, flat, furnish, press, say, scan, seen, settle
from tests.support.books import copy_file, opened
from tests.support.clock import Clock
from tests.support.yard import OWNER

SIZE = (80, 24)
CASEBOOK = Path(__file__).parents[1] / "casebook"


class Engine:
    """Answers at once with the arms of the test yard, and remembers what it was asked."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, dict[str, str], bool]] = []
        self.gate = threading.Event()
        self.gate.set()

    def __call__(
        self, book: Book, who: object, words: str, *, facts: Mapping[str, str], keep: bool, **stated: str
    ) -> Answer:
        del book, who, stated
        self.asked.append((words, dict(facts), keep))
        if words.startswith("slow"):
            self.gate.wait(5)
        return arms_answer(words, dict(facts))


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


def rows(app: Donorbook, word: str) -> list[str]:
    return [row for row in seen(app).splitlines() if word in row]


async def ask(pilot: Any, words: str = "08 longwagon lca rh") -> None:
    """Type the words and go to the answers."""
    await settle(pilot)
    await say(pilot, words)
    await press(pilot, "enter")


async def test_the_answer_comes_while_typing_and_says_everything(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, "08 longwagon lca rh flibbertigib")
        first = rows(app, "bolts up")[0]
        assert first.split()[:5] == ["1", "bolts", "up", "75", "B"]
        assert "A1-2, seen 6 days ago" in first
        assert "17.25 in" in first
        assert "2008 · Longwagon [/x] · RH · not understood: flibbertigib" in seen(app)
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


async def test_what_is_not_to_be_sold_shows_under_d_and_cannot_be_sold(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "d")
        assert rows(app, "won't fit")
        assert "held for Ada until 10:02" in seen(app)
        await press(pilot, "down", "down")
        assert "the socket is not there" in seen(app)
        await press(pilot, "s")
        assert isinstance(app.screen, CounterSeat)


async def test_sold_in_at_most_twelve_keys_with_tax_and_total_shown(book: Book, engine: Engine) -> None:
    """75.00 at 6.25 % is 4.6875 of tax, carried up to 4.69 (half a cent up, as N.D.C.C. 57-39.4-25 has it)."""
    del engine
    app = Donorbook(furnish(book), "counter", "C1")
    keys = ["enter", "s", "enter", "enter", "enter", "1"]
    assert len(keys) <= 12
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        await say(pilot, "08 longwagon lca rh")
        await press(pilot, *keys[:-1])
        assert isinstance(app.screen, PaySheet)
        assert rows(app, "tax 6.25 %")[0].split()[-1] == "4.69"
        assert rows(app, "total")[0].split()[-1] == "79.69"
        await press(pilot, keys[-1])
        assert isinstance(app.screen, ReceiptSheet)
    sold = ticket(book, "1")
    assert (sold.state, sold.total_cents, sold.paid_how, sold.by) == (TicketState.PAID, 7969, "cash", "C1")
    assert sold.lines[0].grade == "bolts_up"
    assert part(book, TAGS[0]).standing is Standing.SOLD


async def test_two_fast_presses_of_pay_sell_once(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter")
        await pilot.press("1", "1")
        await settle(pilot)
        await settle(pilot)
    assert len(history(sqlite_book, action="sell")) == 1


async def test_a_payment_running_starts_no_second_one(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "escape")
        seat = app.screen
        assert isinstance(seat, Till)
        gate, paid = threading.Event(), []

        def pay() -> Paid:
            gate.wait(5)
            paid.append(1)
            return Paid(ticket(sqlite_book, "1"))

        assert seat.writes("pay", pay)
        assert not seat.writes("pay", pay)
        gate.set()
        await settle(pilot)
        assert paid == [1]


async def test_the_old_one_in_saves_the_core_and_a_discount_is_taken(app: Donorbook, sqlite_book: Book) -> None:
    """85.00 less 10 % is 76.50; 6.25 % of that is 4.78125; the core of 15.00 is not owed."""
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "2", "s")
        assert "old one in? 15" in seen(app)
        app.screen.query_one(Form).fill({"discount": "10", "old_one": "yes", "customer": "Ada [/x]"})
        await press(pilot, "enter", "enter", "enter", "enter")
        assert "Ada [/x]" in seen(app)
        assert rows(app, "discount")[0].split()[-1] == "-8.50"
        await press(pilot, "3")
    sold = ticket(sqlite_book, "1")
    assert (sold.total_cents, sold.core_cents, sold.tax_cents, sold.paid_how) == (8128, 0, 478, "check")
    assert sold.lines[0].said == "1.00 in longer"


async def test_a_core_that_is_not_in_is_on_the_ticket(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "2", "s", "enter", "enter", "enter", "enter")
        assert rows(app, "core")[0].split()[-1] == "15.00"
    assert open_tickets(sqlite_book)[0].core_cents == 1500


async def test_an_exempt_number_takes_the_tax_off_and_stands_on_the_ticket(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s")
        app.screen.query_one(Form).fill({"exempt": "EX-[1]"})
        await press(pilot, "enter", "enter", "enter")
        assert "tax, exempt EX-[1]" in seen(app)
    assert open_tickets(sqlite_book)[0].tax_cents == 0


async def test_a_discount_over_the_limit_must_be_read(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s")
        app.screen.query_one(Form).fill({"discount": "25"})
        await press(pilot, "enter", "enter", "enter")
        assert isinstance(app.screen, Notice)
        assert "owner's badge" in flat(app)
        await press(pilot, "enter", "s")
        assert app.screen.query_one(Form).values()["discount"] == "25"
    assert part(sqlite_book, TAGS[0]).standing is Standing.FREE


async def test_two_lines_of_a_basket_are_one_ticket(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "b", "2", "b", "s", "enter", "enter", "enter", "enter", "1")
    assert [row.tag for row in ticket(sqlite_book, "1").lines] == [TAGS[0], TAGS[1]]


async def test_card_waits_for_the_slip_and_an_open_payment_is_found_under_o(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "2")
        assert open_tickets(sqlite_book)[0].state is TicketState.NOT_RECORDED
        await press(pilot, "escape")
        assert "payment not recorded" in seen(app)
        await press(pilot, "o")
        assert "payment not recorded" in flat(app)
        await press(pilot, "1", "A", "7", "enter")
    sold = ticket(sqlite_book, "1")
    assert (sold.paid_how, sold.slip, sold.state) == ("card", "A7", TicketState.PAID)


async def test_escape_at_the_pay_sheet_leaves_the_draft_open_and_x_gives_it_up(
    app: Donorbook, sqlite_book: Book
) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "escape")
        assert part(sqlite_book, TAGS[0]).standing is Standing.ON_TICKET
        await press(pilot, "o", "1", "x")
    assert part(sqlite_book, TAGS[0]).standing is Standing.FREE
    assert not open_tickets(sqlite_book)


async def test_a_receipt_can_be_saved_and_waits_under_o_until_printed(
    app: Donorbook, sqlite_book: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "1", "f")
        await settle(pilot)
        assert (tmp_path / "receipt-1.pdf").read_bytes().startswith(b"%PDF")
        await press(pilot, "o")
        assert "paid, no receipt yet" in seen(app)
    assert [row.number for row in unprinted_tickets(sqlite_book, "counter")] == [1]


async def test_hold_takes_a_name_and_shows_until_when(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "h")
        app.screen.query_one(Form).fill({"name": "[bumper]"})
        await press(pilot, "enter", "enter")
        assert f"{TAGS[0]} held for [bumper]" in seen(app)
    assert part(sqlite_book, TAGS[0]).standing is Standing.HELD


async def test_a_half_typed_hold_comes_back_after_escape(app: Donorbook) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "h", "A", "d", "a", "escape", "h")
        assert app.screen.query_one(Form).values()["name"] == "Ada"
        assert "restored, typed at 10:02" in seen(app)


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
        await press(pilot, "enter", "enter", "enter")
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


async def test_a_paid_ticket_is_voided_with_a_reason(app: Donorbook, sqlite_book: Book) -> None:
    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s", "enter", "enter", "enter", "1", "enter", "v")
        app.screen.query_one(Form).fill({"ticket": "1", "reason": "wrong [side]"})
        await press(pilot, "enter", "enter")
        assert "wrong [side]" in seen(app)
        await press(pilot, "y")
    assert ticket(sqlite_book, "1").void_reason == "wrong [side]"
    assert part(sqlite_book, TAGS[0]).standing is Standing.FREE


async def test_a_part_sold_elsewhere_meanwhile_is_refused_with_who_has_it(app: Donorbook, sqlite_book: Book) -> None:
    from app.book.sales import Basket, Line, sell
    from app.book.work import Who

    async with app.run_test(size=SIZE) as pilot:
        await ask(pilot)
        await press(pilot, "s")
        sell(sqlite_book, Who("OW", seat="counter 2"), Basket([Line(TAGS[0])]))
        await press(pilot, "enter", "enter", "enter")
        assert isinstance(app.screen, Notice)
        assert "was sold" in flat(app)


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


async def test_the_casebook_yard_answers_and_sells_through_the_real_engine(
    sqlite_template: Path, tmp_path: Path, clock: Clock
) -> None:
    """The whole way over the casebook's rules: words, a line that bolts up at the top, a paid ticket."""
    with opened(str(copy_file(sqlite_template, tmp_path / "case.book")), clock) as book:
        load_folder(book, OWNER, CASEBOOK)
        app = Donorbook(book, "counter")
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
