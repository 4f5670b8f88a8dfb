"""A weight ticket as it was issued: to print, to save, to void with a reason, never to edit."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from app.book.money import dollars, say_price
from app.book.papers import weight_paper
from app.book.scale import WeightRow, void_weight, weight_ticket
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.papers import save_paper, send_paper
from app.screens.parts.plain import Words, joined, left, lines, right
from app.screens.parts.seat import Seat
from app.screens.parts.sheets import Choice, FormSheet

PRINT = Deed("p", "print", "print", "Send the ticket to the printer.")
SAVE = Deed("e", "save", "save", "Save the ticket as a PDF or a picture.")
VOID = Deed("v", "void", "void", "Void the ticket with a reason; what it did is taken back.")
DEEDS = (PRINT, SAVE, VOID, BACK)
SUFFIXES = (".pdf", ".png")


class TicketRead(Message):
    """The ticket as it stands."""

    def __init__(self, row: WeightRow) -> None:
        super().__init__()
        self.row = row


class PaperDone(Message):
    """What became of its paper."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


class Voided(Message):
    """The ticket is void."""

    def __init__(self, row: WeightRow) -> None:
        super().__init__()
        self.row = row


class TicketPaper(Seat):
    """A page that prints, saves and voids the weight ticket `number` names."""

    def number(self) -> int | None:
        """The ticket meant; None when there is none."""
        raise NotImplementedError

    def action_print(self) -> None:
        """Send it to the printer."""
        self._print("")

    def _print(self, reason: str) -> None:
        number = self.number()
        if number is not None:
            self.writes(
                "print",
                lambda: PaperDone(send_paper(self.book, self.who, weight_paper(self.book, str(number)), reason)),
            )

    def action_save(self) -> None:
        """Ask how, then save it."""
        if self.number() is not None:
            self.app.push_screen(Choice("Save the ticket as", ["PDF", "picture (PNG)"]), self._save)

    def _save(self, index: int | None) -> None:
        number = self.number()
        if index is not None and number is not None:
            self.writes("save", lambda: PaperDone(self._saved(number, SUFFIXES[index])))

    def _saved(self, number: int, suffix: str) -> str:
        file: Path = save_paper(self.book, weight_paper(self.book, str(number)), suffix)
        return f"weight ticket {number} saved as {file}"

    def on_paper_done(self, message: PaperDone) -> None:
        """Say where it went."""
        self.tell(message.words)

    def action_void(self) -> None:
        """Ask for the reason."""
        number = self.number()
        if number is not None:
            sheet = FormSheet(f"Void weight ticket {number}?", [Blank("reason", "because")], check=_has_reason)
            self.app.push_screen(sheet, lambda values: self._void(number, values["reason"]) if values else None)

    def _void(self, number: int, reason: str) -> None:
        self.writes("void", lambda: Voided(void_weight(self.book, self.who, str(number), reason)))

    def on_voided(self, message: Voided) -> None:
        """Say so and show it."""
        self.tell(f"weight ticket {message.row.number} voided: {message.row.void_reason}")
        self.on_screen_resume()

    def on_screen_resume(self) -> None:
        """Read again."""

    def failed(self, topic: str, error: YardError) -> None:
        """A second copy asks for its reason."""
        if topic == "print" and isinstance(error, BadInput) and error.place == "reason":
            sheet = FormSheet("This ticket was sent to a printer before", [Blank("reason", "why again")])
            self.app.push_screen(sheet, lambda values: self._print(values["reason"]) if values else None)
        else:
            super().failed(topic, error)


def _has_reason(values: object) -> None:
    reason = values.get("reason", "") if isinstance(values, dict) else ""
    if not reason.strip():
        raise BadInput("a void needs a reason", "Say why.", place="reason")


class TicketView(TicketPaper, Page):
    """One weight ticket."""

    NAME = "weight ticket"
    HELP_WORDS = "A ticket is never edited. A wrong one is voided with a reason and weighed again."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who, number: int) -> None:
        super().__init__(book, who)
        self._number = number
        self.row: WeightRow | None = None

    def number(self) -> int | None:
        """This ticket."""
        return self._number

    def body(self) -> Iterable[Widget]:
        """The figures."""
        yield Words(id="ticket")

    def on_screen_resume(self) -> None:
        """Read it again."""
        self.reads("ticket", lambda: TicketRead(weight_ticket(self.book, str(self._number))))

    def on_ticket_read(self, message: TicketRead) -> None:
        """Show it."""
        self.row = message.row
        self.query_one("#ticket", Words).say(say_ticket(message.row))
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A void ticket is not voided again."""
        if action == "void" and self.row is not None and self.row.void_reason:
            return False
        return super().check_action(action, parameters)


def say_ticket(row: WeightRow) -> Content:
    """A ticket as lines, figures to the right."""
    rows: list[Content | str] = [
        joined((f"weight ticket {row.number}   {row.tag}   {row.kind}", "bold")),
        f"{row.donor or row.commodity}   {row.party}   {row.plate}".rstrip(),
        "",
        _figure("gross", f"{row.gross:,f}", f"{row.gross_at.astimezone():%Y-%m-%d %H:%M}"),
        _figure("tare", f"{row.tare:,f}", f"{row.tare_at.astimezone():%Y-%m-%d %H:%M}"),
        *(_figure("less", f"{taken.normalize():,f}", words) for words, taken in row.taken_off),
        _figure("net", f"{row.net:,f}", row.unit),
    ]
    if row.amount_cents is not None and row.price_cents is not None:
        rows.append(_figure("amount", dollars(row.amount_cents), f"{say_price(row.price_cents)} a {row.price_unit}"))
    how = "typed by hand" if row.typed_by_hand else "read from the scale"
    rows += ["", f"{row.scale}, division {row.division:f} {row.unit}, {how}, by {row.by}"]
    if row.balance is not None:
        rows += ["", joined((f"mass balance: {row.balance.verdict}", "bold")), row.balance.words]
    if row.void_reason:
        rows += ["", joined((f"VOID: {row.void_reason}", "bold $accent"))]
    return lines(rows)


def _figure(name: str, figure: str, behind: str) -> Content:
    return joined((left(name, 10), "$quiet"), (right(figure, 12), "bold"), f"  {behind}")
