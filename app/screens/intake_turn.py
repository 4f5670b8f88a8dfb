"""Turning a vehicle away: who offered it, why not, and no stock number and no money."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from textual.message import Message

from app.book.intake import WALK_IN, TurnedAway, papers_reasons, turn_away
from app.book.work import Book, Who
from app.errors import YardError
from app.screens.intake_typed import ID_KINDS, SOURCES, read_seller
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Step, Steps
from app.screens.parts.plain import lines

DRAFT = "turn away"
Then = Callable[[], object]
DEEDS = (Deed("f2", "finish", "turn away", "Write the refusal down."), BACK)
BLANKS = (
    Blank("vin", "VIN"),
    Blank("words", "vehicle", hint="in words"),
    Blank("source", "offered by", value=WALK_IN, choices=SOURCES),
    Blank("seller name", "seller", hint="name on the ID"),
    Blank("seller title name", "name on title"),
    Blank("seller ID kind", "ID", choices=ID_KINDS),
    Blank("seller ID number", "ID number"),
    Blank("seller ID expires", "ID expires", hint="2025-12-31"),
    Blank("reasons", "other reasons", hint="what the papers above do not say already; one after the other, with ;"),
    Blank("photo", "photo", hint="file name"),
)


class Away(Message):
    """The refusal is written down."""

    def __init__(self, row: TurnedAway) -> None:
        super().__init__()
        self.row = row


class TurnAway(Steps):
    """The form of a refusal."""

    NAME = "intake · turn away"
    HELP_WORDS = "A refusal is a record of its own: VIN, time, reasons, photo. No stock number is used up."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who, known: Mapping[str, str], then: Then | None = None) -> None:
        super().__init__(book, who, DRAFT, [Step("turn away", BLANKS)])
        self.known = dict(known)
        self.then = then

    def opened(self) -> None:
        """What the vehicle form knew already is filled in."""
        if self.known:
            said = " ".join(self.known.get(name, "") for name in ("year", "model", "words")).strip()
            self.put({name: value for name, value in {**self.known, "words": said}.items() if name in self.typed})

    def changed(self) -> None:
        """Say what already speaks against it."""
        self.shown_step()

    def shown_step(self) -> None:
        """Say what the papers say."""
        found = self._found()
        words = "The papers say: " + "; ".join(found) if found else "The papers typed so far say nothing against it."
        self.above(lines([words, ""]))

    def _found(self) -> tuple[str, ...]:
        try:
            seller = read_seller(self.typed)
        except YardError as error:
            return (error.title,)
        today = self.book.clock().astimezone().date()
        return papers_reasons(seller, self.typed["source"], today) if seller else ()

    def sent(self) -> None:
        """Enter on the last blank."""
        self.action_finish()

    def action_finish(self) -> None:
        """Write it down."""
        self.typed.update(self.form.values())
        reasons = tuple(each.strip() for each in self.typed["reasons"].split(";") if each.strip())
        try:
            seller = read_seller(self.typed)
        except YardError as error:
            self.fault(error)
            return
        typed = dict(self.typed)
        self.writes(
            "turn away",
            lambda: Away(
                turn_away(
                    self.book,
                    self.who,
                    vin=typed["vin"],
                    words=typed["words"],
                    seller=seller,
                    source=typed["source"],
                    reasons=reasons,
                    photo=typed["photo"],
                )
            ),
        )

    def on_away(self, message: Away) -> None:
        """Done: no number, no money."""
        self.forget()
        self.tell(f"turned away: {'; '.join(message.row.reasons)}. No stock number used.")
        self.dismiss(None)
        if self.then is not None:
            self.then()

    def failed(self, topic: str, error: YardError) -> None:
        """Said at its blank."""
        if topic == "turn away":
            self.fault(error)
        else:
            super().failed(topic, error)
