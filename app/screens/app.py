"""The terminal program: its seats, its keys, its looks, and the scans that work everywhere."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from pathlib import Path

from textual.app import SystemCommand
from textual.screen import Screen

from app.book.people import who_is
from app.book.work import Book, Who
from app.screens.parts.hand import Hand
from app.screens.parts.help import Help
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.looks import LOOKS, next_look
from app.screens.parts.seat import Seat
from app.screens.seats import Chooser, Opened, make_seat

DEEDS = (
    Deed("f8", "take_back", "take back", "Take this seat's last move back.", shown=False, urgent=True),
    Deed("f6", "look", "light", "Change between paper, night and sun.", shown=False, urgent=True),
    Deed("f3", "command_palette", "find a command", "Find a command by its words.", shown=False, urgent=True),
    Deed("f10", "seats", "seats", "Choose another seat; this one stays as it is.", shown=False, urgent=True),
    Deed("f1", "help", "help", "Every key of this screen as a sentence."),
)


class Donorbook(Hand):
    """The program."""

    TITLE = "Donorbook"
    CSS_PATH = Path(__file__).parent / "parts" / "house.tcss"
    BINDINGS = keyed(DEEDS)
    COMMAND_PALETTE_BINDING = "f3"
    NOTIFICATION_TIMEOUT = 6

    def __init__(self, book: Book, seat: str | None = None, by: str | None = None) -> None:
        super().__init__(book)
        self.first_seat = seat
        self.by = by
        for look in LOOKS:
            self.register_theme(look)
        self.theme = LOOKS[0].name

    def get_default_screen(self) -> Screen[None]:
        """The chooser lies under everything."""
        return Chooser(self.book, self.by)

    def on_mount(self) -> None:
        """Open the seat that was asked for."""
        if self.first_seat:
            self.sit(who_is(self.book, self.by, self.first_seat))

    def on_unmount(self) -> None:
        """Wait for the last draft to be written."""
        self.keeper.close()

    def on_opened(self, message: Opened) -> None:
        """Somebody chose a seat."""
        self.sit(message.who)

    def sit(self, who: Who) -> None:
        """Open a seat; one that was open before is as it was left."""
        self.who = who
        name = f"{who.seat} {who.code}"
        if not self.is_screen_installed(name):
            self.install_screen(make_seat(who.seat, self.book, who), name)
        self.push_screen(name)

    def action_look(self) -> None:
        """The next of the three looks."""
        self.theme = next_look(self.theme)

    def action_seats(self) -> None:
        """Back to the chooser."""
        while not isinstance(self.screen, Chooser):
            self.pop_screen()

    def action_help(self) -> None:
        """Every key as a sentence."""
        screen = self.screen
        if isinstance(screen, Seat | Chooser):
            self.push_screen(Help(screen.NAME, screen.HELP_WORDS, screen.DEEDS, DEEDS))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette finds what the keys do, and nothing else."""
        mine = [(deed, screen) for deed in screen.DEEDS] if isinstance(screen, Seat | Chooser) else []
        for deed, node in [*mine, *((deed, self) for deed in DEEDS)]:
            if not deed.takes_digit and deed.action != "command_palette":
                words = f"{deed.sentence} ({deed.written})"
                yield SystemCommand(deed.word, words, partial(self.run_action, deed.action, node))


def run(book: Book, seat: str | None = None, by: str | None = None) -> None:
    """Open the program on a book, at a seat if one is named."""
    Donorbook(book, seat, by).run()
