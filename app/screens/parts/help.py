"""The help of a seat: every key as a sentence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget

from app.screens.parts.keys import Deed
from app.screens.parts.plain import Words, hanging, lines, plain
from app.screens.parts.sheets import Sheet

SCANS = "A scan of a part and then of a place moves the part, whatever is on the screen."
KEY_WIDTH = 7


class Help(Sheet[bool]):
    """What can be done here and with which key."""

    def __init__(self, title: str, words: str, here: Sequence[Deed], everywhere: Sequence[Deed]) -> None:
        super().__init__(title)
        self.words = words
        self.here = here
        self.everywhere = everywhere

    def body(self) -> Iterable[Widget]:
        """The sentences, the seat's own first."""
        yield VerticalScroll(Words(id="sentences"))

    def on_resize(self) -> None:
        """Sentences wrap under themselves, whatever the width."""
        width = self.query_one(VerticalScroll).scrollable_content_region.width or self.size.width - 4
        rows: list[Content | str] = [self.words, ""] if self.words else []
        for deed in self.here:
            rows += _sentence(deed, width)
        rows += ["", plain("At every seat", "bold")]
        for deed in self.everywhere:
            rows += _sentence(deed, width)
        self.query_one("#sentences", Words).say(lines([*rows, "", SCANS]))


def _sentence(deed: Deed, width: int) -> list[Content]:
    return hanging(deed.written, deed.sentence, KEY_WIDTH, width, label_style="bold $accent")
