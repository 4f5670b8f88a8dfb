"""What stands on the counter's screen: what was understood, the list, what is kept apart, and the pane of reasons."""

from __future__ import annotations

from textual import on
from textual.content import Content
from textual.widgets import OptionList

from app.book.work import Book, Who
from app.screens.counter_ask import Entry
from app.screens.counter_basket import Baskets
from app.screens.counter_heard import understood, unheard
from app.screens.counter_keys import RESERVED
from app.screens.counter_pane import basket_words, found_words, kept_words, nothing, pane_room, questions
from app.screens.counter_reasons import fitted, reasons
from app.screens.counter_rows import columns, entry_row
from app.screens.counter_view import folded
from app.screens.parts.keys import LOW, NARROW
from app.screens.parts.plain import Words, clip, joined, lines
from app.screens.parts.rows import Rows
from app.screens.parts.seat import Head

FRAME, LOW_FRAME = 8, 4
"""Rows of a screen and of a low one that neither list, pane, nor what was understood can have."""
LOOKING = "looking …"


class Shown(Baskets):
    """The counter's answer on the screen, and the cursor in it."""

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.entries: list[Entry] = []

    def on_resize(self) -> None:
        """Columns are as wide as the screen; a low one has no blank lines."""
        self.set_class(self.size.height < LOW, "-low")
        self.call_after_refresh(self.show_answer)

    def entry(self) -> Entry | None:
        """The row under the cursor."""
        index = self.query_one("#answers", Rows).highlighted
        return self.entries[index] if index is not None and index < len(self.entries) else None

    def show_answer(self) -> None:
        """Write the answer, its list and its reasons."""
        state, rows = self.state, self.query_one("#answers", Rows)
        width = max(rows.scrollable_content_region.width - 2, 30)
        self.entries = state.entries()
        named = state.answer is not None and state.answer.asked.several_parts
        laid = columns(self.entries, width, state.asked_for(), named=named)
        shown = [entry_row(each, laid, in_basket=state.in_basket(each.line)) for each in self.entries]
        headings = [index for index, each in enumerate(self.entries) if each.heading]
        rows.show_rows(shown, disabled=headings, cursor=state.cursor, of=self._how_many())
        self.query_one("#chips", Words).say(self._heard())
        self._show_head()
        folds = self.query_one("#folded", Words)
        folds.say(self._folded())
        folds.display = bool(self._folded())
        self.show_reasons()

    def _heard(self) -> Content:
        """What was understood, and on lines of their own what was not."""
        state, narrow = self.state, self.size.width < NARROW
        width = max(self.size.width - (2 if narrow else 8), 20)
        if state.late:
            return Content(LOOKING)
        if state.typed is not None:
            return Content(clip(state.typed.title, width))
        if state.answer is None:
            return Content("")
        asked = state.answer.asked
        missed = unheard(asked, width, 1 if self.size.height < LOW else 2)
        return lines([*understood(asked, width, 2), *(joined((row, "bold $accent")) for row in missed)])

    def _folded(self) -> str:
        answer = self.state.answer
        apart = folded(answer, unfolded=self.state.unfolded, width=self.size.width) if answer else ""
        return "\n".join(filter(None, (basket_words(self.state, self.size.width), apart)))

    def _show_head(self) -> None:
        count, other = len(self.state.basket), self.asks[1 - self.at].words.strip()
        basket = f"{count} in the basket" if count else ""
        said = ["counter", self.who.code, basket, f"other: {clip(other, 24)}" if other else ""]
        self.query_one(Head).rename(" · ".join(filter(None, said)))

    def _how_many(self) -> int | None:
        answer = self.state.answer
        if answer is None or answer.counted[1] <= answer.counted[0]:
            return None
        return len(self.entries) + answer.counted[1] - answer.counted[0]

    def show_reasons(self) -> None:
        pane = self.query_one("#pane")
        width = pane.size.width or 70
        line, replies, room = self.line(), self.state.replies(RESERVED), self._pane_room()
        asked = questions(self.state, replies, width, room)
        question = self.state.question()
        words = question.words if question else ""
        in_list, entry = self.state.in_list, self.entry()
        if self.state.typed is not None:
            told = found_words(self.state.typed, line, width, room, in_list=in_list)
        elif line is not None:
            told = fitted(reasons(line, words), width, room - len(asked), in_list=in_list)
        elif entry is not None and entry.kept is not None:
            told = kept_words(entry.kept, width)
        else:
            told = nothing(self.state, width)
        self.query_one("#pane", Words).say(lines([*told, *asked]))
        self.refresh_bindings()

    def _pane_room(self) -> int:
        frame = LOW_FRAME if self.size.height < LOW else FRAME
        heard = max(self._heard().plain.count("\n") + 1, 1)
        return pane_room(self.size.height - frame - heard - len(self._folded().splitlines()), len(self.entries))

    @on(OptionList.OptionHighlighted, "#answers")
    def _moved(self, event: OptionList.OptionHighlighted) -> None:
        self.state.cursor = event.option_index
        self.show_reasons()

    def action_pick(self, digit: int) -> None:
        """To the answer of that number."""
        index = next((n for n, entry in enumerate(self.entries) if entry.rank == digit), None)
        if index is not None:
            self.query_one("#answers", Rows).highlighted = index

    def action_fold(self) -> None:
        """Show or fold what is not to be sold."""
        self.state.unfolded = not self.state.unfolded
        self.show_answer()
        rows = self.query_one("#answers", Rows)
        if self.state.unfolded and (first := self.state.first_folded()):
            # Its heading on top, so that what was asked for is what is seen.
            rows.highlighted = first if self.entries[first].kept else first + 1
            self.call_after_refresh(rows.scroll_to, y=first, animate=False)
