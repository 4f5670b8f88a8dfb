"""Harvesting at the vehicle: one question a screen, digits and Enter, and the tag when the part is in the hand."""

from __future__ import annotations

from collections.abc import Iterable

from textual import events, on
from textual.containers import VerticalScroll
from textual.message import Message
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input

from app.book.asking import ask
from app.book.donors import DonorPage, donor_page
from app.book.harvest import Doubtful, TypeRow, harvest, part_type, part_types
from app.book.parts import PartRow
from app.book.work import Book, Who
from app.errors import YardError
from app.screens.floor_steps import PART, SURE, Step, form_of, read_answer, steps, summary
from app.screens.parts.drafts import PAUSE
from app.screens.parts.keys import Deed, ReadsOn, keyed
from app.screens.parts.plain import Words, joined, lines, plain, wall_time
from app.screens.parts.seat import Head, Seat
from app.screens.parts.sheets import Sure


def begins(word: str, name: str) -> bool:
    """Whether a word of a name begins so."""
    return any(part.startswith(word) for part in name.replace("/", " ").split())


SHOWN = 9
"""Names that can be picked by digit."""
WAIT = Step("wait", "one moment")
"""Shown while the questions of a part type are looked up."""

DEEDS = (
    Deed("enter", "none", "next", "Take the answer and go on; empty skips what may be skipped."),
    Deed("1-9", "none", "pick", "Pick the line of that number."),
    Deed("escape", "back", "back", "To the question before; from the first one back to the floor. All is kept."),
)


class Known(Message):
    """The vehicle and the part types were looked up."""

    def __init__(self, page: DonorPage, names: tuple[str, ...]) -> None:
        super().__init__()
        self.page = page
        self.names = names


class Kind(Message):
    """What there is to ask about a part type."""

    def __init__(self, row: TypeRow) -> None:
        super().__init__()
        self.row = row


class Meant(Message):
    """Part types that the typed words may mean."""

    def __init__(self, typed: str, names: tuple[str, ...]) -> None:
        super().__init__()
        self.typed = typed
        self.names = names


class Harvested(Message):
    """The tag was made."""

    def __init__(self, row: PartRow) -> None:
        super().__init__()
        self.row = row


class HarvestScreen(Seat, ReadsOn):
    """The questions about one part of one vehicle; posts `Harvested` to the seat under it."""

    NAME = "harvest"
    HELP_WORDS = "One question at a time. The tag is made at the end, when the part is in your hand."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)
    AUTO_FOCUS = "#answer"
    CSS = """
    #so-far { color: $quiet; max-height: 2; }
    #restored { color: $accent; }
    #question { text-style: bold; }
    #answer { margin: 0 0 1 0; }
    #answer:focus { background: $shade; }
    #fault { margin: 0 0 1 0; }
    VerticalScroll { height: 1fr; }
    """

    def __init__(self, book: Book, who: Who, vehicle: str) -> None:
        super().__init__(book, who)
        self.vehicle = vehicle
        self.answers: dict[str, str] = {}
        self.names: tuple[str, ...] = ()
        self.offered: tuple[str, ...] = ()
        self.kind: TypeRow | None = None
        self.sure: frozenset[str] = frozenset()
        self.stopped = False
        self._half: dict[str, str] = {}
        self._pause: Timer | None = None

    @property
    def form(self) -> str:
        """The name of the draft."""
        return f"harvest {self.vehicle}"

    def body(self) -> Iterable[Widget]:
        """What is known so far, the question, its choices, the answer."""
        yield Words(id="so-far")
        yield Words(id="restored")
        yield Words(id="question")
        yield Input(id="answer", compact=True)
        yield Words(id="fault", classes="fault")
        yield VerticalScroll(Words(id="choices"), can_focus=False)

    def on_mount(self) -> None:
        """Take up what was left half done."""
        self.reads_on(self.query_one(VerticalScroll))
        kept = self.house.keeper.restore(self.who, self.form)
        if kept:
            self.answers = {name: str(value) for name, value in kept.fields.items()}
            self.query_one("#restored", Words).say(f"restored, typed at {wall_time(kept.at)}")
        self.query_one("#restored").display = kept is not None
        self.reads("vehicle", lambda: Known(donor_page(self.book, self.vehicle), part_types(self.book)))
        self._look_up_kind()
        self._half[self.answers.pop("typing at", "")] = self.answers.pop("typing", "")
        self._show_step()

    def on_key(self, event: events.Key) -> None:
        """Choices and cautions may be longer than the screen."""
        self.read_on(event.key)

    def failed(self, topic: str, error: YardError) -> None:
        """A doubtful figure is confirmed with y; other faults are said at the question."""
        if topic == "harvest" and isinstance(error, Doubtful):
            question = Sure(f"{error.title}?", "Is it so?")
            self.app.push_screen(question, lambda yes: self._doubt(error.field, yes))
            return
        if topic == "harvest":
            self.answers.pop("sure", None)
            self._show_step()
        super().failed(topic, error)

    def _doubt(self, field: str, yes: bool | None) -> None:
        if yes:
            self.sure |= {field}
            self._make()
        else:
            self.answers.pop("sure", None)
            self.answers.pop(field, None)
            self._show_step()

    def on_known(self, message: Known) -> None:
        """Say which vehicle it is and how much is off it."""
        self.names = message.names
        off = len(message.page.parts)
        row = message.page.row
        self.query_one(Head).rename(f"{row.stock_number} {row.vehicle} · {off} tagged")
        self._show_step(self.query_one("#answer", Input).value)

    def _look_up_kind(self) -> None:
        name = self.answers.get("part", "")
        if name:
            self.reads("kind", lambda: Kind(part_type(self.book, name)))

    def on_kind(self, message: Kind) -> None:
        """Go on with the questions of this part type."""
        self.kind = message.row
        self._show_step(self.query_one("#answer", Input).value)

    # the question on the screen

    def step(self) -> Step:
        """The first question without an answer."""
        if self.kind is None and PART.name in self.answers:
            return WAIT
        return next((step for step in steps(self.kind, self.answers) if step.name not in self.answers), SURE)

    def _show_step(self, typed: str = "") -> None:
        step = self.step()
        self.query_one("#so-far", Words).say(summary(self.answers))
        self.query_one("#question", Words).say(step.question)
        box = self.query_one("#answer", Input)
        box.placeholder = f"type a word of it; {len(self.names)} parts" if step is PART else step.hint
        restored = "" if typed else self._half.pop(step.name, "")
        typed = typed or restored
        box.value = typed
        if restored:
            # What is typed now stands for it, and is not added to it.
            box.select_all()
        self._say_fault("")
        self._show_choices(typed)

    def _choices(self, typed: str) -> tuple[str, ...]:
        if self.step() is not PART:
            return self.step().choices
        found = self._named(typed)
        return tuple(dict.fromkeys((*found, *(self.offered if typed else ()))))

    def _named(self, typed: str) -> list[str]:
        """The part types with all the words: "lower" is the lower arm before it is the blower."""
        words = typed.lower().split()
        found = [name for name in self.names if all(word in name.lower() for word in words)]
        return sorted(found, key=lambda name: not all(begins(word, name.lower()) for word in words))

    def _show_choices(self, typed: str) -> None:
        every = self._choices(typed)
        shown = min(SHOWN, max(self.size.height - 9, 3))
        rows = [joined((f"{n} ", "bold $accent"), choice) for n, choice in enumerate(every[:shown], 1)]
        rows += [plain(choice) for choice in self.step().allowed if choice.lower().startswith(typed.strip().lower())]
        if len(every) > shown:
            rows.append(plain(f"{shown} of {len(every)}"))
        care = [plain(words, "bold $accent") for words in self.step().must_read]
        self.query_one("#choices", Words).say(lines([*care, *rows]))

    def _say_fault(self, words: str) -> None:
        fault = self.query_one("#fault", Words)
        fault.say(words)
        fault.display = bool(words)

    # answers

    @on(Input.Changed, "#answer")
    def _typed(self, event: Input.Changed) -> None:
        typed = event.value.strip()
        picked = self._picked(typed)
        if picked is not None:
            self._take(picked)
            return
        if self.step() is PART and typed:
            self.reads("words", lambda: self._meant(typed))
        self._say_fault("")
        self._show_choices(event.value)
        if self._pause is not None:
            self._pause.stop()
        self._pause = self.set_timer(PAUSE, self.keep_now)

    def _picked(self, typed: str) -> str | None:
        choices = self._choices("" if self.step() is PART else typed)
        if self.step() is PART and typed[-1:].isdigit():
            if typed[-2:-1] == " " and self._named(typed):
                # "hub 4" begins "hub, 4x4", and is not the fourth hub.
                return None
            choices = self._choices(typed[:-1])
            typed = typed[-1]
        one_digit = len(typed) == 1 and typed.isdigit()
        return choices[int(typed) - 1] if one_digit and 1 <= int(typed) <= min(len(choices), SHOWN) else None

    def _meant(self, typed: str) -> Meant:
        asked = ask(self.book, self.who, typed, keep=False).asked
        several = [choice for meaning in asked.meanings for choice in meaning.choices]
        return Meant(typed, (*asked.part_types, *several))

    def on_meant(self, message: Meant) -> None:
        """Spoken words find their part too."""
        box = self.query_one("#answer", Input)
        if self.step() is PART and box.value.strip() == message.typed:
            self.offered = tuple(name for name in message.names if name in self.names)
            self._show_choices(box.value)

    @on(Input.Submitted, "#answer")
    def _entered(self, event: Input.Submitted) -> None:
        step, typed = self.step(), event.value
        if step.must_read and not typed.strip():
            self._take(step.choices[0])
            return
        if step is PART and not self._choices(typed):
            self._say_fault("No part is called that. Type fewer letters.")
            return
        if step is PART:
            step = Step(step.name, step.question, choices=self._choices(typed))
            typed = "1" if typed.strip() and len(step.choices) == 1 else typed
        try:
            answer = read_answer(step, typed)
        except YardError as error:
            self._say_fault(f"{error.title}. {error.remedy}")
            return
        self._take(answer)

    def _take(self, answer: str) -> None:
        step = self.step()
        if step is WAIT:
            return
        self.answers[step.name] = answer
        self.query_one("#restored").display = False
        with self.prevent(Input.Changed):
            self.query_one("#answer", Input).value = ""
        self.keep_now()
        if step is PART:
            self._look_up_kind()
        elif step is SURE:
            self._make()
        else:
            self._show_step()

    def _make(self) -> None:
        form = form_of(self.vehicle, self.answers, self.sure)
        self.writes("harvest", lambda: Harvested(harvest(self.book, self.who, form)))

    def on_harvested(self, message: Harvested) -> None:
        """Back to the floor with the new tag."""
        message.stop()
        self.stopped = True
        self.house.keeper.drop(self.who, self.form)
        self.app.pop_screen()
        self.app.screen.post_message(Harvested(message.row))

    def on_screen_suspend(self) -> None:
        """Leaving for another screen keeps what is typed."""
        self.keep_now()

    def keep_now(self) -> None:
        """Keep the answers and what is being typed."""
        if self.stopped or not self.is_mounted:
            return
        typing = self.query_one("#answer", Input).value
        fields = {name: value for name, value in self.answers.items() if name not in ("sure", "care")}
        if fields or typing:
            half = {"typing": typing, "typing at": self.step().name}
            self.house.keeper.keep(self.who, self.form, {**fields, **half})

    def action_back(self) -> None:
        """One question back, its answer in the box again; from the first one to the floor."""
        answered = [step for step in steps(self.kind, self.answers) if step.name in self.answers]
        self.keep_now()
        if not answered:
            self.app.pop_screen()
            return
        last = answered[-1]
        before = self.answers.pop(last.name)
        if last.name == PART.name:
            self.kind = None
        with self.prevent(Input.Changed):
            self._show_step("" if last.choices else before)
        # What is typed now stands for it, and is not put before it.
        self.query_one("#answer", Input).select_all()
