"""Scans that work everywhere: a part and then its place is a move, whatever is on the screen."""

from __future__ import annotations

import time

from textual import events
from textual.message import Message

from app.book.places import put_away, take_back_move
from app.book.scanning import Scan, Scanned, scan
from app.book.work import Book
from app.screens.parts.house import TakesScans
from app.screens.parts.scans import PACE, Catcher
from app.screens.parts.voice import Voice

IN_MIND = 180.0
"""Seconds for which a scanned part waits for its place."""


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


class Hand(Voice):
    """The program with a scanner in its hand."""

    def __init__(self, book: Book) -> None:
        super().__init__(book)
        self._part = ("", 0.0)
        self._catcher = Catcher(self.take_scan, self._is_place)

    async def on_event(self, event: events.Event) -> None:
        """Look at every key first: a scan is taken out before a text box or a key sees it."""
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
            return
        for key in self._catcher.feed(event, self.focused):
            await super().on_event(key)
        if self._catcher.holding:
            self.set_timer(PACE * 1.2, self._let_keys_go)

    async def _let_keys_go(self) -> None:
        if self._catcher.settled(time.monotonic()):
            for key in self._catcher.let_go():
                await super().on_event(key)

    def take_scan(self, text: str) -> None:
        """Find out what a scan or a typed tag is, and act on it."""
        self.reads("scan", lambda: Caught(scan(self.book, text)))

    def _is_place(self, text: str) -> bool:
        return bool(self.waiting_part()) and scan(self.book, text).kind is Scanned.PLACE

    def waiting_part(self) -> str:
        """The tag scanned a moment ago whose place is to follow; empty when there is none."""
        tag, at = self._part
        return tag if tag and time.monotonic() - at < IN_MIND else ""

    def take_in_mind(self, tag: str) -> None:
        """A part whose place is to follow."""
        self._part = (tag, time.monotonic())

    def on_caught(self, message: Caught) -> None:
        """A screen on top may have its own use for a scan; else part then place is a move."""
        found = message.found
        if isinstance(self.screen, TakesScans) and self.screen.scanned(found):
            return
        part = self.waiting_part()
        if found.kind is Scanned.PART:
            self.take_in_mind(found.name)
            self.tell(f"{found.name} scanned: now its place")
        elif found.kind is Scanned.PLACE and part:
            who = self.at_seat()
            self.writes("move", lambda: Moved(put_away(self.book, who, part, found.name).words, True))
        else:
            self.tell(found.words)

    def on_moved(self, message: Moved) -> None:
        """Say where it is now, and let the screens look again."""
        self._part = ("", 0.0)
        self.tell(message.words, can_take_back=message.can_take_back)
        for screen in self.screen_stack:
            if isinstance(screen, TakesScans):
                screen.stock_changed()

    def action_take_back(self) -> None:
        """Take the last move back."""
        who = self.at_seat()
        self.writes("take back", lambda: Moved(take_back_move(self.book, who), False))
