"""Pages laid over a seat: one with its own keys, and one that asks for a long form in a few steps."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget

from app.book.work import Book, Who
from app.errors import YardError
from app.screens.parts.form import Blank, BlankLine, Form
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.plain import Words, joined, wall_time
from app.screens.parts.seat import Seat

BACK = Deed("escape", "leave", "back", "Go back; what was typed is kept.")
STEP_DEEDS = (
    BACK,
    Deed("pagedown", "step(1)", "next page", "The next page of the form.", face="PgDn", urgent=True),
    Deed("pageup", "step(-1)", "page before", "The page before.", face="PgUp", urgent=True, shown=False),
)


class Page(Seat):
    """A page over a seat's first screen; Escape goes back to what lies beneath."""

    # A rule of its own on the blank: without one its label is not styled anew when the cursor moves on.
    DEFAULT_CSS = "Page .blank:focus-within { background: $background; }"
    DEEDS: ClassVar[tuple[Deed, ...]] = (BACK,)
    BINDINGS = keyed(DEEDS)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """A page stays until what it is writing is written."""
        return None if action == "leave" and self.busy else True

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)


@dataclass(frozen=True, slots=True)
class Step:
    """One page of a long form."""

    name: str
    blanks: tuple[Blank, ...]


class Steps(Page):
    """A form in a few pages, kept as one draft at every change; Escape leaves and coming back restores.

    What is typed stands in `typed`, by the names of the blanks. `extra` is kept in the same draft.
    """

    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    Steps { overflow: hidden; }
    Steps #steps { height: 1; margin: 0 0 1 0; }
    Steps #above { height: auto; max-height: 9; }
    Steps .step { height: 1fr; }
    Steps #hint { height: auto; max-height: 3; color: $quiet; }
    Steps #said { height: auto; max-height: 9; margin: 0 0 1 0; }
    """

    def __init__(self, book: Book, who: Who, draft: str, steps: Sequence[Step]) -> None:
        super().__init__(book, who)
        self.draft = draft
        self.steps = tuple(steps)
        self.at = 0
        self.typed: dict[str, str] = {blank.name: blank.value for step in steps for blank in step.blanks}
        self.extra: dict[str, str] = {}
        self.over = False
        self._told_at_first = ""
        self.forms = [Form(step.blanks, id=f"step-{number}") for number, step in enumerate(self.steps)]

    def body(self) -> Iterable[Widget]:
        """Which page this is, what stands above the form, the form, what belongs in the blank."""
        yield Words(id="steps")
        yield Words(id="above")
        for form in self.forms:
            yield Vertical(form, classes="step")
        yield Words(id="hint")
        yield Words(id="said")

    def on_mount(self) -> None:
        """Put back what was typed before."""
        kept = self.house.keeper.restore(self.who, self.draft)
        if kept is not None:
            self.restored({name: str(value) for name, value in kept.fields.items()})
            self._told_at_first = f"restored, typed at {wall_time(kept.at)} by {kept.by}"
            self.tell(self._told_at_first)
        self.opened()
        self.show_step(self.at)

    def on_unmount(self) -> None:
        """That this form was restored is not said of the next one."""
        if self._told_at_first and self.house.told.words == self._told_at_first:
            self.tell("")

    def opened(self) -> None:
        """What is to be done once the draft is back and before the first page is shown."""

    def restored(self, fields: Mapping[str, str]) -> None:
        """Take a draft back in; the page that was open is opened again."""
        for name, value in fields.items():
            (self.typed if name in self.typed else self.extra)[name] = value
        page = self.extra.pop("page", "")
        self.at = next((n for n, step in enumerate(self.steps) if step.name == page), 0)
        for form in self.forms:
            form.fill(self.typed)

    def put(self, values: Mapping[str, str]) -> None:
        """Write into the blanks and into what is typed."""
        for form in self.forms:
            form.fill(values)
        self.typed.update(values)
        self.keep()

    def keep(self) -> None:
        """Keep all that is typed; returns at once."""
        if not self.over:
            page = {"page": self.steps[self.at].name}
            self.house.keeper.keep(self.who, self.draft, {**self.typed, **self.extra, **page})

    def forget(self) -> None:
        """The form is done: drop its draft and keep nothing more."""
        self.over = True
        self.house.keeper.drop(self.who, self.draft)

    @property
    def step(self) -> str:
        """The name of the page shown."""
        return self.steps[self.at].name

    @property
    def form(self) -> Form:
        """The form of the page shown."""
        return self.forms[self.at]

    def show_step(self, number: int) -> None:
        """Show one page, with the cursor in its first blank that asks for something."""
        self.at = max(0, min(number, len(self.steps) - 1))
        for index, box in enumerate(self.query(".step")):
            box.display = index == self.at
        names = [
            (f"{n} {step.name}" if len(self.steps) > 1 else step.name, "bold $accent" if n - 1 == self.at else "$quiet")
            for n, step in enumerate(self.steps, start=1)
        ]
        parts: list[str | tuple[str, str]] = [piece for name in names for piece in (name, "   ")]
        self.query_one("#steps", Words).say(joined(*parts[:-1]))
        self.query_one("#above", Words).say("")
        self.say("")
        self.form.start(self.first_blank())
        self.shown_step()

    def first_blank(self) -> str:
        """Where the cursor starts on this page; empty for its first blank."""
        return ""

    def shown_step(self) -> None:
        """What a page wants done when it is shown."""

    def say(self, words: str | Content, *, fault: bool = False) -> None:
        """Say something beneath the form."""
        said = self.query_one("#said", Words)
        said.set_class(fault, "fault")
        said.say(words)

    def above(self, words: str | Content) -> None:
        """Say something above the form."""
        self.query_one("#above", Words).say(words)

    def fault(self, error: YardError) -> None:
        """Say what is wrong, on the page where it is wrong and with the cursor there."""
        for number, step in enumerate(self.steps):
            if any(blank.name == error.place for blank in step.blanks):
                if number != self.at:
                    self.show_step(number)
                self.form.start(error.place)
                break
        self.say(error.in_one_line(), fault=True)

    def show_blanks(self, form: Form, names: Sequence[str]) -> None:
        """Show these blanks of a form and hide its others; what stands in a hidden one stays."""
        for row in form.query(BlankLine):
            row.display = row.blank.name in names

    def on_form_typed(self, message: Form.Typed) -> None:
        """Keep every change."""
        message.stop()
        self.typed.update(message.values)
        if message.form is self.form:
            self.keep()
            self.changed()

    def changed(self) -> None:
        """Something was typed on this page."""

    def on_form_sent(self, message: Form.Sent) -> None:
        """The end of a page: to the next, or the whole form is sent."""
        message.stop()
        self.typed.update(message.values)
        self.page_sent()

    def page_sent(self) -> None:
        """Go to the next page, or send the whole form from the last."""
        if self.at + 1 < len(self.steps):
            self.show_step(self.at + 1)
        else:
            self.sent()

    def sent(self) -> None:
        """The last page was filled in."""

    def action_step(self, by: int) -> None:
        """Turn a page."""
        self.typed.update(self.form.values())
        self.show_step(self.at + by)

    def on_descendant_blur(self, event: events.DescendantBlur) -> None:
        """A digit typed into a closed list is spelled out when the cursor leaves it."""
        row = event.widget.parent
        if isinstance(row, BlankLine) and row.blank.choices:
            row.box.value = row.blank.chosen(row.box.value)

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Say in full what belongs in the blank under the cursor: a box is too narrow for a closed list."""
        row = event.widget.parent
        if isinstance(row, BlankLine):
            # A box has its width only when the page is laid out.
            self.call_after_refresh(lambda: self.query_one("#hint", Words).say(row.told_beneath()))
