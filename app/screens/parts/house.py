"""The program as its screens see it: the book, who sits here, what was done last, drafts, troubles."""

from __future__ import annotations

from dataclasses import dataclass

from textual.app import App
from textual.dom import DOMNode

from app.book.scanning import Scan
from app.book.work import Book, Who
from app.errors import BadInput, NotFound, YardError
from app.screens.parts.drafts import Keeper
from app.screens.parts.sheets import Notice
from app.screens.parts.working import Working


@dataclass(frozen=True, slots=True)
class Told:
    """What the last act did, in words, and whether one key takes it back."""

    words: str = ""
    can_take_back: bool = False


class House(App[None], Working):
    """What any screen may ask of the program."""

    def __init__(self, book: Book) -> None:
        super().__init__()
        self.book = book
        self.who: Who | None = None
        self.told = Told()
        self.keeper = Keeper(book, self.trouble_from_thread)

    def tell(self, words: str, *, can_take_back: bool = False) -> None:
        """Say in one line what was done and whether it can be taken back."""
        from app.screens.parts.seat import LastLine

        self.told = Told(words, can_take_back)
        for screen in self.screen_stack:
            for line in screen.query(LastLine):
                line.show_told()

    def trouble(self, error: YardError) -> None:
        """Tell of a failure: a toast for what can be mended now, a sheet for what must be read."""
        if isinstance(error, BadInput | NotFound) or error.kind in ("paper", "doubtful"):
            self.notify(error.in_one_line(), severity="error", markup=False, timeout=8)
        else:
            # A toast would lie over the words that must be read.
            self.clear_notifications()
            self.push_screen(Notice(error.title, error.remedy))

    def trouble_from_thread(self, error: YardError) -> None:
        """The same, called from another thread."""
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
