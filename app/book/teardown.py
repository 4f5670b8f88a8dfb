"""Draining a vehicle and asking for the torch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from sqlalchemy import func, select

from app.book.intake import add_cost
from app.book.schema import Donor, Removal
from app.book.schema.base import thousandths
from app.book.vehicles import find_donor, refuse_if_held
from app.book.work import Book, Who, Work
from app.errors import BadInput, Refused
from app.fit.terms import Hazard
from app.fit.weights import Fluid, fluid_weight

FUELS = (Fluid.GASOLINE, Fluid.DIESEL)


@dataclass(frozen=True, slots=True)
class Drain:
    """What was drained, recovered and taken off for safety: gallons by fluid, pounds for the rest."""

    vehicle: str
    gallons: Mapping[Fluid, Decimal] = field(default_factory=dict)
    refrigerant_lb: Decimal | None = None
    battery_lb: Decimal | None = None
    other_lb: Mapping[str, Decimal] = field(default_factory=dict)
    hours: Decimal = Decimal(0)
    disposal_cents: int = 0


@dataclass(frozen=True, slots=True)
class Drained:
    """What came out, in pounds."""

    stock_number: str
    fluids_lb: Decimal
    removed_lb: Decimal


def drain(book: Book, who: Who, form: Drain) -> Drained:
    """Write down what was drained and taken off.

    Raises:
        Refused: a hold on the vehicle blocks depollution.
        BadInput: an amount below zero, or nothing at all.
    """
    with book.write(who) as work:
        donor = find_donor(work.session, form.vehicle)
        refuse_if_held(work, donor, "depollution")
        fluids = [
            (str(kind), gallons, thousandths(fluid_weight(kind, gallons)))
            for kind, gallons in form.gallons.items()
            if gallons
        ]
        for what, gallons, weight in fluids:
            _off(work, donor, what, weight, "metered", gallons)
        solids = {"refrigerant": form.refrigerant_lb, "battery": form.battery_lb, **form.other_lb}
        for what, pounds in solids.items():
            if pounds:
                _off(work, donor, what, pounds, "weighed", None)
        if not fluids and not any(solids.values()):
            raise BadInput("nothing was drained or taken off", "Type what came out.", place="drain")
        if form.hours:
            add_cost(work, donor, "labor", int(form.hours * work.settings.labor_cents_per_hour), "depollution")
        if form.disposal_cents:
            add_cost(work, donor, "disposal", form.disposal_cents)
        total = sum((weight for _, _, weight in fluids), Decimal(0))
        removed = total + sum((pounds for pounds in solids.values() if pounds), Decimal(0))
        work.note("drain", donor.stock_number, f"drained {total} lb of fluids, {removed} lb off in all")
        return Drained(donor.stock_number, total, removed)


def _off(work: Work, donor: Donor, what: str, pounds: Decimal, how: str, gallons: Decimal | None) -> None:
    if pounds < 0:
        raise BadInput(f"{what} below zero", "Type what came out.", place=what)
    for figure in (pounds, gallons or Decimal(0)):
        if figure != thousandths(figure):
            raise BadInput(f"{figure} has more than three decimals", "Type what the meter showed.", place=what)
    used = work.session.scalar(select(func.max(Removal.number)).where(Removal.donor_id == donor.id)) or 0
    work.session.add(
        Removal(
            donor_id=donor.id,
            number=used + 1,
            what=what,
            gallons=gallons,
            weight_lb=pounds,
            how=how,
            at=work.now,
            by=work.who.code,
        )
    )
    work.session.flush()


@dataclass(frozen=True, slots=True)
class TorchPermit:
    """Leave to use the torch on a vehicle."""

    stock_number: str
    words: str
    caution: str


def ask_torch(book: Book, who: Who, vehicle: str) -> TorchPermit:
    """Leave to cut with fire, or the reason why not.

    Raises:
        Refused: the fuel is not drained, or a hold blocks teardown.
    """
    with book.write(who) as work:
        donor = find_donor(work.session, vehicle)
        refuse_if_held(work, donor, "teardown")
        drained = work.session.scalar(
            select(Removal.id).where(Removal.donor_id == donor.id, Removal.what.in_([str(fuel) for fuel in FUELS]))
        )
        if drained is None:
            raise Refused(
                f"no torch on {donor.stock_number}: fuel not drained",
                f"Drain the fuel and write it down first. {Hazard.FUEL.caution}",
                action="torch",
                subject=donor.stock_number,
            )
        words = f"torch allowed on {donor.stock_number}, fuel drained"
        work.note("torch", donor.stock_number, words)
        return TorchPermit(donor.stock_number, words, Hazard.FUEL.caution)
