"""Forms: one line a blank, Enter to the next, and nothing typed is ever lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Input

from app.screens.parts.drafts import PAUSE
from app.screens.parts.house import house
from app.screens.parts.plain import Words, wall_time

LABEL, NARROW_LABEL = 17, 11
"""Columns of a label beside its box, and on a narrow screen; a longer one has a line of its own above it."""


@dataclass(frozen=True, slots=True)
class Blank:
    """One blank of a form: its name (the `place` of errors), its label, what stands in it, a hint, choices.

    A blank `aside` is one that few need: Enter passes it by, the arrow goes there. One that is typed `anew` loses
    what stands in it with the first key.
    """

    name: str
    label: str
    value: str = ""
    hint: str = ""
    choices: tuple[str, ...] = ()
    aside: bool = False
    anew: bool = False

    @property
    def told(self) -> str:
        """The hint under an empty blank; choices can be picked by digit."""
        if not self.choices:
            return self.hint
        return "  ".join(f"{number} {choice}" for number, choice in enumerate(self.choices, 1))

    def chosen(self, typed: str) -> str:
        """What was typed, with a digit or a beginning turned into the choice it stands for."""
        plain = typed.strip()
        if not self.choices or not plain:
            return plain
        exact = [choice for choice in self.choices if choice.lower() == plain.lower()]
        if not exact and plain.isdigit() and 1 <= int(plain) <= len(self.choices):
            return self.choices[int(plain) - 1]
        starting = [choice for choice in self.choices if choice.lower().startswith(plain.lower())]
        return (exact or starting or [plain])[0]


class BlankLine(Horizontal):
    """A blank on the screen: label, box, hint or fault."""

    def __init__(self, blank: Blank) -> None:
        super().__init__(classes="blank")
        self.blank = blank
        self.set_class(cell_len(blank.label) > LABEL, "-long")
        self.set_class(cell_len(blank.label) > NARROW_LABEL, "-longish")
        # A choice is picked anew and not typed on to.
        again = bool(blank.choices) or blank.anew
        self.box = Input(blank.value, placeholder=blank.told, compact=True, select_on_focus=again)

    def told_beneath(self) -> str:
        """Hint and choices in full where the box does not show them: it is too narrow, or something stands in it."""
        full = "   ".join(dict.fromkeys(filter(None, (self.blank.hint, self.blank.told))))
        hidden = bool(self.box.value) or bool(self.blank.choices)
        return full if hidden or cell_len(full) > self.box.size.width - 1 else ""

    def compose(self) -> ComposeResult:
        """Label and box on one line."""
        yield Words(self.blank.label, classes="label")
        yield self.box


class Form(VerticalScroll):
    """A column of blanks. Enter goes to the next blank and from the last one sends the form.

    With a `draft` name what is typed is kept in the book at every pause, and comes back when the form is
    opened again; call `done` when it was finished for good.
    """

    can_focus = False

    class Sent(Message):
        """The form was filled in: its values by name."""

        def __init__(self, form: Form, values: Mapping[str, str]) -> None:
            super().__init__()
            self.form = form
            self.values = values

        @property
        def control(self) -> Form:
            """The form."""
            return self.form

    class Typed(Message):
        """Something changed: the values as they stand."""

        def __init__(self, form: Form, values: Mapping[str, str]) -> None:
            super().__init__()
            self.form = form
            self.values = values

        @property
        def control(self) -> Form:
            """The form."""
            return self.form

    def __init__(self, blanks: Sequence[Blank], *, draft: str = "", id: str | None = None) -> None:
        super().__init__(id=id)
        self.blanks = tuple(blanks)
        self.draft = draft
        self._rows = [BlankLine(blank) for blank in self.blanks]
        self._pause: Timer | None = None
        self._unkept = False
        self._restored = Words(classes="restored")
        self._fault = Words(classes="fault")

    def compose(self) -> ComposeResult:
        """What was restored, the blanks, and the fault if there is one."""
        yield self._restored
        yield from self._rows
        yield self._fault

    def on_mount(self) -> None:
        """Put back what was typed before."""
        self._restored.display = self._fault.display = False
        kept = house(self).keeper.restore(house(self).at_seat(), self.draft) if self.draft else None
        if kept:
            self.fill({name: str(value) for name, value in kept.fields.items()})
            self._restored.say(f"restored, typed at {wall_time(kept.at)}")
            self._restored.display = True

    def values(self) -> dict[str, str]:
        """What stands in the blanks, choices spelled out."""
        return {row.blank.name: row.blank.chosen(row.box.value) for row in self._rows}

    def fill(self, values: Mapping[str, str]) -> None:
        """Write into the blanks that are named."""
        for row in self._rows:
            if row.blank.name in values:
                row.box.value = values[row.blank.name]

    def start(self, name: str = "") -> None:
        """Put the cursor into a blank, the first one if none is named."""
        row = next((row for row in self._rows if row.blank.name == name), self._rows[0])
        row.box.focus()

    def fault(self, words: str, place: str = "") -> None:
        """Say what is wrong, with the cursor where it is wrong."""
        self._fault.say(words)
        self._fault.display = bool(words)
        if any(row.blank.name == place for row in self._rows):
            self.start(place)
        if words:
            self._fault.scroll_visible()

    def done(self) -> None:
        """The form is finished: forget its draft."""
        self._unkept = False
        if self.draft:
            house(self).keeper.drop(house(self).at_seat(), self.draft)

    def keep_now(self) -> None:
        """Keep what is typed without waiting for a pause."""
        if self._unkept and self.draft:
            self._unkept = False
            raw = {row.blank.name: row.box.value for row in self._rows}
            house(self).keeper.keep(house(self).at_seat(), self.draft, raw)

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self._unkept = True
        if self._pause is not None:
            self._pause.stop()
        self._pause = self.set_timer(PAUSE, self.keep_now)
        self.post_message(self.Typed(self, self.values()))

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        shown = [row for row in self._rows if row.display]
        here = next(place for place, row in enumerate(shown) if row.box is event.input)
        following = next((row for row in shown[here + 1 :] if not row.blank.aside), None)
        if following is not None:
            following.box.focus()
            return
        self.keep_now()
        self.post_message(self.Sent(self, self.values()))

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """A label above its box is seen with it."""
        if isinstance(event.widget.parent, BlankLine):
            event.widget.parent.scroll_visible(animate=False)

    def on_descendant_blur(self) -> None:
        """Leaving a blank keeps it."""
        self.keep_now()

    def on_unmount(self) -> None:
        """Closing the form keeps it."""
        self.keep_now()

    def on_key(self, event: events.Key) -> None:
        """Arrows go from blank to blank."""
        if event.key in ("down", "up"):
            event.stop()
            step = self.screen.focus_next if event.key == "down" else self.screen.focus_previous
            step()
