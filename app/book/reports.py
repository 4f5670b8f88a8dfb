"""The owner's figures: a day that adds up, trucks to date and in outlook, and the history told by filters."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.orm import Session

from app.book.boards import LANDED, day_bounds
from app.book.history import HistoryRow
from app.book.money import percent_of
from app.book.schema import (
    Donor,
    DonorCost,
    DonorState,
    History,
    Model,
    Outcome,
    Part,
    Refusal,
    SaleLine,
    SaleTicket,
    Standing,
    TicketKind,
    TicketState,
    WeightTicket,
)
from app.book.vehicles import say_vehicle
from app.book.work import Book
from app.fit.weights import Weight, WeightUnit

PAGE = 200
COMES_HOME_PERCENT = Decimal(52)
"""How much of what is asked usually comes home. Common practice, no source."""

STILL_TO_SELL = (Standing.FREE, Standing.HELD, Standing.ON_TICKET)


@dataclass(frozen=True, slots=True)
class TicketLine:
    """A sale ticket in the day's list, money in cents; `voided` says why, empty while it stands."""

    number: int
    at: datetime
    customer: str
    paid_how: str
    parts_cents: int
    discount_cents: int
    core_cents: int
    tax_cents: int
    deposit_cents: int
    total_cents: int
    voided: str


@dataclass(frozen=True, slots=True)
class WeighedSum:
    """One day's weighings of a kind that still stand: how many, pounds net, and money in cents."""

    kind: TicketKind
    tickets: int
    net_lb: Decimal
    amount_cents: int
    voided: int


@dataclass(frozen=True, slots=True)
class DaySheet:
    """A day at the yard in figures, each the sum of the tickets beneath it; money in cents.

    A ticket counts on the day it was paid and, when it is voided, goes back out on the day of the void.
    """

    day: date
    tickets: tuple[TicketLine, ...]
    given_back: tuple[TicketLine, ...]
    weighed: tuple[WeighedSum, ...]
    vehicles: int
    landed_cents: int
    turned_away: int
    cores_owed_cents: int

    def taken(self, field: str) -> int:
        """The sum of one field over the day's tickets, what was given back taken off."""
        paid = sum(int(getattr(line, field)) for line in self.tickets)
        return paid - sum(int(getattr(line, field)) for line in self.given_back)

    def by_payment(self) -> dict[str, int]:
        """Cents by the way they were paid, what was given back taken off; the values add up to the total."""
        sums: dict[str, int] = defaultdict(int)
        for line in self.tickets:
            sums[line.paid_how] += line.total_cents
        for line in self.given_back:
            sums[line.paid_how] -= line.total_cents
        return dict(sorted(sums.items()))


def day_sheet(book: Book, day: date) -> DaySheet:
    """One day's figures."""
    start, end = day_bounds(day)
    with book.read() as session:
        arrived = (Donor.arrived_at >= start, Donor.arrived_at < end)
        here = select(Donor.id).where(*arrived)
        return DaySheet(
            day=day,
            tickets=_tickets(session, SaleTicket.paid_at >= start, SaleTicket.paid_at < end),
            given_back=_tickets(session, SaleTicket.voided_at >= start, SaleTicket.voided_at < end),
            weighed=tuple(_weighed(session, kind, start, end) for kind in TicketKind),
            vehicles=session.scalar(select(func.count()).select_from(Donor).where(*arrived)) or 0,
            landed_cents=session.scalar(
                select(func.sum(DonorCost.amount_cents)).where(DonorCost.donor_id.in_(here), DonorCost.kind.in_(LANDED))
            )
            or 0,
            turned_away=session.scalar(
                select(func.count()).select_from(Refusal).where(Refusal.at >= start, Refusal.at < end)
            )
            or 0,
            cores_owed_cents=session.scalar(
                select(func.sum(SaleTicket.core_cents)).where(SaleTicket.state == TicketState.PAID)
            )
            or 0,
        )


def _tickets(session: Session, *when: ColumnElement[bool]) -> tuple[TicketLine, ...]:
    rows = session.scalars(select(SaleTicket).where(SaleTicket.paid_at.is_not(None), *when).order_by(SaleTicket.number))
    return tuple(
        TicketLine(
            number=row.number,
            at=row.paid_at or row.made_at,
            customer=row.customer,
            paid_how=row.paid_how,
            parts_cents=row.parts_cents,
            discount_cents=row.discount_cents,
            core_cents=row.core_cents,
            tax_cents=row.tax_cents,
            deposit_cents=row.deposit_cents,
            total_cents=row.total_cents,
            voided=row.void_reason,
        )
        for row in rows
    )


def _weighed(session: Session, kind: TicketKind, start: datetime, end: datetime) -> WeighedSum:
    rows = session.scalars(
        select(WeightTicket).where(WeightTicket.kind == kind, WeightTicket.at >= start, WeightTicket.at < end)
    ).all()
    standing = [row for row in rows if row.voided_at is None]
    pounds = (Weight(row.net, WeightUnit(row.unit)).to(WeightUnit.LB).value for row in standing)
    return WeighedSum(
        kind=kind,
        tickets=len(standing),
        net_lb=sum(pounds, Decimal(0)),
        amount_cents=sum(row.amount_cents or 0 for row in standing),
        voided=len(rows) - len(standing),
    )


@dataclass(frozen=True, slots=True)
class TruckRow:
    """A donor as a small company of its own: to date and in outlook, in cents.

    `outlook_cents` is money in less cost, with the usual share of what is still asked for its parts;
    the hulk's price is not in it before it is weighed out.
    """

    stock_number: str
    vehicle: str
    state: DonorState
    days: int
    cost_cents: int
    money_cents: int
    asks_left_cents: int
    outlook_cents: int

    @property
    def to_date_cents(self) -> int:
        """Money in less cost so far."""
        return self.money_cents - self.cost_cents


@dataclass(frozen=True, slots=True)
class Trucks:
    """A page of trucks, newest first, of so many in all."""

    rows: tuple[TruckRow, ...]
    in_all: int


def trucks(book: Book, *, limit: int = PAGE) -> Trucks:
    """The newest donors with cost, money in and outlook."""
    with book.read() as session:
        found = session.scalars(select(Donor).order_by(Donor.arrived_at.desc(), Donor.id.desc()).limit(limit)).all()
        ids = [donor.id for donor in found]
        cost, money, asked = _cost(session, ids), _money(session, ids), _asked(session, ids)
        now = book.clock()
        rows = tuple(
            _truck(session, donor, now, cost.get(donor.id, 0), money.get(donor.id, 0), asked.get(donor.id, 0))
            for donor in found
        )
        return Trucks(rows, session.scalar(select(func.count()).select_from(Donor)) or 0)


def _truck(session: Session, donor: Donor, now: datetime, cost: int, money: int, asked: int) -> TruckRow:
    model = session.get(Model, donor.model_id) if donor.model_id else None
    cost += donor.carried_cost_cents
    money += donor.carried_money_cents
    return TruckRow(
        stock_number=donor.stock_number,
        vehicle=say_vehicle(donor, model),
        state=donor.state,
        days=(now - donor.arrived_at).days,
        cost_cents=cost,
        money_cents=money,
        asks_left_cents=asked,
        outlook_cents=money - cost + percent_of(asked, COMES_HOME_PERCENT),
    )


def _cost(session: Session, ids: Sequence[int]) -> dict[int, int]:
    rows = session.execute(
        select(DonorCost.donor_id, func.sum(DonorCost.amount_cents))
        .where(DonorCost.donor_id.in_(ids))
        .group_by(DonorCost.donor_id)
    )
    return {row[0]: row[1] for row in rows}


def _money(session: Session, ids: Sequence[int]) -> dict[int, int]:
    """Parts sold net of discount and hulks weighed out, by donor."""
    sold = session.execute(
        select(Part.donor_id, func.sum(SaleLine.price_cents - SaleLine.discount_cents))
        .join(SaleLine, SaleLine.part_id == Part.id)
        .join(SaleTicket, SaleTicket.id == SaleLine.ticket_id)
        .where(Part.donor_id.in_(ids), SaleLine.live, SaleTicket.state == TicketState.PAID)
        .group_by(Part.donor_id)
    )
    hulks = session.execute(
        select(WeightTicket.donor_id, func.sum(WeightTicket.amount_cents))
        .where(
            WeightTicket.donor_id.in_(ids),
            WeightTicket.kind == TicketKind.HULK_OUT,
            WeightTicket.voided_at.is_(None),
        )
        .group_by(WeightTicket.donor_id)
    )
    sums: dict[int, int] = defaultdict(int)
    for donor_id, amount in (*sold, *hulks):
        if donor_id is not None:
            sums[donor_id] += amount or 0
    return sums


def _asked(session: Session, ids: Sequence[int]) -> dict[int, int]:
    rows = session.execute(
        select(Part.donor_id, func.sum(Part.price_cents))
        .where(Part.donor_id.in_(ids), Part.standing.in_(STILL_TO_SELL))
        .group_by(Part.donor_id)
    )
    return {donor_id: amount for donor_id, amount in rows if donor_id is not None}


@dataclass(frozen=True, slots=True)
class HistoryFilter:
    """Who, what, about which subject, from which day to which; what is empty does not filter."""

    who: str = ""
    what: str = ""
    about: str = ""
    first: date | None = None
    last: date | None = None
    refused_only: bool = False

    def words(self) -> str:
        """The filter as a sentence, so that a list says why it is what it is."""
        said = [
            f"by {self.who.upper()}" if self.who else "by anybody",
            f"with “{self.what}”" if self.what else "",
            f"about {self.about.upper()}" if self.about else "",
            f"from {self.first}" if self.first else "",
            f"up to {self.last}" if self.last else "",
            "refused only" if self.refused_only else "",
        ]
        return ", ".join(word for word in said if word)

    def clauses(self) -> list[ColumnElement[bool]]:
        """The filter as conditions on the history."""
        found: list[ColumnElement[bool]] = []
        if self.who:
            found.append(or_(func.upper(History.by) == self.who.upper(), History.seat == self.who.lower()))
        if self.what:
            word = self.what.lower()
            found.append(
                or_(
                    func.lower(History.action).contains(word, autoescape=True),
                    func.lower(History.words).contains(word, autoescape=True),
                )
            )
        if self.about:
            found.append(func.upper(History.subject) == self.about.upper())
        if self.first:
            found.append(History.at >= day_bounds(self.first)[0])
        if self.last:
            found.append(History.at < day_bounds(self.last)[1])
        if self.refused_only:
            found.append(History.outcome == Outcome.REFUSED)
        return found


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """The newest lines a filter lets through, of so many in all, and the filter in words."""

    rows: tuple[HistoryRow, ...]
    in_all: int
    words: str


def history_page(book: Book, wanted: HistoryFilter, *, limit: int = PAGE) -> HistoryPage:
    """The history, newest first, as far as a filter lets it through."""
    clauses = wanted.clauses()
    with book.read() as session:
        found = session.scalars(
            select(History).where(*clauses).order_by(History.at.desc(), History.id.desc()).limit(limit)
        )
        rows = tuple(
            HistoryRow(row.at, row.seat, row.by, row.action, row.subject, row.outcome, row.words, row.details)
            for row in found
        )
        in_all = session.scalar(select(func.count()).select_from(History).where(*clauses)) or 0
    return HistoryPage(rows, in_all, wanted.words())
