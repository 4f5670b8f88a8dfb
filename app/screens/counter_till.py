"""The till of the counter: sell, pay, receipt, hold, want, void. The screen mixes it in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from textual.message import Message

from app.book.asking import write_want
from app.book.holds import hold
from app.book.sales import drop_ticket, mark_unrecorded, pay_ticket, start_ticket, void_ticket
from app.book.schema import TicketState
from app.book.tickets import SoldRow, open_tickets, unprinted_tickets
from app.fit.answers import Answer, AnswerLine
from app.screens.counter_sheets import (
    After,
    LeftOpen,
    Pay,
    PaySheet,
    ReceiptSheet,
    basket_of,
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
    """Something was done: its words, the draft that is finished with it, whether the stock changed."""

    def __init__(self, words: str, draft: str = "", *, stock_changed: bool = False) -> None:
        super().__init__()
        self.words = words
        self.draft = draft
        self.stock_changed = stock_changed


class Left(Message):
    """Tickets left open were looked up."""

    def __init__(self, left: LeftOpen) -> None:
        super().__init__()
        self.left = left


class Till(Seat):
    """Everything at the counter that takes money or keeps a part."""

    def stock_changed(self) -> None:
        """Parts were taken or freed; the answer on the screen is old."""

    def sell_lines(self, basket: Sequence[AnswerLine]) -> None:
        """Ask what a ticket needs, then open it as a draft that keeps its parts."""
        sheet = sell_sheet(basket)

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                taken = basket_of(values, basket)
                job = lambda: Started(start_ticket(self.book, self.who, taken), sheet.draft)  # noqa: E731
                self.writes("ticket", job)

        self.app.push_screen(sheet, filled)

    def on_started(self, message: Started) -> None:
        """Show what is to be paid."""
        self.house.keeper.drop(self.who, message.draft)
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
        if message.stock_changed:
            self.stock_changed()

    def hold_line(self, line: AnswerLine) -> None:
        """Hold a part for somebody."""
        tag = line.tags[0]
        sheet = hold_sheet(tag)

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self.writes("hold", lambda: self._held(tag, values, sheet.draft))

        self.app.push_screen(sheet, filled)

    def _held(self, tag: str, values: Mapping[str, str], draft: str) -> Done:
        held = hold(self.book, self.who, tag, values["name"], values["phone"])
        return Done(held.words, draft, stock_changed=True)

    def want_answer(self, answer: Answer) -> None:
        """Write down what nobody could sell."""
        sheet = want_sheet(answer.asked.words)

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self.writes("want", lambda: self._wanted(answer, values))

        self.app.push_screen(sheet, filled)

    def _wanted(self, answer: Answer, values: Mapping[str, str]) -> Done:
        row = write_want(self.book, self.who, answer, values["name"], values["phone"], most_of(values))
        return Done(f"want {row.number} written for {row.name or row.phone}", "want")

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
        if not left.all:
            self.app.push_screen(Notice("Nothing is left open here"))
            return
        self.app.push_screen(left.sheet(), lambda index: self._come_back(left, index))

    def _come_back(self, left: LeftOpen, index: int | None) -> None:
        if index is None:
            return
        ticket = left.all[index]
        if ticket.state is TicketState.PAID:
            self._offer_receipt(ticket)
        elif ticket.state is TicketState.NOT_RECORDED:
            self._ask_slip(ticket)
        else:
            self._ask_payment(ticket)
