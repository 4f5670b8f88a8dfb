"""The scale: weighing in, weighing the hulk out, and tickets that are only ever voided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.book.bench.blocking import block_frame_parts
from app.book.donors import mass_balance
from app.book.money import dollars
from app.book.numbers import new_tag
from app.book.schema import (
    Donor,
    DonorState,
    FrameState,
    Hold,
    Part,
    Role,
    Standing,
    TicketKind,
    WeightTicket,
    Whereabouts,
)
from app.book.schema.base import thousandths
from app.book.tags import TagKind, as_number, clean
from app.book.vehicles import find_donor, refuse_if_held
from app.book.work import Book, Who, Work
from app.errors import BadInput, NotFound, Refused
from app.fit import mass
from app.fit.weights import Deduction, DeductionKind, TareOverGross, Weight, WeightUnit, check_division, net, price

TON_QUESTION = "Which ton: net ton (2,000 lb), gross ton (2,240 lb) or tonne (1,000 kg)?"


@dataclass(frozen=True, slots=True)
class Weighing:
    """Gross and tare as the scale showed them, with where and when each was taken.

    `price_cents` is for one `price_unit`; `despite` is the owner's reason to let a doubtful hulk go.
    """

    gross: Decimal
    tare: Decimal
    vehicle: str = ""
    unit: WeightUnit = WeightUnit.LB
    division: Decimal | None = None
    gross_at: datetime | None = None
    tare_at: datetime | None = None
    deductions: Sequence[Deduction] = ()
    price_cents: Decimal | None = None
    price_unit: WeightUnit | None = None
    commodity: str = ""
    party: str = ""
    plate: str = ""
    typed_by_hand: bool = True
    despite: str = ""


@dataclass(frozen=True, slots=True)
class WeightRow:
    """A weight ticket; weights as shown, money in cents."""

    number: int
    tag: str
    kind: TicketKind
    donor: str
    commodity: str
    party: str
    plate: str
    scale: str
    gross: Decimal
    gross_at: datetime
    tare: Decimal
    tare_at: datetime
    deductions: Decimal
    deduction_lines: tuple[tuple[str, str], ...]
    net: Decimal
    unit: str
    division: Decimal
    typed_by_hand: bool
    price_cents: Decimal | None
    price_unit: str
    amount_cents: int | None
    at: datetime
    by: str
    void_reason: str
    balance: mass.MassBalance | None

    @property
    def taken_off(self) -> tuple[tuple[str, Decimal], ...]:
        """What came off the net, each in the ticket's unit; a percentage stands in the words, such as "dirt, 2 %"."""
        gone = self.gross - self.tare
        return tuple(_in_unit(words, typed, gone) for words, typed in self.deduction_lines)


def weigh_in(book: Book, who: Who, form: Weighing) -> WeightRow:
    """Weigh a vehicle as it arrives; its net is what the mass balance starts from.

    Raises:
        Refused: tare over gross (a swap, offered to be turned), or weighed in already.
        WeightError: a reading between two steps of the scale, or nothing left.
    """
    with book.write(who) as work:
        donor = find_donor(work.session, form.vehicle)
        if donor.arrival_net_lb is not None:
            raise Refused(
                f"{donor.stock_number} was weighed in already: {donor.arrival_net_lb:,} lb",
                "Void the first ticket if it was wrong.",
                action="weigh in",
                subject=donor.stock_number,
            )
        ticket = _ticket(work, form, TicketKind.ARRIVAL, donor)
        donor.arrival_net_lb = Weight(ticket.net, WeightUnit(ticket.unit)).to(WeightUnit.LB).value
        work.note("weigh in", donor.stock_number, f"net {ticket.net:,} {ticket.unit}", ticket=ticket.number)
        return weight_row(work.session, ticket)


def weigh_out(book: Book, who: Who, form: Weighing) -> WeightRow:
    """Weigh the hulk out, with its price if one is agreed.

    Raises:
        Refused: a hold on the vehicle, parts still to be pulled from it, tare over gross, or a hulk too
            heavy for what came off it (the owner may let it go with a reason).
        WeightError: a reading between two steps of the scale, or nothing left.
    """
    with book.write(who) as work:
        donor = find_donor(work.session, form.vehicle)
        refuse_if_held(work, donor, "crush")
        if donor.state is DonorState.WEIGHED_OUT:
            raise Refused(
                f"{donor.stock_number} was weighed out already",
                "Void the first ticket if it was wrong.",
                action="weigh out",
                subject=donor.stock_number,
            )
        _refuse_promised(work, donor)
        ticket = _ticket(work, form, TicketKind.HULK_OUT, donor)
        pounds = Weight(ticket.net, WeightUnit(ticket.unit)).to(WeightUnit.LB).value
        balance = mass_balance(work.session, donor, pounds)
        _refuse_too_heavy(work, donor, balance, form.despite)
        _write_off_the_rest(work, donor)
        donor.state = DonorState.WEIGHED_OUT
        amount = f", {dollars(ticket.amount_cents)}" if ticket.amount_cents is not None else ""
        verdict = str(balance.verdict) if balance else "not weighed in"
        words = f"hulk net {ticket.net:,} {ticket.unit}{amount}; {verdict}"
        work.note("weigh out", donor.stock_number, words, ticket=ticket.number, despite=form.despite)
        return weight_row(work.session, ticket)


def foresee(book: Book, vehicle: str, net_lb: Decimal | None = None) -> mass.MassBalance | None:
    """What the mass balance would say of a hulk of so many pounds, before a ticket is issued.

    Without pounds it goes by the ticket of the hulk, if there is one; None until the vehicle was weighed in.
    """
    with book.read() as session:
        return mass_balance(session, find_donor(session, vehicle), net_lb)


def weigh_scrap(book: Book, who: Who, form: Weighing) -> WeightRow:
    """Weigh scrap that a seller brings in.

    Raises:
        BadInput: no commodity or no seller named. Refused, WeightError: as for `weigh_in`.
    """
    if not form.commodity.strip() or not form.party.strip():
        raise BadInput("scrap needs a name and a seller", "Say what it is and from whom.", place="commodity")
    with book.write(who) as work:
        ticket = _ticket(work, form, TicketKind.SCRAP_IN, None)
        words = f"{form.commodity}: net {ticket.net:,} {ticket.unit}"
        work.note("weigh scrap", f"weight ticket {ticket.number}", words)
        return weight_row(work.session, ticket)


def void_weight(book: Book, who: Who, said: str, reason: str) -> WeightRow:
    """Void a weight ticket with a reason; what it did to the vehicle is taken back.

    Raises:
        NotFound: no such ticket. BadInput: no reason. Refused: voided already.
    """
    if not reason.strip():
        raise BadInput("a void needs a reason", "Say why.", place="reason")
    with book.write(who) as work:
        ticket = find_weight_ticket(work.session, said)
        name = f"weight ticket {ticket.number}"
        if ticket.voided_at is not None:
            raise Refused(f"{name} is voided already", "", action="void", subject=name)
        donor = work.session.get(Donor, ticket.donor_id) if ticket.donor_id else None
        if donor is not None and ticket.kind is TicketKind.ARRIVAL and donor.state is DonorState.WEIGHED_OUT:
            raise Refused(
                f"{donor.stock_number} was weighed out already",
                "Void its last ticket first, then this one.",
                action="void",
                subject=name,
            )
        ticket.voided_at, ticket.void_reason, ticket.voided_by = work.now, reason.strip(), work.who.code
        if donor is not None and ticket.kind is TicketKind.ARRIVAL:
            donor.arrival_net_lb = None
        if donor is not None and ticket.kind is TicketKind.HULK_OUT:
            donor.state = DonorState.HULK
            _list_again(work, donor)
        work.note("void", name, reason.strip(), net=str(ticket.net))
        work.session.flush()
        return weight_row(work.session, ticket)


def _in_unit(words: str, typed: str, gone: Decimal) -> tuple[str, Decimal]:
    """A deduction as it was typed, "2 percent" or "20 weight", with what it takes off what the load weighs."""
    amount, _, kind = typed.partition(" ")
    if kind != DeductionKind.PERCENT:
        return words, Decimal(amount)
    taken = Deduction(words, Decimal(amount), DeductionKind.PERCENT).taken_from(gone)
    return f"{words}, {Decimal(amount):f} %", thousandths(taken)


def _ticket(work: Work, form: Weighing, kind: TicketKind, donor: Donor | None) -> WeightTicket:
    division = form.division or work.settings.scale_division_lb
    name = donor.stock_number if donor else form.commodity
    check_division(form.gross, division)
    check_division(form.tare, division)
    try:
        left = net(Weight(form.gross, form.unit), Weight(form.tare, form.unit), form.deductions)
    except TareOverGross as swapped:
        raise Refused(
            swapped.title,
            swapped.remedy,
            action="weight swapped",
            subject=name,
            place="tare",
            details={"gross": str(form.gross), "tare": str(form.tare), "swap": True},
        ) from swapped
    # A percentage taken off is rounded once, to what the book keeps.
    deducted = thousandths(form.gross - form.tare - left.value)
    left = Weight(form.gross - form.tare - deducted, form.unit)
    ticket = WeightTicket(
        number=work.number("weight_tickets"),
        tag=new_tag(work, TagKind.WEIGHT),
        kind=kind,
        donor_id=donor.id if donor else None,
        commodity=form.commodity or ("vehicle" if kind is TicketKind.ARRIVAL else "hulk"),
        party=form.party,
        plate=form.plate,
        scale=work.settings.scale_name,
        gross=form.gross,
        gross_at=form.gross_at or work.now,
        tare=form.tare,
        tare_at=form.tare_at or work.now,
        deductions=deducted,
        deduction_lines=[[each.words, f"{each.amount} {each.kind}"] for each in form.deductions],
        net=left.value,
        unit=str(form.unit),
        division=division,
        typed_by_hand=form.typed_by_hand,
        at=work.now,
        seat=work.who.seat,
        by=work.who.code,
    )
    _price(ticket, form, left)
    work.session.add(ticket)
    work.session.flush()
    return ticket


def _price(ticket: WeightTicket, form: Weighing, left: Weight) -> None:
    if form.price_cents is None:
        return
    if form.price_unit is None:
        raise BadInput("a price without its unit", TON_QUESTION, place="price")
    ticket.price_cents, ticket.price_unit = form.price_cents, str(form.price_unit)
    ticket.amount_cents = price(left, form.price_cents, form.price_unit)


def _refuse_promised(work: Work, donor: Donor) -> None:
    """A vehicle with parts promised and still on it does not go: the tags to pull are listed."""
    promised = work.session.scalars(
        select(Part.tag)
        .outerjoin(Hold, (Hold.part_id == Part.id) & Hold.ended_at.is_(None))
        .where(
            Part.donor_id == donor.id,
            Part.whereabouts == Whereabouts.ON_VEHICLE,
            Part.standing.in_([Standing.HELD, Standing.ON_TICKET, Standing.SOLD]),
        )
        .order_by(Part.tag)
    ).all()
    if promised:
        raise Refused(
            f"{donor.stock_number} still carries what is promised: {', '.join(promised)}",
            "Pull these first.",
            action="weigh out",
            subject=donor.stock_number,
            details={"tags": list(promised)},
        )


def _refuse_too_heavy(work: Work, donor: Donor, balance: mass.MassBalance | None, despite: str) -> None:
    if balance is None or balance.verdict not in mass.STOPS:
        return
    if despite and work.who.role is Role.OWNER:
        return
    suspects = ", ".join(each.words for each in balance.suspects[:3])
    raise Refused(
        f"{donor.stock_number} is {balance.verdict}: {balance.words}",
        f"Look for {suspects or 'what was tagged and not pulled'}; only the owner lets it go, with a reason.",
        action="weigh out",
        subject=donor.stock_number,
        details={"expected": str(balance.expected), "doubt": str(balance.doubt), "hulk": str(balance.hulk_net)},
    )


def _write_off_the_rest(work: Work, donor: Donor) -> None:
    """What was only listed on the vehicle leaves with the hulk; it never came off, so it stays "on vehicle"."""
    work.session.execute(
        update(Part)
        .where(Part.donor_id == donor.id, Part.whereabouts == Whereabouts.ON_VEHICLE)
        .values(standing=Standing.WRITTEN_OFF)
    )


def _list_again(work: Work, donor: Donor) -> None:
    """The hulk is back: what was listed on it is for sale again."""
    work.session.execute(
        update(Part)
        .where(
            Part.donor_id == donor.id,
            Part.whereabouts == Whereabouts.ON_VEHICLE,
            Part.standing == Standing.WRITTEN_OFF,
        )
        .values(standing=Standing.FREE)
    )
    if donor.frame_state is FrameState.SCRAP_ONLY:
        block_frame_parts(work, donor)


def find_weight_ticket(session: Session, said: str) -> WeightTicket:
    """The weight ticket of a number or tag.

    Raises:
        NotFound: there is none.
    """
    number = as_number(clean(said))
    wanted = WeightTicket.tag == clean(said) if number is None else WeightTicket.number == number
    found = session.scalar(select(WeightTicket).where(wanted))
    if found is None:
        raise NotFound(f"there is no weight ticket {said!r}", "Type its number.", place="ticket")
    return found


def weight_ticket(book: Book, said: str) -> WeightRow:
    """One weight ticket by number or tag."""
    with book.read() as session:
        return weight_row(session, find_weight_ticket(session, said))


def weight_tickets(book: Book, *, limit: int = 200) -> tuple[WeightRow, ...]:
    """The newest weight tickets first."""
    with book.read() as session:
        rows = session.scalars(select(WeightTicket).order_by(WeightTicket.number.desc()).limit(limit)).all()
        return tuple(weight_row(session, row) for row in rows)


def weight_row(session: Session, ticket: WeightTicket) -> WeightRow:
    """A weight ticket as a frozen row."""
    donor = session.get(Donor, ticket.donor_id) if ticket.donor_id else None
    weighed_out = donor is not None and ticket.kind is TicketKind.HULK_OUT and ticket.voided_at is None
    return WeightRow(
        number=ticket.number,
        tag=ticket.tag,
        kind=ticket.kind,
        donor=donor.stock_number if donor else "",
        commodity=ticket.commodity,
        party=ticket.party,
        plate=ticket.plate,
        scale=ticket.scale,
        gross=ticket.gross,
        gross_at=ticket.gross_at,
        tare=ticket.tare,
        tare_at=ticket.tare_at,
        deductions=ticket.deductions,
        deduction_lines=tuple((words, amount) for words, amount in ticket.deduction_lines),
        net=ticket.net,
        unit=ticket.unit,
        division=ticket.division,
        typed_by_hand=ticket.typed_by_hand,
        price_cents=ticket.price_cents,
        price_unit=ticket.price_unit,
        amount_cents=ticket.amount_cents,
        at=ticket.at,
        by=ticket.by,
        void_reason=ticket.void_reason,
        balance=mass_balance(session, donor) if donor is not None and weighed_out else None,
    )
