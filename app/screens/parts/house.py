"""The program as its screens see it: the book, who sits here, what was done last, drafts, troubles."""

from __future__ import annotations

from dataclasses import dataclass

from textual.app import App
from textual.dom import DOMNode

from app.book.scanning import Scan
from app.book.work import Book, Who
from app.errors import YardError
from app.screens.parts.drafts import Keeper


@dataclass(frozen=True, slots=True)
class Told:
    """What the last act did, in words, and whether one key takes it back."""

    words: str = ""
    can_take_back: bool = False


class House(App[None]):
    """What any screen may ask of the program.

    How it tells stands in `voice.py`, what it does with scans in `hand.py`: both need the screens' parts, and those
    need this.
    """

    def __init__(self, book: Book) -> None:
        super().__init__()
        self.book = book
        self.who: Who | None = None
        self.told = Told()
        self.keeper = Keeper(book, self.trouble_from_thread)

    def tell(self, words: str, *, can_take_back: bool = False) -> None:
        """Say in one line what was done and whether it can be taken back."""
        raise NotImplementedError

    def trouble(self, error: YardError) -> None:
        """Tell of a failure."""
        raise NotImplementedError

    def trouble_from_thread(self, error: YardError) -> None:
        """Tell of a failure from another thread."""
        self.notify(error.in_one_line(), severity="error", markup=False, timeout=8)

    def take_scan(self, text: str) -> None:
        """Act on a tag or code that was typed where a scan could be."""
        raise NotImplementedError

    def take_in_mind(self, tag: str) -> None:
        """A part whose place is to follow."""
        raise NotImplementedError

    def waiting_part(self) -> str:
        """The tag scanned a moment ago whose place is to follow; empty when there is none."""
        raise NotImplementedError

    def at_seat(self) -> Who:
        """Who sits here; the owner before anybody chose a seat."""
        return self.who or Who("OW")


class TakesScans:
    """A screen that has its own use for some scans."""

    def scanned(self, found: Scan) -> bool:  # noqa: ARG002 (this one has no use for any scan)
        """Use a scan; False leaves it to the house, where part then place is a move."""
        return False

    def stock_changed(self) -> None:
        """Parts were moved, taken or freed: what is on the screen may be old."""


def house(node: DOMNode) -> House:
    """The program a widget or screen belongs to."""
    app = node.app
    assert isinstance(app, House)
    return app
