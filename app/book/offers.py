"""Gathering the parts that may answer an ask, as the engine wants them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.knowing import Knowing
from app.book.schema import (
    Design,
    Donor,
    DonorFact,
    DonorIdentity,
    Fact,
    FrameState,
    Hold,
    Part,
    PartFact,
    Place,
    PlaceKind,
    Standing,
    Whereabouts,
)
from app.fit.answers import Kept
from app.fit.knowledge import Identity, Known, Offer, Subject
from app.fit.terms import Group, Hazard

MOST = 2000
SHELF_KINDS = frozenset(PlaceKind) - {PlaceKind.QUARANTINE, PlaceKind.SCRAP_BIN, PlaceKind.YARD_ROW, PlaceKind.AREA}


def offers_of(session: Session, known: Knowing, types: frozenset[str], day: date) -> tuple[Offer, ...]:
    """The parts of some types that are free, or blocked by law; at most 2,000."""
    ids = [row.id for row in known.types.values() if row.name in types]
    parts = session.scalars(
        select(Part)
        .where(Part.part_type_id.in_(ids), Part.standing.in_([Standing.FREE, Standing.BLOCKED]))
        .order_by(Part.condition, Part.price_cents, Part.id)
        .limit(MOST)
    ).all()
    return _offers(session, known, parts, day)


def _offers(session: Session, known: Knowing, parts: Sequence[Part], day: date) -> tuple[Offer, ...]:
    donors = {row.id: row for row in _rows(session, Donor, {part.donor_id for part in parts})}
    places = {row.id: row for row in _rows(session, Place, {part.place_id for part in parts})}
    designs = {row.id: row.code for row in _rows(session, Design, {part.design_id for part in parts})}
    identities = _identities(session, set(donors))
    seen = _part_facts(session, [part.id for part in parts])
    told = _donor_facts(session, set(donors))
    gone = _gone_pieces(session, known, [part.id for part in parts])
    made = []
    for part in parts:
        kind = known.types[part.part_type_id]
        donor = donors.get(part.donor_id or 0)
        place = places.get(part.place_id or 0)
        facts = seen.get(part.id, {})
        subject = Subject(
            identity=_identity(known, donor, identities, kind.group) if donor else None,
            facts=facts,
            donor_facts=told.get(donor.id, {}) if donor else {},
            side=part.side,
            part_type=kind.name,
            pieces=part.pieces,
        )
        made.append(
            Offer(
                tag=part.tag,
                part_type=kind.name,
                wider=kind.wider,
                name=" ".join(word for word in (part.position, kind.name, part.side) if word),
                subject=subject,
                donor=donor.stock_number if donor else "",
                condition=part.condition,
                price_cents=part.price_cents,
                core_cents=part.core_cents,
                on_shelf=place is not None and place.kind in SHELF_KINDS,
                where=_where(part, place, donor),
                miles=part.miles,
                made_on=part.made_at.date(),
                pieces=part.pieces,
                seen_days=(day - part.seen_at.date()).days if part.seen_at else None,
                pull_hours=part.pull_hours,
                design=designs.get(part.design_id or 0, ""),
                hazards=tuple(Hazard(each) for each in kind.hazards),
                law=str(kind.law),
                frame_verdict=_frame_verdict(donor),
                gone_pieces=gone.get(part.id, ()),
                blocked=part.block_reason if part.standing is Standing.BLOCKED else "",
                facts=tuple((name, each.value) for name, each in facts.items()),
            )
        )
    return tuple(made)


Row = TypeVar("Row", Donor, Place, Design)


def _rows(session: Session, table: type[Row], ids: set[int | None]) -> Sequence[Row]:
    wanted = {each for each in ids if each}
    return session.scalars(select(table).where(table.id.in_(wanted))).all() if wanted else []


def _frame_verdict(donor: Donor | None) -> str:
    in_doubt = (FrameState.SCRAP_ONLY, FrameState.MEASURE_AGAIN)
    return str(donor.frame_state) if donor is not None and donor.frame_state in in_doubt else ""


def _gone_pieces(session: Session, known: Knowing, lumps: Sequence[int]) -> dict[int, tuple[tuple[str, int], ...]]:
    """The pieces that were taken off a lump and are gone: part type and price."""
    if not lumps:
        return {}
    rows = session.execute(
        select(Part.lump_id, Part.part_type_id, Part.price_cents).where(
            Part.lump_id.in_(lumps), Part.standing.in_([Standing.SOLD, Standing.WRITTEN_OFF])
        )
    )
    found: dict[int, tuple[tuple[str, int], ...]] = {}
    for lump_id, type_id, price in rows:
        assert lump_id is not None, "the rows are pieces of these lumps"
        found[lump_id] = (*found.get(lump_id, ()), (known.types[type_id].name, price))
    return found


def _where(part: Part, place: Place | None, donor: Donor | None) -> str:
    if place is not None:
        return place.code
    if part.whereabouts is Whereabouts.ON_VEHICLE and donor is not None:
        hours = f", {part.pull_hours} h" if part.pull_hours is not None else ""
        return f"still on {donor.stock_number}{hours}"
    return str(part.whereabouts)


def _identities(session: Session, donors: set[int]) -> dict[tuple[int, Group], DonorIdentity]:
    if not donors:
        return {}
    rows = session.scalars(select(DonorIdentity).where(DonorIdentity.donor_id.in_(donors)))
    return {(row.donor_id, row.group): row for row in rows}


def _identity(
    known: Knowing, donor: Donor, identities: dict[tuple[int, Group], DonorIdentity], group: Group
) -> Identity | None:
    """What the donor is for a group: what was looked at, else its plate."""
    other = identities.get((donor.id, group))
    if other is not None:
        # A swapped group goes by its own build month and plant; the plate's do not apply to it.
        model = known.models_by_id.get(other.model_id or 0)
        return Identity(model, other.year, other.built, other.plant) if model else None
    model = known.models_by_id.get(donor.model_id or 0)
    plant = donor.vin[10] if len(donor.vin) == 17 else ""
    return Identity(model, donor.year, donor.built, plant) if model else None


def _part_facts(session: Session, ids: Sequence[int]) -> dict[int, dict[str, Known]]:
    found: dict[int, dict[str, Known]] = {}
    if ids:
        rows = session.execute(
            select(PartFact.part_id, Fact.name, PartFact.value, PartFact.u_mm, PartFact.known_by)
            .join(Fact, Fact.id == PartFact.fact_id)
            .where(PartFact.part_id.in_(ids))
            .order_by(PartFact.id)
        )
        for part_id, name, value, u_mm, known_by in rows:
            found.setdefault(part_id, {})[name] = Known(value, u_mm, known_by)
    return found


def _donor_facts(session: Session, ids: set[int]) -> dict[int, dict[str, Known]]:
    found: dict[int, dict[str, Known]] = {}
    if ids:
        rows = session.execute(
            select(DonorFact.donor_id, Fact.name, DonorFact.value, DonorFact.known_by)
            .join(Fact, Fact.id == DonorFact.fact_id)
            .where(DonorFact.donor_id.in_(ids))
        )
        for donor_id, name, value, known_by in rows:
            found.setdefault(donor_id, {})[name] = Known(value, None, known_by)
    return found


def kept_parts(session: Session, known: Knowing, types: frozenset[str]) -> tuple[Kept, ...]:
    """The parts of the asked types that somebody has: held until when, or on a ticket."""
    ids = [row.id for row in known.types.values() if row.name in types]
    rows = session.execute(
        select(Part, Hold)
        .outerjoin(Hold, (Hold.part_id == Part.id) & Hold.ended_at.is_(None))
        .where(Part.part_type_id.in_(ids), Part.standing.in_([Standing.HELD, Standing.ON_TICKET]))
        .order_by(Part.tag)
        .limit(20)
    )
    return tuple(
        Kept(
            part.tag,
            known.types[part.part_type_id].name,
            f"held for {hold.name} until {hold.until:%Y-%m-%d %H:%M}" if hold else str(part.standing),
        )
        for part, hold in rows
    )
