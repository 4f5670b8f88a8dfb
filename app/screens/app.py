"""The terminal program: its seats, its keys, its looks, and the scans that work everywhere."""

from __future__ import annotations

from pathlib import Path

from textual.screen import Screen

from app.book.people import who_is
from app.book.work import Book, Who
from app.screens.parts.finder import Finder
from app.screens.parts.hand import Hand
from app.screens.parts.help import Help
from app.screens.parts.keys import NARROW, Deed, keyed
from app.screens.parts.looks import LOOKS, next_look
from app.screens.parts.seat import Seat
from app.screens.seats import Chooser, Opened, make_seat

DEEDS = (
    Deed("f8", "take_back", "take back", "Take this seat's last move back.", shown=False, urgent=True),
    Deed("f6", "look", "light", "Change between paper, night and sun.", shown=False, urgent=True),
    Deed("f3", "find", "find", "Find a command by its words.", shown=False, urgent=True),
    Deed("f10", "seats", "seats", "Choose another seat; this one stays as it is.", shown=False, urgent=True),
    Deed("f1", "help", "help", "Every key of this screen as a sentence."),
)
AT_HOUSE = frozenset(deed.action for deed in DEEDS)


class Donorbook(Hand):
    """The program."""

    TITLE = "Donorbook"
    CSS_PATH = Path(__file__).parent / "parts" / "house.tcss"
    BINDINGS = keyed(DEEDS)
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (NARROW, "-wide")]
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
        """Open a seat; one that was open before is as it was left, and nothing was done at it last."""
        self.who = who
        self.tell("")
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

    def action_find(self) -> None:
        """Find what the keys do by its words, and do it."""
        screen = self.screen
        if not isinstance(screen, Seat | Chooser):
            return
        known = [deed for deed in screen.DEEDS if deed.can_be_found]
        mine = [deed for deed in known if not isinstance(screen, Seat) or screen.acts(deed)]
        away = [deed for deed in known if deed not in mine]
        everywhere = [deed for deed in DEEDS if deed.can_be_found and deed.action != "find"]

        async def picked(deed: Deed | None) -> None:
            if deed is not None:
                await self.run_action(deed.action, self if deed.action in AT_HOUSE else screen)

        words = screen.away_words() if isinstance(screen, Seat) else ""
        self.push_screen(Finder([*mine, *everywhere], away, words), picked)


def run(book: Book, seat: str | None = None, by: str | None = None) -> None:
    """Open the program on a book, at a seat if one is named.

    Raises:
        NotFound: nobody of that code works here; told before the screen is taken over.
    """
    if by is not None:
        who_is(book, by, seat or "office")
    Donorbook(book, seat, by).run()
