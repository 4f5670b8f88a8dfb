"""The bench: a frame's measures and mounts as a table, the arithmetic of its diagonals, and a new survey."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from textual.containers import VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.donors import donor_page
from app.book.frames import CAUTION
from app.book.framesheets import FrameRow, FrameSheet, design_frame, donor_frame, frames
from app.book.work import Book, Who
from app.screens.intake_frame import SurveyView
from app.screens.parts.board import Board, Lines, column
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, joined, left, lines, right, wall_day, wall_time
from app.screens.parts.seat import Seat
from app.screens.parts.sheets import FormSheet

DEEDS = (
    Deed("f", "survey", "new survey", "Survey the frame of a vehicle."),
    Deed("slash", "find", "find", "Show the frame of a vehicle by its stock number, tag or VIN."),
)


class FramesRead(Message):
    """The frames to choose from."""

    def __init__(self, rows: tuple[FrameRow, ...]) -> None:
        super().__init__()
        self.rows = rows


class VehicleNamed(Message):
    """A vehicle was found, to show its frame or to survey it."""

    def __init__(self, stock_number: str, survey: bool) -> None:
        super().__init__()
        self.stock_number = stock_number
        self.survey = survey


class BenchSeat(Seat):
    """The bench's first screen: donors with a survey, and designs."""

    NAME = "bench"
    HELP_WORDS = "Enter shows a frame. Every length carries its tool and its doubt."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def body(self) -> Iterable[Widget]:
        """One list in groups."""
        yield Board(id="frames")

    def on_screen_resume(self) -> None:
        """Read it again."""
        self.reads("frames", lambda: FramesRead(frames(self.book)))

    def on_frames_read(self, message: FramesRead) -> None:
        """Show it."""
        by = {what: [row for row in message.rows if row.what == what] for what in ("donor", "design")}
        self.query_one(Board).show_groups(
            [
                Lines("surveyed vehicles", [_item(row) for row in by["donor"]], empty="none surveyed yet: f"),
                Lines("frame designs", [_item(row) for row in by["design"]]),
            ]
        )
        self.query_one(Board).focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter shows the frame."""
        event.stop()
        what, _, name = (event.option.id or "").partition(" ")
        if what in ("donor", "design"):
            self.app.push_screen(FrameView(self.book, self.who, what, name))

    def action_survey(self) -> None:
        """Survey the vehicle under the cursor, or ask which."""
        what, _, name = self.query_one(Board).here.partition(" ")
        if what == "donor":
            self.app.push_screen(SurveyView(self.book, self.who, name))
        else:
            self._ask(True)

    def action_find(self) -> None:
        """Ask for a vehicle."""
        self._ask(False)

    def _ask(self, survey: bool) -> None:
        sheet = FormSheet("Which vehicle?", [Blank("said", "vehicle", hint="stock number, tag or VIN")])
        self.app.push_screen(sheet, lambda values: self._find(values, survey) if values else None)

    def _find(self, values: Mapping[str, str], survey: bool) -> None:
        said = values["said"]
        self.reads("find", lambda: VehicleNamed(donor_page(self.book, said).row.stock_number, survey))

    def on_vehicle_named(self, message: VehicleNamed) -> None:
        """Open it."""
        if message.survey:
            self.app.push_screen(SurveyView(self.book, self.who, message.stock_number))
        else:
            self.app.push_screen(FrameView(self.book, self.who, "donor", message.stock_number))


class SheetRead(Message):
    """A frame's page."""

    def __init__(self, sheet: FrameSheet) -> None:
        super().__init__()
        self.sheet = sheet


FRAME_DEEDS = (Deed("f", "survey", "new survey", "Survey this vehicle's frame."), BACK)


class FrameView(Page):
    """One frame: what it looks like, its arithmetic, measures and mounts."""

    NAME = "bench · frame"
    HELP_WORDS = "x rearward of the datum, y out from the centerline, z up, in inches."
    DEEDS = FRAME_DEEDS
    BINDINGS = keyed(DEEDS)
    DEFAULT_CSS = "FrameView VerticalScroll { height: 1fr; }"

    def __init__(self, book: Book, who: Who, what: str, name: str) -> None:
        super().__init__(book, who)
        self.what = what
        self.frame = name

    def body(self) -> Iterable[Widget]:
        """The sheet; it scrolls where it is long."""
        yield VerticalScroll(Words(id="sheet"))

    def on_screen_resume(self) -> None:
        """Read it again: a survey may have been made."""
        read = donor_frame if self.what == "donor" else design_frame
        self.reads("frame", lambda: SheetRead(read(self.book, self.frame)))

    def on_sheet_read(self, message: SheetRead) -> None:
        """Show it."""
        self.query_one("#sheet", Words).say(say_sheet(message.sheet))
        self.query_one(VerticalScroll).focus()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A design is not surveyed."""
        if action == "survey":
            return self.what == "donor"
        return super().check_action(action, parameters)

    def action_survey(self) -> None:
        """Survey it."""
        self.app.push_screen(SurveyView(self.book, self.who, self.frame))


def _item(row: FrameRow) -> tuple[str, Content]:
    return f"{row.what} {row.name}", joined((left(f" {row.name}", 16), "bold"), column(row.words, 42), row.state)


def say_sheet(sheet: FrameSheet) -> Content:
    """A frame's page as lines."""
    when = f", survey {sheet.surveys} by {sheet.by}, {wall_day(sheet.at)} {wall_time(sheet.at)}" if sheet.at else ""
    rows: list[Content | str] = [
        joined((f"{sheet.name}  {sheet.words}", "bold")),
        f"{sheet.section}; front {sheet.front}; rear {sheet.rear}",
        joined((sheet.state, "bold"), f"{when}; datum {sheet.datum or 'not said'}"),
        *sheet.arithmetic,
    ]
    if sheet.bad_repair:
        rows.append(f"signs of bad repair: {', '.join(sheet.bad_repair)}")
    if sheet.measures:
        rows += [
            "",
            joined((f"{left('measure', 22)}{right('typed', 14)}{right('inches', 13)}{right('doubt', 12)}", "$quiet")),
        ]
        rows += [
            f"{left(each.name, 22)}{right(each.typed, 14)}{right(each.inches, 13)}{right(each.doubt, 12)}  {each.tool}"
            for each in sheet.measures
        ]
    if sheet.mounts:
        head = "".join(right(name, 12) for name in ("x", "y", "z", "doubt"))
        rows += ["", joined((f"{left('mount', 18)}{head}", "$quiet"))]
        rows += [
            left(each.name, 18) + "".join(right(v, 12) for v in (each.x, each.y, each.z, each.doubt)) + f"  {each.kind}"
            for each in sheet.mounts
        ]
    return lines([*rows, "", CAUTION])
