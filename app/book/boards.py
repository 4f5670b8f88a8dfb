"""First screens of the intake desk and the scale: what came in, what waits, what ends soon."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from sqlalchemy import Select, func, or_, select
from sqlalchemy.orm import Session

from app.book.schema import Donor, DonorCost, DonorState, FrameState, Model, Paper, VehicleHold
from app.book.schema import Refusal as RefusalTable
from app.book.schema import VinReading as VinReadingTable
from app.book.vehicles import find_donor, find_model, say_model, say_vehicle
from app.book.work import Book

PAGE = 200
LANDED = ("price", "fee", "tow")
NO_PAPER = (Paper.NONE, Paper.LOST)


@dataclass(frozen=True, slots=True)
class ArrivalRow:
    """A vehicle as the intake desk lists it; `net_lb` None until it was weighed in, money in cents."""

    stock_number: str
    vehicle: str
    arrived_at: datetime
    source: str
    paper: str
    net_lb: Decimal | None
    landed_cents: int
    frame_state: FrameState
    state: DonorState


@dataclass(frozen=True, slots=True)
class HoldRow:
    """A hold on a vehicle; `ends` None for one that somebody has to release."""

    stock_number: str
    vehicle: str
    kind: str
    ends: datetime | None
    blocks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RefusalRow:
    """A vehicle that was turned away."""

    number: int
    vin: str
    words: str
    reasons: tuple[str, ...]
    offered_by: str
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class IntakeBoard:
    """The intake desk's first screen; every list is a page, `older` counts the vehicles of other days."""

    day: date
    arrivals: tuple[ArrivalRow, ...]
    older: int
    holds: tuple[HoldRow, ...]
    papers_missing: tuple[ArrivalRow, ...]
    refusals: tuple[RefusalRow, ...]


@dataclass(frozen=True, slots=True)
class ScaleBoard:
    """What waits for the scale: vehicles never weighed in, and hulks ready to go."""

    arrivals: tuple[ArrivalRow, ...]
    arrivals_in_all: int
    hulks: tuple[ArrivalRow, ...]
    hulks_in_all: int


@dataclass(frozen=True, slots=True)
class ModelRow:
    """A model the yard knows, with the words it is said in."""

    key: str
    words: str
    year_from: int
    year_to: int


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One reading of a vehicle's plate, kept even when it was outvoted."""

    source: str
    read: str
    at: datetime
    by: str


def today(book: Book) -> date:
    """The calendar day at the yard."""
    return book.clock().astimezone().date()


def day_bounds(day: date) -> tuple[datetime, datetime]:
    """The first moment of a day at the yard and the first of the next one."""
    start = datetime.combine(day, time()).astimezone()
    return start, datetime.combine(day + timedelta(days=1), time()).astimezone()


def intake_board(book: Book) -> IntakeBoard:
    """Today's arrivals, holds by their end, vehicles without a paper, and who was turned away today."""
    day = today(book)
    start, end = day_bounds(day)
    with book.read() as session:
        arrived = select(Donor).where(Donor.arrived_at >= start, Donor.arrived_at < end)
        here = session.scalar(select(func.count()).select_from(Donor)) or 0
        came = _rows(session, arrived.order_by(Donor.arrived_at, Donor.id).limit(PAGE))
        bare = select(Donor).where(Donor.paper.in_(NO_PAPER), Donor.state != DonorState.WEIGHED_OUT)
        return IntakeBoard(
            day=day,
            arrivals=came,
            older=here - len(came),
            holds=_holds(session, book.clock()),
            papers_missing=_rows(session, bare.order_by(Donor.arrived_at.desc()).limit(PAGE)),
            refusals=_refusals(session, start, end),
        )


def latest_arrivals(book: Book, *, limit: int = PAGE) -> tuple[ArrivalRow, ...]:
    """The newest vehicles first, whatever day they came."""
    with book.read() as session:
        return _rows(session, select(Donor).order_by(Donor.arrived_at.desc(), Donor.id.desc()).limit(limit))


def scale_board(book: Book) -> ScaleBoard:
    """What waits for the scale, longest waiting first."""
    to_weigh = (Donor.arrival_net_lb.is_(None), Donor.state != DonorState.WEIGHED_OUT)
    ready = (Donor.arrival_net_lb.is_not(None), Donor.state.in_([DonorState.HULK, DonorState.TEARDOWN]))
    with book.read() as session:
        return ScaleBoard(
            arrivals=_rows(session, select(Donor).where(*to_weigh).order_by(Donor.arrived_at.desc()).limit(PAGE)),
            arrivals_in_all=session.scalar(select(func.count()).select_from(Donor).where(*to_weigh)) or 0,
            hulks=_rows(session, select(Donor).where(*ready).order_by(Donor.state, Donor.arrived_at).limit(PAGE)),
            hulks_in_all=session.scalar(select(func.count()).select_from(Donor).where(*ready)) or 0,
        )


def models(book: Book, *, like: str = "", limit: int = PAGE) -> tuple[ModelRow, ...]:
    """Models whose key or name holds the words, by key."""
    query = select(Model).order_by(Model.key)
    for word in like.lower().split():
        said = func.lower(Model.key + " " + Model.make + " " + Model.name + " " + Model.variant)
        query = query.where(or_(said.contains(word, autoescape=True), Model.weight_class == word))
    with book.read() as session:
        return tuple(
            ModelRow(row.key, say_model(row), row.year_from, row.year_to) for row in session.scalars(query.limit(limit))
        )


def which_model(book: Book, said: str, year: int | None = None) -> ModelRow:
    """The one model that words mean.

    Raises:
        NotFound: none. BadInput: several, which the remedy names.
    """
    with book.read() as session:
        row = find_model(session, said, year)
        return ModelRow(row.key, say_model(row), row.year_from, row.year_to)


def readings(book: Book, said: str) -> tuple[ReadingRow, ...]:
    """Every reading of a vehicle's plate in the order it was made.

    Raises:
        NotFound: no vehicle of that name.
    """
    with book.read() as session:
        donor = find_donor(session, said)
        rows = session.scalars(
            select(VinReadingTable).where(VinReadingTable.donor_id == donor.id).order_by(VinReadingTable.number)
        )
        return tuple(ReadingRow(row.source, row.read, row.at, row.by) for row in rows)


def _rows(session: Session, query: Select[Donor]) -> tuple[ArrivalRow, ...]:
    found = session.scalars(query).all()
    spent = select(DonorCost.donor_id, func.sum(DonorCost.amount_cents)).where(
        DonorCost.donor_id.in_([donor.id for donor in found]), DonorCost.kind.in_(LANDED)
    )
    landed: dict[int, int] = {row[0]: row[1] for row in session.execute(spent.group_by(DonorCost.donor_id))}
    return tuple(_arrival(session, donor, landed.get(donor.id, 0)) for donor in found)


def _arrival(session: Session, donor: Donor, landed_cents: int) -> ArrivalRow:
    model = session.get(Model, donor.model_id) if donor.model_id else None
    return ArrivalRow(
        stock_number=donor.stock_number,
        vehicle=say_vehicle(donor, model),
        arrived_at=donor.arrived_at,
        source=donor.source,
        paper=str(donor.paper),
        net_lb=donor.arrival_net_lb,
        landed_cents=landed_cents,
        frame_state=donor.frame_state,
        state=donor.state,
    )


def _holds(session: Session, now: datetime) -> tuple[HoldRow, ...]:
    rows = session.execute(
        select(VehicleHold, Donor)
        .join(Donor, Donor.id == VehicleHold.donor_id)
        .where(VehicleHold.released_at.is_(None), or_(VehicleHold.ends.is_(None), VehicleHold.ends > now))
        .order_by(VehicleHold.ends.is_(None), VehicleHold.ends, Donor.id)
        .limit(PAGE)
    )
    return tuple(
        HoldRow(
            stock_number=donor.stock_number,
            vehicle=say_vehicle(donor, session.get(Model, donor.model_id) if donor.model_id else None),
            kind=hold.kind,
            ends=hold.ends,
            blocks=tuple(map(str, hold.blocks)),
        )
        for hold, donor in rows
    )


def _refusals(session: Session, start: datetime, end: datetime) -> tuple[RefusalRow, ...]:
    rows = session.scalars(
        select(RefusalTable)
        .where(RefusalTable.at >= start, RefusalTable.at < end)
        .order_by(RefusalTable.number)
        .limit(PAGE)
    )
    return tuple(
        RefusalRow(row.number, row.vin, row.words, tuple(map(str, row.reasons)), row.offered_by, row.at, row.by)
        for row in rows
    )
