"""Offers made of part rows, as the engine sees them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.book.knowing import Knowing, TypeInfo
from app.book.partrows import SHELF_KINDS, Glance, Whole
from app.book.reach.rulereading import in_hours
from app.book.schema import FrameState, Standing, Whereabouts
from app.fit.known import Identity, Known, Offer, Subject
from app.fit.terms import Condition, Side

IN_DOUBT = frozenset(map(str, (FrameState.SCRAP_ONLY, FrameState.MEASURE_AGAIN)))
SIDES = {side.value: side for side in Side}
CONDITIONS = {condition.value: condition for condition in Condition}
RANKS = {condition.rank: condition for condition in Condition}


@dataclass(frozen=True, slots=True)
class OfferMaker:
    """Makes offers of rows."""

    known: Knowing
    day: date

    def bare(self, row: Glance, design: str) -> Offer:
        """A part at a glance: what it is of and off, and nothing that was looked at on it."""
        kind = self.known.types[row.part_type_id]
        model = self.known.model(row.model_id)
        return Offer(
            tag=row.tag,
            part_type=kind.name,
            wider=kind.wider,
            sided=kind.sided,
            has_miles=kind.has_miles,
            name=kind.name,
            subject=Subject(Identity(model) if model is not None else None, side=SIDES[row.side], part_type=kind.name),
            donor="",
            condition=RANKS[row.rank],
            price_cents=row.price_cents,
            core_cents=0,
            on_shelf=not row.off_shelf,
            where="",
            miles=row.miles,
            made_on=date.fromisoformat(row.made_on),
            design=design,
            law=kind.law,
        )

    def offer(self, row: Whole) -> Offer:
        """The part as the engine sees it."""
        kind = self.known.types[row.part_type_id]
        facts = _facts(row.seen)
        return Offer(
            tag=row.tag,
            part_type=kind.name,
            wider=kind.wider,
            sided=kind.sided,
            has_miles=kind.has_miles,
            name=_name(row, kind),
            subject=Subject(
                identity=self._identity(row),
                facts=facts,
                donor_facts=_facts(row.told),
                side=SIDES[row.side],
                part_type=kind.name,
                pieces=row.pieces,
            ),
            donor=row.stock_number or "",
            condition=CONDITIONS[row.condition],
            price_cents=row.price_cents,
            core_cents=row.core_cents,
            on_shelf=row.place_kind in SHELF_KINDS,
            where=_where(row),
            miles=row.miles,
            made_on=date.fromisoformat(row.made_on),
            pieces=row.pieces,
            seen_days=_days_since(row.seen_on, self.day),
            pull_hours=in_hours(row.pull_thousandths),
            design=row.design or "",
            hazards=kind.hazards,
            law=kind.law,
            frame_verdict=row.frame_state if row.frame_state is not None and row.frame_state in IN_DOUBT else "",
            gone_pieces=tuple([(self.known.type_names[of], price) for of, price in _lines(row.gone)]),
            blocked=row.block_reason if row.standing == Standing.BLOCKED.value else "",
            facts=tuple([(name, each.value) for name, each in facts.items()]),
        )

    def _identity(self, row: Whole) -> Identity | None:
        """What the donor is for the group of the part: what was looked at, else its plate."""
        model = self.known.model(row.model_id)
        if model is None:
            return None
        if row.swapped is not None:
            # A swapped group goes by its own build month and plant; the plate's do not apply to it.
            return Identity(model, row.own_year, row.own_built, row.own_plant or "")
        plant = row.vin[10] if row.vin and len(row.vin) == 17 else ""
        return Identity(model, row.year, row.built, plant)


NOTHING: Mapping[str, Known] = {}
_DECODER = json.JSONDecoder()


def _facts(listed: str | None) -> Mapping[str, Known]:
    """Facts by their names."""
    lines = _lines(listed)
    if not lines:
        return NOTHING
    if len(lines) > 1:
        lines = sorted(lines, key=_by_name)
    return {name: Known(value, doubt, how) for _, name, value, doubt, how in lines}


def _by_name(line: Sequence[Any]) -> str:
    return str(line[1])


def _lines(listed: str | None) -> Sequence[Any]:
    """A list as the database gave it."""
    if not listed or listed == "[]":
        return ()
    lines: Sequence[Any] = _DECODER.raw_decode(listed)[0]
    return lines


def _name(row: Whole, kind: TypeInfo) -> str:
    if not row.position:
        return f"{kind.name} {row.side}" if row.side else kind.name
    return " ".join(word for word in (row.position, kind.name, row.side) if word)


def _where(row: Whole) -> str:
    if row.place:
        return str(row.place)
    if row.whereabouts == Whereabouts.ON_VEHICLE.value:
        to_pull = f", {in_hours(row.pull_thousandths)} h" if row.pull_thousandths is not None else ""
        return f"still on {row.stock_number}{to_pull}"
    return str(row.whereabouts)


def _days_since(seen_on: str | None, day: date) -> int | None:
    """Days since a place was seen; None where it was not by that day."""
    days = (day - date.fromisoformat(seen_on)).days if seen_on else -1
    return days if days >= 0 else None
