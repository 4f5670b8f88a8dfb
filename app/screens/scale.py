"""The scale: what waits to be weighed, the last tickets, and the way to the next one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.boards import ArrivalRow, ScaleBoard, scale_board
from app.book.donors import donor_page
from app.book.money import dollars
from app.book.scale import WeightRow, weight_tickets
from app.book.scanning import Scan, Scanned
from app.book.schema import TicketKind
from app.book.work import Book
from app.screens.parts.board import Board, Lines, column, folded
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.plain import joined, left, right, wall_day, wall_time
from app.screens.parts.sheets import ScanSheet
from app.screens.scale_ticket import PRINT, SAVE, VOID, TicketPaper

DEEDS = (
    Deed("i", "weigh_in", "weigh in", "Weigh the vehicle under the cursor in, or another by its number."),
    Deed("o", "weigh_out", "weigh out", "Weigh a hulk out."),
    Deed("s", "scrap", "scrap in", "Weigh scrap that somebody brings."),
    PRINT,
    SAVE,
    VOID,
)


class Waits(Message):
    """What waits, and the last tickets."""

    def __init__(self, board: ScaleBoard, tickets: tuple[WeightRow, ...]) -> None:
        super().__init__()
        self.board = board
        self.tickets = tickets


class ToWeigh(Message):
    """A vehicle to weigh was found."""

    def __init__(self, kind: TicketKind, stock_number: str) -> None:
        super().__init__()
        self.kind = kind
        self.stock_number = stock_number


def look(book: Book) -> Waits:
    """Read the first screen."""
    return Waits(scale_board(book), weight_tickets(book, limit=50))


class ScaleSeat(TicketPaper):
    """The scale's first screen."""

    NAME = "scale"
    HELP_WORDS = "A ticket is never edited once it is issued. Tare over gross is refused and one key turns the two."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def body(self) -> Iterable[Widget]:
        """One list in groups."""
        yield Board(id="board")

    def on_screen_resume(self) -> None:
        """Read everything again."""
        self.reads("board", lambda: look(self.book))

    def on_waits(self, message: Waits) -> None:
        """Show it."""
        board = message.board
        self.query_one(Board).show_groups(
            [
                Lines(
                    "to weigh in",
                    [(f"in {row.stock_number}", say_waiting(row, self.fold)) for row in board.arrivals],
                    of=board.arrivals_in_all,
                ),
                Lines(
                    "hulks and vehicles being taken apart",
                    [(f"out {row.stock_number}", say_waiting(row, self.fold)) for row in board.hulks],
                    of=board.hulks_in_all,
                ),
                Lines(
                    "last tickets", [(f"ticket {row.number}", say_weighed(row, self.fold)) for row in message.tickets]
                ),
            ]
        )
        self.query_one(Board).focus()
        self.refresh_bindings()

    def refold(self) -> None:
        """Show it again."""
        self.on_screen_resume()

    def on_option_list_option_highlighted(self) -> None:
        """Printing, saving and voiding act on a ticket alone."""
        self.refresh_bindings()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter does the obvious."""
        event.stop()
        kind, _, name = (event.option.id or "").partition(" ")
        if kind == "ticket":
            from app.screens.scale_ticket import TicketView

            self.app.push_screen(TicketView(self.book, self.who, int(name)))
        elif kind in ("in", "out"):
            self._weigh(TicketKind.ARRIVAL if kind == "in" else TicketKind.HULK_OUT, name)

    def number(self) -> int | None:
        """The ticket under the cursor."""
        kind, _, name = self.query_one(Board).here.partition(" ")
        return int(name) if kind == "ticket" else None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Printing, saving and voiding act on a ticket alone."""
        if action in ("print", "save", "void"):
            return self.is_mounted and self.number() is not None
        return True

    def action_weigh_in(self) -> None:
        """Weigh in the vehicle under the cursor, or ask which."""
        self._weigh_here("in", TicketKind.ARRIVAL)

    def action_weigh_out(self) -> None:
        """Weigh out the hulk under the cursor, or ask which."""
        self._weigh_here("out", TicketKind.HULK_OUT)

    def action_scrap(self) -> None:
        """Weigh scrap in."""
        self._weigh(TicketKind.SCRAP_IN, "")

    def _weigh_here(self, group: str, kind: TicketKind) -> None:
        here, _, name = self.query_one(Board).here.partition(" ")
        if here == group:
            self._weigh(kind, name)
            return
        blank = Blank("said", "vehicle", hint="stock number, tag or VIN")
        sheet = ScanSheet("Which vehicle?", [blank], Scanned.VEHICLE)
        self.app.push_screen(sheet, lambda values: self._find(kind, values) if values else None)

    def _find(self, kind: TicketKind, values: Mapping[str, str]) -> None:
        said = values["said"]
        self.reads("find", lambda: ToWeigh(kind, donor_page(self.book, said).row.stock_number))

    def on_to_weigh(self, message: ToWeigh) -> None:
        """Weigh it."""
        self._weigh(message.kind, message.stock_number)

    def _weigh(self, kind: TicketKind, stock_number: str) -> None:
        from app.screens.scale_weigh import WeighView

        self.app.push_screen(WeighView(self.book, self.who, kind, stock_number))

    def scanned(self, found: Scan) -> bool:
        """A vehicle's label weighs it in or out, whichever comes next."""
        if found.kind is not Scanned.VEHICLE:
            return False
        self.reads("find", lambda: next_weighing(self.book, found.name))
        return True


def next_weighing(book: Book, said: str) -> ToWeigh:
    """In comes before out."""
    page = donor_page(book, said)
    kind = TicketKind.ARRIVAL if page.balance is None else TicketKind.HULK_OUT
    return ToWeigh(kind, page.row.stock_number)


def say_waiting(row: ArrivalRow, fold: int = 0) -> Content:
    """A vehicle in the list: what it weighed as it came, or how far it is; when it came."""
    weighed = row.net_lb is not None
    came = (
        f"{row.arrived_at.astimezone():%Y-%m-%d}"
        if weighed
        else f"{wall_day(row.arrived_at)} {wall_time(row.arrived_at)}"
    )
    net = f"{row.net_lb:,f} lb in" if weighed else str(row.state)
    if fold:
        return folded(row.stock_number, row.vehicle, [net, f"came {came}"], fold)
    return joined((left(f" {row.stock_number}", 7), "bold"), column(row.vehicle, 32), right(net, 12), f"  came {came}")


def say_weighed(row: WeightRow, fold: int = 0) -> Content:
    """A ticket in the list."""
    amount = dollars(row.amount_cents) if row.amount_cents is not None else ""
    void = f"  VOID: {row.void_reason}" if row.void_reason else ""
    if fold:
        told = [f"{row.net:,f} {row.unit}", amount, f"{wall_day(row.at)} {wall_time(row.at)} {row.by}", void.strip()]
        return folded(str(row.number), f"{row.kind}, {row.donor or row.commodity}", told, fold)
    return joined(
        (left(f" {row.number}", 7), "bold"),
        left(str(row.kind), 10),
        column(row.donor or row.commodity, 15),
        right(f"{row.net:,f} {row.unit}", 12),
        f"{right(amount, 11)}  ",
        left(f"{wall_day(row.at)} {wall_time(row.at)}", 17),
        row.by,
        void,
    )
