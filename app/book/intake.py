"""Taking a vehicle in, or turning it away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from sqlalchemy import func, select

from app.book.facts import keep_donor_facts
from app.book.numbers import new_stock_number, new_tag
from app.book.plates import SETTLED, AlreadyHere
from app.book.schema import Contact, Donor, DonorCost, DonorIdentity, Model, Paper, Refusal, VehicleHold, VinReading
from app.book.tags import TagKind
from app.book.times import local_day, say_time
from app.book.vehicles import find_model, say_vehicle
from app.book.work import Book, Who, Work
from app.errors import BadInput
from app.fit.terms import Group
from app.fit.vin import Reading, ReadingOutcome, compare_readings, read_vin

WALK_IN = "walk-in"
WAITING_BLOCKS = ["teardown", "depollution", "crush"]


@dataclass(frozen=True, slots=True)
class Seller:
    """Who sells the vehicle, and the papers that say it is theirs."""

    name: str
    phone: str = ""
    address: str = ""
    id_kind: str = ""
    id_number: str = ""
    id_expires: date | None = None
    title_name: str = ""


@dataclass(frozen=True, slots=True)
class TakeIn:
    """A vehicle as the intake desk wrote it down; money in cents, miles None when unknown."""

    readings: tuple[Reading, ...] = ()
    no_vin_reason: str = ""
    one_reading_reason: str = ""
    model: str = ""
    year: int | None = None
    built: str | None = None
    words: str = ""
    miles: int | None = None
    keys: int | None = None
    paper: Paper = Paper.NONE
    source: str = ""
    seller: Seller | None = None
    price_cents: int = 0
    fee_cents: int = 0
    tow_cents: int = 0
    paid_how: str = ""
    body: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    identities: Mapping[Group, str] = field(default_factory=dict)
    arrived_at: datetime | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What taking it in came to."""

    stock_number: str
    tag: str
    vin: str
    vehicle: str
    model: str
    year: int | None
    landed_cents: int
    hold_until: datetime | None
    words: tuple[str, ...]


class PapersWrong(BadInput):
    """The seller's papers do not let the yard buy; the vehicle can only be turned away."""

    kind = "papers"

    def __init__(self, reasons: tuple[str, ...]) -> None:
        super().__init__(
            "the papers do not let us buy: " + "; ".join(reasons),
            "Turn it away with a photo, or correct what was typed.",
            place="seller",
            details={"reasons": list(reasons)},
        )
        self.reasons = reasons


def papers_reasons(seller: Seller | None, source: str, today: date) -> tuple[str, ...]:
    """Why the yard may not buy from this seller; empty when nothing speaks against it."""
    if seller is None:
        return ("no seller written down",) if source == WALK_IN else ()
    reasons = []
    if seller.title_name and seller.title_name.casefold() != seller.name.casefold():
        reasons.append(f"title in another name ({seller.title_name})")
    if seller.id_expires is not None and seller.id_expires < today:
        reasons.append(f"ID expired {seller.id_expires.isoformat()}")
    if source == WALK_IN and not seller.id_number:
        reasons.append("no photo ID")
    return tuple(reasons)


def take_in(book: Book, who: Who, form: TakeIn) -> TakenIn:
    """Take a vehicle in under a new stock number.

    Raises:
        BadInput: readings that do not settle the VIN, a year or month that cannot be, an unknown model.
        PapersWrong: the seller's papers speak against it.
        AlreadyHere: the VIN is in the book.
    """
    with book.write(who) as work:
        reasons = papers_reasons(form.seller, form.source, local_day(work.now))
        if reasons:
            raise PapersWrong(reasons)
        vin, vin_words = _settle_vin(form)
        _refuse_double(work, vin)
        model, year = _model_and_year(work, form, vin)
        donor = _new_donor(work, form, vin, model, year)
        _keep_readings(work, donor, form)
        _keep_costs(work, donor, form)
        _keep_identities(work, donor, form)
        keep_donor_facts(work, donor, form.facts)
        hold = _waiting_hold(work, donor, form)
        vehicle = say_vehicle(donor, model)
        landed = form.price_cents + form.fee_cents + form.tow_cents
        work.note("take in", donor.stock_number, f"{vehicle} taken in", vin=vin, landed_cents=landed)
        key = model.key if model else ""
        return TakenIn(donor.stock_number, donor.tag, vin, vehicle, key, donor.year, landed, hold, vin_words)


def _settle_vin(form: TakeIn) -> tuple[str, tuple[str, ...]]:
    if not form.readings:
        if form.no_vin_reason:
            return "", (f"no VIN: {form.no_vin_reason}",)
        raise BadInput("no VIN was read", "Read the plate, or say why there is none.", place="vin")
    if form.no_vin_reason:
        # An import or a vehicle built before 1981 may carry a number without a valid check digit.
        return form.readings[-1].vin, (f"taken as read: {form.no_vin_reason}",)
    for reading in form.readings:
        report = read_vin(reading.text)
        if not report.ok:
            raise BadInput(report.findings[0].words, "Read the plate again.", place=f"vin, {reading.source}")
    compared = compare_readings(form.readings)
    if compared.outcome in SETTLED and compared.vin:
        return compared.vin, compared.words
    if compared.outcome is ReadingOutcome.NEEDS_SECOND and form.one_reading_reason:
        return form.readings[0].vin, (f"one reading only: {form.one_reading_reason}",)
    raise BadInput(
        "; ".join(compared.words) or f"the VIN is not settled: {compared.outcome}",
        "Read the VIN at another place: dash, door label or frame stamp.",
        place="vin",
    )


def _refuse_double(work: Work, vin: str) -> None:
    here = work.session.scalar(select(Donor).where(Donor.vin == vin)) if vin else None
    if here is not None:
        raise AlreadyHere(vin, here.stock_number, say_time(here.arrived_at))


def _model_and_year(work: Work, form: TakeIn, vin: str) -> tuple[Model | None, int | None]:
    report = read_vin(vin) if vin and not form.no_vin_reason else None
    year = form.year
    if report is not None and report.years:
        if year is not None and year not in report.years:
            said = " or ".join(str(each) for each in report.years)
            raise BadInput(f"the VIN says {said}, typed was {year}", "Read the plate again.", place="year")
        if year is None and len(report.years) == 1:
            year = report.years[0]
    model = find_model(work.session, form.model, year) if form.model else None
    if model is not None and year is not None and not model.year_from <= year <= model.year_to:
        raise BadInput(
            f"{model.key} was built for model years {model.year_from} to {model.year_to}, not {year}",
            "Check the year and the model.",
            place="year",
        )
    check_built(form.built, year)
    return model, year


def check_built(built: str | None, year: int | None) -> None:
    """Check a build month, and that a model year is built in it.

    Raises:
        BadInput: it is no month, or not one of that year's.
    """
    if built is None:
        return
    try:
        month = date.fromisoformat(f"{built}-01")
    except ValueError:
        raise BadInput(f"{built!r} is no build month", "Type it as 2007-11.", place="built") from None
    # A model year is built from July of the year before to December of the year itself.
    if year is not None and not date(year - 1, 7, 1) <= month <= date(year, 12, 1):
        raise BadInput(
            f"a {year} is built from {year - 1}-07 to {year}-12, not {built}",
            "Read the door label.",
            place="built",
        )


def _new_donor(work: Work, form: TakeIn, vin: str, model: Model | None, year: int | None) -> Donor:
    donor = Donor(
        stock_number=new_stock_number(work),
        tag=new_tag(work, TagKind.VEHICLE),
        vin=vin,
        vin_note=form.no_vin_reason or form.one_reading_reason,
        model_id=model.id if model else None,
        words=form.words,
        year=year,
        built=form.built,
        miles=form.miles,
        keys=form.keys,
        paper=form.paper,
        source=form.source,
        seller_id=_keep_seller(work, form.seller),
        arrived_at=form.arrived_at or work.now,
        paid_how=form.paid_how,
        body=form.body,
        note=form.note,
    )
    work.session.add(donor)
    work.session.flush()
    return donor


def _keep_seller(work: Work, seller: Seller | None) -> int | None:
    if seller is None:
        return None
    known = work.session.scalar(
        select(Contact).where(Contact.name == seller.name, Contact.id_number == seller.id_number).limit(1)
    )
    contact = known or Contact(code=f"K{work.number('contacts')}", name=seller.name, id_number=seller.id_number)
    contact.phone = seller.phone or contact.phone or ""
    contact.address = seller.address or contact.address or ""
    contact.id_kind = seller.id_kind or contact.id_kind or ""
    contact.id_expires = seller.id_expires or contact.id_expires
    work.session.add(contact)
    work.session.flush()
    return contact.id


def _keep_readings(work: Work, donor: Donor, form: TakeIn) -> None:
    for reading in form.readings:
        work.session.add(
            VinReading(
                number=work.number("vin_readings"),
                donor_id=donor.id,
                source=reading.source,
                read=reading.vin,
                at=work.now,
                by=work.who.code,
            )
        )


def _keep_costs(work: Work, donor: Donor, form: TakeIn) -> None:
    spent = (("price", form.price_cents), ("fee", form.fee_cents), ("tow", form.tow_cents))
    for kind, amount in spent:
        if amount < 0:
            raise BadInput(f"{kind} below zero", "Type what was paid.", place=kind)
        if amount:
            add_cost(work, donor, kind, amount)


def add_cost(work: Work, donor: Donor, kind: str, amount: int, words: str = "") -> None:
    """Write money spent on a vehicle into the book."""
    used = work.session.scalar(select(func.max(DonorCost.number)).where(DonorCost.donor_id == donor.id)) or 0
    work.session.add(
        DonorCost(donor_id=donor.id, number=used + 1, kind=kind, amount_cents=amount, at=work.now, words=words)
    )
    work.session.flush()


def _keep_identities(work: Work, donor: Donor, form: TakeIn) -> None:
    for group, said in form.identities.items():
        model = find_model(work.session, said)
        work.session.add(DonorIdentity(donor_id=donor.id, group=group, model_id=model.id, known_by="look"))


def _waiting_hold(work: Work, donor: Donor, form: TakeIn) -> datetime | None:
    if form.source != WALK_IN:
        return None
    ends = donor.arrived_at + timedelta(hours=float(work.settings.walk_in_hold_hours))
    work.session.add(
        VehicleHold(
            donor_id=donor.id,
            number=1,
            kind="waiting period",
            starts=donor.arrived_at,
            ends=ends,
            blocks=WAITING_BLOCKS,
            words="bought from a walk-in seller",
        )
    )
    return ends


@dataclass(frozen=True, slots=True)
class TurnedAway:
    """A refusal as it was written down."""

    number: int
    vin: str
    reasons: tuple[str, ...]


def turn_away(
    book: Book,
    who: Who,
    *,
    vin: str = "",
    words: str = "",
    seller: Seller | None = None,
    source: str = WALK_IN,
    reasons: tuple[str, ...] = (),
    photo: str = "",
) -> TurnedAway:
    """Write down that a vehicle was refused; it gets no stock number and no money moves.

    Raises:
        BadInput: neither the papers nor the desk give a reason.
    """
    with book.write(who) as work:
        found = papers_reasons(seller, source, local_day(work.now)) if seller else ()
        every = tuple(dict.fromkeys((*found, *reasons)))
        if not every:
            raise BadInput("no reason to turn it away", "Say why.", place="reasons")
        plain = read_vin(vin).vin if vin else ""
        number = work.number("refusals")
        work.session.add(
            Refusal(
                number=number,
                vin=plain,
                words=words,
                reasons=list(every),
                photo=photo,
                offered_by=seller.name if seller else "",
                at=work.now,
                by=work.who.code,
            )
        )
        work.note_refusal("purchase", plain, f"turned away: {'; '.join(every)}", number=number)
        return TurnedAway(number, plain, every)
