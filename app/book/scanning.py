"""What a scan is: a part, a place, a vehicle, a ticket, or nothing of ours."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy import func, or_, select

from app.book.schema import Donor, Part, Person, Place, SaleTicket, WeightTicket
from app.book.tags import clean, is_house_tag, looks_like_house_tag
from app.book.work import Book


class Scanned(StrEnum):
    """What a scan turned out to be."""

    PART = "part"
    PLACE = "place"
    VEHICLE = "vehicle"
    SALE = "sale ticket"
    WEIGHT = "weight ticket"
    PERSON = "person"
    MISREAD = "misread"
    NOT_OURS = "not ours"


@dataclass(frozen=True, slots=True)
class Scan:
    """A scan with the name the book knows the thing by."""

    kind: Scanned
    name: str
    words: str


def scan(book: Book, text: str) -> Scan:
    """Find out what was scanned or typed; nothing changes."""
    name = clean(text)
    if not name:
        return Scan(Scanned.NOT_OURS, "", "nothing was scanned")
    lookups = (
        (Scanned.PART, select(Part.tag).where(Part.tag == name)),
        (Scanned.PLACE, select(Place.code).where(or_(func.upper(Place.code) == name, Place.tag == name))),
        (
            Scanned.VEHICLE,
            select(Donor.stock_number).where(
                or_(func.upper(Donor.stock_number) == name, Donor.tag == name, Donor.vin == name)
            ),
        ),
        (Scanned.SALE, select(SaleTicket.tag).where(SaleTicket.tag == name)),
        (Scanned.WEIGHT, select(WeightTicket.tag).where(WeightTicket.tag == name)),
        (Scanned.PERSON, select(Person.code).where(Person.code == name)),
    )
    with book.read() as session:
        for kind, query in lookups:
            found = session.scalar(query.limit(1))
            if found is not None:
                return Scan(kind, found, f"{found} is a {kind}")
    if looks_like_house_tag(name) and not is_house_tag(name):
        return Scan(Scanned.MISREAD, name, f"{name} is misread: scan it again")
    return Scan(Scanned.NOT_OURS, name, f"{name} is not ours")
