"""The history told by filters: who, what, about which, from and to which day."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.history import HistoryRow
from app.book.reports import HistoryFilter, HistoryPage, history_page
from app.book.schema import Outcome
from app.book.work import Book, Who
from app.errors import YardError
from app.screens.intake_typed import day
from app.screens.parts.board import INDENT, column, folded
from app.screens.parts.form import Blank, Form
from app.screens.parts.keys import LOW, Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, clip, joined, left, lines, plain
from app.screens.parts.rows import Rows
from app.screens.parts.sheets import Notice

YES_NO = ("no", "yes")
DEEDS = (
    Deed("f2", "filter", "filter", "Go to the filter: who, what, about which, from, to."),
    Deed("f4", "clear", "all of it", "Take the filter away."),
    BACK,
)


class Told(Message):
    """The lines that the filter lets through."""

    def __init__(self, page: HistoryPage) -> None:
        super().__init__()
        self.page = page


def read_filter(values: dict[str, str]) -> HistoryFilter:
    """The filter as typed.

    Raises:
        BadInput: a day that is none.
    """
    return HistoryFilter(
        who=values["who"].strip(),
        what=values["what"].strip(),
        about=values["about"].strip(),
        first=day(values, "first"),
        last=day(values, "last"),
        refused_only=values["refused"] == "yes",
    )


class HistoryView(Page):
    """The history, newest first."""

    NAME = "history"
    HELP_WORDS = "Lines are added and never altered. Enter shows one in full."
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)
    DEFAULT_CSS = """
    HistoryView Rows { height: 1fr; text-wrap: nowrap; text-overflow: ellipsis; }
    HistoryView Form { margin: 0 0 1 0; }
    """

    def __init__(self, book: Book, who: Who, *, about: str = "") -> None:
        super().__init__(book, who)
        self.about = about
        self.rows: tuple[HistoryRow, ...] = ()

    def body(self) -> Iterable[Widget]:
        """The filter, what it lets through in words, the lines."""
        yield Form(
            [
                Blank("who", "who", hint="a code or a seat: IN1, scale"),
                Blank("what", "what", hint="a word of it: weigh, refused, setting"),
                Blank("about", "about", value=self.about, hint="stock number, tag, VIN"),
                Blank("first", "from day", hint="2026-03-02"),
                Blank("last", "to day", hint="2026-03-02"),
                Blank("refused", "refused only", value="no", choices=YES_NO),
            ],
            id="filter",
        )
        yield Words(id="words", classes="quiet")
        yield Rows(id="lines")

    def on_mount(self) -> None:
        """The list first; the filter is one key away."""
        self._read()
        self.query_one(Rows).focus()

    def on_resize(self) -> None:
        """On a low screen the filter has its rows only while it is filled in."""
        self.on_descendant_focus()

    def on_descendant_focus(self) -> None:
        """The filter gives its rows to the list of a low screen."""
        form = self.query_one(Form)
        form.display = self.app.size.height >= LOW or (self.focused is not None and form in self.focused.ancestors)

    def refold(self) -> None:
        """Show it again."""
        self._read()

    def on_form_typed(self, message: Form.Typed) -> None:
        """The list follows the typing."""
        message.stop()
        self._read()

    def on_form_sent(self, message: Form.Sent) -> None:
        """Enter on the last blank goes to the list."""
        message.stop()
        self.query_one(Rows).focus()

    def _read(self) -> None:
        try:
            wanted = read_filter(self.query_one(Form).values())
        except YardError as error:
            self.query_one("#words", Words).say(error.in_one_line())
            return
        self.reads("history", lambda: Told(history_page(self.book, wanted)))

    def on_told(self, message: Told) -> None:
        """Show it."""
        page = message.page
        self.rows = page.rows
        self.query_one("#words", Words).say(f"{len(page.rows)} of {page.in_all:,}: {page.words}")
        self.query_one(Rows).show_rows([say_line(row, self.fold) for row in page.rows], of=page.in_all)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter shows a line in full."""
        event.stop()
        if event.option_index < len(self.rows):
            row = self.rows[event.option_index]
            self.app.push_screen(Notice(f"{row.action}: {row.subject}", say_whole(row)))

    def action_filter(self) -> None:
        """Go to the filter."""
        self.query_one(Form).display = True
        self.query_one(Form).start()

    def action_clear(self) -> None:
        """Everything again."""
        form = self.query_one(Form)
        form.fill({**dict.fromkeys(form.values(), ""), "refused": "no"})


def say_line(row: HistoryRow, fold: int = 0) -> Content:
    """A line of the history; a refusal says so in words."""
    refused = "REFUSED " if row.outcome is Outcome.REFUSED else ""
    when, done = f"{row.at.astimezone():%m-%d %H:%M}", f"{refused}{row.action}: {row.words}"
    if fold:
        return folded(when, f"{row.by}  {row.subject}", [clip(done, fold - INDENT)], fold)
    return joined((left(when, 12), "$quiet"), left(row.by, 5), (column(row.subject, 18), "bold"), done)


def say_whole(row: HistoryRow) -> Content:
    """A line in full, with its figures."""
    details = [f"{name}: {value}" for name, value in row.details.items() if value not in ("", [], None)]
    head = f"{row.at.astimezone():%Y-%m-%d %H:%M:%S}, {row.by} at {row.seat}, {row.outcome}"
    return lines([head, plain(row.words, "bold"), *details[:10]])
