"""Saying later what a vehicle is: its model, or whose frame, body, nose or driveline it carries."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from app.book.intake import check_built
from app.book.schema import DonorIdentity
from app.book.vehicles import find_donor, find_model, say_model, say_vehicle
from app.book.work import Book, Who, Work
from app.errors import BadInput
from app.fit.terms import Group


@dataclass(frozen=True, slots=True)
class Identified:
    """What a vehicle is now held to be."""

    stock_number: str
    group: Group | None
    vehicle: str


def identify(
    book: Book,
    who: Who,
    vehicle: str,
    model: str,
    *,
    year: int | None = None,
    built: str | None = None,
    group: Group | None = None,
    note: str = "",
) -> Identified:
    """Set a vehicle's model, or with a group what only that group of parts is.

    A group goes by its own year, build month and plant; what is not said of it is unknown.

    Raises:
        NotFound: no such vehicle or model.
        BadInput: a year the model was not built in, a month that cannot be.
    """
    with book.write(who) as work:
        donor = find_donor(work.session, vehicle)
        known_year = year or (donor.year if group is None else None)
        found = find_model(work.session, model, known_year)
        if known_year is not None and not found.year_from <= known_year <= found.year_to:
            raise BadInput(
                f"{found.key} was built for model years {found.year_from} to {found.year_to}, not {known_year}",
                "Check the year and the model.",
                place="year",
            )
        check_built(built, known_year)
        if group is None:
            donor.model_id, donor.year, donor.built = found.id, known_year, built or donor.built
            words = say_vehicle(donor, found)
        else:
            _set_group(work, donor.id, group, found.id, year, built, note)
            words = f"{year or ''} {say_model(found)}".strip()
        of = f"its {group} is" if group else "it is"
        work.note("identify", donor.stock_number, f"{of} {words}", note=note)
        return Identified(donor.stock_number, group, words)


def _set_group(
    work: Work, donor_id: int, group: Group, model_id: int, year: int | None, built: str | None, note: str
) -> None:
    row = work.session.scalar(
        select(DonorIdentity).where(DonorIdentity.donor_id == donor_id, DonorIdentity.group == group)
    ) or DonorIdentity(donor_id=donor_id, group=group)
    row.model_id, row.year, row.built, row.known_by, row.note = model_id, year, built, "look", note
    work.session.add(row)
