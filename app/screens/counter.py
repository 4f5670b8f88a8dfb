"""The counter: one line of words, an answer before the sentence is over, and what comes of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from textual import events, on
from textual.containers import Horizontal
from textual.message import Message
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input, OptionList

from app.book.work import Book, Who
from app.fit.answers import Answer, AnswerLine
from app.screens.counter_ask import NO_IDEA, STATED, AskState, Entry, Reply
from app.screens.counter_keys import DEEDS, ON_LINE, RESERVED
from app.screens.counter_looks import Looks
from app.screens.counter_view import (
    chips,
    entry_row,
    folded,
    grade_width,
    in_full,
    nothing,
    questions,
    reasons,
    shortened,
)
from app.screens.parts.form import Blank
from app.screens.parts.keys import keyed
from app.screens.parts.plain import Words, apart, clip, lines
from app.screens.parts.rows import Rows
from app.screens.parts.seat import Head
from app.screens.parts.sheets import FormSheet, Notice

LISTEN = 0.12
"""Seconds without typing after which the words are asked."""
PANE = 9
"""Rows for what is said and asked about the answer under the cursor."""


class Answered(Message):
    """An answer came, to an ask of a certain state."""

    def __init__(self, state: AskState, serial: int, answer: Answer) -> None:
        super().__init__()
        self.state = state
        self.serial = serial
        self.answer = answer


class CounterSeat(Looks):
    """The counter's screen."""

    NAME = "counter"
    HELP_WORDS = "Type what the customer says, in any order. Enter goes to the answers; there single keys act."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)
    AUTO_FOCUS = "#ask"
    CSS = """
    #ask-line { height: 1; }
    #ask-line Words { width: 6; color: $accent; text-style: bold; }
    #chips { height: 1; color: $quiet; margin: 0 0 1 0; padding: 0 0 0 6; }
    #answers { height: 1fr; min-height: 3; }
    #folded { height: auto; color: $quiet; }
    #pane { margin: 1 0; }
    """

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.asks = (AskState(), AskState())
        self.at = 0
        self.entries: list[Entry] = []
        self._listening: Timer | None = None

    @property
    def state(self) -> AskState:
        """The ask on the screen."""
        return self.asks[self.at]

    def tag_under_cursor(self) -> str:
        """The first tag of the answer under the cursor."""
        line = self.line()
        return line.tags[0] if line is not None else ""

    def body(self) -> Iterable[Widget]:
        """Ask line, chips, answers, what is folded, the pane of reasons."""
        yield Horizontal(Words("ask ▸"), Input(id="ask", compact=True, select_on_focus=False), id="ask-line")
        yield Words(id="chips")
        yield Rows(id="answers")
        yield Words(id="folded")
        yield Words(id="pane")

    def on_mount(self) -> None:
        """Both asks come back as they were typed."""
        for number, state in enumerate(self.asks, 1):
            kept = self.house.keeper.restore(self.who, f"ask {number}")
            if kept:
                state.take_fields({name: str(value) for name, value in kept.fields.items()})
        self._show_state()

    def on_screen_resume(self) -> None:
        """Somebody else may have sold what is on the screen."""
        self.stock_changed()

    def on_resize(self) -> None:
        """Columns are as wide as the screen."""
        self.call_after_refresh(self._show_answer)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that need a line to act on are off without one."""
        in_list = self.focused is not None and self.focused.id == "answers"
        if action == "to_list":
            return not in_list
        if action == "to_line":
            return in_list
        if action in ON_LINE:
            entry = self.entry()
            sellable = entry is not None and entry.line is not None and (entry.for_sale or action == "in_full")
            return in_list and (sellable or (action == "sell" and bool(self.state.basket)))
        if action in ("want", "why_not", "fits", "fold"):
            return in_list and self.state.answer is not None
        del parameters
        return True

    # the line

    @on(Input.Changed, "#ask")
    def _typed(self, event: Input.Changed) -> None:
        if event.value == self.state.words:
            return
        self.state.new_words(event.value)
        if self._listening is not None:
            self._listening.stop()
        self._listening = self.set_timer(LISTEN, self._listen)

    def _listen(self) -> None:
        self._keep_words()
        self.ask_again()

    def _keep_words(self) -> None:
        form = f"ask {self.at + 1}"
        if self.state.words.strip():
            self.house.keeper.keep(self.who, form, self.state.as_fields())
        else:
            self.house.keeper.drop(self.who, form)

    def ask_again(self, *, keep: bool = False) -> None:
        """Ask the words on the line; an ask that is acted on is kept in the book, once."""
        state = self.state
        state.serial += 1
        if not state.words.strip():
            state.answer = None
            self._show_answer()
            return
        serial, make = state.serial, state.asking(self.book, self.who, keep=keep)
        self.reads(f"ask {self.at}", lambda: Answered(state, serial, make()))

    def on_answered(self, message: Answered) -> None:
        """Show an answer unless the words have changed since."""
        if message.serial != message.state.serial:
            return
        message.state.answer = message.answer
        if message.state is self.state:
            self._show_answer()

    @on(Input.Submitted, "#ask")
    def _entered(self) -> None:
        """To the answers; words of which nothing was understood stay under the fingers."""
        answer = self.state.answer
        if answer is None or self.entries or answer.asked.chips or not answer.asked.not_understood:
            self.action_to_list()

    def action_to_list(self) -> None:
        """To the answers; what was asked is now kept."""
        state = self.state
        self.query_one("#answers").focus()
        state.in_list = True
        said = repr(sorted(state.as_fields().items()))
        if state.words.strip() and state.written != said:
            state.written = said
            self._keep_words()
            self.ask_again(keep=True)

    def action_to_line(self) -> None:
        """Back to the words."""
        self.state.in_list = False
        self.query_one("#ask").focus()

    def action_other(self) -> None:
        """The other customer's ask."""
        self._keep_words()
        self.at = 1 - self.at
        self._show_state()

    def action_new_ask(self) -> None:
        """The next customer."""
        serial = self.state.serial
        fresh = AskState(serial=serial + 1)
        self.asks = (fresh, self.asks[1]) if self.at == 0 else (self.asks[0], fresh)
        self._keep_words()
        self._show_state()

    def _show_state(self) -> None:
        self.query_one("#ask", Input).value = self.state.words
        self.query_one("#answers" if self.state.in_list else "#ask").focus()
        if self.state.answer is None:
            self.ask_again()
        self._show_answer()

    # the answer

    def stock_changed(self) -> None:
        """Ask both again without losing the place on the list."""
        self.ask_again()
        self.asks[1 - self.at].answer = None

    def entry(self) -> Entry | None:
        """The row under the cursor."""
        index = self.query_one("#answers", Rows).highlighted
        return self.entries[index] if index is not None and index < len(self.entries) else None

    def line(self) -> AnswerLine | None:
        """The answer under the cursor."""
        entry = self.entry()
        return entry.line if entry else None

    def _show_answer(self) -> None:
        state, rows = self.state, self.query_one("#answers", Rows)
        width = max(rows.size.width - 2, 30)
        self.entries = state.entries()
        grade = grade_width(self.entries)
        shown = [entry_row(each, width, grade, in_basket=each.line in state.basket) for each in self.entries]
        headings = [index for index, each in enumerate(self.entries) if each.heading]
        rows.show_rows(shown, disabled=headings, cursor=state.cursor, of=self._how_many())
        other = self.asks[1 - self.at].words.strip()
        understood = chips(state.answer.asked) if state.answer else ""
        chip_width = self.query_one("#chips").size.width or 60
        self.query_one("#chips", Words).say(apart(understood, f"other: {clip(other, 24)}" if other else "", chip_width))
        self._show_basket()
        self.query_one("#folded", Words).say(folded(state.answer, unfolded=state.unfolded) if state.answer else "")
        self._show_reasons()

    def _show_basket(self) -> None:
        count = len(self.state.basket)
        self.query_one(Head).rename(f"counter · {self.who.code}{f' · {count} in the basket' if count else ''}")

    def _how_many(self) -> int | None:
        answer = self.state.answer
        if answer is None or answer.counted[1] <= answer.counted[0]:
            return None
        return len(self.entries) + answer.counted[1] - answer.counted[0]

    def _show_reasons(self) -> None:
        pane = self.query_one("#pane")
        width = pane.size.width or 70
        line, replies = self.line(), self.state.replies(RESERVED)
        asked = questions(self.state, replies, width)
        question = self.state.question()
        words = question.words if question else ""
        told = shortened(reasons(line, width, words), PANE - len(asked)) if line else nothing(self.state)
        self.query_one("#pane", Words).say(lines([*told, *asked]))
        self.refresh_bindings()

    @on(OptionList.OptionHighlighted, "#answers")
    def _moved(self, event: OptionList.OptionHighlighted) -> None:
        self.state.cursor = event.option_index
        self._show_reasons()

    def on_descendant_focus(self) -> None:
        """Other keys act now."""
        self.state.in_list = self.focused is not None and self.focused.id == "answers"
        self.refresh_bindings()

    def action_pick(self, digit: int) -> None:
        """To the answer of that number."""
        index = next((n for n, entry in enumerate(self.entries) if entry.rank == digit), None)
        if index is not None:
            self.query_one("#answers", Rows).highlighted = index

    def action_fold(self) -> None:
        """Show or fold what is not to be sold."""
        self.state.unfolded = not self.state.unfolded
        self._show_answer()

    def on_key(self, event: events.Key) -> None:
        """A key that answers the question on the screen."""
        if not self.state.in_list:
            return
        if event.character == NO_IDEA:
            self._no_idea()
        for reply in self.state.replies(RESERVED):
            if event.key == reply.key:
                event.stop()
                self._take_reply(reply)

    def _no_idea(self) -> None:
        question = self.state.question()
        if question is not None:
            self.state.skipped.add(question.fact)
            self._show_answer()

    def _take_reply(self, reply: Reply) -> None:
        self.state.reply(reply)
        self._keep_words()
        self.ask_again()

    def action_measure(self) -> None:
        """Type what a question asks for."""
        question = self.state.question()
        if question is None or question.fact in STATED:
            return
        sheet = FormSheet(question.words, [Blank("value", question.fact)])

        def filled(values: Mapping[str, str] | None) -> None:
            if values and values["value"].strip():
                self._take_reply(Reply("", question.fact, values["value"].strip()))

        self.app.push_screen(sheet, filled)

    # what comes of it

    def action_in_full(self) -> None:
        """Everything about the answer under the cursor."""
        line = self.line()
        if line is not None:
            self.app.push_screen(Notice(" + ".join(line.names) or line.tags[0], in_full(line, self.size.width - 4)))

    @on(OptionList.OptionSelected, "#answers")
    def _chosen(self) -> None:
        self.action_in_full()

    def action_basket(self) -> None:
        """Into the basket, or out of it."""
        line, basket = self.line(), self.state.basket
        if line is not None:
            basket.remove(line) if line in basket else basket.append(line)
            self._show_answer()

    def action_sell(self) -> None:
        """Sell the basket, or the answer under the cursor."""
        line = self.line()
        basket = list(self.state.basket) or ([line] if line else [])
        if basket:
            self.sell_lines(basket)

    def action_hold(self) -> None:
        """Hold the part under the cursor."""
        line = self.line()
        if line is not None:
            self.hold_line(line)

    def action_want(self) -> None:
        """Write the ask down as a want."""
        if self.state.answer is not None:
            self.want_answer(self.state.answer)
