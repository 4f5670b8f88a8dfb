"""The intake desk: today's arrivals, holds that end, half-filled forms, and the way into each of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.boards import ArrivalRow, HoldRow, IntakeBoard, intake_board, latest_arrivals
from app.book.donors import donor_page
from app.book.drafts import DraftRow, drafts
from app.book.money import dollars
from app.book.scanning import Scan, Scanned
from app.book.schema import TicketKind
from app.book.teardown import TorchPermit, ask_torch
from app.book.work import Book, Who
from app.screens.parts.board import Board, Lines, column, folded
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import Page
from app.screens.parts.plain import joined, left, right, wall_day, wall_time
from app.screens.parts.seat import Seat
from app.screens.parts.sheets import Notice, ScanSheet, Sure

FEW = 6
"""Lines of a group that must not push the others off the screen."""

NEW, TURN, WEIGH, FRAME, DRAIN = "new vehicle", "turn away", "weigh in", "frame", "drain"
DEEDS = (
    Deed("n", "new", "new", "Take a vehicle in; a half-filled form is taken up again."),
    Deed("f", "frame", "frame", "Survey the frame of the vehicle under the cursor."),
    Deed("d", "drain", "drain", "Write down what was drained from it."),
    Deed("t", "torch", "torch", "Ask for the torch permit of the vehicle, or why not."),
    Deed("i", "weigh", "weigh", "Weigh the vehicle in."),
    Deed("r", "turn_away", "refuse", "Turn a vehicle away: a record, no stock number."),
    Deed("slash", "find", "find", "Open a vehicle by its stock number, tag or VIN."),
    Deed("N", "another", "another new", "Take another vehicle in beside a half-filled form.", shown=False),
    Deed("delete", "drop", "drop form", "Throw the half-filled form under the cursor away.", shown=False),
)


class BoardRead(Message):
    """What the first screen shows."""

    def __init__(self, board: IntakeBoard, half: tuple[DraftRow, ...], earlier: tuple[ArrivalRow, ...]) -> None:
        super().__init__()
        self.board = board
        self.half = half
        self.earlier = earlier


class Found(Message):
    """A vehicle that was asked for is there."""

    def __init__(self, stock_number: str) -> None:
        super().__init__()
        self.stock_number = stock_number


class Permit(Message):
    """The torch is allowed."""

    def __init__(self, permit: TorchPermit) -> None:
        super().__init__()
        self.permit = permit


def look(book: Book, who: Who) -> BoardRead:
    """Read the first screen: today's and earlier vehicles, holds, half-filled forms."""
    board = intake_board(book)
    today = {row.stock_number for row in board.arrivals}
    earlier = tuple(row for row in latest_arrivals(book) if row.stock_number not in today)
    return BoardRead(board, drafts(book, who), earlier)


class IntakeSeat(Seat):
    """The intake desk's first screen."""

    NAME = "intake"
    HELP_WORDS = (
        "Every form is kept as it is typed: leave it at any moment and come back. The VIN is typed once and "
        "confirmed by a second plate."
    )
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def body(self) -> Iterable[Widget]:
        """One list in groups."""
        yield Board(id="board")

    def on_screen_resume(self) -> None:
        """Read everything again."""
        self.reads("board", lambda: look(self.book, self.who))

    def on_board_read(self, message: BoardRead) -> None:
        """Show it."""
        board = message.board
        came = f"today: {len(board.arrivals)} in, {len(board.refusals)} turned away"
        groups = [
            Lines(came, [(f"donor {row.stock_number}", say_arrival(row, self.fold)) for row in board.arrivals]),
            Lines(
                "holds ending",
                [(f"held {row.stock_number} {row.kind}", say_hold(row, self.fold)) for row in board.holds],
            ),
            Lines("half filled", [(f"form {row.form}", say_draft(row, self.fold)) for row in message.half]),
        ]
        missing = [(f"bare {row.stock_number}", say_arrival(row, self.fold)) for row in board.papers_missing]
        if missing:
            groups.append(Lines("papers missing", missing[:FEW], of=len(missing)))
        if message.earlier:
            earlier = [(f"donor {row.stock_number}", say_arrival(row, self.fold)) for row in message.earlier]
            groups.append(Lines("earlier", earlier, of=board.older))
        self.query_one(Board).show_groups(groups)
        self.query_one(Board).focus()

    def refold(self) -> None:
        """Show it again."""
        self.on_screen_resume()

    @property
    def vehicle(self) -> str:
        """The stock number of the line under the cursor; empty when it is no vehicle."""
        kind, _, rest = self.query_one(Board).here.partition(" ")
        return rest.split(" ")[0] if kind in ("donor", "held", "bare") else ""

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter opens what the line stands for."""
        event.stop()
        kind, _, name = (event.option.id or "").partition(" ")
        if kind == "form":
            self._take_up(name)
        elif self.vehicle:
            self._open(self.vehicle)

    def _open(self, stock_number: str) -> None:
        from app.screens.intake_donor import DonorView

        self.app.push_screen(DonorView(self.book, self.who, stock_number))

    def _take_up(self, form: str) -> None:
        """Open a half-filled form again."""
        page = form_page(self.book, self.who, form)
        if page is None:
            self.tell(f"{form} belongs to another screen of this seat")
        else:
            self.app.push_screen(page)

    def action_new(self) -> None:
        """Take a vehicle in."""
        self._take_up(NEW)

    def action_another(self) -> None:
        """A second form beside the first."""
        taken = {row.form for row in drafts(self.book, self.who)}
        number = 2
        while f"{NEW} {number}" in taken:
            number += 1
        self._take_up(f"{NEW} {number}" if NEW in taken else NEW)

    def action_turn_away(self) -> None:
        """Turn one away."""
        self._take_up(TURN)

    def action_frame(self) -> None:
        """Survey a frame."""
        self._with_vehicle(FRAME)

    def action_drain(self) -> None:
        """Drain a vehicle."""
        self._with_vehicle(DRAIN)

    def action_weigh(self) -> None:
        """Weigh a vehicle in."""
        self._with_vehicle(WEIGH)

    def _with_vehicle(self, form: str) -> None:
        if self.vehicle:
            self._take_up(f"{form} {self.vehicle}")
        else:
            self.tell("Put the cursor on a vehicle first, or / finds one.")

    def action_torch(self) -> None:
        """Ask for the permit."""
        said = self.vehicle
        if said:
            self.writes("torch", lambda: Permit(ask_torch(self.book, self.who, said)))
        else:
            self.tell("Put the cursor on a vehicle first, or / finds one.")

    def on_permit(self, message: Permit) -> None:
        """The permit must be read with its caution."""
        self.tell(message.permit.words)
        self.app.push_screen(Notice(message.permit.words, message.permit.caution))

    def action_find(self) -> None:
        """Ask for a vehicle."""
        blank = Blank("said", "vehicle", hint="stock number, tag or VIN")
        self.app.push_screen(ScanSheet("Open a vehicle", [blank], Scanned.VEHICLE), self._find)

    def _find(self, values: Mapping[str, str] | None) -> None:
        if values:
            said = values["said"]
            self.reads("find", lambda: Found(donor_page(self.book, said).row.stock_number))

    def on_found(self, message: Found) -> None:
        """Open it."""
        self._open(message.stock_number)

    def scanned(self, found: Scan) -> bool:
        """A vehicle's label opens its page."""
        if found.kind is not Scanned.VEHICLE:
            return False
        self._open(found.name)
        return True

    def action_drop(self) -> None:
        """Throw a half-filled form away, after asking."""
        kind, _, form = self.query_one(Board).here.partition(" ")
        if kind == "form":
            question = Sure(f"Throw the half-filled form away: {form}?", "What was typed in it is lost.")
            self.app.push_screen(question, lambda yes: self._drop(form) if yes else None)

    def _drop(self, form: str) -> None:
        self.house.keeper.drop(self.who, form)
        self.tell(f"{form}: thrown away")
        self.set_timer(0.2, self.on_screen_resume)


def form_page(book: Book, who: Who, form: str) -> Page | None:
    """The page of a form by its draft's name; None for a form of another screen."""
    kind = next((kind for kind in (NEW, TURN, WEIGH, FRAME, DRAIN) if form == kind or form.startswith(f"{kind} ")), "")
    rest = form.removeprefix(kind).strip()
    if kind == NEW:
        from app.screens.intake_new import NewVehicle

        return NewVehicle(book, who, form)
    if kind == TURN:
        from app.screens.intake_turn import TurnAway

        return TurnAway(book, who, {})
    return _vehicle_page(book, who, kind, rest) if rest else None


def _vehicle_page(book: Book, who: Who, kind: str, vehicle: str) -> Page | None:
    if kind == WEIGH:
        from app.screens.scale_weigh import WeighView

        return WeighView(book, who, TicketKind.ARRIVAL, vehicle)
    if kind == FRAME:
        from app.screens.intake_frame import SurveyView

        return SurveyView(book, who, vehicle)
    if kind == DRAIN:
        from app.screens.intake_drain import DrainView

        return DrainView(book, who, vehicle)
    return None


def say_arrival(row: ArrivalRow, fold: int = 0) -> Content:
    """A vehicle in the list."""
    net = f"{row.net_lb:,f} lb" if row.net_lb is not None else "not weighed"
    if fold:
        told = [net, dollars(row.landed_cents), f"frame {row.frame_state}"]
        return folded(row.stock_number, row.vehicle, told, fold)
    return joined(
        (left(f" {row.stock_number}", 7), "bold"),
        column(row.vehicle, 32),
        right(net, 12),
        right(dollars(row.landed_cents), 10),
        f"  {row.frame_state}",
    )


def _stopped(blocks: Sequence[str]) -> str:
    """What a hold stops, in words."""
    return "everything stopped" if "everything" in blocks else f"no {', '.join(blocks)}"


def say_hold(row: HoldRow, fold: int = 0) -> Content:
    """A hold in the list."""
    ends = f"until {_moment(row.ends)}" if row.ends else "until released"
    if fold:
        return folded(row.stock_number, row.vehicle, [f"{row.kind} {ends}", _stopped(row.blocks)], fold)
    return joined(
        (left(f" {row.stock_number}", 7), "bold"),
        column(row.vehicle, 27),
        f"{row.kind} {ends}; {_stopped(row.blocks)}",
    )


def say_draft(row: DraftRow, fold: int = 0) -> Content:
    """A half-filled form in the list, with the first things typed into it."""
    skipped = ("page", "source of reading")
    first = [str(value) for name, value in row.fields.items() if str(value).strip() and name not in skipped]
    typed = ", ".join(value.rpartition("|")[2] for value in first[:3])
    if fold:
        return folded(row.form, "", [f"{row.by} at {_moment(row.at)}", typed], fold)
    return joined((left(f" {row.form}", 20), "bold"), f"{row.by} at {_moment(row.at)}   {typed}")


def _moment(moment: datetime) -> str:
    return f"{wall_day(moment)} {wall_time(moment)}"
