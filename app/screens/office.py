"""The office: yesterday and today in figures that add up, trucks to date and in outlook, the owner's lists."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from itertools import zip_longest

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.boards import today
from app.book.money import dollars
from app.book.reports import COMES_HOME_PERCENT, DaySheet, TicketLine, TruckRow, Trucks, WeighedSum, day_sheet, trucks
from app.book.work import Book, Who
from app.screens.parts.board import Board, Lines, column, folded
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, joined, left, lines, right, wall_time
from app.screens.parts.seat import Seat

DEEDS = (
    Deed("d", "day", "tickets", "The tickets beneath the day's figures."),
    Deed("y", "history", "history", "What was done by whom and when."),
    Deed("p", "people", "people", "Who works here; sign somebody on."),
    Deed("l", "places", "places", "Places and their signs."),
    Deed("r", "rules", "rules", "Rules in dispute, chains that wait to become rules, faults of rules."),
    Deed("s", "sets", "quotes", "Open quotes and held sets; those short of a piece first.", shown=False),
    Deed("g", "settings", "settings", "The yard's settings."),
)


WIDE_NAME, WIDE_FIGURE = 22, 27
NAME, FIGURE = 14, 11
"""Columns of a figure's name and of each day's figure, on a handheld and where there is room."""


class Figures(Message):
    """Two days and the trucks."""

    def __init__(self, yesterday: DaySheet, today: DaySheet, trucks: Trucks) -> None:
        super().__init__()
        self.yesterday = yesterday
        self.today = today
        self.trucks = trucks


def look(book: Book) -> Figures:
    """Read the first screen."""
    day = today(book)
    return Figures(day_sheet(book, day - timedelta(days=1)), day_sheet(book, day), trucks(book))


class OfficeSeat(Seat):
    """The owner's first screen."""

    NAME = "office"
    HELP_WORDS = (
        "Every figure is the sum of the tickets beneath it; d shows them. Outlook is money in less cost, with "
        f"{COMES_HOME_PERCENT} % of what is still asked; the hulk's price is not in it."
    )
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def body(self) -> Iterable[Widget]:
        """Figures, then trucks."""
        yield Words(id="figures")
        yield Board(id="trucks")

    def on_screen_resume(self) -> None:
        """Read everything again."""
        self.reads("figures", lambda: look(self.book))

    def on_figures(self, message: Figures) -> None:
        """Show it."""
        figures, fold = day_rows(message.yesterday, message.today, self.fold), self.fold
        beside = self.query_one("#figures", Words)
        beside.say(lines([*figures, ""]))
        beside.display = not fold
        found = message.trucks
        heading = "trucks" if fold else f"{'trucks':<33}{'cost':>10}{'money in':>11}{'to date':>11}{'outlook':>11}"
        rows = [(f"donor {row.stock_number}", say_truck(row, fold)) for row in found.rows]
        # On a handheld the figures are part of the list, or nobody would get past them.
        head = f"{left('', NAME)}{right('yesterday', FIGURE)}{right('today', FIGURE)}"
        days = [Lines(head, [(f"figure {n}", row) for n, row in enumerate(figures[1:])])] if fold else []
        self.query_one(Board).show_groups([*days, Lines(heading, rows, of=found.in_all)])
        self.query_one(Board).focus()

    def refold(self) -> None:
        """Show it again."""
        self.on_screen_resume()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter opens the truck's page."""
        event.stop()
        from app.screens.intake_donor import DonorView

        kind, _, name = (event.option.id or "").partition(" ")
        if kind == "donor":
            self.app.push_screen(DonorView(self.book, self.who, name))

    def action_day(self) -> None:
        """The tickets of the day."""
        self.app.push_screen(DayView(self.book, self.who))

    def action_history(self) -> None:
        """The history."""
        from app.screens.office_history import HistoryView

        self.app.push_screen(HistoryView(self.book, self.who))

    def action_people(self) -> None:
        """The people."""
        from app.screens.office_lists import PeopleView

        self.app.push_screen(PeopleView(self.book, self.who))

    def action_places(self) -> None:
        """The places."""
        from app.screens.office_lists import PlacesView

        self.app.push_screen(PlacesView(self.book, self.who))

    def action_rules(self) -> None:
        """The rules that wait for a decision."""
        from app.screens.office_rules import RulesView

        self.app.push_screen(RulesView(self.book, self.who))

    def action_sets(self) -> None:
        """Quotes and held sets."""
        from app.screens.sets_view import SetsView

        self.app.push_screen(SetsView(self.book, self.who))

    def action_settings(self) -> None:
        """The settings."""
        from app.screens.office_lists import SettingsView

        self.app.push_screen(SettingsView(self.book, self.who))


class DayRead(Message):
    """One day."""

    def __init__(self, sheet: DaySheet) -> None:
        super().__init__()
        self.sheet = sheet


DAY_DEEDS = (
    Deed("left", "day(-1)", "day before", "The day before."),
    Deed("right", "day(1)", "day after", "The day after."),
    BACK,
)


class DayView(Page):
    """The tickets of one day, and their sums."""

    NAME = "office · tickets"
    HELP_WORDS = "A voided ticket counts on the day it was paid and goes back out on the day of the void."
    DEEDS = DAY_DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.day = today(book)

    def body(self) -> Iterable[Widget]:
        """One list with its sums."""
        yield Board(id="tickets")

    def on_screen_resume(self) -> None:
        """Read the day."""
        day = self.day
        self.reads("day", lambda: DayRead(day_sheet(self.book, day)))

    def on_day_read(self, message: DayRead) -> None:
        """Show it."""
        sheet = message.sheet
        fold = self.fold
        paid = [(f"paid {line.number}", say_ticket_line(line, fold)) for line in sheet.tickets]
        back = [(f"back {line.number}", say_ticket_line(line, fold)) for line in sheet.given_back]
        sums = [
            ("sum", say_taken(sheet, fold)),
            *(
                (f"paid by {how}", say_sum(f"in {how or 'unknown'}", cents, fold))
                for how, cents in sheet.by_payment().items()
            ),
        ]
        columns = "" if fold else f"{'parts':>12}{'cores':>9}{'tax':>9}{'total':>12}"
        heading = f"{sheet.day:%Y-%m-%d}   {'paid':<16}{columns}".rstrip()
        self.query_one(Board).show_groups([Lines(heading, paid), Lines("voided that day", back), Lines("sums", sums)])
        self.query_one(Board).focus()

    def refold(self) -> None:
        """Show it again."""
        self.on_screen_resume()

    def action_day(self, by: int) -> None:
        """Another day."""
        self.day += timedelta(days=by)
        self.on_screen_resume()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A ticket is read here and not changed."""
        event.stop()


def day_rows(yesterday: DaySheet, now: DaySheet, fold: int = 0) -> list[Content]:
    """Two days side by side, figures to the right; the first row names the days, what neither had is left out."""
    heads = [f"{day.day:%a} {day.day.day} {day.day:%b}" for day in (yesterday, now)]
    rows = [("", heads[0], f"today, {heads[1]}"), *_money_rows(yesterday, now, fold)]
    for how in sorted({*yesterday.by_payment(), *now.by_payment()}):
        both = [dollars(day.by_payment().get(how, 0)) for day in (yesterday, now)]
        rows.append((f"  in {how or 'unknown'}", both[0], both[1]))
    for old, new in zip(yesterday.weighed, now.weighed, strict=True):
        if old.tickets or new.tickets:
            names = (str(old.kind), "  weighed", "  for") if fold else (f"weighed, {old.kind}",)
            rows += _both(names, _weighed(old), _weighed(new))
    landed = [[str(day.vehicles), dollars(day.landed_cents)] for day in (yesterday, now)]
    rows += _both(("vehicles in", "  landed") if fold else ("vehicles in, landed",), landed[0], landed[1])
    if yesterday.turned_away or now.turned_away:
        rows.append(("turned away", str(yesterday.turned_away), str(now.turned_away)))
    said = [_columns(*row, fold) for row in rows]
    owed = right(dollars(now.cores_owed_cents), 2 * (FIGURE if fold else WIDE_FIGURE))
    name = left("cores owed", NAME) if fold else left("cores owed, all days", WIDE_NAME)
    return [said[0].stylize("$quiet"), *said[1:], joined(name, (owed, "bold"))]


def _money_rows(yesterday: DaySheet, now: DaySheet, fold: int) -> list[tuple[str, str, str]]:
    def both(name: str, field: str) -> tuple[str, str, str]:
        return name, dollars(yesterday.taken(field)), dollars(now.taken(field))

    days = (yesterday, now)
    voided = "" if fold else " voided"
    tickets = [[str(len(day.tickets)), f"{len(day.given_back) or 'none'}{voided}"] for day in days]
    net = [dollars(day.taken("parts_cents") - day.taken("discount_cents")) for day in days]
    deposits = any(day.taken("deposit_cents") for day in days)
    return [
        *_both(("tickets", "  voided") if fold else ("tickets",), tickets[0], tickets[1]),
        ("parts, net" if fold else "parts less discount", net[0], net[1]),
        both("core charges", "core_cents"),
        both("tax", "tax_cents"),
        *([both("deposits off" if fold else "deposits taken off", "deposit_cents")] if deposits else []),
        both("total taken", "total_cents"),
    ]


def _both(names: Sequence[str], one: Sequence[str], other: Sequence[str]) -> list[tuple[str, str, str]]:
    """Figures that belong together: on one row under one name, or each on its own under several."""
    if len(names) == 1:
        return [(names[0], ", ".join(one), ", ".join(other))]
    figures = zip_longest(one, other, fillvalue="")
    return [(name, *pair) for name, pair in zip(names, figures, strict=False)]


def _columns(name: str, one: str, other: str, fold: int) -> Content:
    names, figures = (NAME, FIGURE) if fold else (WIDE_NAME, WIDE_FIGURE)
    return Content(f"{left(name, names)}{right(one, figures)}{right(other, figures)}")


def _weighed(day: WeighedSum) -> list[str]:
    amount = [dollars(day.amount_cents)] if day.amount_cents else []
    return [str(day.tickets), f"{day.net_lb:,f} lb", *amount]


def say_truck(row: TruckRow, fold: int = 0) -> Content:
    """A truck in the list."""
    to_date, outlook = dollars(row.to_date_cents, sign=True), dollars(row.outlook_cents, sign=True)
    if fold:
        return folded(f" {row.stock_number}", row.vehicle, [f"to date {to_date}", f"outlook {outlook}"], fold)
    return joined(
        (column(f" {row.stock_number}  {row.vehicle}, {row.days} d", 33), "bold"),
        right(dollars(row.cost_cents), 10),
        right(dollars(row.money_cents), 11),
        right(to_date, 11),
        right(outlook, 11),
    )


def say_ticket_line(line: TicketLine, fold: int = 0) -> Content:
    """A sale ticket in the day's list."""
    how, parts = f"{wall_time(line.at)} {line.paid_how}", dollars(line.parts_cents - line.discount_cents)
    void = f"VOID: {line.voided}" if line.voided else ""
    if fold:
        core = f"cores {dollars(line.core_cents)}" if line.core_cents else ""
        told = [f"parts {parts}", core, f"tax {dollars(line.tax_cents)}", void]
        return folded(f" {line.number}", f"{how} {dollars(line.total_cents)} {line.customer}", told, fold)
    return joined(
        (left(f" {line.number}", 7), "bold"),
        left(f"{how} {line.customer}", 22),
        right(parts, 11),
        right(dollars(line.core_cents), 9),
        right(dollars(line.tax_cents), 9),
        (right(dollars(line.total_cents), 12), "bold"),
        f"  {void}" if void else "",
    )


def say_taken(sheet: DaySheet, fold: int) -> Content:
    """What the day's tickets come to."""
    parts = dollars(sheet.taken("parts_cents") - sheet.taken("discount_cents"))
    core, tax, total = (dollars(sheet.taken(name)) for name in ("core_cents", "tax_cents", "total_cents"))
    if fold:
        return folded(" taken", total, [f"parts {parts}", f"cores {core}", f"tax {tax}"], fold)
    return joined(
        (left(" taken", 29), "bold"), right(parts, 11), right(core, 9), right(tax, 9), (right(total, 12), "bold")
    )


def say_sum(name: str, cents: int, fold: int = 0) -> Content:
    """A sum under the list."""
    return joined(left(f" {name}", NAME if fold else 58), (right(dollars(cents), FIGURE if fold else 12), "bold"))
