"""What holds at every seat: scans are moves, drafts outlive the program, brackets are text, looks, help, palette."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import pytest
from textual.color import Color
from textual.widget import Widget
from textual.widgets import Input

from app.book.drafts import drafts
from app.book.finding import part
from app.book.schema import Whereabouts
from app.book.tags import ALPHABET
from app.book.work import Book, Who
from app.errors import BadInput, Refused
from app.screens.app import DEEDS, Donorbook
from app.screens.counter import CounterSeat
from app.screens.floor import FloorSeat
from app.screens.parts.form import Blank, Form
from app.screens.parts.help import KEY_WIDTH, Help
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.looks import LOOKS
from app.screens.parts.plain import Words
from app.screens.parts.scans import PACE
from app.screens.parts.seat import Seat
from app.screens.parts.sheets import FormSheet, Notice
from app.screens.seats import Chooser
from tests.screens.hands import SHELF_TAG, TAGS, flat, furnish, listen, press, scan, seen, settle

WHO = Who("OW", seat="bench")


class PaperSeat(Seat):
    """A seat with nothing but a form and one key."""

    NAME = "paper"
    HELP_WORDS = "A seat for trying out."
    DEEDS = (Deed("k", "knock", "knock", "Knock on the [door]."),)
    BINDINGS = keyed(DEEDS)

    def body(self) -> Iterable[Widget]:
        """Two blanks."""
        yield Form([Blank("price", "price"), Blank("pay", "pay", choices=("cash", "card"))], draft="paper")

    def action_knock(self) -> None:
        """Say that somebody knocked."""
        self.tell("knocked on [/x]")


def at_paper(book: Book) -> Donorbook:
    """The program with the paper seat installed where `sit` finds it."""
    app = Donorbook(book)
    app.install_screen(PaperSeat(book, WHO), "bench OW")
    return app


async def sit(app: Donorbook) -> None:
    app.sit(WHO)


async def test_two_scans_are_a_move_while_a_price_box_has_the_cursor(sqlite_book: Book) -> None:
    app = at_paper(furnish(sqlite_book))
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        await press(pilot, "1", "2")
        await scan(pilot, TAGS[3])
        await scan(pilot, SHELF_TAG)
        assert app.screen.query_one(Form).values()["price"] == "12"
        assert part(sqlite_book, TAGS[3]).place == "A1-2"
        assert f"{TAGS[3]} is in A1-2" in seen(app)
        await press(pilot, "f8")
        assert part(sqlite_book, TAGS[3]).whereabouts is Whereabouts.IN_HAND


async def test_a_scanned_code_of_a_place_is_known_while_a_part_waits(sqlite_book: Book) -> None:
    app = at_paper(furnish(sqlite_book))
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        await scan(pilot, TAGS[3])
        await scan(pilot, "A1-3")
        assert part(sqlite_book, TAGS[3]).place == "A1-3"
        assert app.screen.query_one(Form).values() == {"price": "", "pay": ""}


async def test_a_scan_over_an_open_sheet_moves_and_sets_off_no_key(sqlite_book: Book) -> None:
    app = at_paper(furnish(sqlite_book))
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        app.push_screen(Notice("Read this"))
        await settle(pilot)
        await scan(pilot, TAGS[3])
        await scan(pilot, SHELF_TAG)
        assert isinstance(app.screen, Notice)
        assert part(sqlite_book, TAGS[3]).place == "A1-2"


async def test_a_misread_scan_is_said_and_lands_nowhere(sqlite_book: Book) -> None:
    app = at_paper(furnish(sqlite_book))
    wrong = TAGS[3][:-1] + next(symbol for symbol in ALPHABET if symbol != TAGS[3][-1])
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        await scan(pilot, wrong)
        assert "misread" in seen(app)
        assert app.screen.query_one(Form).values()["price"] == ""


async def test_slow_typing_of_a_tag_stays_in_the_box(sqlite_book: Book) -> None:
    app = at_paper(furnish(sqlite_book))
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        for key in (*TAGS[3], "enter"):
            await pilot.press(key)
            await pilot.pause(PACE * 1.6)
        assert app.screen.query_one(Form).values()["price"] == TAGS[3]


async def test_a_place_that_refuses_the_part_must_be_read_and_keeps_the_part_in_mind(sqlite_book: Book) -> None:
    app = at_paper(furnish(sqlite_book))
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        await scan(pilot, TAGS[3])
        await scan(pilot, "AL-1")
        assert isinstance(app.screen, Notice)
        await scan(pilot, SHELF_TAG)
        assert part(sqlite_book, TAGS[3]).place == "A1-2"


async def test_what_was_typed_outlives_the_program(sqlite_book: Book) -> None:
    app = at_paper(sqlite_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        await press(pilot, "1", "2", "8", "enter", "2")
        await listen(pilot)
        # Read by another connection while the program still runs: a kill now loses nothing.
        kept = drafts(sqlite_book, WHO)[0]
        assert kept.fields == {"price": "128", "pay": "2"}
    again = at_paper(sqlite_book)
    async with again.run_test(size=(80, 24)) as pilot:
        await sit(again)
        await settle(pilot)
        assert again.screen.query_one(Form).values() == {"price": "128", "pay": "card"}
        assert "restored, typed at 10:02" in seen(again)


async def test_the_last_key_before_leaving_is_kept_without_a_pause(sqlite_book: Book) -> None:
    app = at_paper(sqlite_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        app.screen.query_one(Input).value = "7"
        await pilot.pause()
    assert drafts(sqlite_book, WHO)[0].fields["price"] == "7"


async def test_brackets_of_people_are_shown_as_they_are(sqlite_book: Book) -> None:
    app = at_paper(sqlite_book)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await sit(app)
        await settle(pilot)
        app.tell("[bumper] and [/x] are text")
        app.trouble(BadInput("[/x] is no price", "Type [dollars]."))
        await settle(pilot)
        assert "[bumper] and [/x] are text" in seen(app)
        assert "[/x] is no price. Type [dollars]." in flat(app)
        app.trouble(Refused("[/x] may not do this", "Ask [the owner].", action="try"))
        await settle(pilot)
        assert isinstance(app.screen, Notice)
        assert "[/x] may not do this" in seen(app)
        assert "Ask [the owner]." in seen(app)


async def test_a_fault_is_told_at_its_blank_and_the_sheet_stays(sqlite_book: Book) -> None:
    def check(values: Mapping[str, str]) -> None:
        raise BadInput(f"{values['price']} is too dear", "Type less.", place="price")

    app = at_paper(sqlite_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        app.push_screen(FormSheet("Buy", [Blank("price", "price"), Blank("note", "note")], check=check))
        await settle(pilot)
        await press(pilot, "9", "enter", "enter")
        assert "9 is too dear. Type less." in seen(app)
        assert app.focused is app.screen.query(Input).first()


async def test_three_looks_in_a_round_and_words_to_read_in_each(sqlite_book: Book) -> None:
    app = Donorbook(sqlite_book)
    async with app.run_test(size=(80, 24)) as pilot:
        met = []
        for _ in LOOKS:
            met.append(app.theme)
            await press(pilot, "f6")
        assert met == [look.name for look in LOOKS]
        assert app.theme == met[0]


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: str(look.name))
def test_every_color_of_text_can_be_read_on_its_ground(look: object) -> None:
    """Contrast by the formula of WCAG 2.2 (4.5 to 1 for text; 7 to 1 for the look made for sun)."""

    def light(color: str) -> float:
        parts = [channel / 255 for channel in Color.parse(color).rgb]
        red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    theme = next(each for each in LOOKS if each is look)
    ground, shade = str(theme.background), theme.variables["shade"]
    for ink in (str(theme.foreground), str(theme.accent), theme.variables["quiet"]):
        for paper in (ground, shade):
            bright, dark = sorted((light(ink), light(paper)), reverse=True)
            least = 7 if theme.name == "sun" and paper == ground else 4.5
            assert (bright + 0.05) / (dark + 0.05) >= least, (ink, paper)


async def test_help_says_every_key_of_the_seat_as_a_sentence(sqlite_book: Book) -> None:
    app = at_paper(sqlite_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        await press(pilot, "f1")
        assert isinstance(app.screen, Help)
        assert "Knock on the [door]." in seen(app)
        for deed in DEEDS:
            assert deed.sentence in flat(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, PaperSeat)


@pytest.mark.parametrize("seat", [CounterSeat, FloorSeat, Chooser])
def test_no_two_deeds_of_a_seat_share_a_key_and_each_has_its_sentence(seat: type[Seat]) -> None:
    keys = [key for deed in (*seat.DEEDS, *DEEDS) for key in deed.key.split(",")]
    assert len(keys) == len(set(keys))
    assert all(deed.sentence.endswith(".") and deed.word for deed in seat.DEEDS)


async def test_the_palette_finds_a_deed_of_the_seat_and_does_it(sqlite_book: Book) -> None:
    app = at_paper(sqlite_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        await press(pilot, "f3")
        await press(pilot, *"knock")
        await pilot.pause(0.3)
        await press(pilot, "enter")
        await settle(pilot)
        assert "knocked on [/x]" in seen(app)


async def test_a_long_sentence_of_the_help_wraps_under_itself_on_a_handheld(sqlite_book: Book) -> None:
    app = Donorbook(sqlite_book, "counter")
    async with app.run_test(size=(40, 16)) as pilot:
        await settle(pilot)
        await press(pilot, "f1")
        words = app.screen.query_one("#sentences", Words)
        rows = [words.render_line(y).text for y in range(words.size.height)]
        at = next(n for n, row in enumerate(rows) if row.startswith("Enter"))
        below = rows[at + 1 : next(n for n, row in enumerate(rows) if row.startswith("1-9"))]
        assert below
        assert all(row.startswith(" " * KEY_WIDTH) for row in below), below


async def test_a_seat_is_as_it_was_left(sqlite_book: Book) -> None:
    app = at_paper(sqlite_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await sit(app)
        await settle(pilot)
        await press(pilot, "4", "f10")
        assert isinstance(app.screen, Chooser)
        await sit(app)
        await settle(pilot)
        assert app.screen.query_one(Form).values()["price"] == "4"
