"""The sheets of the counter: what a customer takes, what he pays, his receipt, tickets left open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cached_property
from typing import Any

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget

from app.book.accepting import Acceptance, against
from app.book.behind import behind
from app.book.money import CASH, PAID_HOW, dollars, parse_money, short_dollars
from app.book.sales import Basket, Line
from app.book.schema import TicketState
from app.book.tickets import SoldRow
from app.book.written import ToWrite, read_written
from app.errors import BadInput
from app.fit.answers import AnswerLine
from app.screens.counter_view import money_rows
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.plain import Words, lines
from app.screens.parts.sheets import Choice, FormSheet, ScanSheet, Sheet
from app.screens.written_blanks import written_blanks, written_words

MONEY_WIDTH = 90
"""Most columns of a ticket's lines: wider, and the eye loses the figure that belongs to the words."""


class Pay(StrEnum):
    """What a person did at the pay sheet."""

    CASH = "cash"
    CARD = "card"
    CHECK = "check"
    GIVE_UP = "give up"


class After(StrEnum):
    """What a person wants after the sale."""

    PRINT = "print"
    SAVE = "save"


class SellSheet(FormSheet):
    """What is needed before a ticket; which sets it spoils is told as soon as it was looked up."""

    def body(self) -> Iterable[Widget]:
        """What it spoils, if anything, above the form."""
        yield self._spoils
        yield from super().body()

    @cached_property
    def _spoils(self) -> Words:
        words = Words(classes="fault")
        words.display = False
        return words

    def warn(self, spoiled: Sequence[str]) -> None:
        """Say which sets are spoiled, whether the sheet stands already or is about to."""
        self._spoils.say("\n".join(spoiled))
        self._spoils.display = bool(spoiled)


def sell_sheet(
    basket: Sequence[AnswerLine], wanted: Sequence[ToWrite], told: Mapping[str, str], customer: str = ""
) -> SellSheet:
    """What is needed before a ticket: what must stand on it, whose, how much off, the old one, an exempt number.

    `wanted` is what the rules want on it, `told` what the customer told at the ask, `customer` for whom it is held.
    """
    tags = ", ".join(tag for line in basket for tag in line.tags)
    blanks = [*accepted_blanks(basket), *written_blanks(wanted, told)]
    blanks += [Blank("customer", "customer", customer, "name; may be empty"), Blank("discount", "discount %", hint="0")]
    core = sum(line.core_cents for line in basket)
    if core:
        blanks.append(Blank("old_one", f"old one in? {short_dollars(core)}", "no", choices=("no", "yes")))
    blanks.append(Blank("exempt", "exempt number", hint="empty: taxed"))
    cautions = " ".join(dict.fromkeys(caution for line in basket for caution in line.cautions))
    words = "\n".join(filter(None, (f"{_named(basket)}, {_priced(basket)}", written_words(wanted), cautions)))
    return SellSheet(
        f"Sell the basket of {len(basket)}" if len(basket) > 1 else "Sell",
        blanks,
        draft=f"sell {tags}",
        words=words,
        check=lambda values: basket_of(values, basket, wanted),
    )


def _priced(basket: Sequence[AnswerLine]) -> str:
    """The price, or why there is none until it was accepted in writing."""
    open_lines = unaccepted(basket)
    return open_lines or f"{short_dollars(sum(line.price_cents for line in basket))} before tax"


def tags_of(lines: Sequence[AnswerLine]) -> str:
    """All tags of some answers."""
    return " + ".join(tag for line in lines for tag in line.tags)


def of_basket(lines: Sequence[AnswerLine]) -> str:
    """What a sheet is about: the tag and name, and of several answers that they are what is in the basket."""
    return f"the basket of {len(lines)}: {tags_of(lines)}" if len(lines) > 1 else _named(lines)


def _named(lines: Sequence[AnswerLine]) -> str:
    """The tags, and of one alone what it is: the basket may hold another than the one under the cursor."""
    return tags_of(lines) if len(lines) > 1 or len(lines[0].tags) > 1 else f"{lines[0].tags[0]} {lines[0].names[0]}"


def unaccepted(basket: Sequence[AnswerLine]) -> str:
    """What the customer must accept in writing before there is a price; empty where nothing speaks against it."""
    told = [f"{' + '.join(line.tags)} {words}" for line in basket if (words := against(line))]
    return f"no price until this is accepted in writing: {'; '.join(told)}" if told else ""


def accepted_blanks(basket: Sequence[AnswerLine]) -> list[Blank]:
    """The blank for the customer's words, where he has to accept something."""
    return [Blank("accepted", "accepted", hint="the customer's own words, his name")] if unaccepted(basket) else []


def accepted_words(values: Mapping[str, str], basket: Sequence[AnswerLine]) -> str:
    """What the customer wrote; empty where nothing had to be accepted.

    Raises:
        BadInput: he has to accept something, and did not.
    """
    words = values.get("accepted", "").strip()
    if unaccepted(basket) and not words:
        raise BadInput("not accepted in writing", "Write the customer's own words down, or go back.", place="accepted")
    return words


def basket_of(values: Mapping[str, str], lines_taken: Sequence[AnswerLine], wanted: Sequence[ToWrite] = ()) -> Basket:
    """The form as a basket.

    Raises:
        BadInput: the discount is no number from 0 to 100, or something is not accepted or written down that has to be.
    """
    typed = values["discount"].strip().removesuffix("%").strip() or "0"
    try:
        percent = Decimal(typed)
    except InvalidOperation:
        raise BadInput(f"{typed!r} is not a percentage", "Type a number such as 10.", place="discount") from None
    if not 0 <= percent <= 100:
        raise BadInput(f"{typed} % cannot be", "Type 0 to 100.", place="discount")
    old_one_in, accepted = values.get("old_one", "no") == "yes", accepted_words(values, lines_taken)
    written = read_written(wanted, values)
    return Basket(
        lines=[
            Line(
                tag,
                grade=str(line.grade),
                said="; ".join(line.consequences),
                old_one_in=old_one_in,
                behind=behind(line),
                accepted=Acceptance(against(line), accepted),
                written=written,
            )
            for line in lines_taken
            for tag in line.tags
        ],
        customer=values["customer"].strip(),
        exempt_number=values["exempt"].strip(),
        discount_percent=percent,
    )


def money_width(sheet: Sheet[Any]) -> int:
    """Columns of a ticket on a sheet: as wide as the screen, and never so wide that words and figures part."""
    return min(sheet.app.size.width - 4, MONEY_WIDTH)


class PaySheet(Sheet[Pay]):
    """The ticket with its tax and total, and how it is paid."""

    DEEDS = (
        Deed("1", "pay('cash')", "cash", "Paid in cash."),
        Deed("2", "pay('card')", "card", "Paid by card: the slip is asked for."),
        Deed("3", "pay('check')", "check", "Paid by check."),
        Deed("x", "pay('give up')", "give up", "Give the draft up: its parts are free again."),
        Deed("escape", "leave", "leave it open", "Leave the draft open; o finds it again."),
    )
    BINDINGS = keyed(DEEDS)

    def __init__(self, ticket: SoldRow) -> None:
        who = f" for {ticket.customer}" if ticket.customer else ""
        super().__init__(f"Ticket {ticket.number}{who}: {dollars(ticket.total_cents)} to pay")
        self.ticket = ticket

    def body(self) -> Iterable[Widget]:
        """Lines and totals."""
        yield VerticalScroll(Words(lines(money_rows(self.ticket, money_width(self)))))

    def action_pay(self, how: str) -> None:
        """Give back how it is paid."""
        self.dismiss(Pay(how))


class ReceiptSheet(Sheet[After]):
    """The sale is done; what about the receipt?"""

    DEEDS = (
        Deed("p", "after('print')", "print receipt", "Send the receipt to the printer."),
        Deed("f", "after('save')", "save as PDF", "Save the receipt as a PDF file."),
        Deed("enter,escape", "leave", "done", "No receipt now; o finds it again.", face="Enter"),
    )
    BINDINGS = keyed(DEEDS)

    def __init__(self, ticket: SoldRow) -> None:
        super().__init__(f"Ticket {ticket.number} is paid: {dollars(ticket.total_cents)} {ticket.paid_how}")
        self.ticket = ticket

    def body(self) -> Iterable[Widget]:
        """Lines and totals, and what was said about the fit."""
        said = [f"said: {line.said}" for line in self.ticket.lines if line.said]
        rows: list[Content | str] = [*money_rows(self.ticket, money_width(self)), *said]
        yield VerticalScroll(Words(lines(rows)))

    def action_after(self, what: str) -> None:
        """Give back what is wanted."""
        self.dismiss(After(what))


def slip_sheet(ticket: SoldRow) -> FormSheet:
    """The card terminal has it; the slip tells whether it went through."""
    return FormSheet(
        f"{dollars(ticket.total_cents)} is at the card terminal",
        [Blank("slip", "slip number", hint="from the card slip; Esc: not recorded yet")],
        draft=f"slip {ticket.number}",
        words="Look at the slip before you go on. Until then the payment is not recorded.",
        check=_slip_given,
    )


def _slip_given(values: Mapping[str, str]) -> None:
    if not values["slip"].strip():
        raise BadInput("no slip number", "Type what stands on the slip, or leave it open with Esc.", place="slip")


def badge_sheet(why: str) -> FormSheet:
    """Whose badge approves what is over the counter's limit."""
    blank = Blank("badge", "owner's badge", hint="scan it, or type the owner's code")
    return FormSheet("The owner's badge is needed", [blank], words=why, check=_badge_given)


def _badge_given(values: Mapping[str, str]) -> None:
    if not values["badge"].strip():
        raise BadInput("no badge", "Scan the owner's badge, or go back with Esc.", place="badge")


def hold_sheet(lines: Sequence[AnswerLine]) -> FormSheet:
    """For whom parts are held."""
    blanks = [Blank("name", "name"), Blank("phone", "phone", hint="may be empty")]
    return FormSheet(f"Hold {of_basket(lines)}", blanks, draft=f"hold {tags_of(lines)}", check=_name_given)


def hold_longer_sheet(lines: Sequence[AnswerLine]) -> FormSheet:
    """For whom parts are held for days, and how the deposit is paid."""
    blanks = [
        Blank("name", "name"),
        Blank("phone", "phone", hint="may be empty"),
        Blank("days", "days", hint="empty: the longest the yard holds"),
        Blank("paid", "deposit paid", CASH, choices=PAID_HOW),
    ]
    words = "A share of the price is paid now; it comes off the final ticket."
    title, draft = f"Hold {of_basket(lines)} longer", f"hold {tags_of(lines)}"
    return FormSheet(title, blanks, draft=draft, words=words, check=hold_days)


def hold_days(values: Mapping[str, str]) -> Decimal | None:
    """The days typed; None for the longest the yard holds.

    Raises:
        BadInput: no name, or the days are no number.
    """
    _name_given(values)
    typed = values["days"].strip()
    try:
        return Decimal(typed) if typed else None
    except InvalidOperation:
        raise BadInput(f"{typed!r} is no number of days", "Type a number such as 7.", place="days") from None


def _name_given(values: Mapping[str, str]) -> None:
    if not values["name"].strip():
        raise BadInput("a hold needs a name", "Say for whom.", place="name")


def want_sheet(words: str) -> FormSheet:
    """Who is to be called when it comes in, and what he pays at most."""
    blanks = [
        Blank("name", "name"),
        Blank("phone", "phone"),
        Blank("most", "at most", hint="↓ comes here: dollars; may be empty", aside=True),
    ]
    return FormSheet("Write a want", blanks, draft="want", words=words, check=most_of)


def most_of(values: Mapping[str, str]) -> int | None:
    """The most a customer pays, in cents.

    Raises:
        BadInput: it is no amount of money.
    """
    return parse_money(values["most"], place="most") if values["most"].strip() else None


def _tag_sheet(title: str, tag: str, fault: str) -> ScanSheet:
    return ScanSheet(title, [Blank("tag", "tag", tag, hint="scan it, or type it", anew=True)], fault=fault)


def why_not_sheet(tag: str = "", fault: str = "") -> FormSheet:
    """Which tag was meant."""
    return _tag_sheet("Why not this one?", tag, fault)


def fits_sheet(tag: str, fault: str = "") -> FormSheet:
    """Which tag is asked about; the one under the cursor stands there already."""
    return _tag_sheet("What does it fit?", tag, fault)


def takes_sheet(vehicle: str) -> FormSheet:
    """What is wanted on which vehicle; the customer's stands there already."""
    blanks = [
        Blank("what", "put what", hint="a part, several with +, or front end"),
        Blank("vehicle", "on which", vehicle, hint="year, make and model"),
    ]
    return FormSheet("What would it take?", blanks, check=_both_said)


def _both_said(values: Mapping[str, str]) -> None:
    for name, words in (("what", "no part"), ("vehicle", "no vehicle")):
        if not values[name].strip():
            raise BadInput(f"{words} is named", "Say what is to go on, and on which vehicle.", place=name)


def void_sheet() -> FormSheet:
    """Which ticket is void, and why."""
    blanks = [Blank("ticket", "ticket number"), Blank("reason", "reason")]
    return FormSheet("Void a paid ticket", blanks, draft="void", check=void_of)


def void_of(values: Mapping[str, str]) -> tuple[int, str]:
    """The number and the reason.

    Raises:
        BadInput: no number, or no reason.
    """
    number = values["ticket"].strip().removeprefix("#")
    if not number.isdigit():
        raise BadInput(f"{number!r} is no ticket number", "Type the number on the receipt.", place="ticket")
    if not values["reason"].strip():
        raise BadInput("a void needs a reason", "Say why.", place="reason")
    return int(number), values["reason"].strip()


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """Tickets that somebody has to come back to."""

    open: tuple[SoldRow, ...]
    unprinted: tuple[SoldRow, ...]

    @property
    def all(self) -> tuple[SoldRow, ...]:
        """Open ones first."""
        return (*self.open, *self.unprinted)

    def sheet(self) -> Choice:
        """The list to pick from."""
        return Choice("Left open", [_left_words(row) for row in self.all])


def _left_words(row: SoldRow) -> str:
    state = "paid, no receipt yet" if row.state is TicketState.PAID else str(row.state)
    return f"ticket {row.number}  {dollars(row.total_cents):>10}  {state}  {row.customer}"
