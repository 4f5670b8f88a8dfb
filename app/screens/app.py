"""The terminal program: its seats, its keys, its looks, and the scans that work everywhere."""

from __future__ import annotations

import time
from collections.abc import Iterable
from functools import partial
from pathlib import Path

from textual import events
from textual.app import SystemCommand
from textual.message import Message
from textual.screen import Screen

from app.book.people import who_is
from app.book.places import put_away, take_back_move
from app.book.scanning import Scan, Scanned, scan
from app.book.work import Book, Who
from app.screens.parts.help import Help
from app.screens.parts.house import House, TakesScans
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.looks import LOOKS, next_look
from app.screens.parts.scans import PACE, Catcher
from app.screens.parts.seat import Seat
from app.screens.seats import Chooser, Opened, make_seat

IN_MIND = 180.0
"""Seconds for which a scanned part waits for its place."""

DEEDS = (
    Deed("f8", "take_back", "take back", "Take this seat's last move back.", shown=False, urgent=True),
    Deed("f6", "look", "light", "Change between paper, night and sun.", shown=False, urgent=True),
    Deed("f3", "command_palette", "find a command", "Find a command by its words.", shown=False, urgent=True),
    Deed("f10", "seats", "seats", "Choose another seat; this one stays as it is.", shown=False, urgent=True),
    Deed("f1", "help", "help", "Every key of this screen as a sentence."),
)


class Caught(Message):
    """A scan, looked up."""

    def __init__(self, found: Scan) -> None:
        super().__init__()
        self.found = found


class Moved(Message):
    """A part was moved, or a move was taken back."""

    def __init__(self, words: str, can_take_back: bool) -> None:
        super().__init__()
        self.words = words
        self.can_take_back = can_take_back


class Donorbook(House):
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
        self.part_in_mind = ("", 0.0)
        self.catcher = Catcher(self._scan, self._is_place)
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

    async def on_event(self, event: events.Event) -> None:
        """Look at every key first: a scan is taken out before a text box or a key sees it."""
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
            return
        for key in self.catcher.feed(event, self.focused):
            await super().on_event(key)
        if self.catcher.holding:
            self.set_timer(PACE * 1.2, self._let_keys_go)

    async def _let_keys_go(self) -> None:
        if self.catcher.settled(time.monotonic()):
            for key in self.catcher.let_go():
                await super().on_event(key)

    def _scan(self, text: str) -> None:
        self.reads("scan", lambda: Caught(scan(self.book, text)))

    def _is_place(self, text: str) -> bool:
        return bool(self.waiting_part()) and scan(self.book, text).kind is Scanned.PLACE

    def waiting_part(self) -> str:
        """The tag scanned a moment ago whose place is to follow; empty when there is none."""
        tag, at = self.part_in_mind
        return tag if tag and time.monotonic() - at < IN_MIND else ""

    def on_caught(self, message: Caught) -> None:
        """A seat on top may have its own use for a scan; else part then place is a move."""
        found = message.found
        if isinstance(self.screen, TakesScans) and self.screen.scanned(found):
            return
        part = self.waiting_part()
        if found.kind is Scanned.PART:
            self.part_in_mind = (found.name, time.monotonic())
            self.tell(f"{found.name} scanned: scan its place to move it")
        elif found.kind is Scanned.PLACE and part:
            who = self.at_seat()
            self.part_in_mind = ("", 0.0)
            self.writes("move", lambda: Moved(put_away(self.book, who, part, found.name).words, True))
        else:
            self.tell(found.words)

    def on_moved(self, message: Moved) -> None:
        """Say where it is now."""
        self.tell(message.words, can_take_back=message.can_take_back)

    def action_take_back(self) -> None:
        """Take the last move back."""
        who = self.at_seat()
        self.writes("take back", lambda: Moved(take_back_move(self.book, who), False))

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
