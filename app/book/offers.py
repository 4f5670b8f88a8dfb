"""Gathering the parts that may answer an ask, as the engine wants them: a fixed number of statements."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Row, Select, bindparam, literal_column, select, union_all
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
from app.book.times import say_time
from app.fit.answers import Kept
from app.fit.knowledge import Identity, Known, Offer, Subject
from app.fit.terms import Group, Hazard

AnyRow = Row[*tuple[Any, ...]]
MOST = 2000
SHELF_KINDS = frozenset(PlaceKind) - {PlaceKind.QUARANTINE, PlaceKind.SCRAP_BIN, PlaceKind.YARD_ROW, PlaceKind.AREA}
IN_DOUBT = (FrameState.SCRAP_ONLY, FrameState.MEASURE_AGAIN)


@dataclass(frozen=True, slots=True)
class Gathered:
    """The parts of the asked types, those companions may be taken from, and those somebody has."""

    offers: tuple[Offer, ...]
    stock: tuple[Offer, ...]
    kept: tuple[Kept, ...]


def _columns() -> Select[*tuple[Any, ...]]:
    columns: Select[*tuple[Any, ...]] = (
        select(
            Part.id,
            Part.tag,
            Part.part_type_id,
            Part.side,
            Part.position,
            Part.condition,
            Part.price_cents,
            Part.core_cents,
            Part.pieces,
            Part.miles,
            Part.made_at,
            Part.seen_at,
            Part.pull_hours,
            Part.standing,
            Part.block_reason,
            Part.whereabouts,
            Part.donor_id,
            Donor.stock_number,
            Donor.model_id,
            Donor.year,
            Donor.built,
            Donor.vin,
            Donor.frame_state,
            Place.code.label("place"),
            Place.kind.label("place_kind"),
            Design.code.label("design"),
        )
        .outerjoin(Donor, Donor.id == Part.donor_id)
        .outerjoin(Place, Place.id == Part.place_id)
        .outerjoin(Design, Design.id == Part.design_id)
    )
    return columns


def _parts(where: str) -> Select[*tuple[Any, ...]]:
    # The standing stands as a literal, because a bound one would not use the partial index.
    return _columns().where(Part.part_type_id.in_(bindparam("types", expanding=True)), literal_column(where))


_FREE = _parts("parts.standing = 'free'").order_by(Part.condition, Part.price_cents, Part.id).limit(MOST).subquery()
_NOT_OFFERED = _parts("parts.standing IN ('held', 'on ticket', 'blocked')").limit(MOST).subquery()
_EVERY = union_all(select(_FREE), select(_NOT_OFFERED))
_PART_FACTS = (
    select(PartFact.part_id, Fact.name, PartFact.value, PartFact.u_mm, PartFact.known_by)
    .join(Fact, Fact.id == PartFact.fact_id)
    .where(PartFact.part_id.in_(bindparam("parts", expanding=True)))
    .order_by(PartFact.id)
)
_DONOR_FACTS = (
    select(DonorFact.donor_id, Fact.name, DonorFact.value, DonorFact.known_by)
    .join(Fact, Fact.id == DonorFact.fact_id)
    .where(DonorFact.donor_id.in_(bindparam("donors", expanding=True)))
)
_IDENTITIES = select(
    DonorIdentity.donor_id,
    DonorIdentity.group,
    DonorIdentity.model_id,
    DonorIdentity.year,
    DonorIdentity.built,
    DonorIdentity.plant,
).where(DonorIdentity.donor_id.in_(bindparam("donors", expanding=True)))
_GONE_PIECES = select(Part.lump_id, Part.part_type_id, Part.price_cents, Part.standing).where(
    Part.lump_id.in_(bindparam("parts", expanding=True)), Part.lump_id.is_not(None)
)
_HOLDS = select(Hold.part_id, Hold.name, Hold.until).where(
    Hold.ended_at.is_(None), Hold.part_id.in_(bindparam("parts", expanding=True))
)


def gather(session: Session, known: Knowing, wanted: frozenset[str], companions: frozenset[str], day: date) -> Gathered:
    """The parts of the wanted types and of those companions may be taken from; at most 2,000 free ones."""
    ids = [row.id for row in known.types.values() if row.name in wanted | companions]
    if not ids:
        return Gathered((), (), ())
    rows = session.execute(_EVERY, {"types": ids}).all()
    offered = [row for row in rows if row.standing in (Standing.FREE, Standing.BLOCKED)]
    offers = _Maker(session, known, day, offered).offers()
    return Gathered(
        tuple(offer for offer in offers if offer.part_type in wanted),
        tuple(offer for offer in offers if offer.part_type in companions),
        _kept(session, known, [row for row in rows if row.standing in (Standing.HELD, Standing.ON_TICKET)], wanted),
    )


_TAGGED = _columns().where(Part.tag == bindparam("tag"))


def offers_tagged(
    session: Session, known: Knowing, tag: str, companions: frozenset[str], day: date
) -> tuple[Offer, tuple[Offer, ...]]:
    """The part of a tag, whatever its standing, and the parts its companions may be taken from."""
    rows = session.execute(_TAGGED, {"tag": tag}).all()
    offer = _Maker(session, known, day, rows).offers()[0]
    return offer, gather(session, known, frozenset(), companions, day).stock


class _Maker:
    """Makes offers of part rows, with the facts of all of them read at once."""

    def __init__(self, session: Session, known: Knowing, day: date, rows: Sequence[AnyRow]) -> None:
        self.known = known
        self.day = day
        self.rows = rows
        parts = [row.id for row in rows]
        donors = sorted({row.donor_id for row in rows if row.donor_id})
        self.seen = _known_facts(session.execute(_PART_FACTS, {"parts": parts}), with_doubt=True)
        self.told = _known_facts(session.execute(_DONOR_FACTS, {"donors": donors}), with_doubt=False)
        self.swapped = {(row.donor_id, row.group): row for row in session.execute(_IDENTITIES, {"donors": donors})}
        self.gone = _gone_pieces(session, known, parts)

    def offers(self) -> list[Offer]:
        """All of them, in the order of the rows."""
        return [self._offer(row) for row in self.rows]

    def _offer(self, row: AnyRow) -> Offer:
        kind = self.known.types[row.part_type_id]
        facts = self.seen.get(row.id, {})
        return Offer(
            tag=row.tag,
            part_type=kind.name,
            wider=kind.wider,
            name=" ".join(word for word in (row.position, kind.name, row.side) if word),
            subject=Subject(
                identity=self._identity(row, kind.group),
                facts=facts,
                donor_facts=self.told.get(row.donor_id, {}),
                side=row.side,
                part_type=kind.name,
                pieces=row.pieces,
            ),
            donor=row.stock_number or "",
            condition=row.condition,
            price_cents=row.price_cents,
            core_cents=row.core_cents,
            on_shelf=row.place_kind in SHELF_KINDS,
            where=_where(row),
            miles=row.miles,
            made_on=row.made_at.date(),
            pieces=row.pieces,
            seen_days=(self.day - row.seen_at.date()).days if row.seen_at else None,
            pull_hours=row.pull_hours,
            design=row.design or "",
            hazards=tuple(Hazard(each) for each in kind.hazards),
            law=str(kind.law),
            frame_verdict=str(row.frame_state) if row.frame_state in IN_DOUBT else "",
            gone_pieces=self.gone.get(row.id, ()),
            blocked=row.block_reason if row.standing is Standing.BLOCKED else "",
            facts=tuple((name, each.value) for name, each in facts.items()),
        )

    def _identity(self, row: AnyRow, group: Group) -> Identity | None:
        """What the donor is for a group: what was looked at, else its plate."""
        other = self.swapped.get((row.donor_id, group))
        if other is not None:
            # A swapped group goes by its own build month and plant; the plate's do not apply to it.
            model = self.known.models_by_id.get(other.model_id or 0)
            return Identity(model, other.year, other.built, other.plant) if model else None
        model = self.known.models_by_id.get(row.model_id or 0)
        plant = row.vin[10] if row.vin and len(row.vin) == 17 else ""
        return Identity(model, row.year, row.built, plant) if model else None


def _where(row: AnyRow) -> str:
    if row.place:
        return str(row.place)
    if row.whereabouts is Whereabouts.ON_VEHICLE:
        hours = f", {row.pull_hours} h" if row.pull_hours is not None else ""
        return f"still on {row.stock_number}{hours}"
    return str(row.whereabouts)


def _known_facts(rows: Iterable[AnyRow], *, with_doubt: bool) -> dict[int, dict[str, Known]]:
    found: dict[int, dict[str, Known]] = {}
    for row in rows:
        doubt = row.u_mm if with_doubt else None
        found.setdefault(row[0], {})[row.name] = Known(row.value, doubt, row.known_by)
    return found


def _gone_pieces(session: Session, known: Knowing, lumps: Sequence[int]) -> dict[int, tuple[tuple[str, int], ...]]:
    """The pieces that were taken off a lump and are gone: part type and price."""
    found: dict[int, tuple[tuple[str, int], ...]] = {}
    for row in session.execute(_GONE_PIECES, {"parts": lumps}):
        if row.standing in (Standing.SOLD, Standing.WRITTEN_OFF):
            piece = (known.types[row.part_type_id].name, row.price_cents)
            found[row.lump_id] = (*found.get(row.lump_id, ()), piece)
    return found


def _kept(session: Session, known: Knowing, rows: Sequence[AnyRow], wanted: frozenset[str]) -> tuple[Kept, ...]:
    """The parts of the asked types that somebody has: held until when, or on a ticket."""
    mine = [row for row in rows if known.types[row.part_type_id].name in wanted]
    if not mine:
        return ()
    holds: dict[int, AnyRow] = {
        row.part_id: row for row in session.execute(_HOLDS, {"parts": [row.id for row in mine]})
    }
    return tuple(
        Kept(row.tag, known.types[row.part_type_id].name, _kept_words(row, holds.get(row.id)))
        for row in sorted(mine, key=lambda row: row.tag)
    )


def _kept_words(row: AnyRow, hold: AnyRow | None) -> str:
    return f"held for {hold.name} until {say_time(hold.until)}" if hold else str(row.standing)
