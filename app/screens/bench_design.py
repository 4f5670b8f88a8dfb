"""A frame design entered at the bench: its look, sizes and spans, its mounts, and which models stand on it."""

from __future__ import annotations

from collections.abc import Mapping

from textual.message import Message

from app.book.bench.designs import SIZES, DesignTyped, DesignWritten, Sized, write_design
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.fit.terms import FrontSuspension, RearSuspension, Section
from app.screens.bench_walked import Walked
from app.screens.intake_frame import SPANS, SPANS_STEP, TOOLS
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import STEP_DEEDS, Step, Steps
from app.screens.parts.plain import lines

DRAFT = "frame design"
DEEDS = (
    Deed("f2", "finish", "write down", "Write the design into the book.", urgent=True),
    Deed("f4", "mounts", "mounts", "Take the mounts down, front to rear, one side and then the other.", urgent=True),
    Deed("f5", "rail", "rail", "Take the rail down, place by place.", urgent=True),
    *STEP_DEEDS,
)
STEPS = (
    Step(
        "look",
        (
            Blank("code", "short name", hint="such as: heavy open; one that is there is measured again"),
            Blank("name", "in full", hint="may stay empty"),
            Blank("section", "rails", choices=tuple(map(str, Section))),
            Blank("front", "front", choices=tuple(map(str, FrontSuspension))),
            Blank("rear", "rear", choices=tuple(map(str, RearSuspension))),
            Blank("datum", "datum", hint="the mount all is measured from; the cowl mount is usually true"),
            Blank("models", "models", hint="keys of the models that stand on it, with commas; may stay empty"),
        ),
    ),
    Step(
        "sizes",
        (
            *(Blank(name, name, hint="7 1/16, 7.10, 180 mm") for name in SIZES),
            Blank("tool of sizes", "taken with", value=TOOLS[0], choices=TOOLS),
        ),
    ),
    SPANS_STEP,
)


class DesignDone(Message):
    """The design was written."""

    def __init__(self, row: DesignWritten) -> None:
        super().__init__()
        self.row = row


class DesignView(Steps):
    """The form of a frame design."""

    NAME = "bench · frame design"
    HELP_WORDS = "What is measured here stands as a reference: the counter's answers on this frame follow from it."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who, DRAFT, STEPS)
        self.walked = Walked(DRAFT)

    def opened(self) -> None:
        """Mounts typed before are there again."""
        self.walked.restore(self)

    def on_screen_resume(self) -> None:
        """Back from the mounts."""
        self.shown_step()

    def shown_step(self) -> None:
        """How many mounts there are."""
        self.above(lines([self.walked.words, ""]))

    def action_mounts(self) -> None:
        """Take the mounts down; those of a design that is there are asked for by name."""
        self.typed.update(self.form.values())
        self.walked.design = self.typed["code"].strip() or DRAFT
        self.walked.open(self)

    def action_rail(self) -> None:
        """Take the rail down."""
        self.walked.open_rail(self)

    def sent(self) -> None:
        """Enter on the last blank."""
        self.action_finish()

    def action_finish(self) -> None:
        """Write it down."""
        self.typed.update(self.form.values())
        try:
            typed = read_design(self.typed, self.walked)
        except YardError as error:
            self.fault(error)
            return
        self.writes("design", lambda: DesignDone(write_design(self.book, self.who, typed)))

    def on_design_done(self, message: DesignDone) -> None:
        """Say what was written."""
        self.forget()
        self.walked.forget(self)
        row = message.row
        self.tell(f"frame design {row.code}: {row.mounts} mounts{' measured again' if row.again else ''}")
        self.dismiss(None)

    def failed(self, topic: str, error: YardError) -> None:
        """What cannot be written is said at its blank."""
        if topic == "design":
            self.fault(error)
        else:
            super().failed(topic, error)


def read_design(typed: Mapping[str, str], walked: Walked) -> DesignTyped:
    """The form as the book takes it.

    Raises:
        BadInput: the look is not complete.
    """
    sizes = {name: Sized(typed[name], typed["tool of sizes"]) for name in SIZES if typed[name].strip()}
    spans = {name: Sized(typed[name], typed["tool of spans"]) for name in SPANS if typed[name].strip()}
    return DesignTyped(
        code=typed["code"],
        name=typed["name"].strip(),
        section=Section(_chosen(typed, "section", tuple(map(str, Section)))),
        front=FrontSuspension(_chosen(typed, "front", tuple(map(str, FrontSuspension)))),
        rear=RearSuspension(_chosen(typed, "rear", tuple(map(str, RearSuspension)))),
        datum=typed["datum"].strip(),
        measures={**sizes, **spans},
        mounts=walked.taken,
        rail=walked.rail,
        models=tuple(key.strip() for key in typed["models"].split(",") if key.strip()),
    )


def _chosen(typed: Mapping[str, str], name: str, choices: tuple[str, ...]) -> str:
    if typed[name] not in choices:
        said = f"{typed[name]!r} is none of the list" if typed[name] else f"{name}: not looked at yet"
        raise BadInput(said, "A digit picks.", place=name)
    return typed[name]
