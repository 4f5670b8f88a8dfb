"""Weighing in, weighing out, scrap in: exact figures, the amount before the ticket, nothing editable after it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from textual.content import Content
from textual.message import Message

from app.book.donors import DonorPage, donor_page
from app.book.money import dollars
from app.book.office import settings
from app.book.scale import Weighing, WeightRow, foresee, weigh_in, weigh_out, weigh_scrap
from app.book.schema import Role, TicketKind
from app.book.work import Book, Who
from app.errors import Refused, YardError
from app.fit.mass import MassBalance
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Step, Steps
from app.screens.parts.plain import joined, lines
from app.screens.parts.sheets import FormSheet, Notice, Sure
from app.screens.scale_ticket import TicketView
from app.screens.scale_typed import PRICE_UNITS, Reckoned, read_weighing, reckon

DEEDS = (
    Deed("f2", "finish", "issue", "Show the ticket once more and issue it."),
    Deed("f4", "swap", "swap gross and tare", "Swap gross and tare."),
    Deed("f7", "let_go", "let it go", "The owner lets a doubtful hulk go, with a reason."),
    BACK,
)
WHAT = {
    TicketKind.ARRIVAL: "weigh in",
    TicketKind.HULK_OUT: "weigh out",
    TicketKind.SCRAP_IN: "scrap in",
}
GROSS_TARE = (
    Blank("gross", "gross, lb", hint="as the scale shows it"),
    Blank("tare", "tare, lb", hint="the empty truck, as the scale shows it"),
)
PRICED = (
    Blank("dirt", "dirt, %"),
    Blank("off", "other off, lb"),
    Blank("off_words", "what that is", hint="tires, wood, fuel found"),
    Blank("price", "price", hint="leave empty if none is agreed"),
    Blank("price unit", "price by the", hint="which ton?", choices=tuple(map(str, PRICE_UNITS))),
)
CARRIER = (Blank("party", "seller or buyer"), Blank("plate", "truck's plate"))
BLANKS = {
    TicketKind.ARRIVAL: (*GROSS_TARE, *CARRIER),
    TicketKind.HULK_OUT: (*GROSS_TARE, *PRICED, *CARRIER),
    TicketKind.SCRAP_IN: (
        Blank("commodity", "what it is", hint="cast blocks, harness wire"),
        *GROSS_TARE,
        *PRICED,
        *CARRIER,
    ),
}


class Before(Message):
    """What stands above the form: the vehicle's page and the scale's division."""

    def __init__(self, page: DonorPage | None, division: Decimal) -> None:
        super().__init__()
        self.page = page
        self.division = division


class Issued(Message):
    """The ticket is written."""

    def __init__(self, row: WeightRow) -> None:
        super().__init__()
        self.row = row


class Foreseen(Message):
    """What the mass balance would say, before the ticket is issued."""

    def __init__(self, form: Weighing, words: str, balance: MassBalance | None) -> None:
        super().__init__()
        self.form = form
        self.words = words
        self.balance = balance


def look_before(book: Book, vehicle: str) -> Before:
    """Read what the desk wants to see before it types."""
    division = next(row.value for row in settings(book) if row.name == "scale_division_lb")
    return Before(donor_page(book, vehicle) if vehicle else None, Decimal(division))


class WeighView(Steps):
    """One weighing."""

    NAME = "scale"
    HELP_WORDS = "Type what the scale shows. A ticket is never edited once it is issued, only voided with a reason."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who, kind: TicketKind, vehicle: str = "") -> None:
        name = f"{WHAT[kind]} {vehicle}".strip()
        super().__init__(book, who, name, [Step(name, BLANKS[kind])])
        self.kind = kind
        self.vehicle = vehicle
        self.page: DonorPage | None = None
        self.division = Decimal(20)
        self.stopped = False

    def shown_step(self) -> None:
        """Read the vehicle's page."""
        self.reads("before", lambda: look_before(self.book, self.vehicle))

    def on_before(self, message: Before) -> None:
        """Show whose weighing it is."""
        self.page, self.division = message.page, message.division
        self._show()

    def changed(self) -> None:
        """Net and amount follow the typing."""
        self.say("")
        self._show()

    @property
    def reckoned(self) -> Reckoned:
        """What the figures come to."""
        return reckon(self.typed, self.division)

    def _show(self) -> None:
        rows: list[Content | str] = []
        if self.page is not None:
            name = f"{self.page.row.stock_number}  {self.page.row.vehicle}"
            rows.append(joined((name, "bold"), f"   scale division {self.division:f} lb"))
            rows += list(self.page.holds)
            if self.kind is TicketKind.HULK_OUT:
                rows.append(self.page.balance.words if self.page.balance else "never weighed in: no mass balance")
        if self.typed["gross"].strip() and self.typed["tare"].strip():
            found = self.reckoned
            rows += [joined((words, "bold" if found.ready else "bold $accent")) for words in found.words]
            if found.amount_cents is not None:
                rows.append(joined("amount ", (dollars(found.amount_cents), "bold $accent")))
        self.above(lines([*rows, ""]))
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Swapping is offered where it helps, letting go to the owner alone."""
        if action == "swap":
            return self.reckoned.swapped
        if action == "let_go":
            return self.stopped and self.who.role is Role.OWNER
        if action == "finish":
            return None if self.busy else True
        return super().check_action(action, parameters)

    def sent(self) -> None:
        """Enter on the last blank."""
        self.action_finish()

    def action_swap(self) -> None:
        """Turn the two round and go on."""
        self.put({"gross": self.typed["tare"], "tare": self.typed["gross"]})
        self.changed()
        self.action_finish()

    def action_finish(self) -> None:
        """Show the figures once more; swapped ones go to the book as they are, which refuses and remembers them."""
        self.typed.update(self.form.values())
        self._ask("")

    def action_let_go(self) -> None:
        """Ask the owner for the reason."""
        sheet = FormSheet("Let this hulk go all the same?", [Blank("reason", "because", hint="what was looked at")])
        self.app.push_screen(sheet, lambda values: self._ask(values["reason"].strip()) if values else None)

    def _ask(self, despite: str) -> None:
        try:
            form = read_weighing(self.typed, self.vehicle, despite)
        except YardError as error:
            self.fault(error)
            return
        found = self.reckoned
        if found.swapped:
            self._issue(form)
            return
        if not found.ready:
            self.say("No ticket yet: the figures above cannot be.", fault=True)
            return
        amount = f"\namount {dollars(found.amount_cents)}" if found.amount_cents is not None else "\nno price"
        words = f"gross {form.gross:,f}   tare {form.tare:,f}\n" + "\n".join(found.words) + amount
        net = found.net_lb
        if self.kind is TicketKind.HULK_OUT and net is not None:
            self.reads("foresee", lambda: Foreseen(form, words, foresee(self.book, self.vehicle, net)))
        else:
            self._ask_sure(form, words)

    def on_foreseen(self, message: Foreseen) -> None:
        """Ask with what the mass balance says of the hulk."""
        verdict = f"\n{message.balance.words}" if message.balance is not None else ""
        self._ask_sure(message.form, message.words + verdict)

    def _ask_sure(self, form: Weighing, words: str) -> None:
        self.app.push_screen(
            Sure(f"Issue the ticket: {self.steps[0].name}?", f"{words}\nNothing on it can be changed afterwards."),
            lambda yes: self._issue(form) if yes else None,
        )

    def _issue(self, form: Weighing) -> None:
        use = {TicketKind.ARRIVAL: weigh_in, TicketKind.HULK_OUT: weigh_out, TicketKind.SCRAP_IN: weigh_scrap}
        self.writes("weigh", lambda: Issued(use[self.kind](self.book, self.who, form)))

    def on_issued(self, message: Issued) -> None:
        """The ticket takes the place of its form."""
        self.forget()
        row = message.row
        self.tell(f"weight ticket {row.number}: net {row.net:,f} {row.unit}")
        self.app.switch_screen(TicketView(self.book, self.who, row.number))

    def failed(self, topic: str, error: YardError) -> None:
        """A swap is offered to be turned; a stop names its suspects and must be read."""
        if topic != "weigh":
            super().failed(topic, error)
            return
        if _is_swap(error):
            self.say("Refused and written down. F4 swaps the two.", fault=True)
        elif isinstance(error, Refused) and "expected" in error.details:
            self.stopped = True
            who = "F7 lets it go with your reason." if self.who.role is Role.OWNER else "The owner may let it go."
            self.say(f"STOP: {error.title}. {who}", fault=True)
            self.app.push_screen(Notice(f"STOP: {error.title}", f"{error.remedy}\n{who}"))
        elif isinstance(error, Refused):
            super().failed(topic, error)
        else:
            self.fault(error)
        self.refresh_bindings()


def _is_swap(error: YardError) -> bool:
    details: Mapping[str, object] = error.details
    return bool(details.get("swap"))
