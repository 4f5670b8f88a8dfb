"""Finding a command by its words: the same deeds that the keys do, picked from a list that narrows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual import events, on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input

from app.screens.parts.keys import Deed, keyed
from app.screens.parts.plain import clip, joined, left, plain
from app.screens.parts.rows import Rows
from app.screens.parts.sheets import LEAVE, Sheet

KEY_WIDTH = 8


class Finder(Sheet[Deed]):
    """Type a word of what you want to do; Enter does it.

    What does nothing where the person stands is shown under `away_words` and cannot be picked.
    """

    DEEDS = (
        Deed("enter", "do", "do it", "Do what the cursor is on.", urgent=True),
        Deed("down,up", "none", "choose", "Another line.", face="↑↓"),
        LEAVE,
    )
    BINDINGS = keyed(DEEDS)

    def __init__(self, deeds: Sequence[Deed], away: Sequence[Deed] = (), away_words: str = "") -> None:
        super().__init__("What do you want to do?")
        self.deeds = tuple(deeds)
        self.away = tuple(away)
        self.away_words = away_words
        self.found = self.deeds
        self.found_away = self.away

    def body(self) -> Iterable[Widget]:
        """The words, and what they find."""
        yield Input(placeholder="a word of it", compact=True)
        rows = Rows(id="found")
        rows.can_focus = False
        yield rows

    def on_mount(self) -> None:
        """Everything, before a word is typed."""
        self.call_after_refresh(self._show)

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        words = event.value.lower().split()
        self.found, self.found_away = _of_words(self.deeds, words), _of_words(self.away, words)
        self._show()

    def _show(self) -> None:
        rows = self.query_one(Rows)
        # The bar comes with the rows and takes its columns from them.
        width = max(rows.scrollable_content_region.width, 20)
        shown = [_row(deed, width, "bold $accent") for deed in self.found]
        count = len(shown)
        if self.found_away:
            shown += [plain(clip(self.away_words, width)), *(_row(deed, width, "") for deed in self.found_away)]
        rows.show_rows(shown, disabled=range(count, len(shown)))

    def on_key(self, event: events.Key) -> None:
        """The cursor of the list moves while the words keep theirs."""
        rows = self.query_one(Rows)
        if event.key in ("down", "up"):
            event.stop()
            move = rows.action_cursor_down if event.key == "down" else rows.action_cursor_up
            move()

    def action_do(self) -> None:
        """Give the deed back."""
        index = self.query_one(Rows).highlighted
        if index is not None and index < len(self.found):
            self.dismiss(self.found[index])


def _of_words(deeds: Sequence[Deed], words: Sequence[str]) -> tuple[Deed, ...]:
    return tuple(deed for deed in deeds if all(word in f"{deed.word} {deed.sentence}".lower() for word in words))


def _row(deed: Deed, width: int, key_style: str) -> Content:
    return joined((left(deed.written, KEY_WIDTH), key_style), clip(deed.sentence, width - KEY_WIDTH))
