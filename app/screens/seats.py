"""The seats of the yard and the screen that chooses one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import ClassVar

from textual.app import ComposeResult
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input

from app.book.drafts import drafts
from app.book.office import settings
from app.book.people import people, who_is
from app.book.work import Book, Who
from app.errors import YardError
from app.screens.parts.house import TakesScans, house
from app.screens.parts.keys import NARROW, Deed, KeyLine, keyed
from app.screens.parts.plain import Words, joined, left, lines
from app.screens.parts.seat import Head, LastLine, Seat
from app.screens.parts.working import Working


@dataclass(frozen=True, slots=True)
class SeatEntry:
    """A seat: its digit is its place in the list; `module` is loaded when it is first opened."""

    name: str
    module: str
    screen: str
    words: str


SEATS = (
    SeatEntry("intake", "app.screens.intake", "IntakeSeat", "buy, papers, plates, frame, drain"),
    SeatEntry("floor", "app.screens.floor", "FloorSeat", "harvest, tag, put away"),
    SeatEntry("counter", "app.screens.counter", "CounterSeat", "what fits, hold, sell"),
    SeatEntry("scale", "app.screens.scale", "ScaleSeat", "weigh in, weigh out, tickets"),
    SeatEntry("office", "app.screens.office", "OfficeSeat", "yesterday, trucks, people"),
    SeatEntry("bench", "app.screens.bench", "BenchSeat", "measure and compare frames"),
)


def make_seat(name: str, book: Book, who: Who) -> Seat:
    """Load a seat's screen, which nothing does before it is wanted."""
    entry = next(entry for entry in SEATS if entry.name == name)
    made = getattr(import_module(entry.module), entry.screen)(book, who)
    assert isinstance(made, Seat)
    return made


@dataclass(frozen=True, slots=True)
class Waiting:
    """What the chooser shows besides the seats: the yard's name, the people's codes, drafts by seat."""

    yard: str
    codes: tuple[str, ...]
    drafts: dict[str, int]


class Looked(Message):
    """What waits was read."""

    def __init__(self, waiting: Waiting) -> None:
        super().__init__()
        self.waiting = waiting


def look(book: Book, code: str) -> Looked:
    """Read what the chooser shows."""
    yard = next((row.value for row in settings(book) if row.name == "yard_name"), "")
    waiting = {entry.name: len(drafts(book, Who(code, seat=entry.name))) for entry in SEATS}
    return Looked(Waiting(yard, tuple(row.code for row in people(book)), waiting))


DEEDS = (
    Deed("1-6", "seat", "seat", "Open the seat of that number."),
    Deed("q", "app.quit", "quit", "Leave the program; what is typed is kept."),
    Deed("escape", "drop_seat", "back", "Choose another seat.", shown=False),
)


class Chooser(Screen[None], Working, TakesScans):
    """The first screen: who sits where."""

    BINDINGS = keyed(DEEDS)
    DEEDS: ClassVar[Sequence[Deed]] = DEEDS
    AUTO_FOCUS = ""
    NAME = "the yard"
    HELP_WORDS = "A digit opens a seat. In a book with people the program asks who sits there."

    def __init__(self, book: Book, code: str | None) -> None:
        super().__init__()
        self.book = book
        self.code = code
        self.given = code is not None
        self.waiting = Waiting("", (), {})
        self.wanted = ""

    def compose(self) -> ComposeResult:
        """The yard's name, the seats, who."""
        yield Head("")
        yield Words(id="seats")
        yield Words(id="who-words")
        yield Input(id="who", compact=True, placeholder="code; Enter alone is the owner")
        yield LastLine()
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the seats at once and what waits a moment later."""
        self._ask_who(False)
        self._show()

    def on_screen_resume(self) -> None:
        """Read what waits again."""
        self.reads("look", lambda: look(self.book, self.code or "OW"))

    def on_looked(self, message: Looked) -> None:
        """Show what waits."""
        self.waiting = message.waiting
        self._show()

    def on_resize(self) -> None:
        """A narrow screen shows the names alone."""
        self._show()

    def _show(self) -> None:
        self.query_one(Head).rename(self.waiting.yard)
        rows = []
        wide = self.size.width >= NARROW
        for digit, entry in enumerate(SEATS, 1):
            count = self.waiting.drafts.get(entry.name, 0)
            waits = f"{count} half done" if count else ""
            rows.append(
                joined(
                    (f" {digit}  ", "bold $accent"),
                    (left(entry.name, 10), "bold"),
                    entry.words if wide else "",
                    "  ",
                    (waits, "bold"),
                )
            )
        self.query_one("#seats", Words).say(lines(rows))

    def _ask_who(self, asking: bool) -> None:
        for name in ("#who", "#who-words"):
            self.query_one(name).display = asking
        self.refresh_bindings()

    def action_seat(self, digit: int) -> None:
        """Open a seat, asking who sits there when there are people to choose from."""
        self.wanted = SEATS[digit - 1].name
        if self.given or len(self.waiting.codes) < 2:
            self._open(self.code)
            return
        self._ask_who(True)
        known = ", ".join(self.waiting.codes)
        self.query_one("#who-words", Words).say(joined((f"who sits at {self.wanted}? ", "bold"), known))
        box = self.query_one("#who", Input)
        box.value = self.code or ""
        box.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """The person said who."""
        self._open(event.value.strip() or None)

    def _open(self, code: str | None) -> None:
        try:
            who = who_is(self.book, code, self.wanted)
        except YardError as error:
            house(self).trouble(error)
            return
        self.code = code
        self.action_drop_seat()
        self.post_message(Opened(who))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is a seat to drop only while it is asked who sits there."""
        if action == "drop_seat":
            return self.is_mounted and bool(self.query_one("#who").display)
        return super().check_action(action, parameters)

    def action_drop_seat(self) -> None:
        """Ask for no seat."""
        self.set_focus(None)
        self._ask_who(False)


class Opened(Message):
    """A person sits down at a seat."""

    def __init__(self, who: Who) -> None:
        super().__init__()
        self.who = who
