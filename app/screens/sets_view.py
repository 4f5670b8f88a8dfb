"""Open quotes and held sets, whole or short with what is gone, and the wants that something in the yard answers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.money import PAID_HOW, dollars
from app.book.quotes import QUOTE, SetRow, close_quote, open_sets, quote_to_write, sell_quote
from app.book.spoiling import spoils
from app.book.wanting import WantRow, wants
from app.book.work import Book, Who
from app.book.written import ToWrite, read_written
from app.errors import BadInput, YardError
from app.screens.parts.board import Board, Lines, column, folded
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import joined, left, right
from app.screens.parts.sheets import FormSheet, Notice
from app.screens.written_blanks import written_blanks, written_words

Values = Mapping[str, str]
DEEDS = (
    Deed("s", "sell", "sell", "Sell the quoted set under the cursor at its price, all or none."),
    Deed("x", "close", "close", "Close the quote under the cursor, with the reason."),
    BACK,
)


class SetsRead(Message):
    """The open sets, and the wants that something answers now."""

    def __init__(self, rows: tuple[SetRow, ...], answered: tuple[WantRow, ...]) -> None:
        super().__init__()
        self.rows = rows
        self.answered = answered


class SetDone(Message):
    """Something was done with a set."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


class SetsView(Page):
    """Whom to call: open quotes and held sets, the short ones first, then the wants that something answers."""

    NAME = "quotes and sets"
    HELP_WORDS = (
        "A quote keeps nothing. The moment a piece of a set goes it is short, and stands first here. "
        "Last stand the wants that something in the yard answers now: call them."
    )
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.rows: dict[str, SetRow] = {}
        self.answered: dict[str, WantRow] = {}

    def body(self) -> Iterable[Widget]:
        """One list in three groups."""
        yield Board(id="sets")

    def on_screen_resume(self) -> None:
        """Read it again."""
        self.reads("sets", self._read)

    def _read(self) -> SetsRead:
        return SetsRead(open_sets(self.book), tuple(row for row in wants(self.book, look=True) if row.here))

    def on_sets_read(self, message: SetsRead) -> None:
        """Show it."""
        self.rows = {f"{row.kind} {row.number}": row for row in message.rows}
        short = [(name, say_set(row, self.fold)) for name, row in self.rows.items() if row.short]
        whole = [(name, say_set(row, self.fold)) for name, row in self.rows.items() if not row.short]
        self.answered = {f"want {row.number}": row for row in message.answered}
        waiting = [(name, say_want(row, self.fold)) for name, row in self.answered.items()]
        groups = [Lines("short of a piece", short), Lines("whole", whole), Lines("wanted, and here now", waiting)]
        self.query_one(Board).show_groups(groups)
        self.query_one(Board).focus()

    @property
    def row(self) -> SetRow | None:
        """The set under the cursor."""
        return self.rows.get(self.query_one(Board).here)

    @property
    def quote(self) -> SetRow | None:
        """The quote under the cursor; a hold is none."""
        row = self.row
        return row if row is not None and row.kind == QUOTE else None

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter shows a set or a want in full."""
        event.stop()
        row, want = self.row, self.answered.get(self.query_one(Board).here)
        if want is not None:
            self.app.push_screen(Notice(want.call, f"here now: {' '.join(want.here)}"))
        if row is not None:
            until = f"until {row.until.astimezone():%Y-%m-%d %H:%M}, by {row.by}"
            said = [
                f"{row.name} {row.phone}".strip(),
                " + ".join(row.tags),
                dollars(row.price_cents),
                until,
                *filter(None, (row.accepted,)),
                *row.short,
            ]
            self.app.push_screen(Notice(f"{row.kind} {row.number}: {row.state}", "\n".join(said)))

    def action_sell(self) -> None:
        """Ask what must stand on the ticket, and how it is paid, under what else it spoils."""
        row = self.quote
        if row is None:
            return
        try:
            # Looked up before anything else is done: the next key belongs to the sheet.
            wanted, spoiled = quote_to_write(self.book, row.number), spoils(self.book, row.tags)
        except YardError as error:
            self.house.trouble(error)
            return
        blanks = [
            *written_blanks(wanted, {}),
            Blank("paid", "paid", value=PAID_HOW[0], choices=PAID_HOW),
            Blank("slip", "slip", hint="card, check"),
        ]
        title = f"Sell quote {row.number}: {dollars(row.price_cents)}"
        words = "\n".join(filter(None, (*spoiled, written_words(wanted))))
        sheet = FormSheet(title, blanks, words=words, check=lambda values: _paid(values, wanted))
        self.app.push_screen(sheet, lambda values: self._sell(row.number, values, wanted) if values else None)

    def _sell(self, number: int, values: Values, wanted: Sequence[ToWrite]) -> None:
        written = read_written(wanted, values)

        def job() -> SetDone:
            sold = sell_quote(self.book, self.who, number, values["paid"], values["slip"].strip(), written)
            return SetDone(f"quote {number} sold on ticket {sold.number}: {dollars(sold.total_cents)} {sold.paid_how}")

        self.writes("set", job)

    def action_close(self) -> None:
        """Ask why."""
        row = self.quote
        if row is not None:
            sheet = FormSheet(f"Close quote {row.number}", [Blank("why", "why")])
            self.app.push_screen(sheet, lambda values: self._close(row.number, values) if values else None)

    def _close(self, number: int, values: Values) -> None:
        self.writes("set", lambda: SetDone(close_quote(self.book, self.who, number, values["why"])))

    def on_set_done(self, message: SetDone) -> None:
        """Say so."""
        self.tell(message.words)
        self.on_screen_resume()


def _paid(values: Values, wanted: Sequence[ToWrite]) -> None:
    read_written(wanted, values)
    if values["paid"] not in PAID_HOW:
        raise BadInput(f"{values['paid']!r} is no way to pay here", f"Say {', '.join(PAID_HOW)}.", place="paid")


def say_set(row: SetRow, fold: int = 0) -> Content:
    """A set in the list; a short one says what is gone."""
    if fold:
        told = [dollars(row.price_cents), *(row.short or [" ".join(row.tags)])]
        return folded(f" {row.kind} {row.number}", row.name, told, fold)
    return joined(
        (left(f" {row.kind} {row.number}", 11), "bold"),
        column(row.name, 16),
        right(dollars(row.price_cents), 10),
        f"  {'; '.join(row.short) or ' '.join(row.tags)}",
    )


def say_want(row: WantRow, fold: int = 0) -> Content:
    """A want in the list: who, how many tags answer it and the first of them, what was wanted."""
    who = " ".join(word for word in (row.name, row.phone) if word)
    here = f"{row.here[0]} +{len(row.here) - 1}" if len(row.here) > 1 else row.here[0]
    if fold:
        return folded(f" want {row.number}", who, [here, row.words], fold)
    return joined((left(f" want {row.number}", 11), "bold"), column(who, 26), column(here, 13), row.words)
