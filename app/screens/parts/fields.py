"""A form of one-line fields: arrows and Enter move, closed lists answer to digits, nothing typed is lost."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, Static

JOIN = "; "


@dataclass(frozen=True, slots=True)
class Field:
    """One line of a form.

    `choices` makes it a closed list that digits pick from, and with `many` a checklist they tick.
    """

    name: str
    label: str
    hint: str = ""
    choices: tuple[str, ...] = ()
    many: bool = False
    start: str = ""


class FieldInput(Input):
    """The input of one field."""

    def __init__(self, field: Field) -> None:
        super().__init__(value=field.start, compact=True, select_on_focus=False)
        self.field = field


class ChoiceInput(FieldInput):
    """An input that shows one word of a closed list, or several of a checklist; digits choose."""

    async def _on_key(self, event: events.Key) -> None:
        if event.key in ("backspace", "delete"):
            self.value = ""
        elif event.is_printable:
            self._take(event.character or "")
        else:
            return
        event.stop()
        event.prevent_default()

    def _on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()

    def _take(self, char: str) -> None:
        """A digit takes its word; a letter takes the next word that begins with it."""
        choices = self.field.choices
        if char.isdigit():
            if not 1 <= int(char) <= len(choices):
                self.restricted()
                return
            self._choose(choices[int(char) - 1])
            return
        behind = choices.index(self.value) + 1 if self.value in choices else 0
        order = (*choices[behind:], *choices[:behind])
        found = next((word for word in order if word.lower().startswith(char.lower())), None)
        if found is None:
            self.restricted()
        else:
            self._choose(found)

    def _choose(self, word: str) -> None:
        if not self.field.many:
            self.value = word
        else:
            ticked = [each for each in self.value.split(JOIN) if each]
            kept = [each for each in ticked if each != word] if word in ticked else [*ticked, word]
            self.value = JOIN.join(each for each in self.field.choices if each in kept)
        self.cursor_position = len(self.value)


class Fields(VerticalScroll, can_focus=False):
    """The fields of one page, one a line."""

    DEFAULT_CSS = """
    Fields { height: 1fr; scrollbar-size-vertical: 1; }
    Fields .field { height: 1; }
    Fields .field .label { width: 22; height: 1; padding-right: 1; }
    Fields .field FieldInput { width: 1fr; height: 1; }
    Fields .field.refused .label { text-style: bold reverse; }
    """

    class Changed(Message):
        """Something was typed; `values` is the whole page."""

        def __init__(self, form: Fields, name: str, values: dict[str, str]) -> None:
            super().__init__()
            self.form = form
            self.name = name
            self.values = values

        @property
        def control(self) -> Fields:
            """The form."""
            return self.form

    class Entered(Message):
        """Another field has the cursor; `words` says what belongs in it."""

        def __init__(self, form: Fields, name: str, words: str) -> None:
            super().__init__()
            self.form = form
            self.name = name
            self.words = words

        @property
        def control(self) -> Fields:
            """The form."""
            return self.form

    class Finished(Message):
        """Enter on the last field."""

        def __init__(self, form: Fields, values: dict[str, str]) -> None:
            super().__init__()
            self.form = form
            self.values = values

        @property
        def control(self) -> Fields:
            """The form."""
            return self.form

    def __init__(self, fields: Sequence[Field], *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.fields = tuple(fields)
        self._rows: dict[str, Horizontal] = {}
        self._inputs: dict[str, FieldInput] = {}

    def compose(self) -> ComposeResult:
        """One line a field: its label, then what is typed."""
        for field in self.fields:
            typed = ChoiceInput(field) if field.choices else FieldInput(field)
            row = Horizontal(Static(Content(field.label), classes="label"), typed, classes="field")
            self._rows[field.name], self._inputs[field.name] = row, typed
            yield row

    @property
    def values(self) -> dict[str, str]:
        """What is typed, by field name."""
        return {name: typed.value for name, typed in self._inputs.items()}

    @property
    def at(self) -> str:
        """The field under the cursor, or an empty name."""
        return next((name for name, typed in self._inputs.items() if typed.has_focus), "")

    def fill(self, values: Mapping[str, str]) -> None:
        """Put values in without telling anybody that they changed."""
        with self.prevent(Input.Changed):
            for name, value in values.items():
                if name in self._inputs:
                    self._inputs[name].value = value
                    self._inputs[name].cursor_position = len(value)

    def take(self, name: str, value: str) -> None:
        """Put one value in as if it had been typed."""
        self._inputs[name].value = value
        self._inputs[name].cursor_position = len(value)

    def ask_only(self, names: Iterable[str]) -> None:
        """Show these fields and hide the others; what is typed in a hidden one stays."""
        wanted = set(names)
        for name, row in self._rows.items():
            row.display = name in wanted

    def go_to(self, name: str = "") -> None:
        """Put the cursor into a field, the first one shown if no such field is."""
        shown = self._shown()
        if shown:
            self._inputs[name if name in shown else shown[0]].focus()

    def refuse(self, name: str) -> bool:
        """Mark a field as refused and go there; False when no such field is shown."""
        self.accept()
        if name not in self._shown():
            return False
        self._rows[name].add_class("refused")
        self.go_to(name)
        return True

    def accept(self) -> None:
        """Take every mark of refusal away."""
        for row in self._rows.values():
            row.remove_class("refused")

    def _shown(self) -> list[str]:
        return [name for name, row in self._rows.items() if row.display]

    def _step(self, by: int) -> bool:
        shown = self._shown()
        if self.at not in shown:
            return False
        there = shown.index(self.at) + by
        if not 0 <= there < len(shown):
            return False
        self.go_to(shown[there])
        return True

    def on_key(self, event: events.Key) -> None:
        """Up and down go from line to line."""
        if event.key in ("up", "down") and self._step(-1 if event.key == "up" else 1):
            event.stop()

    @on(Input.Submitted)
    def _next(self, event: Input.Submitted) -> None:
        event.stop()
        if not self._step(1):
            self.post_message(self.Finished(self, self.values))

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        if isinstance(event.input, FieldInput):
            name = event.input.field.name
            self._rows[name].remove_class("refused")
            self.post_message(self.Changed(self, name, self.values))

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Say what belongs in the field that the cursor came to."""
        if isinstance(event.widget, FieldInput):
            field = event.widget.field
            self.post_message(self.Entered(self, field.name, say_field(field)))


def say_field(field: Field) -> str:
    """What belongs in a field: its hint and its numbered choices."""
    numbered = "  ".join(f"{number} {word}" for number, word in enumerate(field.choices, start=1))
    ticks = "digits tick and untick: " if field.many else ""
    return " · ".join(part for part in (field.hint, f"{ticks}{numbered}" if numbered else "") if part)
