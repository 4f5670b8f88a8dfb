"""The help of a seat: every key as a sentence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget

from app.screens.parts.keys import Deed
from app.screens.parts.plain import Words, joined, left, lines
from app.screens.parts.sheets import Sheet


class Help(Sheet[bool]):
    """What can be done here and with which key."""

    def __init__(self, title: str, words: str, here: Sequence[Deed], everywhere: Sequence[Deed]) -> None:
        super().__init__(title)
        self.words = words
        self.here = here
        self.everywhere = everywhere

    def body(self) -> Iterable[Widget]:
        """The sentences, the seat's own first."""
        with_gap: list[Content | str] = [self.words, ""] if self.words else []
        with_gap += [_sentence(deed) for deed in self.here]
        with_gap += ["", "At every seat"]
        with_gap += [_sentence(deed) for deed in self.everywhere]
        with_gap += ["", "A scan of a part and then of a place moves the part, whatever is on the screen."]
        yield VerticalScroll(Words(lines(with_gap)))


def _sentence(deed: Deed) -> Content:
    return joined((left(deed.written, 7), "bold $accent"), deed.sentence)
