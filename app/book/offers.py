"""Gathering the parts that may answer an ask, as the engine wants them: a fixed number of statements."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, Row

from app.book.knowing import Knowing, TypeInfo
from app.book.lumps import GONE
from app.book.partrows import ABOUT, PARTS, TAGGED
from app.book.schema import FrameState, PlaceKind, Standing, Whereabouts
from app.book.times import say_time
from app.fit.answers import Kept
from app.fit.knowledge import Identity, Known, Offer, Subject
from app.fit.terms import Condition, Side

AnyRow = Row[*tuple[Any, ...]]
SHELF_KINDS = frozenset(map(str, set(PlaceKind) - {
    PlaceKind.QUARANTINE, PlaceKind.SCRAP_BIN, PlaceKind.YARD_ROW, PlaceKind.AREA
}))  # fmt: skip
IN_DOUBT = frozenset(map(str, (FrameState.SCRAP_ONLY, FrameState.MEASURE_AGAIN)))
SIDES = {side.value: side for side in Side}
CONDITIONS = {condition.value: condition for condition in Condition}


@dataclass(frozen=True, slots=True)
class Search:
    """What to look for: part types, those of companions, and, where it is known, the models that may serve.

    `models` None looks at parts off every model; `designs` are looked at beside the models.
    """

    wanted: frozenset[str]
    companions: frozenset[str] = frozenset()
    models: frozenset[str] | None = None
    designs: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Gathered:
    """The parts of the asked types, those companions may be taken from, and those somebody has."""

    offers: tuple[Offer, ...]
    stock: tuple[Offer, ...]
    kept: tuple[Kept, ...]


def gather(connection: Connection, known: Knowing, search: Search, day: date) -> Gathered:
    """The parts that may answer; at most so many free ones as `partrows` says, the best and cheapest first."""
    if not search.wanted and not search.companions:
        return Gathered((), (), ())
    rows = connection.execute(PARTS[connection.dialect.name, search.models is not None], _given(known, search)).all()
    rows = list({row.id: row for row in rows if _belongs(row, known, search)}.values())
    about = _about(connection, rows)
    known.shelf_of_models.bring(connection, _keys(known, rows))
    maker = _Maker(known, day, about)
    offered = [(row, maker.offer(row)) for row in rows if row.standing in ("free", "blocked")]
    return Gathered(
        tuple(offer for _, offer in offered if offer.part_type in search.wanted),
        tuple(offer for _, offer in offered if offer.part_type in search.companions),
        maker.kept([row for row in rows if row.standing not in ("free", "blocked")]),
    )


def _given(known: Knowing, search: Search) -> dict[str, str]:
    """The lists of a statement, as JSON."""
    return {
        "types": json.dumps([known.type_ids[name] for name in search.wanted]),
        "companions": json.dumps([known.type_ids[name] for name in search.companions]),
        "models": json.dumps([known.shelf_of_models.ids[key] for key in search.models or ()]),
        "designs": json.dumps(sorted(search.designs)),
    }


def _belongs(row: AnyRow, known: Knowing, search: Search) -> bool:
    """Whether a row is of what was looked for: of what somebody has, only what could have answered."""
    if row.what != "kept" or search.models is None or row.model_id is None:
        return True
    return known.shelf_of_models.keys.get(row.model_id) in search.models


def _keys(known: Knowing, rows: Iterable[AnyRow]) -> Iterable[str]:
    keys = known.shelf_of_models.keys
    return {keys[row.model_id] for row in rows if row.model_id in keys}


def offer_tagged(connection: Connection, known: Knowing, tag: str, day: date) -> Offer:
    """The part of a tag as an offer, whatever its standing."""
    rows = connection.execute(TAGGED, {"tag": tag}).all()
    known.shelf_of_models.bring(connection, _keys(known, rows))
    return _Maker(known, day, _about(connection, rows)).offer(rows[0])


@dataclass(slots=True)
class _About:
    """All that is written down about parts and their donors."""

    seen: dict[int, dict[str, Known]] = field(default_factory=dict)
    told: dict[int, dict[str, Known]] = field(default_factory=dict)
    gone: dict[int, list[tuple[int, int]]] = field(default_factory=dict)
    holds: dict[int, tuple[str, str]] = field(default_factory=dict)


def _about(connection: Connection, rows: Sequence[AnyRow]) -> _About:
    about = _About()
    if not rows:
        return about
    given = {
        "parts": json.dumps([row.id for row in rows]),
        "donors": json.dumps(list({row.donor_id for row in rows if row.donor_id})),
    }
    for what, of, name, value, doubt, how, _ in connection.execute(ABOUT[connection.dialect.name], given):
        if what == "seen":
            about.seen.setdefault(of, {})[name] = Known(value, doubt, how)
        elif what == "told":
            about.told.setdefault(of, {})[name] = Known(value, None, how)
        elif what == "hold":
            about.holds[of] = (name, value)
        elif how in GONE:
            about.gone.setdefault(of, []).append((int(name), int(value)))
    return about


class _Maker:
    """Makes offers of part rows."""

    def __init__(self, known: Knowing, day: date, about: _About) -> None:
        self.known = known
        self.day = day
        self.about = about

    def offer(self, row: AnyRow) -> Offer:
        """The part as the engine sees it."""
        kind = self.known.types[row.part_type_id]
        facts = self.about.seen.get(row.id, {})
        side = SIDES[row.side]
        return Offer(
            tag=row.tag,
            part_type=kind.name,
            wider=kind.wider,
            sided=kind.sided,
            name=_name(row, kind),
            subject=Subject(
                identity=self._identity(row),
                facts=facts,
                donor_facts=self.about.told.get(row.donor_id, {}),
                side=side,
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
            made_on=row.made_at.date(),
            pieces=row.pieces,
            seen_days=(self.day - row.seen_at.date()).days if row.seen_at else None,
            pull_hours=row.pull_hours,
            design=row.design or "",
            hazards=kind.hazards,
            law=kind.law,
            frame_verdict=row.frame_state if row.frame_state in IN_DOUBT else "",
            gone_pieces=self._gone(row),
            blocked=row.block_reason if row.standing == Standing.BLOCKED.value else "",
            facts=tuple((name, each.value) for name, each in facts.items()),
        )

    def _identity(self, row: AnyRow) -> Identity | None:
        """What the donor is for the group of the part: what was looked at, else its plate."""
        model = self.known.model(row.model_id)
        if model is None:
            return None
        if row.swapped is not None:
            # A swapped group goes by its own build month and plant; the plate's do not apply to it.
            return Identity(model, row.own_year, row.own_built, row.own_plant)
        plant = row.vin[10] if row.vin and len(row.vin) == 17 else ""
        return Identity(model, row.year, row.built, plant)

    def _gone(self, row: AnyRow) -> tuple[tuple[str, int], ...]:
        """The pieces that were taken off a lump and are gone: part type and price."""
        gone = self.about.gone.get(row.id)
        return tuple((self.known.type_names[kind], price) for kind, price in gone) if gone else ()

    def kept(self, rows: Iterable[AnyRow]) -> tuple[Kept, ...]:
        """The parts that somebody has: held until when, or on a ticket."""
        return tuple(
            Kept(row.tag, self.known.type_names[row.part_type_id], self._kept_words(row))
            for row in sorted(rows, key=lambda row: str(row.tag))
        )

    def _kept_words(self, row: AnyRow) -> str:
        hold = self.about.holds.get(row.id)
        if hold is None:
            return str(row.standing)
        until = datetime.fromisoformat(hold[1])
        return f"held for {hold[0]} until {say_time(until if until.tzinfo else until.replace(tzinfo=UTC))}"


def _name(row: AnyRow, kind: TypeInfo) -> str:
    if not row.position and not row.side:
        return kind.name
    return " ".join(word for word in (row.position, kind.name, row.side) if word)


def _where(row: AnyRow) -> str:
    if row.place:
        return str(row.place)
    if row.whereabouts == Whereabouts.ON_VEHICLE.value:
        hours = f", {row.pull_hours} h" if row.pull_hours is not None else ""
        return f"still on {row.stock_number}{hours}"
    return str(row.whereabouts)
