"""The counter: one line of words, an answer before the sentence is over, and what comes of it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from textual import events, on
from textual.containers import Horizontal
from textual.events import Key
from textual.message import Message
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input

from app.book.work import Book, Who
from app.errors import YardError
from app.screens.counter_ask import NO_IDEA, AskState, Heard, Reply
from app.screens.counter_keys import DEEDS, ON_BASKET, ON_LINE, RESERVED
from app.screens.counter_shown import Shown
from app.screens.parts.keys import keyed
from app.screens.parts.plain import Words
from app.screens.parts.rows import Rows

LATE = 0.5
"""Seconds after which it is said that an answer is still looked for."""
KEEP = 0.4
"""Seconds without typing after which the words are kept; they are answered at every key."""


class Answered(Message):
    """An answer came, to what was `said` in an ask of a certain state."""

    def __init__(self, state: AskState, serial: int, said: str, heard: Heard) -> None:
        super().__init__()
        self.state = state
        self.serial = serial
        self.said = said
        self.heard = heard


class CounterSeat(Shown):
    """The counter's screen."""

    NAME = "counter"
    LAST = "last "
    HELP_WORDS = (
        "Type what the customer says, in any order. Enter goes to the answers; there single keys act. Beside each "
        "choice of a question stands its key: its first letter, as a capital where the small one acts, or A, B, C."
    )
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)
    AUTO_FOCUS = "#ask"
    CSS = """
    #ask-line { height: 1; }
    #ask-line Words { width: 6; color: $accent; text-style: bold; }
    #chips { height: auto; min-height: 1; color: $quiet; margin: 0 0 1 0; padding: 0 0 0 6; }
    CounterSeat.-narrow #chips { padding: 0; }
    #answers { height: 1fr; min-height: 1; scrollbar-gutter: stable; scrollbar-size-vertical: 1; }
    #folded { height: auto; color: $quiet; }
    #pane { margin: 1 0 0 0; }
    CounterSeat.-low Head, CounterSeat.-low #chips, CounterSeat.-low #pane { margin: 0; }
    """

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self._listening: Timer | None = None

    def body(self) -> Iterable[Widget]:
        """Ask line, chips, answers, what is folded, the pane of reasons."""
        yield Horizontal(Words("ask ▸"), Input(id="ask", compact=True, select_on_focus=False), id="ask-line")
        yield Words(id="chips")
        yield Rows(id="answers")
        yield Words(id="folded")
        yield Words(id="pane")

    def on_mount(self) -> None:
        """Both asks come back as they were typed."""
        self.bring_back()
        self._show_state()

    def on_screen_resume(self) -> None:
        """Somebody else may have sold what is on the screen."""
        self.stock_changed()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that need a line to act on are off without one."""
        in_list = self.focused is not None and self.focused.id == "answers"
        if action == "to_list":
            return not in_list
        if action == "to_line":
            return in_list
        if action in ON_LINE:
            # What is not to be sold may be, against the customer's written acceptance.
            sold = action == "sell" and self.held_tag() != ""
            return in_list and (self.line() is not None or sold or (action in ON_BASKET and bool(self.chosen())))
        answer = self.state.answer
        if action == "pick":
            return in_list and bool(self.entries)
        if action == "fold":
            return in_list and answer is not None and bool(answer.do_not_sell or answer.kept)
        if action in ("want", "correct", "measure"):
            return in_list and answer is not None
        if action in ("why_not", "fits"):
            return in_list and (answer is not None or self.state.typed is not None)
        if action == "release":
            return in_list and self.held_tag() != ""
        if action == "this_one":
            return in_list and bool(self.state.basket)
        if action == "take_back_reply":
            return in_list and bool(self.state.before)
        del parameters
        return True

    def away_words(self) -> str:
        """Most of what does nothing at the ask line acts in the list."""
        return super().away_words() if self.state.in_list else "In the list, where Enter goes:"

    # the line

    @on(Input.Changed, "#ask")
    def _typed(self, event: Input.Changed) -> None:
        if event.value == self.state.words:
            return
        self.state.new_words(event.value)
        if self._listening is not None:
            self._listening.stop()
        self._listening = self.set_timer(KEEP, self.keep_words)
        self.ask_again()

    def ask_again(self, *, keep: bool = False) -> None:
        """Ask the words on the line; an ask that is acted on is kept in the book, once."""
        state = self.state
        state.serial += 1
        state.keeping = state.keeping or keep
        if not state.words.strip():
            state.answer, state.typed = None, None
            self.show_answer()
        elif not state.asking_now:
            self._ask_now(state)

    def _ask_now(self, state: AskState) -> None:
        """One ask runs at a time; keys pressed meanwhile are answered by the next one."""
        serial, said, make = state.serial, state.said, state.asking(self.book, self.who, keep=state.keeping)
        state.asking_now, state.keeping = True, False
        self.reads(self._topic(state), lambda: Answered(state, serial, said, make()))
        state.times += 1
        self.set_timer(LATE, partial(self._say_late, state, state.times))

    def _say_late(self, state: AskState, times: int) -> None:
        """An answer that is not there at once is said to be looked for; keys wait for it."""
        state.late = state.is_awaited and state.times == times
        if state.late and state is self.state:
            self.show_answer()

    def _topic(self, state: AskState) -> str:
        return f"ask {id(state)}"

    def on_answered(self, message: Answered) -> None:
        """Show an answer, and ask again where the words have changed since."""
        state = message.state
        state.asking_now = state.late = False
        if state.words.strip() and (message.serial == state.serial or not state.in_list):
            state.answer, state.typed, state.answered = message.heard.answer, message.heard.typed, message.said
            if state is self.state:
                self.show_answer()
        if message.serial != state.serial and state.words.strip():
            self._ask_now(state)
        if not state.is_awaited:
            self._press_waiting(state)

    def failed(self, topic: str, error: YardError) -> None:
        """An ask that came to nothing may be asked again."""
        for state in self.asks:
            if topic == self._topic(state):
                state.asking_now, state.late, state.waiting = False, False, []
        super().failed(topic, error)

    @on(Input.Submitted, "#ask")
    def _entered(self) -> None:
        """To the answers; words of which nothing was understood stay under the fingers."""
        answer = self.state.answer
        understood = answer is not None and (answer.asked.chips or not answer.asked.not_understood)
        if answer is None or self.state.is_awaited or self.entries or understood:
            self.action_to_list()

    def action_to_list(self) -> None:
        """To the answers; what was asked is now kept."""
        state = self.state
        self.query_one("#answers").focus()
        state.in_list = True
        if state.words.strip() and state.written != state.said:
            state.written = state.said
            self.keep_words()
            self.ask_again(keep=True)

    def action_to_line(self) -> None:
        """Back to the words."""
        self.state.in_list = False
        self.query_one("#ask").focus()

    def action_other(self) -> None:
        """The other customer's ask."""
        self.keep_words()
        self.at = 1 - self.at
        self._show_state()

    def say_words(self, words: str) -> None:
        """Put words on the line as if they were typed, and go to what they find."""
        self.state.new_words(words)
        self.changed()
        self.query_one("#answers").focus()
        self.state.in_list = True

    def action_new_ask(self) -> None:
        """The next customer; on an empty line the one before is back, with what was in the basket.

        The cursor is in the line then: who pressed the key once too often types words, which must be no keys.
        """
        left, before = self.state, self.state.cleared
        blank = not (left.words.strip() or left.basket)
        fresh = before if blank and before is not None else AskState(serial=left.serial + 1, cleared=left)
        fresh.answer, fresh.in_list, left.cleared = None, False, None
        self.asks = (fresh, self.asks[1]) if self.at == 0 else (self.asks[0], fresh)
        if left.basket:
            self.tell(f"cleared with {len(left.basket)} in the basket: F9 on the empty line brings it back")
        elif fresh is before:
            self.tell("the one before is back")
        self.keep_words()
        self._show_state()

    def _show_state(self) -> None:
        box = self.query_one("#ask", Input)
        box.value = self.state.words
        box.cursor_position = len(box.value)
        self.query_one("#answers" if self.state.in_list else "#ask").focus()
        if self.state.answer is None:
            self.ask_again()
        self.show_answer()

    # the answer

    def stock_changed(self) -> None:
        """Ask both again without losing the place on the list."""
        self.ask_again()
        self.asks[1 - self.at].answer = None

    def on_descendant_focus(self) -> None:
        """Other keys act now."""
        self.state.in_list = self.focused is not None and self.focused.id == "answers"
        self.show_reasons()

    def on_key(self, event: events.Key) -> None:
        """A key that answers the question on the screen; none acts before the answer is there that it is meant for."""
        if not self.state.in_list:
            return
        if self.state.is_awaited and (event.is_printable or event.key == "enter") and event.key != "slash":
            self.state.waiting.append(event)
            event.stop()
            return
        question = self.state.question()
        if event.character == NO_IDEA and question is not None:
            self.state.skip(question)
            self.show_answer()
        for reply in self.state.replies(RESERVED):
            if event.key in (reply.key, reply.key.upper()):
                event.stop()
                self.take_reply(reply)

    def _press_waiting(self, state: AskState) -> None:
        """Press what was pressed before the answer came; what was meant for another ask than the one shown is none."""
        waiting, state.waiting = state.waiting, []
        if state is self.state and state.in_list:
            for event in waiting:
                # From the program, as the terminal's keys are: one of the seat's own would not come back to its keys.
                self.app.post_message(Key(event.key, event.character).set_sender(self.app))

    def take_reply(self, reply: Reply) -> None:
        """Take in what the customer answered."""
        self.state.reply(reply)
        self.changed()

    def changed(self) -> None:
        """The ask is another one now."""
        self.keep_words()
        box = self.query_one("#ask", Input)
        if box.value != self.state.words:
            box.value = self.state.words
        self.ask_again()

    def action_take_back_reply(self) -> None:
        """Take the customer's last answer back."""
        if self.state.take_back():
            self.changed()
