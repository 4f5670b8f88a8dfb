"""The bench: one list of frames, two of them marked and held against each other; surveys, designs, short questions."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from textual.containers import VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.donors import donor_page
from app.book.frames import CAUTION
from app.book.framesheets import FrameRow, FrameSheet, design_frame, donor_frame, frames
from app.book.scanning import Scanned
from app.book.work import Book, Who
from app.errors import NotFound
from app.screens.bench_asks import Question, arms, sections, which
from app.screens.bench_compare import CompareView, DamageView, JoinView
from app.screens.bench_design import DesignView
from app.screens.intake_frame import SurveyView
from app.screens.parts.board import Board, Lines, column, folded
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, joined, left, lines, right, wall_day, wall_time
from app.screens.parts.seat import Seat
from app.screens.parts.sheets import FormSheet, Notice, ScanSheet

FILE = "file"
DEEDS = (
    Deed("space", "mark", "mark", "Mark this frame: the first is A, the second B; again takes it back."),
    Deed("c", "compare", "compare", "Hold B against A, drawn over each other."),
    Deed("d", "damage", "damage", "Is this frame bent? With A and B marked: A against B as its design."),
    Deed("j", "join", "joint", "Could the front of A and the rear of B be joined?"),
    Deed("f", "survey", "survey", "Survey the frame of a vehicle."),
    Deed("n", "design", "new design", "Enter a frame design: look, sizes, mounts."),
    Deed("l", "load", "load", "Put a survey file on the list; it is read and not written into the book."),
    Deed("s", "ask('sections')", "sections", "Two rails: which is stronger, in bending and in twist?"),
    Deed("x", "ask('arms')", "arms", "What does an arm swap do to camber and track?"),
    Deed("w", "ask('which')", "which one", "Which known design is this piece?"),
    Deed(
        "slash",
        "find",
        "find",
        "Show the frame of a vehicle, by stock number, tag or VIN, or a frame design by its name.",
    ),
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


class Answered(Message):
    """A short question was answered, in lines."""

    def __init__(self, title: str, said: tuple[str, ...]) -> None:
        super().__init__()
        self.title = title
        self.said = said


class ToPut(Message):
    """A question whose blanks were looked up, and the draft it is kept under."""

    def __init__(self, question: Question, draft: str) -> None:
        super().__init__()
        self.question = question
        self.draft = draft


class BenchSeat(Seat):
    """The bench's first screen: surveyed vehicles, files that were put on the list, and designs."""

    NAME = "bench"
    HELP_WORDS = "Enter shows a frame; Space marks two, c compares them. Every length carries its tool and its doubt."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.rows: tuple[FrameRow, ...] = ()
        self.files: list[str] = []
        self.marked: list[str] = []

    def body(self) -> Iterable[Widget]:
        """One list in groups."""
        yield Board(id="frames")

    def on_screen_resume(self) -> None:
        """Read it again."""
        self.reads("frames", lambda: FramesRead(frames(self.book)))

    def on_frames_read(self, message: FramesRead) -> None:
        """Show it."""
        self.rows = message.rows
        self.show_frames()
        self.query_one(Board).focus()

    def refold(self) -> None:
        """Show it again."""
        self.show_frames()

    def show_frames(self) -> None:
        """The list with its marks."""
        by = {what: [self._item(row) for row in self.rows if row.what == what] for what in ("donor", "design")}
        files = [self._item(FrameRow(FILE, name, "survey file", "not in the book")) for name in self.files]
        groups = [
            Lines("surveyed vehicles", by["donor"], empty="none surveyed yet: f"),
            *([Lines("survey files", files)] if files else []),
            Lines("frame designs", by["design"], empty="none yet: n"),
        ]
        self.query_one(Board).show_groups(groups)

    def _item(self, row: FrameRow) -> tuple[str, Content]:
        mark = "AB"[self.marked.index(row.name)] if row.name in self.marked else " "
        if self.fold:
            return f"{row.what} {row.name}", folded(f"{mark} {row.name}", "", [row.words, row.state], self.fold)
        name = (column(row.name, 20), "bold")
        return f"{row.what} {row.name}", joined((f"{mark} ", "bold $accent"), name, column(row.words, 36), row.state)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter shows the frame."""
        event.stop()
        what, _, name = (event.option.id or "").partition(" ")
        if what in ("donor", "design"):
            self.app.push_screen(FrameView(self.book, self.who, what, name))

    @property
    def here(self) -> str:
        """The frame under the cursor."""
        return self.query_one(Board).here.partition(" ")[2]

    def action_mark(self) -> None:
        """Mark or unmark; a third mark takes the place of the second."""
        if self.here in self.marked:
            self.marked.remove(self.here)
        elif self.here:
            self.marked = [*self.marked[:1], self.here]
        self.show_frames()

    def _two(self) -> tuple[str, str] | None:
        """The two frames that are marked, or the marked one and the one under the cursor."""
        names = [*self.marked, *([self.here] if self.here and self.here not in self.marked else [])]
        if len(names) < 2:
            self.tell("mark two frames first: Space on each")
            return None
        return names[0], names[1]

    def action_compare(self) -> None:
        """Hold one against the other."""
        two = self._two()
        if two is not None:
            self.app.push_screen(CompareView(self.book, self.who, *two))

    def action_join(self) -> None:
        """Hold one up to the other."""
        two = self._two()
        if two is not None:
            self.app.push_screen(JoinView(self.book, self.who, *two))

    def action_damage(self) -> None:
        """Look one over."""
        survey, design = self.marked if len(self.marked) == 2 else (self.here, None)
        if survey:
            self.app.push_screen(DamageView(self.book, self.who, survey, design))

    def action_design(self) -> None:
        """Enter a frame design."""
        self.app.push_screen(DesignView(self.book, self.who))

    def action_load(self) -> None:
        """Ask for a file."""
        hint = "a CSV file, or a folder of a frame's CSV files"
        sheet = FormSheet("Which survey file?", [Blank("said", "file", hint=hint)], check=_is_there)
        self.app.push_screen(sheet, self._load)

    def _load(self, values: Mapping[str, str] | None) -> None:
        if values and values["said"].strip() not in self.files:
            self.files.append(values["said"].strip())
            self.show_frames()

    def action_ask(self, name: str) -> None:
        """A short question on a sheet, its answer to be read."""
        makers: dict[str, Callable[[], Question]] = {"sections": sections, "arms": arms}
        if name in makers:
            self._put(makers[name](), f"bench {name}")
            return
        blank = Blank("part", "part type", hint="such as: rear driveshaft yoke and joint")
        sheet = FormSheet("Which one is this?", [blank], draft="bench which")
        self.app.push_screen(sheet, lambda values: self._ask_which(values["part"].strip()) if values else None)

    def _ask_which(self, part_type: str) -> None:
        if part_type:
            self.reads("question", lambda: ToPut(which(self.book, part_type), f"bench which {part_type}"))

    def on_to_put(self, message: ToPut) -> None:
        """Ask what was looked up to be asked."""
        self._put(message.question, message.draft)

    def _put(self, question: Question, draft: str) -> None:
        sheet = FormSheet(question.title, question.blanks, draft=draft, words=question.words)
        self.app.push_screen(sheet, lambda values: self._answer(question, values) if values else None)

    def _answer(self, question: Question, values: Mapping[str, str]) -> None:
        self.reads("question", lambda: Answered(question.title, tuple(question.answer(values))))

    def on_answered(self, message: Answered) -> None:
        """Read it."""
        self.app.push_screen(Notice(message.title, lines(message.said)))

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
        hint = "stock number, tag or VIN" if survey else "stock number, tag or VIN, or a design's name"
        title, blank = "Which vehicle?" if survey else "Which frame?", Blank("said", "vehicle", hint=hint)
        sheet = ScanSheet(title, [blank], Scanned.VEHICLE)
        self.app.push_screen(sheet, lambda values: self._find(values, survey) if values else None)

    def _find(self, values: Mapping[str, str], survey: bool) -> None:
        said = values["said"].strip()
        design = next((row.name for row in self.rows if row.what == "design" and said.lower() == row.name.lower()), "")
        if design and not survey:
            self.app.push_screen(FrameView(self.book, self.who, "design", design))
        else:
            self.reads("find", lambda: VehicleNamed(donor_page(self.book, said).row.stock_number, survey))

    def on_vehicle_named(self, message: VehicleNamed) -> None:
        """Open it."""
        if message.survey:
            self.app.push_screen(SurveyView(self.book, self.who, message.stock_number))
        else:
            self.app.push_screen(FrameView(self.book, self.who, "donor", message.stock_number))


def _is_there(values: Mapping[str, str]) -> None:
    said = values["said"].strip()
    if not said or not Path(said).expanduser().exists():
        raise NotFound(f"there is no {said!r}", "Type the path of a file or folder that is there.", place="said")


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
