"""Two frames over each other on the screen: a drawing to scale, and below it the verdicts, mount by mount."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.screens.bench_drawing import BOTH, CROSS, RING, Scene, Spot, cursor, names_line, plan, scale_of, side
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, apart, clip, joined, left, lines
from app.screens.parts.rows import Rows
from app.screens.parts.sheets import FormSheet, Notice

MOST_ZOOM = 32.0
PLAN_ROWS, SIDE_ROWS = 11, 2
SMALL_PLAN_ROWS = 5
TALL_ENOUGH = 22
DRAWN = (
    Deed("plus,equals_sign", "zoom(2.0)", "zoom", "Look closer at the mount under the cursor.", face="+"),
    Deed("minus", "zoom(0.5)", "wider", "See more of the frame.", face="-"),
    Deed("f", "follows", "what follows", "What it comes to for parts, with the arithmetic."),
    Deed("r", "more", "rails", "Rails, suspension, and what was left out."),
    Deed("p", "paper", "paper", "Draw the sheet to pin to the wall, as PNG or PDF."),
    BACK,
)


@dataclass(frozen=True, slots=True)
class Line:
    """One row below the drawing: what it is of, its verdict, in what way, and where the cursor goes on the drawing."""

    name: str
    verdict: str
    words: str
    at: Spot | None = None


@dataclass(frozen=True, slots=True)
class Picture:
    """All that the screen shows. `named` are short names with their place along the truck."""

    title: str
    first: str
    second: str
    headline: str
    scene: Scene
    lines: tuple[Line, ...]
    named: tuple[tuple[str, float], ...]
    follows: tuple[str, ...]
    more: tuple[str, ...]


class PictureRead(Message):
    """The picture, worked out beside the screen."""

    def __init__(self, picture: Picture) -> None:
        super().__init__()
        self.picture = picture


class PaperDrawn(Message):
    """A sheet was drawn into a file."""

    def __init__(self, file: Path) -> None:
        super().__init__()
        self.file = file


class DrawnView(Page):
    """A drawing with its table; what it is of, `picture` works out and `draw` puts on paper."""

    DEEDS = DRAWN
    BINDINGS = keyed(DEEDS)
    DEFAULT_CSS = """
    DrawnView #legend, DrawnView #headline, DrawnView #names { height: 1; }
    DrawnView #plan, DrawnView #side { height: auto; }
    DrawnView #plan, DrawnView #side, DrawnView #names, DrawnView #legend { text-wrap: nowrap; }
    DrawnView Rows { height: 1fr; min-height: 2; text-wrap: nowrap; text-overflow: ellipsis; }
    """

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.shown: Picture | None = None
        self.zoom = 1.0

    def picture(self) -> Picture:
        """Work it out; called in a thread."""
        raise NotImplementedError

    def draw(self, target: Path) -> Path:
        """Draw the sheet; called in a thread."""
        raise NotImplementedError

    def body(self) -> Iterable[Widget]:
        """Headline, plan, side view, which mark is whose, the table."""
        yield Words(id="headline")
        yield Words(id="names")
        yield Words(id="plan")
        yield Words(id="side")
        yield Words(id="legend")
        yield Rows(id="verdicts")

    def on_mount(self) -> None:
        """Work it out."""
        self.query_one("#headline", Words).say("holding one against the other …")
        self.reads("picture", lambda: PictureRead(self.picture()))

    def on_picture_read(self, message: PictureRead) -> None:
        """Show it."""
        self.shown = message.picture
        rows = self.query_one(Rows)
        rows.show_rows([_row(line) for line in message.picture.lines])
        rows.focus()
        self.show_drawing()

    def failed(self, topic: str, error: YardError) -> None:
        """What cannot be held against each other is said, and the screen closes."""
        super().failed(topic, error)
        if topic == "picture":
            self.dismiss(None)

    def on_resize(self) -> None:
        """Draw it for the new size."""
        if self.shown is not None:
            self.show_drawing()

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """The drawing follows the cursor."""
        event.stop()
        self.show_drawing()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter says one line in full."""
        event.stop()
        line = self.line
        if line is not None:
            self.app.push_screen(Notice(f"{line.name}: {line.verdict}", line.words or line.verdict))

    @property
    def line(self) -> Line | None:
        """The row under the cursor."""
        index = self.query_one(Rows).highlighted
        if self.shown is None or index is None or index >= len(self.shown.lines):
            return None
        return self.shown.lines[index]

    def show_drawing(self) -> None:
        """Draw what the cursor and the zoom show."""
        shown, line = self.shown, self.line
        if shown is None:
            return
        scene = replace(shown.scene, at=line.at if line else None, zoom=self.zoom)
        columns = max(self.size.width - 2, 20)
        rows = PLAN_ROWS if self.size.height >= TALL_ENOUGH else SMALL_PLAN_ROWS
        per_column = scale_of(scene, columns, rows)
        self.query_one("#headline", Words).say(joined((clip(shown.headline, columns), "bold")))
        self.query_one("#names", Words).say(joined((f" {names_line(scene, columns, rows, shown.named)}", "$quiet")))
        self.query_one("#plan", Words).say(_with_cursor(plan(scene, columns, rows), cursor(scene, columns, rows)))
        flat = side(scene, columns, SIDE_ROWS, per_column)
        self.query_one("#side", Words).say(lines([f" {row}" for row in flat]))
        self.query_one("#side", Words).display = self.size.height >= TALL_ENOUGH
        marks = f"{RING} {clip(shown.first, 18)}  {CROSS} {clip(shown.second, 18)}  {BOTH} both   front ◂"
        scale = f"{per_column / 25.4:.2g} in a column"
        self.query_one("#legend", Words).say(joined((apart(marks, scale, columns), "$quiet")))

    def action_zoom(self, by: float) -> None:
        """Closer or farther, about the mount under the cursor."""
        self.zoom = min(max(self.zoom * by, 1.0), MOST_ZOOM)
        self.show_drawing()

    def action_follows(self) -> None:
        """What it comes to."""
        if self.shown is not None:
            words = self.shown.follows or ("nothing was measured that decides over parts",)
            self.app.push_screen(Notice("what follows, without a rule of its own", lines(words)))

    def action_more(self) -> None:
        """What stands beside the mounts."""
        if self.shown is not None:
            self.app.push_screen(Notice(self.shown.title, lines(self.shown.more or ("nothing more was measured",))))

    def action_paper(self) -> None:
        """Ask for a file and draw into it."""
        blank = Blank("file", "file", value="frames.pdf", hint="ending in .pdf or .png")
        self.app.push_screen(FormSheet("Draw the sheet into", [blank], check=_check_file), self._paper)

    def _paper(self, values: Mapping[str, str] | None) -> None:
        if values:
            target = Path(values["file"].strip()).expanduser()
            self.writes("paper", lambda: PaperDrawn(self.draw(target)))

    def on_paper_drawn(self, message: PaperDrawn) -> None:
        """Say where it is."""
        self.tell(f"drawn into {message.file}")


def _check_file(values: Mapping[str, str]) -> None:
    if Path(values["file"].strip()).suffix.lower() not in (".pdf", ".png"):
        raise BadInput("neither .pdf nor .png", "End the file in one of these.", place="file")


def _row(line: Line) -> Content:
    return joined((left(line.name, 22), ""), (left(line.verdict, 18), "bold"), f" {line.words}")


def _with_cursor(rows: list[str], at: tuple[int, int] | None) -> Content:
    """The mount under the cursor in reverse, and a pointer at both ends of its row for those who cannot see that."""
    shown: list[Content | str] = []
    for number, row in enumerate(rows):
        if at is None or number != at[0]:
            shown.append(f" {row}")
            continue
        column = at[1]
        shown.append(joined("›", row[:column], (row[column], "reverse bold"), row[column + 1 :], "‹"))
    return lines(shown)
