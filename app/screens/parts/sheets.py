"""Sheets laid over a seat: they ask one thing, check it, and give data back; they save nothing themselves."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import ClassVar, Generic, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen, Screen
from textual.widget import Widget

from app.book.scanning import Scan, Scanned
from app.errors import YardError
from app.screens.parts.form import Blank, BlankLine, Form
from app.screens.parts.house import TakesScans
from app.screens.parts.keys import Deed, KeyLine, ReadsOn, keyed
from app.screens.parts.plain import Words, plain

T = TypeVar("T")

LEAVE = Deed("escape", "leave", "back", "Go back; what was typed is kept.")
OTHER = Deed("f2", "other_customer", "other customer", "The sheet stays half filled, the other customer is served.")


class ServesTwo:
    """A seat at which two customers are served at once."""

    def action_other(self) -> None:
        """The other customer."""
        raise NotImplementedError


class Sheet(ModalScreen[T | None], ReadsOn, Generic[T]):
    """A sheet with a title and its own keys; Escape gives None back.

    A sheet with other keys names its `DEEDS` and sets `BINDINGS = keyed(DEEDS)`.
    """

    DEEDS: ClassVar[tuple[Deed, ...]] = (LEAVE,)
    BINDINGS = keyed((*DEEDS, OTHER))

    def __init__(self, title: str) -> None:
        super().__init__()
        self.heading = title

    def on_mount(self) -> None:
        """What was told of something else does not lie over the sheet."""
        self.app.clear_notifications()
        for scroll in self.query(VerticalScroll):
            if not isinstance(scroll, Form):
                self.reads_on(scroll)

    def compose(self) -> ComposeResult:
        """Title, body, keys."""
        with Vertical(classes="sheet"):
            yield Words(plain(self.heading, "bold"), classes="heading")
            yield from self.body()
            yield KeyLine()

    def body(self) -> Iterable[Widget]:
        """What stands on the sheet."""
        return ()

    def action_leave(self) -> None:
        """Go back with nothing."""
        self.dismiss(None)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is another customer only where two are served at once."""
        if action == OTHER.action:
            return isinstance(self._beneath(), ServesTwo)
        return super().check_action(action, parameters)

    def _beneath(self) -> Screen[object]:
        return next(screen for screen in reversed(self.app.screen_stack) if not isinstance(screen, Sheet))

    def action_other_customer(self) -> None:
        """Leave as Escape does, so that what is left open is told; then serve the other customer."""
        served = self._beneath()

        def serve() -> None:
            # Leaving a sheet may have brought the one before it back.
            while self.app.screen is not served:
                self.app.pop_screen()
            if isinstance(served, ServesTwo):
                served.action_other()

        self.action_leave()
        served.call_after_refresh(serve)


class Notice(Sheet[bool]):
    """Something that must be read."""

    DEEDS = (Deed("enter,escape,space", "leave", "read", "Close what was read.", face="Enter"),)
    BINDINGS = keyed(DEEDS)

    def __init__(self, title: str, words: str | Content = "") -> None:
        super().__init__(title)
        self.words = words

    def body(self) -> Iterable[Widget]:
        """The words, which may be longer than the screen."""
        yield VerticalScroll(Words(self.words))


class Sure(Sheet[bool]):
    """A question answered with y or n; gives True for yes."""

    DEEDS = (
        Deed("y", "say(True)", "yes", "Yes, it is so."),
        Deed("n", "say(False)", "no", "No."),
        LEAVE,
    )
    BINDINGS = keyed(DEEDS)

    def __init__(self, title: str, words: str | Content = "") -> None:
        super().__init__(title)
        self.words = words

    def body(self) -> Iterable[Widget]:
        """The question in full."""
        yield Words(self.words)

    def action_say(self, answer: bool) -> None:
        """Give the answer back."""
        self.dismiss(answer)


class Choice(Sheet[int]):
    """A short list picked by digit; gives the index of the choice."""

    DEEDS = (Deed("1-9", "pick", "pick", "Pick the line of that number."), LEAVE)
    BINDINGS = keyed(DEEDS)

    def __init__(self, title: str, choices: Sequence[str]) -> None:
        super().__init__(title)
        self.choices = tuple(choices[:9])

    def body(self) -> Iterable[Widget]:
        """One line a choice."""
        yield Words(Content("\n").join([Content(f"{n}  {choice}") for n, choice in enumerate(self.choices, 1)]))

    def action_pick(self, digit: int) -> None:
        """Give the choice back."""
        if 1 <= digit <= len(self.choices):
            self.dismiss(digit - 1)


class FormSheet(Sheet[Mapping[str, str]]):
    """A form on a sheet. `check` gets the values and may raise a `YardError`, told at its blank.

    The draft stays until the caller drops it, which it does once the thing was done.
    """

    def __init__(
        self,
        title: str,
        blanks: Sequence[Blank],
        *,
        draft: str = "",
        words: str = "",
        check: Callable[[Mapping[str, str]], object] | None = None,
    ) -> None:
        super().__init__(title)
        self.blanks = tuple(blanks)
        self.draft = draft
        self.words = words
        self._check = check
        self.form: Form | None = None

    def body(self) -> Iterable[Widget]:
        """Words, if any, and the form."""
        if self.words:
            yield Words(self.words, classes="quiet")
        self.form = Form(self.blanks, draft=self.draft)
        yield self.form
        yield Words(classes="hint")

    def on_mount(self) -> None:
        """Start at the first blank."""
        assert self.form is not None
        self.form.start()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """What belongs in the blank under the cursor, where its box does not show all of it."""
        row = event.widget.parent
        if isinstance(row, BlankLine):
            # A box has its width only when the sheet is laid out.
            self.call_after_refresh(self._tell_beneath, row)

    def _tell_beneath(self, row: BlankLine) -> None:
        hint, told = self.query_one(".hint", Words), row.told_beneath()
        hint.say(told)
        hint.display = bool(told)

    def on_form_sent(self, message: Form.Sent) -> None:
        """Check what was typed, and give it back."""
        message.stop()
        if self._check is not None:
            try:
                self._check(message.values)
            except YardError as error:
                message.form.fault(error.in_one_line(), error.place)
                return
        self.dismiss(message.values)


class ScanSheet(FormSheet, TakesScans):
    """A sheet of which the first blank may be scanned; where it is the only one, that is all it asks.

    `fault` is what was wrong with what was typed before.
    """

    def __init__(self, title: str, blanks: Sequence[Blank], takes: Scanned = Scanned.PART, *, fault: str = "") -> None:
        super().__init__(title, blanks)
        self.takes = takes
        self.wrong = fault

    def on_mount(self) -> None:
        """Say what was wrong."""
        if self.wrong and self.form is not None:
            self.form.fault(self.wrong, self.blanks[0].name)

    def scanned(self, found: Scan) -> bool:
        """Take a scan of the kind that is asked for as if it were typed."""
        if found.kind is not self.takes or self.form is None:
            return False
        self.form.fill({self.blanks[0].name: found.name})
        if len(self.blanks) == 1:
            self.dismiss(self.form.values())
        return True
