"""The office: yesterday and today in figures that add up, trucks to date and in outlook, the owner's lists."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.boards import today
from app.book.money import dollars
from app.book.reports import COMES_HOME_PERCENT, DaySheet, TicketLine, TruckRow, Trucks, WeighedSum, day_sheet, trucks
from app.book.work import Book, Who
from app.screens.parts.board import Board, Lines, column
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


class Figures(Message):
    """Two days and the trucks."""

    def __init__(self, yesterday: DaySheet, today: DaySheet, trucks: Trucks) -> None:
        super().__init__()
        self.yesterday = yesterday
        self.today = today
        self.trucks = trucks


def _tickets(paid: int, voided: int) -> str:
    return f"{paid}, {voided or 'none'} voided"


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
        self.query_one("#figures", Words).say(say_days(message.yesterday, message.today))
        found = message.trucks
        heading = f"{'trucks':<34}{'cost':>10}{'money in':>11}{'to date':>11}{'outlook':>10}"
        rows = [(f"donor {row.stock_number}", say_truck(row)) for row in found.rows]
        self.query_one(Board).show_groups([Lines(heading, rows, of=found.in_all)])
        self.query_one(Board).focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter opens the truck's page."""
        event.stop()
        from app.screens.intake_donor import DonorView

        _, _, name = (event.option.id or "").partition(" ")
        if name:
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
        paid = [(f"paid {line.number}", say_ticket_line(line)) for line in sheet.tickets]
        back = [(f"back {line.number}", say_ticket_line(line)) for line in sheet.given_back]
        sums = [
            (
                "sum",
                joined(
                    (left(" taken", 29), "bold"),
                    right(dollars(sheet.taken("parts_cents") - sheet.taken("discount_cents")), 11),
                    right(dollars(sheet.taken("core_cents")), 9),
                    right(dollars(sheet.taken("tax_cents")), 9),
                    (right(dollars(sheet.taken("total_cents")), 12), "bold"),
                ),
            ),
            *(
                (f"paid by {how}", say_sum(f"in {how or 'unknown'}", cents))
                for how, cents in sheet.by_payment().items()
            ),
        ]
        heading = f"{sheet.day}   {'paid':<16}{'parts':>12}{'cores':>9}{'tax':>9}{'total':>12}"
        self.query_one(Board).show_groups([Lines(heading, paid), Lines("voided that day", back), Lines("sums", sums)])
        self.query_one(Board).focus()

    def action_day(self, by: int) -> None:
        """Another day."""
        self.day += timedelta(days=by)
        self.on_screen_resume()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A ticket is read here and not changed."""
        event.stop()


def say_days(yesterday: DaySheet, now: DaySheet) -> Content:
    """Two days side by side, figures to the right."""
    rows: list[Content | str] = [
        joined((_columns("", f"{yesterday.day:%a %m-%d}", f"today {now.day:%m-%d}"), "$quiet"))
    ]
    rows += [_columns(name, *figures) for name, figures in _money_rows(yesterday, now)]
    hows = sorted({*yesterday.by_payment(), *now.by_payment()})
    for how in hows:
        both = (dollars(yesterday.by_payment().get(how, 0)), dollars(now.by_payment().get(how, 0)))
        rows.append(_columns(f"  in {how or 'unknown'}", *both))
    for old, new in zip(yesterday.weighed, now.weighed, strict=True):
        rows.append(_columns(f"weighed, {old.kind}", _weighed(old), _weighed(new)))
    rows.append(
        _columns(
            "vehicles in, landed",
            f"{yesterday.vehicles}, {dollars(yesterday.landed_cents)}",
            f"{now.vehicles}, {dollars(now.landed_cents)}",
        )
    )
    rows.append(_columns("turned away", str(yesterday.turned_away), str(now.turned_away)))
    rows.append(joined(left("cores owed, all days", 22), (right(dollars(now.cores_owed_cents), 54), "bold")))
    return lines([*rows, ""])


def _money_rows(yesterday: DaySheet, now: DaySheet) -> list[tuple[str, tuple[str, str]]]:
    def both(field: str) -> tuple[str, str]:
        return dollars(yesterday.taken(field)), dollars(now.taken(field))

    tickets = tuple(_tickets(len(day.tickets), len(day.given_back)) for day in (yesterday, now))
    net = tuple(dollars(day.taken("parts_cents") - day.taken("discount_cents")) for day in (yesterday, now))
    return [
        ("tickets", (tickets[0], tickets[1])),
        ("parts less discount", (net[0], net[1])),
        ("core charges", both("core_cents")),
        ("tax", both("tax_cents")),
        ("deposits taken off", both("deposit_cents")),
        ("total taken", both("total_cents")),
    ]


def _columns(name: str, one: str, other: str) -> str:
    return f"{left(name, 22)}{right(one, 27)}{right(other, 27)}"


def _weighed(day: WeighedSum) -> str:
    amount = f", {dollars(day.amount_cents)}" if day.amount_cents else ""
    return f"{day.tickets}, {day.net_lb:,f} lb{amount}"


def say_truck(row: TruckRow) -> Content:
    """A truck in the list."""
    name = f" {row.stock_number}  {row.vehicle}, {row.days} d"
    return joined(
        (column(name, 34), "bold"),
        right(dollars(row.cost_cents), 10),
        right(dollars(row.money_cents), 11),
        right(dollars(row.to_date_cents, sign=True), 11),
        right(dollars(row.outlook_cents, sign=True), 10),
    )


def say_ticket_line(line: TicketLine) -> Content:
    """A sale ticket in the day's list."""
    return joined(
        (left(f" {line.number}", 7), "bold"),
        left(f"{wall_time(line.at)} {line.paid_how} {line.customer}", 22),
        right(dollars(line.parts_cents - line.discount_cents), 11),
        right(dollars(line.core_cents), 9),
        right(dollars(line.tax_cents), 9),
        (right(dollars(line.total_cents), 12), "bold"),
        f"  VOID: {line.voided}" if line.voided else "",
    )


def say_sum(name: str, cents: int) -> Content:
    """A sum under the list."""
    return joined(left(f" {name}", 58), (right(dollars(cents), 12), "bold"))
