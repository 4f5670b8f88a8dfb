"""What is in the counter's baskets, kept with the words of both asks so that it outlives the program."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import partial

from textual.message import Message

from app.book.work import Book, Who
from app.fit.answers import AnswerLine
from app.screens.counter_acts import Acts
from app.screens.counter_ask import AskState, InBasket


class Refilled(Message):
    """What was kept of a basket was asked for again; `lost` are tags that answer it no more."""

    def __init__(self, state: AskState, found: Sequence[tuple[AnswerLine, InBasket]], lost: Sequence[str]) -> None:
        super().__init__()
        self.state = state
        self.found = tuple(found)
        self.lost = tuple(lost)


class Baskets(Acts):
    """The counter's two asks with their baskets."""

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.asks = (AskState(), AskState())
        self.at = 0

    @property
    def state(self) -> AskState:
        """The ask on the screen."""
        return self.asks[self.at]

    def keep_words(self) -> None:
        """Keep what is typed and what is in the basket."""
        self._keep(self.at)

    def _keep(self, at: int) -> None:
        form, state = f"ask {at + 1}", self.asks[at]
        if state.words.strip() or state.kept:
            self.house.keeper.keep(self.who, form, state.as_draft())
        else:
            self.house.keeper.drop(self.who, form)

    def bring_back(self) -> None:
        """Both asks as they were typed, and what was in their baskets as it is answered today."""
        for number, state in enumerate(self.asks, 1):
            draft = self.house.keeper.restore(self.who, f"ask {number}")
            if draft is None:
                continue
            state.take_draft(draft.fields)
            if state.kept:
                self.reads(f"basket {number}", partial(self._refilled, state))

    def _refilled(self, state: AskState) -> Refilled:
        found: list[tuple[AnswerLine, InBasket]] = []
        lost: list[str] = []
        for each in list(state.kept):
            line = each.line_now(self.book, self.who)
            if line is not None:
                found.append((line, each))
            else:
                lost += each.tags
        return Refilled(state, found, lost)

    def on_refilled(self, message: Refilled) -> None:
        """Into the basket again; what somebody else took meanwhile is said."""
        state = message.state
        still = [line for line, each in message.found if each in state.kept]
        put_in = [line for line in state.basket if all(line.tags != each.tags for each in still)]
        state.basket = [*still, *put_in]
        if message.lost:
            self.tell(f"not in the basket any more, for it is not free: {', '.join(message.lost)}")
        state.take_out(message.lost)
        self.keep_words()
        self.show_answer()

    def action_basket(self) -> None:
        """Into the basket, or out of it."""
        line = self.line()
        if line is not None:
            self.state.put_in_or_out(line)
            self.keep_words()
            self.show_answer()

    def taken(self, tags: Collection[str]) -> None:
        """What is on a ticket or held is in neither basket."""
        for at, state in enumerate(self.asks):
            before = len(state.kept)
            state.take_out(tags)
            if len(state.kept) != before:
                self._keep(at)
