"""Gathering the parts that may answer an ask, as the engine wants them: a fixed number of statements."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime

from sqlalchemy import Connection

from app.book.bearing import Needed
from app.book.fetching import fetch
from app.book.knowing import Knowing
from app.book.offermaking import SHELF_KINDS, OfferMaker
from app.book.partrows import BEST_PARTS, COMPANIONS, MOST, PARTS, TAGGED, WHOLE, Glance, Whole
from app.book.schema import Standing
from app.book.times import say_time
from app.fit.answers import Kept
from app.fit.candidates import Candidate
from app.fit.knowledge import Offer
from app.fit.sets import NOT_OFFERED
from app.fit.terms import Condition

RANKS = {condition.value: condition.rank for condition in Condition}
NEVER_OFFERED = frozenset(map(str, NOT_OFFERED))
ON_OFFER = frozenset(map(str, (Standing.FREE, Standing.BLOCKED)))


@dataclass(frozen=True, slots=True)
class Search:
    """What to look for: part types, what sets need besides, and, where it is known, the models that may serve.

    `models` None looks at parts off every model; `designs` are looked at beside the models.
    """

    wanted: frozenset[str]
    needed: Needed = field(default_factory=Needed)
    models: frozenset[str] | None = None
    designs: frozenset[int] = frozenset()


class Gathered:
    """The parts that may answer, at a glance, and those that somebody has; all else is read when it is looked at."""

    def __init__(self, connection: Connection, known: Knowing, search: Search, day: date) -> None:
        self._connection = connection
        self._known = known
        self._needed = search.needed
        self._maker = OfferMaker(known, day)
        self._brought: dict[int, Whole] = {}
        self._offers: dict[int, Offer] = {}
        rows = glance(connection, known, search)
        known.shelf_of_models.bring(connection, _keys(known, rows))
        self._rows = [row for row in rows if not _is_kept(row)]
        self.candidates = [self._candidate(at, row) for at, row in enumerate(self._rows)]
        somebodys = sorted(filter(_is_kept, rows), key=lambda row: row.tag)
        self.kept = tuple(_kept(row, known) for row in somebodys)

    def bare(self, candidate: Candidate) -> Offer:
        """A candidate at a glance."""
        return self._maker.bare(self._rows[candidate.at])

    def offer(self, candidate: Candidate) -> Offer:
        """A candidate whole; where it was not brought, all others are read along."""
        number = self._rows[candidate.at].id
        if number not in self._brought:
            self.bring(self.candidates)
        if number not in self._offers:
            self._offers[number] = self._maker.offer(self._brought[number])
        return self._offers[number]

    def bring(self, candidates: Iterable[Candidate]) -> None:
        """Read all of these that will be looked at."""
        missing = [row for each in candidates if (row := self._rows[each.at]).id not in self._brought]
        if missing:
            given = {"parts": json.dumps([row.id for row in missing])}
            for whole in map(Whole._make, fetch(self._connection, WHOLE, given)):
                self._brought[whole.id] = whole

    def stock(self) -> Iterator[Offer]:
        """All that companions may be taken from."""
        donors = {row.donor_id for row in self._rows if row.donor_id}
        yield from companions(self._connection, self._known, self._needed, donors, self._maker.day)

    def _candidate(self, at: int, row: Glance) -> Candidate:
        keys = self._known.shelf_of_models.keys
        return Candidate(
            (row.part_type_id, row.side, row.design or "", keys.get(row.model_id or 0, "")),
            (
                row.place_kind not in SHELF_KINDS,
                RANKS[row.condition],
                row.miles or 0,
                max(0, row.price_cents - (row.off or 0)),
                date.fromisoformat(row.made_on),
                (row.tag,),
            ),
            row.standing == "free" and row.condition not in NEVER_OFFERED,
            at,
        )


def glance(connection: Connection, known: Knowing, search: Search) -> list[Glance]:
    """Free parts, at most so many as `partrows` says, the best and cheapest first, and those that somebody has."""
    if not search.wanted:
        return []
    given = {
        "types": json.dumps([known.type_ids[name] for name in search.wanted]),
        "models": json.dumps([known.shelf_of_models.ids[key] for key in search.models or ()]),
        "designs": json.dumps(sorted(search.designs)),
    }
    of_models = search.models is not None
    rows = [Glance._make(row) for row in fetch(connection, PARTS[of_models], given)]
    if len(rows) > MOST and sum(row.chosen for row in rows) > MOST:
        rows = [Glance._make(row) for row in fetch(connection, BEST_PARTS[of_models], given)]
    return list({row.id: row for row in rows if row.chosen or _belongs(row, known, search)}.values())


def _belongs(row: Glance, known: Knowing, search: Search) -> bool:
    """Whether what somebody has is of what was looked for: only what could have answered."""
    if search.models is None or row.model_id is None:
        return True
    return known.shelf_of_models.keys.get(row.model_id) in search.models


def _keys(known: Knowing, rows: Iterable[Glance | Whole]) -> Iterable[str]:
    keys = known.shelf_of_models.keys
    return {keys[model] for model in {row.model_id for row in rows} if model is not None and model in keys}


def offer_tagged(connection: Connection, known: Knowing, tag: str, day: date) -> Offer:
    """The part of a tag as an offer, whatever its standing."""
    rows = [Whole._make(row) for row in fetch(connection, TAGGED, {"tag": tag})]
    known.shelf_of_models.bring(connection, _keys(known, rows))
    return OfferMaker(known, day).offer(rows[0])


def companions(
    connection: Connection, known: Knowing, needed: Needed, donors: Iterable[int], day: date
) -> tuple[Offer, ...]:
    """The parts that sets may be made up with; those that must come off a part's own donor, off these."""
    if not needed:
        return ()
    listed = {"companions": needed.anywhere, "told_apart": needed.told_apart, "near": needed.near}
    given = {name: json.dumps([known.type_ids[each] for each in types]) for name, types in listed.items()}
    every = {**given, "donors": json.dumps(sorted(donors)), "enough": needed.enough}
    rows = [Whole._make(row) for row in fetch(connection, COMPANIONS, every)]
    known.shelf_of_models.bring(connection, _keys(known, rows))
    return tuple(map(OfferMaker(known, day).offer, {row.id: row for row in rows}.values()))


def _is_kept(row: Glance) -> bool:
    return row.standing not in ON_OFFER


def _kept(row: Glance, known: Knowing) -> Kept:
    """A part that somebody has: held until when, or on a ticket."""
    words = row.standing
    if row.hold:
        name, ends = json.loads(row.hold)
        until = datetime.fromisoformat(ends)
        words = f"held for {name} until {say_time(until if until.tzinfo else until.replace(tzinfo=UTC))}"
    return Kept(row.tag, known.type_names[row.part_type_id], words)
