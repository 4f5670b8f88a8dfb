"""Finding parts, and a part as the screens see it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import Design, Donor, Fact, Model, Part, PartFact, PartType, Place, Standing, Whereabouts
from app.book.tags import clean, is_house_tag, looks_like_house_tag
from app.book.vehicles import say_vehicle
from app.errors import NotFound
from app.fit.terms import Condition, Hazard, Side


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part with all that a person at a shelf or at the counter wants to read."""

    tag: str
    part_type: str
    side: Side
    position: str
    condition: Condition
    damage: str
    proven: str
    donor: str
    vehicle: str
    year: int | None
    price_cents: int
    core_cents: int
    weight_lb: Decimal | None
    weight_how: str
    pieces: int
    miles: int | None
    standing: Standing
    block_reason: str
    whereabouts: Whereabouts
    place: str
    pull_hours: Decimal | None
    made_at: datetime
    seen_at: datetime | None
    facts: tuple[tuple[str, str], ...]
    hazards: tuple[Hazard, ...]
    design: str

    @property
    def name(self) -> str:
        """Part name with its side and position."""
        return " ".join(word for word in (self.position, self.part_type, self.side) if word)

    @property
    def where(self) -> str:
        """Where it is, in words."""
        if self.whereabouts is Whereabouts.IN_PLACE:
            return self.place
        if self.whereabouts is Whereabouts.ON_VEHICLE and self.standing is Standing.WRITTEN_OFF:
            return f"left with {self.donor}"
        if self.whereabouts is Whereabouts.ON_VEHICLE:
            hours = f", {self.pull_hours} h" if self.pull_hours is not None else ""
            return f"still on {self.donor}{hours}"
        return str(self.whereabouts)


def find_part(session: Session, said: str) -> Part:
    """The part of a tag.

    Raises:
        NotFound: a misread tag, or none of ours.
    """
    tag = clean(said)
    part = session.scalar(select(Part).where(Part.tag == tag)) if tag else None
    if part is not None:
        return part
    if looks_like_house_tag(tag) and not is_house_tag(tag):
        raise NotFound(f"{tag} is misread: its check character is wrong", "Scan it again, or type it.", place="tag")
    raise NotFound(f"{said!r} is not ours", "Scan the tag on the part.", place="tag")


def part_rows(session: Session, parts: Sequence[Part]) -> tuple[PartRow, ...]:
    """Parts as frozen rows, in the order given; five statements however many."""
    types = _by_id(session, PartType, {part.part_type_id for part in parts})
    donors = _by_id(session, Donor, {part.donor_id for part in parts if part.donor_id})
    models = _by_id(session, Model, {donor.model_id for donor in donors.values() if donor.model_id})
    places = _by_id(session, Place, {part.place_id for part in parts if part.place_id})
    designs = _by_id(session, Design, {part.design_id for part in parts if part.design_id})
    facts = _facts(session, [part.id for part in parts])
    rows = []
    for part in parts:
        kind = types[part.part_type_id]
        donor = donors.get(part.donor_id or 0)
        rows.append(
            PartRow(
                tag=part.tag,
                part_type=kind.name,
                side=part.side,
                position=part.position,
                condition=part.condition,
                damage=part.damage,
                proven=part.proven,
                donor=donor.stock_number if donor else "",
                vehicle=say_vehicle(donor, models.get(donor.model_id or 0)) if donor else part.past,
                year=donor.year if donor else None,
                price_cents=part.price_cents,
                core_cents=part.core_cents,
                weight_lb=part.weight_lb,
                weight_how=part.weight_how,
                pieces=part.pieces,
                miles=part.miles,
                standing=part.standing,
                block_reason=part.block_reason,
                whereabouts=part.whereabouts,
                place=places[part.place_id].code if part.place_id else "",
                pull_hours=part.pull_hours,
                made_at=part.made_at,
                seen_at=part.seen_at,
                facts=tuple(facts.get(part.id, ())),
                hazards=tuple(Hazard(hazard) for hazard in kind.hazards),
                design=designs[part.design_id].code if part.design_id else "",
            )
        )
    return tuple(rows)


def part_row(session: Session, part: Part) -> PartRow:
    """One part as a frozen row."""
    return part_rows(session, [part])[0]


Row = TypeVar("Row", PartType, Donor, Model, Place, Design)


def _by_id(session: Session, table: type[Row], ids: set[int]) -> dict[int, Row]:
    if not ids:
        return {}
    return {row.id: row for row in session.scalars(select(table).where(table.id.in_(ids)))}


def _facts(session: Session, ids: Sequence[int]) -> dict[int, list[tuple[str, str]]]:
    found: dict[int, list[tuple[str, str]]] = {}
    if ids:
        rows = session.execute(
            select(PartFact.part_id, Fact.name, PartFact.value)
            .join(Fact, Fact.id == PartFact.fact_id)
            .where(PartFact.part_id.in_(ids))
            .order_by(PartFact.part_id, PartFact.id)
        )
        for part_id, name, value in rows:
            found.setdefault(part_id, []).append((name, value))
    return found
