"""Surveying a frame: the look by digits, lengths with their tools, the mounts in a walk, the verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual.content import Content
from textual.message import Message

from app.book.bench.typed import TypedMount, TypedStation
from app.book.frames import CAUTION, Measure, Survey, Surveyed, survey_frame
from app.book.office import settings
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.fit.diagonals import check_diagonals, read_diagonal
from app.fit.frames.shape import Known
from app.fit.lengths import LengthError, Tool, parse_length
from app.fit.terms import FrontSuspension, Hazard, RearSuspension, Section
from app.screens.bench_walked import Walked
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import STEP_DEEDS, Step, Steps
from app.screens.parts.plain import joined, lines
from app.screens.parts.sheets import Notice

BOXES = ("nose", "middle", "tail")
SIZES = ("rail height", "rail width", "wall", "spread", "wheelbase")
SIGNS = (
    "bead that is not factory",
    "plate welded across a flange",
    "heat blue",
    "clamp teeth",
    "filler on a rail",
    "wrinkles pulled out",
    "holes in the flange",
    "VIN stamp ground or missing",
)
TOOLS = tuple(map(str, Tool))
SIGNS_HINT = "digits one after the other: " + "  ".join(f"{number} {sign}" for number, sign in enumerate(SIGNS, 1))
DEEDS = (
    Deed("f2", "finish", "write down", "Write the survey down and read the verdict."),
    Deed("f4", "mounts", "mounts", "Take the mounts down, front to rear, one side and then the other.", urgent=True),
    Deed("f5", "rail", "rail", "Take the rail down, place by place.", urgent=True),
    *STEP_DEEDS,
)
SPANS = tuple(str(each) for each in Known if each not in (Known.SPREAD, Known.WHEELBASE))
LABELS = {
    "upper arm bolt spacing": "upper bolts",
    "lower pivot spread": "lower pivots",
    "torsion bar length": "torsion bar",
    "core support spread": "core spread",
    "core support height": "core height",
    "receiver spread": "receiver",
    "bumper bolt spacing": "bumper bolts",
}
"""Short names of spans, for where the label is narrow."""
SPANS_STEP = Step(
    "spans",
    (
        *(Blank(name, LABELS.get(name, name), hint=f"{name}; empty: not taken") for name in SPANS),
        Blank("tool of spans", "taken with", value=str(Tool.HOOK_TAPE), choices=TOOLS),
    ),
)
"""Lengths that decide over hitch, tank, arms and core support."""
STEPS = (
    Step(
        "look",
        (
            Blank("section", "rails", choices=tuple(map(str, Section))),
            Blank("front", "front", choices=tuple(map(str, FrontSuspension))),
            Blank("rear", "rear", choices=tuple(map(str, RearSuspension))),
            Blank("signs", "bad repair", hint=SIGNS_HINT),
            Blank("datum", "datum", hint="the mount all is measured from; the cowl mount is usually true"),
        ),
    ),
    Step(
        "sizes",
        (
            *(Blank(name, name, hint="7 1/16, 7.10, 180 mm") for name in SIZES),
            Blank("tool of sizes", "taken with", value=str(Tool.HOOK_TAPE), choices=TOOLS),
            Blank("tool of wall", "wall with", value=str(Tool.DIAL_CALIPER), choices=TOOLS),
        ),
    ),
    Step(
        "diagonals",
        (
            *(Blank(f"{box} {n}", f"{box} {way}") for box in BOXES for n, way in ((1, "LH to RH"), (2, "RH to LH"))),
            Blank("tool of diagonals", "taken with", value=str(Tool.HOOK_TAPE), choices=TOOLS),
        ),
    ),
    SPANS_STEP,
)


class SurveyDone(Message):
    """The verdict."""

    def __init__(self, row: Surveyed) -> None:
        super().__init__()
        self.row = row


def read_survey(
    stock_number: str,
    typed: Mapping[str, str],
    mounts: Sequence[TypedMount] = (),
    rail: Sequence[TypedStation] = (),
) -> Survey:
    """The survey form as the book takes it.

    Raises:
        BadInput: the look is not complete, or a sign that is none.
    """
    return Survey(
        vehicle=stock_number,
        section=Section(_chosen(typed, "section", tuple(map(str, Section)))),
        front=FrontSuspension(_chosen(typed, "front", tuple(map(str, FrontSuspension)))),
        rear=RearSuspension(_chosen(typed, "rear", tuple(map(str, RearSuspension)))),
        diagonals={
            box: (_measure(typed, f"{box} 1", "diagonals"), _measure(typed, f"{box} 2", "diagonals"))
            for box in BOXES
            if typed[f"{box} 1"].strip() or typed[f"{box} 2"].strip()
        },
        measures={name: _measure(typed, name, tool) for name, tool in _taken_with() if typed[name].strip()},
        datum=typed["datum"].strip(),
        bad_repair=read_signs(typed["signs"]),
        mounts=mounts,
        rail=rail,
    )


def _taken_with() -> list[tuple[str, str]]:
    """Every length by name, and which blank says its tool."""
    sizes = [(name, "wall" if name == "wall" else "sizes") for name in SIZES]
    return [*sizes, *((name, "spans") for name in SPANS)]


def read_signs(typed: str) -> tuple[str, ...]:
    """The signs of bad repair that digits stand for.

    Raises:
        BadInput: a character that is no digit of the list.
    """
    digits = typed.replace(" ", "").replace(",", "")
    wrong = [digit for digit in digits if not (digit.isdigit() and 1 <= int(digit) <= len(SIGNS))]
    if wrong:
        raise BadInput(f"{wrong[0]!r} is no sign of the list", f"Type digits from 1 to {len(SIGNS)}.", place="signs")
    return tuple(sign for number, sign in enumerate(SIGNS, 1) if str(number) in digits)


def _chosen(typed: Mapping[str, str], name: str, choices: tuple[str, ...]) -> str:
    if typed[name] not in choices:
        said = f"{typed[name]!r} is none of the list" if typed[name] else f"{name}: not looked at yet"
        raise BadInput(said, "A digit picks.", place=name)
    return typed[name]


def _measure(typed: Mapping[str, str], name: str, tool: str) -> Measure:
    length = typed[name].strip()
    if not length:
        raise BadInput("one diagonal of the pair is missing", "Measure both ways across.", place=name)
    try:
        parse_length(length)
    except LengthError as error:
        raise BadInput(error.title, error.remedy, place=name) from error
    return Measure(length, typed[f"tool of {tool}"])


def say_diagonals(typed: Mapping[str, str], limit_mm: float) -> list[str]:
    """The arithmetic of every pair that can be read so far."""
    said = []
    for box in BOXES:
        one, other = typed[f"{box} 1"], typed[f"{box} 2"]
        if one.strip() and other.strip():
            try:
                tool = Tool(typed["tool of diagonals"])
                verdict = check_diagonals(read_diagonal(one, tool), read_diagonal(other, tool), limit_mm)
            except ValueError:
                continue
            said.append(f"{box}: {verdict.words}")
    return said


class SurveyView(Steps):
    """The survey form of one vehicle's frame."""

    NAME = "frame survey"
    HELP_WORDS = "Straight when difference and doubt stay within the limit, bent when it is over without the doubt."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who, stock_number: str) -> None:
        super().__init__(book, who, f"frame {stock_number}", STEPS)
        self.stock_number = stock_number
        self.limit_mm = 0.0
        self.walked = Walked(stock_number)

    def opened(self) -> None:
        """The yard's limit is read once; mounts typed before are there again."""
        self.limit_mm = frame_limit_mm(self.book)
        self.walked.restore(self)

    def on_screen_resume(self) -> None:
        """Back from the mounts."""
        self.shown_step()

    def action_mounts(self) -> None:
        """Take the mounts down."""
        self.walked.open(self)

    def changed(self) -> None:
        """The arithmetic follows the typing."""
        self.shown_step()

    def shown_step(self) -> None:
        """What the page is about, and the arithmetic so far."""
        if self.step == "diagonals":
            said = say_diagonals(self.typed, self.limit_mm)
            self.above(lines([*(said or ["Both ways across, pulled clear, in each box that was measured."]), ""]))
        elif self.step == "look":
            try:
                signs = read_signs(self.typed["signs"])
            except BadInput as error:
                signs = (error.in_one_line(),)
            self.above(lines([f"{self.stock_number}   {Hazard.WELDING.caution}", *signs, self.walked.words]))

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
            survey = read_survey(self.stock_number, self.typed, self.walked.taken, self.walked.rail)
        except YardError as error:
            self.fault(error)
            return
        self.writes("survey", lambda: SurveyDone(survey_frame(self.book, self.who, survey)))

    def on_survey_done(self, message: SurveyDone) -> None:
        """The verdict must be read."""
        self.forget()
        self.walked.forget(self)
        row = message.row
        self.tell(f"{row.stock_number}: frame {row.state}")
        self.dismiss(None)
        self.app.push_screen(Notice(f"{row.stock_number}: frame {row.state}", say_verdict(row)))

    def failed(self, topic: str, error: YardError) -> None:
        """A length that cannot be read is said here."""
        if topic == "survey":
            self.fault(error)
        else:
            super().failed(topic, error)


def frame_limit_mm(book: Book) -> float:
    """The yard's limit for two diagonals, in millimeters."""
    limit = next(row.value for row in settings(book) if row.name == "frame_limit_in")
    return parse_length(limit).mm


def say_verdict(row: Surveyed) -> Content:
    """The verdict with its arithmetic, whose frame it is, what it blocks, and the caution."""
    said: list[Content | str] = [*(row.arithmetic or ("looked at, no diagonals",)), "", f"frame: {row.identity}"]
    if row.agrees is False:
        said.append(joined(("body swapped or stolen: stop, ask, and write both down", "bold $accent")))
    if row.blocked:
        said.append(f"no longer for sale: {', '.join(row.blocked)}")
    said += row.to_tell
    if row.given_back:
        said.append(f"for sale again: {', '.join(row.given_back)}")
    return lines([*said, "", CAUTION])
