"""Draining a vehicle: gallons by fluid, the pounds they come to as they are typed, and what else came off."""

from __future__ import annotations

from textual.message import Message

from app.book.teardown import Drained, drain
from app.book.work import Book, Who
from app.errors import YardError
from app.fit.terms import Hazard
from app.fit.weights import FLUID_LB_PER_GAL, Fluid
from app.screens.intake_typed import fluid_pounds, read_drain
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Step, Steps
from app.screens.parts.plain import joined, lines

DEEDS = (Deed("f2", "finish", "write down", "Write down what was drained and taken off."), BACK)
BLANKS = (
    *(Blank(str(kind), f"{kind} gal", hint=f"{FLUID_LB_PER_GAL[kind]} lb a gallon") for kind in Fluid),
    Blank("refrigerant", "refrigerant, lb", hint="weighed; recovered by a certified person"),
    Blank("battery", "battery, lb", hint="weighed"),
    Blank("cat", "cat, lb", hint="weighed, marked and locked the same hour"),
    Blank("hours", "hours"),
    Blank("disposal", "disposal, $"),
)


class DrainDone(Message):
    """What came out."""

    def __init__(self, row: Drained) -> None:
        super().__init__()
        self.row = row


class DrainView(Steps):
    """The drain form of one vehicle."""

    NAME = "drain"
    HELP_WORDS = "Gallons are metered, the rest is weighed. No fire before the fuel is out."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who, stock_number: str) -> None:
        super().__init__(book, who, f"drain {stock_number}", [Step(f"drain {stock_number}", BLANKS)])
        self.stock_number = stock_number

    def changed(self) -> None:
        """The pounds follow the typing."""
        self.shown_step()

    def shown_step(self) -> None:
        """The caution, and the pounds so far."""
        pounds = fluid_pounds(self.typed)
        self.above(lines([Hazard.FUEL.caution, joined("fluids ", (f"{pounds:,f} lb", "bold")), ""]))

    def sent(self) -> None:
        """Enter on the last blank."""
        self.action_finish()

    def action_finish(self) -> None:
        """Write it down."""
        self.typed.update(self.form.values())
        try:
            form = read_drain(self.stock_number, self.typed)
        except YardError as error:
            self.fault(error)
            return
        self.writes("drain", lambda: DrainDone(drain(self.book, self.who, form)))

    def on_drain_done(self, message: DrainDone) -> None:
        """Done."""
        self.forget()
        row = message.row
        self.tell(f"{row.stock_number} drained: fluids {row.fluids_lb:,f} lb, {row.removed_lb:,f} lb off in all")
        self.dismiss(None)

    def failed(self, topic: str, error: YardError) -> None:
        """A hold must be read; the rest is said at its blank."""
        if topic == "drain" and error.place:
            self.fault(error)
        else:
            super().failed(topic, error)
