"""A donor's page: what it is, its frame and holds, what it cost and brought, what its hulk should weigh."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from app.book.boards import ReadingRow, readings
from app.book.donors import DonorPage, donor_page
from app.book.money import dollars
from app.book.papers import vehicle_paper
from app.book.parts import PartRow
from app.book.schema import TicketKind
from app.book.teardown import TorchPermit, ask_torch
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.fit.terms import Group
from app.screens.intake_drain import DrainView
from app.screens.intake_frame import SurveyView
from app.screens.office_history import HistoryView
from app.screens.parts.board import column
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.papers import send_paper
from app.screens.parts.plain import Words, joined, left, lines, right, wall_day
from app.screens.parts.rows import Rows
from app.screens.parts.sheets import FormSheet, Notice
from app.screens.scale_weigh import WeighView

DEEDS = (
    Deed("o", "weigh(True)", "weigh out", "Weigh the hulk out."),
    Deed("i", "weigh(False)", "weigh in", "Weigh the vehicle in."),
    Deed("f", "survey", "frame", "Survey the frame."),
    Deed("d", "drain", "drain", "Write down what was drained and taken off."),
    Deed("t", "torch", "torch", "Ask for the torch permit, or why not."),
    Deed("y", "history", "history", "All that was done with this vehicle."),
    BACK,
    Deed("l", "label", "label", "Send the vehicle's label to the printer, or save it."),
)


class Shown(Message):
    """The page was read, with every reading of the plate."""

    def __init__(self, page: DonorPage, read: tuple[ReadingRow, ...]) -> None:
        super().__init__()
        self.page = page
        self.read = read


class Permit(Message):
    """The torch is allowed."""

    def __init__(self, permit: TorchPermit) -> None:
        super().__init__()
        self.permit = permit


class LabelSent(Message):
    """What became of a label."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


def look(book: Book, said: str) -> Shown:
    """Read a donor's page."""
    return Shown(donor_page(book, said), readings(book, said))


class DonorView(Page):
    """One donor."""

    NAME = "donor"
    HELP_WORDS = "To date is money in less cost. The expected hulk weight is arrival net less all recorded off."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)
    DEFAULT_CSS = """
    DonorView Rows { height: 1fr; }
    """

    def __init__(self, book: Book, who: Who, stock_number: str) -> None:
        super().__init__(book, who)
        self.stock_number = stock_number
        self.page: DonorPage | None = None

    def body(self) -> Iterable[Widget]:
        """The figures, then the parts."""
        yield Words(id="page")
        yield Rows(id="parts")

    def on_screen_resume(self) -> None:
        """Read it again: a weighing or a survey may have changed it."""
        self.reads("donor", lambda: look(self.book, self.stock_number))

    def on_shown(self, message: Shown) -> None:
        """Show it."""
        self.page = message.page
        self.query_one("#page", Words).say(say_page(message.page, message.read))
        rows = [say_part(part) for part in message.page.parts]
        self.query_one(Rows).show_rows(rows or [Content("no parts yet")])
        self.query_one(Rows).focus()
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """In comes before out; nothing is weighed out twice."""
        if action == "weigh" and self.page is not None:
            weighed_in = self.page.balance is not None
            gone = self.page.row.state == "weighed out"
            return weighed_in and not gone if parameters[0] else not weighed_in and not gone
        return super().check_action(action, parameters)

    def action_weigh(self, out: bool) -> None:
        """Weigh the vehicle in, or its hulk out."""
        kind = TicketKind.HULK_OUT if out else TicketKind.ARRIVAL
        self.app.push_screen(WeighView(self.book, self.who, kind, self.stock_number))

    def action_survey(self) -> None:
        """Survey the frame."""
        self.app.push_screen(SurveyView(self.book, self.who, self.stock_number))

    def action_drain(self) -> None:
        """Write down what was drained."""
        self.app.push_screen(DrainView(self.book, self.who, self.stock_number))

    def action_torch(self) -> None:
        """The permit, or why not."""
        self.writes("torch", lambda: Permit(ask_torch(self.book, self.who, self.stock_number)))

    def on_permit(self, message: Permit) -> None:
        """The permit must be read with its caution."""
        self.tell(message.permit.words)
        self.app.push_screen(Notice(message.permit.words, message.permit.caution))

    def action_history(self) -> None:
        """All that was done with it."""
        self.app.push_screen(HistoryView(self.book, self.who, about=self.stock_number))

    def action_label(self) -> None:
        """Send the label."""
        self._label("")

    def _label(self, reason: str) -> None:
        said = self.stock_number
        self.writes("label", lambda: LabelSent(send_paper(self.book, self.who, vehicle_paper(self.book, said), reason)))

    def on_label_sent(self, message: LabelSent) -> None:
        """Say it was sent, which is all that is known."""
        self.tell(message.words)

    def failed(self, topic: str, error: YardError) -> None:
        """A second label asks for its reason."""
        if topic == "label" and isinstance(error, BadInput) and error.place == "reason":
            blank = Blank("reason", "why again", hint="smeared, lost, torn")
            sheet = FormSheet("This label was sent to a printer before", [blank])
            self.app.push_screen(sheet, lambda values: self._label(values["reason"]) if values else None)
        else:
            super().failed(topic, error)


def say_page(page: DonorPage, read: tuple[ReadingRow, ...] = ()) -> Content:
    """A donor's page as lines of 78 characters."""
    row = page.row
    built = f", built {page.built}" if page.built else ""
    miles = f", {page.miles:,} miles" if page.miles is not None else ""
    plates = ", ".join(f"{each.source} {each.read}" for each in read if each.read != row.vin)
    balance = page.balance.words if page.balance else "not weighed in yet"
    rows: list[Content | str] = [
        joined((f"{row.stock_number}  {row.vehicle}", "bold"), f"{built}{miles}"),
        _line("came", f"{wall_day(row.arrived_at)}, {page.paper}, from {page.source or 'nobody named'}; {row.state}"),
        _line("VIN", f"{row.vin or 'none'}{f'   kept as read: {plates}' if plates else ''}"),
        _line("identity", say_identities(page.identities)),
        _line("frame", str(row.frame_state)),
        *(_line("held", hold) for hold in page.holds),
        _line("costs", ", ".join(f"{kind} {dollars(cents)}" for kind, cents in page.costs) or "none"),
        _line(
            "to date",
            f"cost {dollars(page.cost_cents)}   money in {dollars(page.money_cents)}   "
            f"{dollars(page.money_cents - page.cost_cents, sign=True)}",
        ),
        _line("hulk", balance),
        "",
        _line("parts", f"{len(page.parts)} on the book"),
    ]
    return lines(rows)


def say_identities(identities: Sequence[tuple[Group, str]]) -> str:
    """Which groups of parts are off which model; one name when all four are off the same."""
    by_name: dict[str, list[str]] = {}
    for group, name in identities:
        by_name.setdefault(name, []).append(str(group))
    if len(by_name) == 1:
        return f"{next(iter(by_name))}, every group"
    return "; ".join(f"{', '.join(groups)}: {name}" for name, groups in by_name.items())


def _line(name: str, words: str) -> Content:
    return joined((left(name, 9), "$quiet"), words)


def say_part(part: PartRow) -> Content:
    """A part in the list."""
    weight = f"{part.weight_lb} lb" if part.weight_lb is not None else ""
    return joined(
        (left(part.tag, 9), "bold"),
        column(part.name, 28),
        left(str(part.condition), 6),
        column(str(part.standing), 11),
        column(part.where, 13),
        right(weight, 9),
    )
