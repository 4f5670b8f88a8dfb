"""The till of the counter: sell, pay, receipt, hold, want, void. The screen mixes it in."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from textual.message import Message

from app.book.accepting import refuse_by_law_alone, stood_on
from app.book.behind import Behind, behind
from app.book.holds import hold, hold_longer, release_hold
from app.book.people import who_is
from app.book.sales import Basket, drop_ticket, mark_unrecorded, pay_ticket, start_ticket, void_ticket
from app.book.schema import TicketState
from app.book.spoiling import spoils
from app.book.tickets import SoldRow, open_tickets, ticket, unprinted_tickets
from app.book.typed import held_part
from app.book.wanting import write_want
from app.book.work import Book, Who
from app.book.written import to_write
from app.errors import YardError
from app.fit.answers import Answer, AnswerLine
from app.screens.counter_sheets import (
    After,
    LeftOpen,
    Pay,
    PaySheet,
    ReceiptSheet,
    SellSheet,
    badge_sheet,
    basket_of,
    hold_days,
    hold_longer_sheet,
    hold_sheet,
    most_of,
    sell_sheet,
    slip_sheet,
    void_of,
    void_sheet,
    want_sheet,
)
from app.screens.parts.seat import Seat
from app.screens.parts.sheets import Notice, Sure

AS_SAID = "No part is understood: it is kept as it was said, and whoever reads it calls."


LET_GO = "; d, then u on it, lets it go"


class Started(Message):
    """A draft ticket was opened, or its card payment begun."""

    def __init__(self, ticket: SoldRow, draft: str = "") -> None:
        super().__init__()
        self.ticket = ticket
        self.draft = draft


class Paid(Message):
    """A ticket was paid."""

    def __init__(self, ticket: SoldRow) -> None:
        super().__init__()
        self.ticket = ticket


class Done(Message):
    """Something was done: its words, the draft that is finished with it, whether the stock changed.

    `kept` are the tags that somebody has now.
    """

    def __init__(self, words: str, draft: str = "", *, stock_changed: bool = False, kept: Sequence[str] = ()) -> None:
        super().__init__()
        self.words = words
        self.draft = draft
        self.stock_changed = stock_changed
        self.kept = tuple(kept)


class Spoils(Message):
    """Which sets a ticket would spoil was looked up for a sheet."""

    def __init__(self, sheet: SellSheet, spoiled: Sequence[str]) -> None:
        super().__init__()
        self.sheet = sheet
        self.spoiled = spoiled


class Left(Message):
    """Tickets left open were looked up."""

    def __init__(self, left: LeftOpen, *, one: bool = False) -> None:
        super().__init__()
        self.left = left
        self.one = one


class Till(Seat):
    """Everything at the counter that takes money or keeps a part."""

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self._asked_for: tuple[Basket, str] | None = None

    def stock_changed(self) -> None:
        """Parts were taken or freed; the answer on the screen is old."""

    def taken(self, tags: Collection[str]) -> None:
        """These are on a ticket or held now; the counter takes them out of its baskets."""

    def told(self) -> Mapping[str, str]:
        """What the customer told of his vehicle at the ask, by fact; the counter knows it."""
        return {}

    def sell_held(self, tag: str) -> None:
        """Sell a held part to whom it is held for, whose deposit then counts."""
        try:
            name, line = held_part(self.book, tag)
        except YardError as error:
            self.house.trouble(error)
            return
        self.sell_lines([line], name)

    def sell_lines(self, basket: Sequence[AnswerLine], customer: str = "") -> None:
        """Ask what a ticket needs, then open it as a draft that keeps its parts."""
        sold = [(tag, behind(line)) for line in basket for tag in line.tags]
        try:
            # Looked up before anything else is done: the next key belongs to the sheet.
            refuse_by_law_alone(self.book, basket)
            wanted = to_write(self.book, sold)
        except YardError as error:
            self.house.trouble(error)
            return
        sheet = sell_sheet(basket, wanted, self.told(), customer)

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self._start_ticket(basket_of(values, basket, wanted), sheet.draft)

        self.app.push_screen(sheet, filled)
        self.reads("spoils", lambda: Spoils(sheet, spoils(self.book, [tag for tag, _ in sold])))

    def on_spoils(self, message: Spoils) -> None:
        """Warn on the sheet."""
        message.sheet.warn(message.spoiled)

    def _start_ticket(self, taken: Basket, draft: str) -> None:
        self._asked_for = (taken, draft)
        self.writes("ticket", lambda: Started(start_ticket(self.book, self.who, taken), draft))

    def failed(self, topic: str, error: YardError) -> None:
        """A discount over the counter's limit may be the owner's to give."""
        if topic == "ticket" and self._asked_for is not None and getattr(error, "action", "") == "discount":
            self.app.push_screen(badge_sheet(error.title), self._badged)
        else:
            super().failed(topic, error)

    def _badged(self, values: Mapping[str, str] | None) -> None:
        if values is None or self._asked_for is None:
            self.tell("no ticket was made: the discount was not approved")
            return
        code, (taken, draft) = values["badge"].strip(), self._asked_for
        self.writes("ticket", lambda: self._approved(code, taken, draft))

    def _approved(self, code: str, taken: Basket, draft: str) -> Started:
        """The same ticket, with the discount by whoever showed the badge."""
        by = who_is(self.book, code, self.who.seat)
        approved = replace(taken, discount_by=by.code, discount_role=by.role)
        return Started(start_ticket(self.book, self.who, approved), draft)

    def on_started(self, message: Started) -> None:
        """Show what is to be paid."""
        self.house.keeper.drop(self.who, message.draft)
        self.taken([line.tag for line in message.ticket.lines])
        if message.ticket.state is TicketState.NOT_RECORDED:
            self._ask_slip(message.ticket)
        else:
            self._ask_payment(message.ticket)
        self.stock_changed()

    def _ask_payment(self, ticket: SoldRow) -> None:
        self.app.push_screen(PaySheet(ticket), lambda how: self._pay(ticket, how))

    def _pay(self, ticket: SoldRow, how: Pay | None) -> None:
        number = ticket.number
        if how is None:
            self.tell(f"ticket {number} is left open under o and keeps its parts for a while")
        elif how is Pay.GIVE_UP:
            self.writes("pay", lambda: self._given_up(number))
        elif how is Pay.CARD:
            self.writes("pay", lambda: Started(mark_unrecorded(self.book, self.who, number)))
        else:
            self.writes("pay", lambda: Paid(pay_ticket(self.book, self.who, number, how)))

    def _given_up(self, number: int) -> Done:
        drop_ticket(self.book, self.who, number)
        return Done(f"ticket {number} given up, its parts are free again", stock_changed=True)

    def _ask_slip(self, ticket: SoldRow) -> None:
        def filled(values: Mapping[str, str] | None) -> None:
            if values is None:
                self.tell(f"ticket {ticket.number}: payment not recorded; look at the slip, then press o")
                return
            slip = values["slip"]
            self.writes("pay", lambda: Paid(pay_ticket(self.book, self.who, ticket.number, Pay.CARD, slip)))

        self.app.push_screen(slip_sheet(ticket), filled)

    def on_paid(self, message: Paid) -> None:
        """The sale is done."""
        ticket = message.ticket
        self.house.keeper.drop(self.who, f"slip {ticket.number}")
        self.tell(f"ticket {ticket.number} paid {ticket.paid_how}; v voids it, with a reason")
        self.stock_changed()
        self._offer_receipt(ticket)

    def _offer_receipt(self, ticket: SoldRow) -> None:
        self.app.push_screen(ReceiptSheet(ticket), lambda after: self._receipt(ticket, after))

    def _receipt(self, ticket: SoldRow, after: After | None) -> None:
        if after is After.PRINT:
            self.writes("receipt", lambda: self._print(ticket))
        elif after is After.SAVE:
            self.writes("receipt", lambda: self._save(ticket))

    def _print(self, ticket: SoldRow) -> Done:
        from app.book.papers import print_paper, receipt_paper

        paper = receipt_paper(self.book, ticket.tag)
        again = "asked for again" if ticket.receipts else ""
        return Done(print_paper(self.book, self.who, paper, reason=again).words)

    def _save(self, ticket: SoldRow) -> Done:
        from app.book.papers import draw_paper, receipt_paper

        file = Path.home() / f"receipt-{ticket.number}.pdf"
        draw_paper(self.book, receipt_paper(self.book, ticket.tag), file)
        return Done(f"receipt saved as {file}")

    def on_done(self, message: Done) -> None:
        """Say it."""
        if message.draft:
            self.house.keeper.drop(self.who, message.draft)
        self.tell(message.words)
        self.taken(message.kept)
        if message.stock_changed:
            self.stock_changed()

    def hold_lines(self, lines: Sequence[AnswerLine]) -> None:
        """Hold answers for somebody, all or none."""
        sheet = hold_sheet(lines)

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self.writes("hold", lambda: self._held(lines, values, sheet.draft))

        self.app.push_screen(sheet, filled)

    def _held(self, lines: Sequence[AnswerLine], values: Mapping[str, str], draft: str) -> Done:
        """Several are held whole or not at all."""
        name, phone, tags = values["name"], values["phone"], _tags(lines)
        if len(tags) > 1:
            from app.book.holds import hold_set

            words = hold_set(self.book, self.who, tags, name, phone, behind=_stood_on(lines)).words
        else:
            held = hold(self.book, self.who, tags[0], name, phone, behind=stood_on(lines[0]))
            words = f"{held.words}{LET_GO}"
        return Done(words, draft, stock_changed=True, kept=tags)

    def want_answer(self, answer: Answer) -> None:
        """Write down what nobody could sell."""
        asked = answer.asked
        sheet = want_sheet(asked.words if asked.part_types or asked.meanings else f"{asked.words}\n{AS_SAID}")

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self.writes("want", lambda: self._wanted(answer, values))

        self.app.push_screen(sheet, filled)

    def _wanted(self, answer: Answer, values: Mapping[str, str]) -> Done:
        name, phone = values["name"], values["phone"]
        row = write_want(self.book, self.who, answer, name, phone, most_of(values), as_said=True)
        return Done(f"want {row.number} written for {row.name or row.phone}", "want")

    def hold_lines_longer(self, lines: Sequence[AnswerLine]) -> None:
        """Hold answers for days against a deposit, all or none."""
        sheet = hold_longer_sheet(lines)

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self.writes("hold", lambda: self._held_longer(lines, values, sheet.draft))

        self.app.push_screen(sheet, filled)

    def _held_longer(self, lines: Sequence[AnswerLine], values: Mapping[str, str], draft: str) -> Done:
        """Several are held whole or not at all."""
        name, phone, days, paid = values["name"], values["phone"], hold_days(values), values["paid"]
        tags = _tags(lines)
        if len(tags) > 1:
            from app.book.holds import hold_set_longer

            held = hold_set_longer(
                self.book, self.who, tags, name, phone, days=days, paid_how=paid, behind=_stood_on(lines)
            )
            return Done(held.words, draft, stock_changed=True, kept=tags)
        made = hold_longer(
            self.book, self.who, tags[0], name, phone, days=days, paid_how=paid, behind=stood_on(lines[0])
        )
        return Done(made.words, draft, stock_changed=True, kept=tags)

    def release_tag(self, tag: str) -> None:
        """Let a held part go again, once it is sure."""

        def answered(yes: bool | None) -> None:
            if yes:
                self.writes("release", lambda: self._released(tag))

        self.app.push_screen(Sure(f"Let {tag} go?", "The hold ends now, the part is free again."), answered)

    def _released(self, tag: str) -> Done:
        return Done(release_hold(self.book, self.who, tag), stock_changed=True)

    def open_ticket(self, number: str) -> None:
        """Look a ticket up, to go on with it, print it again or void it."""
        self.reads("left", lambda: Left(LeftOpen((ticket(self.book, number),), ()), one=True))

    def action_void(self) -> None:
        """Void a paid ticket."""
        self.app.push_screen(void_sheet(), self._void)

    def _void(self, values: Mapping[str, str] | None) -> None:
        if values is None:
            return
        number, reason = void_of(values)

        def answered(yes: bool | None) -> None:
            if yes:
                self.writes("void", lambda: self._voided(number, reason))

        self.app.push_screen(
            Sure(f"Void ticket {number}?", f"{reason}\nThe money goes back, the parts are free again."), answered
        )

    def _voided(self, number: int, reason: str) -> Done:
        void_ticket(self.book, self.who, number, reason)
        return Done(f"ticket {number} is void", "void", stock_changed=True)

    def action_left_open(self) -> None:
        """Look up what was left open here."""
        seat = self.who.seat
        self.reads("left", lambda: Left(LeftOpen(open_tickets(self.book, seat), unprinted_tickets(self.book, seat))))

    def on_left(self, message: Left) -> None:
        """Show it, or say that there is nothing."""
        left = message.left
        if message.one:
            self._come_back(left, 0)
            return
        if not left.all:
            self.app.push_screen(Notice("Nothing is left open here"))
            return
        self.app.push_screen(left.sheet(), lambda index: self._come_back(left, index))

    def _come_back(self, left: LeftOpen, index: int | None) -> None:
        if index is None:
            return
        ticket = left.all[index]
        if ticket.state in (TicketState.PAID, TicketState.VOIDED):
            self._offer_receipt(ticket)
        elif ticket.state is TicketState.NOT_RECORDED:
            self._ask_slip(ticket)
        else:
            self._ask_payment(ticket)


def _tags(lines: Sequence[AnswerLine]) -> list[str]:
    return [tag for line in lines for tag in line.tags]


def _stood_on(lines: Sequence[AnswerLine]) -> dict[str, Behind]:
    """What a word of "won't fit" stood on, by tag."""
    return {tag: told for line in lines if (told := stood_on(line)) is not None for tag in line.tags}
