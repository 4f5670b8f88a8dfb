"""Gathering the parts that may answer an ask, as the engine wants them: a fixed number of statements."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime

from sqlalchemy import Connection

from app.book.fetching import fetch
from app.book.knowing import Knowing
from app.book.offermaking import OfferMaker
from app.book.partrows import (
    LINE_OF_MODEL,
    MODEL,
    MOST,
    PARTS,
    SEEN,
    STOCK,
    TAGGED,
    WHOLE,
    WITH_STOCK,
    Glance,
    Sort,
    Whole,
)
from app.book.schema import Standing
from app.book.shelf import Needed
from app.book.times import say_time
from app.fit.answers import Kept
from app.fit.candidates import Candidate, Kind
from app.fit.known import ModelInfo, Offer

FREE = str(Standing.FREE)
ON_OFFER = frozenset(map(str, (Standing.FREE, Standing.BLOCKED)))


@dataclass(frozen=True, slots=True)
class Search:
    """What to look for: part types, what sets need besides, and, where it is known, the models that may serve.

    `models` None looks at parts off every model; `designs`, codes by their ids, are looked at beside the models.
    `at_once` has all found read whole with the first; `best` has the best looked for first of all, where there may be
    too many.
    """

    wanted: frozenset[str]
    needed: Needed = field(default_factory=Needed)
    models: frozenset[str] | None = None
    designs: Mapping[int, str] = field(default_factory=dict)
    at_once: bool = False
    best: bool = False


class Gathered:
    """The parts that may answer, at a glance, and those that somebody has; all else is read when it is looked at.

    What sets may be made up with is read along with the first parts that may ask for a set.
    """

    def __init__(self, connection: Connection, known: Knowing, search: Search, day: date) -> None:
        self._connection = connection
        self._known = known
        self._search = search
        self._maker = OfferMaker(known, day)
        self._brought: dict[int, Whole] = {}
        self._stock: Sequence[Whole] | None = None
        self._offers: dict[int, Offer] = {}
        rows = glance(connection, known, search)
        # Of too many a statement more was taken.
        self._at_once = search.at_once or len(rows) >= MOST
        self._rows = [row for row in rows if row.standing in ON_OFFER]
        self.candidates = [
            Candidate(self._kind(row), row.ranks(known.unknown_miles[row.part_type_id]), bool(row.may_be_offered), at)
            for at, row in enumerate(self._rows)
        ]
        somebodys = sorted((row for row in rows if row.standing not in ON_OFFER), key=lambda row: row.tag)
        self.kept = tuple(_kept(row, known) for row in somebodys)

    def all_at_once(self) -> None:
        """Read all that was found whole with the first: another statement was taken."""
        self._at_once = True

    def model(self, candidate: Candidate) -> ModelInfo | None:
        """The model a candidate is off."""
        return self._known.model(self._rows[candidate.at].model_id)

    def bare(self, candidate: Candidate) -> Offer:
        """A candidate at a glance."""
        row = self._rows[candidate.at]
        return self._maker.bare(row, self._design(row))

    def offer(self, candidate: Candidate) -> Offer:
        """A candidate whole; where it was not brought, all others are read along."""
        number = self._rows[candidate.at].id
        if number not in self._brought:
            self.bring(self.candidates, in_company=True)
        if number not in self._offers:
            self._offers[number] = self._maker.offer(self._brought[number])
        return self._offers[number]

    def bring(self, candidates: Iterable[Candidate], *, in_company: bool = False) -> None:
        """Read all of these that will be looked at, and what sets may be made up with, if they may ask for it."""
        rows, brought = self._rows, self._brought
        if self._at_once:
            candidates, in_company = self.candidates, True
        missing = [number for each in candidates if (number := rows[each.at].id) not in brought]
        if not missing:
            return
        if in_company and self._search.needed and self._stock is None:
            found = self._with_stock(missing)
        else:
            found = list(map(Whole._make, fetch(self._connection, WHOLE, {"parts": json.dumps(missing)})))
        for row in found:
            brought[row.id] = row

    def _kind(self, row: Glance) -> Kind:
        """What the rules of a part go by: its type, side, design where that is in use on the vehicle, and model."""
        return row.part_type_id, row.side, self._design(row), row.model_id

    def _design(self, row: Glance) -> str:
        return self._search.designs.get(row.design_id, "") if row.design_id is not None else ""

    def stock(self) -> Iterable[Offer]:
        """All that companions may be taken from."""
        if self._stock is None and self._search.needed:
            self._with_stock(())
        return map(self._maker.offer, self._stock or ())

    def _with_stock(self, parts: Sequence[int]) -> list[Whole]:
        donors = {row.donor_id for row in self._rows if row.donor_id}
        found, self._stock = with_stock(self._connection, self._known, parts, self._search.needed, donors)
        return found


def glance(connection: Connection, known: Knowing, search: Search) -> list[Glance]:
    """Free parts, at most so many as `partrows` says, the best and cheapest, and those that somebody has.

    What their models can be is known then.
    """
    if not search.wanted:
        return []
    models, of_models = known.shelf_of_models, search.models is not None
    unread = models.missing(search.models or ())
    with_models = not models.all_whole and (bool(unread or search.designs) or not of_models)
    given = {
        "types": json.dumps([known.type_ids[name] for name in search.wanted]),
        "models": json.dumps([models.ids[key] for key in search.models or ()]),
        "designs": json.dumps(sorted(search.designs)),
        "unread": json.dumps(unread),
        "whole": json.dumps(models.whole_ids) if with_models and not of_models else "[]",
    }
    best = search.best or search.at_once or not of_models
    rows = _found(connection, known, Sort(of_models, best, with_models), given)
    if not best and len(rows) > MOST and sum(row.standing == FREE for row in rows) > MOST:
        rows = _found(connection, known, Sort(of_models, best=True, with_models=False), given)
    return list({row.id: row for row in rows if row.standing == FREE or _belongs(row, known, search)}.values())


def _found(connection: Connection, known: Knowing, sort: Sort, given: Mapping[str, str]) -> list[Glance]:
    rows = list(map(Glance._make, fetch(connection, PARTS[sort], given)))
    if not sort.with_models:
        return rows
    parts = [row for row in rows if row.standing != MODEL]
    _settle(known, parts, [(row.id, row.tag) for row in rows if row.standing == MODEL])
    return parts


def _belongs(row: Glance, known: Knowing, search: Search) -> bool:
    """Whether what somebody has is of what was looked for: only what could have answered."""
    if search.models is None or row.model_id is None:
        return True
    return known.shelf_of_models.keys.get(row.model_id) in search.models


def _keys(known: Knowing, rows: Iterable[Glance | Whole]) -> Iterable[str]:
    keys = known.shelf_of_models.keys
    return {keys[model] for model in {row.model_id for row in rows} if model is not None and model in keys}


def _settle(known: Knowing, rows: Iterable[Glance | Whole], lines: Iterable[tuple[int, str]]) -> None:
    """Keep what the models of parts can be, as it was read along with them."""
    models = known.shelf_of_models
    found = {models.keys[model]: None for model in {row.model_id for row in rows} if model in models.keys}
    models.settle(models.missing(found), lines)


def offer_tagged(connection: Connection, known: Knowing, tag: str, day: date) -> Offer:
    """The part of a tag as an offer, whatever its standing."""
    [row] = map(Whole._make, fetch(connection, TAGGED, {"tag": tag}))
    key = known.shelf_of_models.keys.get(row.model_id or 0)
    known.shelf_of_models.bring(connection, [key] if key is not None else ())
    return OfferMaker(known, day).offer(row)


def companions(
    connection: Connection, known: Knowing, needed: Needed, donors: Iterable[int], day: date
) -> tuple[Offer, ...]:
    """The parts that sets may be made up with; those that must come off a part's own donor, off these."""
    if not needed:
        return ()
    _, stock = with_stock(connection, known, (), needed, donors)
    return tuple(map(OfferMaker(known, day).offer, stock))


def with_stock(
    connection: Connection, known: Knowing, parts: Sequence[int], needed: Needed, donors: Iterable[int]
) -> tuple[list[Whole], list[Whole]]:
    """Parts by their ids, and those that sets may be made up with; what the models of these can be is known then."""
    listed = {"companions": needed.anywhere, "told_apart": needed.told_apart, "near": needed.near}
    given = {name: json.dumps([known.type_ids[each] for each in types]) for name, types in listed.items()}
    every = {**given, "parts": json.dumps(parts), "donors": json.dumps(sorted(donors)), "enough": needed.enough}
    rows = list(map(Whole._make, fetch(connection, WITH_STOCK[not known.shelf_of_models.all_whole], every)))
    stock = {row.id: row for row in rows if row.whose == STOCK}
    lines = [(row.id, row.tag) for row in rows if row.whose == LINE_OF_MODEL]
    _settle(known, stock.values(), lines)
    return [row for row in rows if row.whose == SEEN], list(stock.values())


def _kept(row: Glance, known: Knowing) -> Kept:
    """A part that somebody has: held until when, or on a ticket."""
    words, until = row.standing, None
    if row.hold:
        name, ends = json.loads(row.hold)
        told = datetime.fromisoformat(ends)
        until = told if told.tzinfo else told.replace(tzinfo=UTC)
        words = f"held for {name} until {say_time(until)}" if name else words
    return Kept(row.tag, known.type_names[row.part_type_id], words, until)
