"""A seat: head line, body, the line that says what was done last, and the key line."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.actions import parse
from textual.app import ComposeResult
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from app.book.work import Book, Who
from app.screens.parts.house import House, TakesScans, house
from app.screens.parts.keys import NARROW, Deed, KeyLine
from app.screens.parts.plain import apart, joined, plain, wall_day, wall_time
from app.screens.parts.working import Working

MARGIN = 3
"""Columns beside a list on a handheld: the two edges and the bar."""


class Head(Static):
    """The first line: seat and person on the left, day and time on the right."""

    def __init__(self, words: str) -> None:
        super().__init__(markup=False)
        self.words = words

    def on_mount(self) -> None:
        """Keep the clock going."""
        self.set_interval(20, self.show_time)

    def on_resize(self) -> None:
        """Write the line for the new width."""
        self.show_time()

    def rename(self, words: str) -> None:
        """Show other words on the left."""
        self.words = words
        self.show_time()

    def show_time(self) -> None:
        """Write the line."""
        now = house(self).book.clock()
        when = wall_time(now) if self.size.width < 60 else f"{wall_day(now)}   {wall_time(now)}"
        self.update(plain(apart(self.words, when, self.size.width), "bold"))


class LastLine(Static):
    """What the last act did, and the key that takes it back."""

    def on_mount(self) -> None:
        """Show what was done before this screen was opened."""
        self.show_told()

    def on_resize(self) -> None:
        """Write the line for the new width."""
        self.show_told()

    def show_told(self) -> None:
        """Write the line."""
        told = house(self).told
        back = f"{self._key()} take back" if told.can_take_back else ""
        label = getattr(self.screen, "LAST", "") if told.words and self.size.width >= NARROW else ""
        words = apart(told.words, back, max(self.size.width - len(label), 10))
        self.update(joined((label, "$quiet"), words.removesuffix(back), (back, "$accent bold")))

    def _key(self) -> str:
        mine: Iterable[Deed] = getattr(self.screen, "DEEDS", ())
        return next((deed.written for deed in mine if deed.action == "take_back"), "F8")


class Seat(Screen[None], Working, TakesScans):
    """The base of every seat's screen.

    A seat names its `DEEDS`, sets `BINDINGS = keyed(DEEDS)` and makes its body in `body`. It keeps its state while
    the person is at another seat; what may have changed meanwhile is read again in `on_screen_resume`.
    """

    NAME: ClassVar[str] = ""
    DEEDS: ClassVar[tuple[Deed, ...]] = ()
    HELP_WORDS: ClassVar[str] = ""
    """One or two sentences at the top of the help."""
    LAST: ClassVar[str] = ""
    """What stands before what was done last, where it would be read as more of what is above it."""

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__()
        self.book = book
        self.who = who
        self._fold_shown = 0

    @property
    def fold(self) -> int:
        """Columns into which a handheld's lists fold their lines; 0 where there is room for columns."""
        width = self.app.size.width
        return width - MARGIN if width < NARROW else 0

    def on_resize(self) -> None:
        """A list is made anew where the screen becomes a handheld's, or is none any more."""
        if self.fold != self._fold_shown:
            self._fold_shown = self.fold
            self.refold()

    def refold(self) -> None:
        """Make the rows anew; a seat with lists does."""

    @property
    def house(self) -> House:
        """The program."""
        return house(self)

    def compose(self) -> ComposeResult:
        """Head, body, last line, keys."""
        yield Head(f"{self.NAME} · {self.who.code}")
        yield from self.body()
        yield LastLine()
        yield KeyLine()

    def body(self) -> Iterable[Widget]:
        """The seat's own widgets."""
        return ()

    def acts(self, deed: Deed) -> bool:
        """Whether a deed would do something where the person stands now."""
        _, action, parameters = parse(deed.action)
        return bool(self.check_action(action, parameters))

    def away_words(self) -> str:
        """What to say over the deeds that do nothing where the person stands."""
        return "Not where you stand:"

    def tell(self, words: str, *, can_take_back: bool = False) -> None:
        """Say in one line what was done."""
        self.house.tell(words, can_take_back=can_take_back)
