"""A donor's page: what it cost, what came off, what came in, and what the hulk should weigh."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import Select, func, literal, select
from sqlalchemy.orm import Session

from app.book.parts import PartRow, part_rows
from app.book.schema import (
    Design,
    DesignUse,
    Donor,
    DonorCost,
    DonorFact,
    DonorIdentity,
    DonorState,
    Fact,
    FrameState,
    Model,
    Part,
    PartType,
    Place,
    Removal,
    SaleLine,
    SaleTicket,
    TicketKind,
    TicketState,
    VehicleHold,
    WeightTicket,
    Whereabouts,
)
from app.book.settings import load_settings
from app.book.times import say_time
from app.book.vehicles import find_donor, say_model, say_vehicle
from app.book.work import Book
from app.fit import mass
from app.fit.terms import Group
from app.fit.weights import Weight, WeightUnit


@dataclass(frozen=True, slots=True)
class DonorRow:
    """A donor as it stands in a list."""

    stock_number: str
    vehicle: str
    vin: str
    state: DonorState
    frame_state: FrameState
    arrived_at: datetime
    place: str
    hold: str


@dataclass(frozen=True, slots=True)
class DonorPage:
    """Everything about one donor; money in cents, weights in pounds."""

    row: DonorRow
    tag: str
    year: int | None
    built: str | None
    miles: int | None
    paper: str
    source: str
    body: str
    note: str
    identities: tuple[tuple[Group, str], ...]
    facts: tuple[tuple[str, str], ...]
    holds: tuple[str, ...]
    costs: tuple[tuple[str, int], ...]
    cost_cents: int
    landed_cents: int
    money_cents: int
    parts: tuple[PartRow, ...]
    balance: mass.MassBalance | None


def donors(book: Book, *, limit: int = 500) -> tuple[DonorRow, ...]:
    """The newest donors first."""
    with book.read() as session:
        rows = session.scalars(select(Donor).order_by(Donor.arrived_at.desc(), Donor.id.desc()).limit(limit)).all()
        return tuple(_row(session, donor, book.clock()) for donor in rows)


def donor_page(book: Book, said: str) -> DonorPage:
    """One donor's page.

    Raises:
        NotFound: no vehicle of that name.
    """
    with book.read() as session:
        donor = find_donor(session, said)
        costs = _costs(session, donor)
        parts = session.scalars(select(Part).where(Part.donor_id == donor.id).order_by(Part.made_at, Part.id)).all()
        return DonorPage(
            row=_row(session, donor, book.clock()),
            tag=donor.tag,
            year=donor.year,
            built=donor.built,
            miles=donor.miles,
            paper=str(donor.paper),
            source=donor.source,
            body=donor.body,
            note=donor.note,
            identities=_identities(session, donor),
            facts=_facts(session, donor),
            holds=_holds(session, donor, book.clock()),
            costs=costs,
            cost_cents=donor.carried_cost_cents + sum(amount for _, amount in costs),
            landed_cents=sum(amount for kind, amount in costs if kind in ("price", "fee", "tow")),
            money_cents=money_in(session, donor),
            parts=part_rows(session, parts),
            balance=mass_balance(session, donor),
        )


def _row(session: Session, donor: Donor, now: datetime) -> DonorRow:
    model = session.get(Model, donor.model_id) if donor.model_id else None
    place = session.get(Place, donor.place_id) if donor.place_id else None
    holds = _holds(session, donor, now)
    return DonorRow(
        stock_number=donor.stock_number,
        vehicle=say_vehicle(donor, model),
        vin=donor.vin,
        state=donor.state,
        frame_state=donor.frame_state,
        arrived_at=donor.arrived_at,
        place=place.code if place else "",
        hold=holds[0] if holds else "",
    )


def _costs(session: Session, donor: Donor) -> tuple[tuple[str, int], ...]:
    rows = session.scalars(select(DonorCost).where(DonorCost.donor_id == donor.id).order_by(DonorCost.number))
    return tuple((row.kind, row.amount_cents) for row in rows)


def _identities(session: Session, donor: Donor) -> tuple[tuple[Group, str], ...]:
    plate = session.get(Model, donor.model_id) if donor.model_id else None
    other = {
        row.group: session.get(Model, row.model_id) if row.model_id else None
        for row in session.scalars(select(DonorIdentity).where(DonorIdentity.donor_id == donor.id))
    }
    named = {group: other.get(group, plate) for group in Group}
    return tuple((group, say_model(model) if model else "not known") for group, model in named.items())


def _facts(session: Session, donor: Donor) -> tuple[tuple[str, str], ...]:
    rows = session.execute(
        select(Fact.name, DonorFact.value)
        .join(DonorFact, DonorFact.fact_id == Fact.id)
        .where(DonorFact.donor_id == donor.id)
        .order_by(Fact.name)
    )
    return tuple((name, value) for name, value in rows)


def _holds(session: Session, donor: Donor, now: datetime) -> tuple[str, ...]:
    rows = session.scalars(
        select(VehicleHold)
        .where(VehicleHold.donor_id == donor.id, VehicleHold.released_at.is_(None))
        .order_by(VehicleHold.number)
    )
    return tuple(
        f"{row.kind} {f'until {say_time(row.ends)}' if row.ends else 'until released'}"
        for row in rows
        if row.ends is None or row.ends > now
    )


def money_in(session: Session, donor: Donor) -> int:
    """Parts sold net of discount, the hulk's price, and what was carried over, in cents."""
    sold = session.scalar(
        select(func.sum(SaleLine.price_cents - SaleLine.discount_cents))
        .join(Part, Part.id == SaleLine.part_id)
        .join(SaleTicket, SaleTicket.id == SaleLine.ticket_id)
        .where(Part.donor_id == donor.id, SaleLine.live, SaleTicket.state == TicketState.PAID)
    )
    hulk = session.scalar(
        select(func.sum(WeightTicket.amount_cents)).where(
            WeightTicket.donor_id == donor.id,
            WeightTicket.kind == TicketKind.HULK_OUT,
            WeightTicket.voided_at.is_(None),
        )
    )
    return donor.carried_money_cents + (sold or 0) + (hulk or 0)


def mass_balance(session: Session, donor: Donor, hulk_net: Decimal | None = None) -> mass.MassBalance | None:
    """What the hulk should weigh by all that came off; None until the vehicle was weighed in."""
    if donor.arrival_net_lb is None:
        return None
    if hulk_net is None:
        hulk_net = _weighed_out(session, donor)
    division = load_settings(session).scale_division_lb
    still_on = _still_on(session, donor) if hulk_net is not None else []
    return mass.balance(donor.arrival_net_lb, _removals(session, donor), division, hulk_net, still_on)


def _weighed_out(session: Session, donor: Donor) -> Decimal | None:
    """Pounds of the hulk by its ticket."""
    found = session.execute(
        select(WeightTicket.net, WeightTicket.unit).where(
            WeightTicket.donor_id == donor.id,
            WeightTicket.kind == TicketKind.HULK_OUT,
            WeightTicket.voided_at.is_(None),
        )
    ).first()
    return Weight(found.net, WeightUnit(found.unit)).to(WeightUnit.LB).value if found else None


def _still_on(session: Session, donor: Donor) -> list[mass.StillOn]:
    """What is listed on the vehicle, and the kinds of part it may have of which no tag was ever made."""
    listed = session.execute(
        select(Part.tag, PartType.name, func.coalesce(Part.weight_lb, PartType.usual_weight_lb).label("pounds"))
        .join(PartType, PartType.id == Part.part_type_id)
        .where(Part.donor_id == donor.id, Part.whereabouts == Whereabouts.ON_VEHICLE, Part.lump_id.is_(None))
        .order_by(Part.id)
    )
    found = [mass.StillOn(f"{row.tag} {row.name}", row.pounds) for row in listed if row.pounds]
    never = session.execute(
        select(PartType.name, PartType.usual_weight_lb)
        .where(
            PartType.usual_weight_lb.is_not(None),
            PartType.id.not_in(select(Part.part_type_id).where(Part.donor_id == donor.id)),
            PartType.id.not_in(_made_for_others(donor)),
        )
        .order_by(PartType.name)
    )
    return found + [mass.StillOn(f"{name}, never tagged", pounds, tagged=False) for name, pounds in never if pounds]


def _made_for_others(donor: Donor) -> Select[int]:
    """Kinds of part whose designs all go on other models; none while the model is not known."""
    uses = select(Design.part_type_id).join(DesignUse, DesignUse.design_id == Design.id)
    own = uses.where(DesignUse.model_id == donor.model_id)
    return uses.where(Design.part_type_id.not_in(own), literal(donor.model_id is not None))


def _removals(session: Session, donor: Donor) -> list[mass.Removal]:
    off = [
        mass.Removal("weighed and metered before this book", donor.carried_weighed_lb, mass.How.WEIGHED),
        mass.Removal("estimated before this book", donor.carried_estimated_lb, mass.How.ESTIMATED),
    ]
    loose = session.scalars(select(Removal).where(Removal.donor_id == donor.id).order_by(Removal.number))
    off += [mass.Removal(row.what, row.weight_lb, mass.How(row.how)) for row in loose]
    parts = session.execute(
        select(Part, PartType.name)
        .join(PartType, PartType.id == Part.part_type_id)
        .where(
            Part.donor_id == donor.id,
            Part.whereabouts != Whereabouts.ON_VEHICLE,
            Part.lump_id.is_(None),
            Part.weight_carried.is_(False),
        )
        .order_by(Part.id)
    )
    for part, name in parts:
        never_seen = part.whereabouts is Whereabouts.IN_HAND
        off.append(
            mass.Removal(f"{part.tag} {name}", part.weight_lb or Decimal(0), mass.How(part.weight_how), never_seen)
        )
    return off
