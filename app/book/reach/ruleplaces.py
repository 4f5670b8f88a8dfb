"""Where rules are heard, and where links of chains start and end: in arrays, for rules have a million places.

A rule is heard where it is asked for what one of its ends names; that end and the number of the link that ends there
are one bit apart, so all is found by this number: the types of that end, and its models.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from app.book.reach.linknumbers import LINK_BITS, OF_RULE, TURNED, way_number
from app.book.reach.ruleends import MODEL_BITS, NAMED, NO_SUCH, RULES, TYPES, Picked, Spoken
from app.book.schema import NO_MODEL
from app.fit.links.linkways import MOST_WAYS

Numbers = NDArray[np.int64]
Table = tuple[Numbers, Numbers]
"""Ends of rules, or links, each with one part type or model."""

Truths = NDArray[np.bool_]

_WAYS = np.array([way_number(way) for way in range(MOST_WAYS)], dtype=np.int64)


def in_order(places: Iterable[int]) -> Numbers:
    """Places sorted, each once, as an array."""
    ordered = np.sort(np.asarray(places, dtype=np.int64))
    found: Numbers = ordered[np.diff(ordered, prepend=-1) != 0]
    return found


def runs(first: Numbers, count: Numbers) -> Numbers:
    """So many numbers from each first one on, all in one array."""
    found: Numbers = np.arange(count.sum()) + np.repeat(first - (np.cumsum(count) - count), count)
    return found


def among(sought: Numbers, ordered: Numbers) -> Truths:
    """Which numbers are among others that are in order; quicker for a few than what numpy has for it."""
    if not len(ordered):
        return np.zeros(len(sought), dtype=np.bool_)
    found: Truths = ordered[np.minimum(np.searchsorted(ordered, sought), len(ordered) - 1)] == sought
    return found


class Places:
    """Where rules are heard, and where links of chains start and end: part type, model and link in one number each."""

    def __init__(self) -> None:
        nowhere = np.empty(0, dtype=np.int64)
        self._heard, self._starts, self._ends = [nowhere], [nowhere], [nowhere]

    @property
    def heard(self) -> Numbers:
        """Where rules are heard, by the number of the link that would end there."""
        return np.concatenate(self._heard)

    @property
    def starts(self) -> Numbers:
        """Where links start."""
        return np.concatenate(self._starts)

    @property
    def ends(self) -> Numbers:
        """Where links end."""
        return np.concatenate(self._ends)

    def read(self, picked: Picked, spoken: Spoken) -> None:
        """Add those of some rules."""
        rules = _Rules(picked)
        links, types = rules.heard_for(*_columns(picked.rows(TYPES), 2))
        which, models = _beside(links, _models(links, picked, spoken))
        places = (types[which] << MODEL_BITS | models) << LINK_BITS | links[which]
        places, turns, serves = rules.each_way(places, links[which])
        back = (places & TURNED).astype(np.bool_)
        heard = ~back | turns
        self._heard.append(places[heard])
        self._ends.append(places[heard & serves])
        # What is heard turned round is where the link starts, and the other way about.
        self._starts.append(places[(back | turns) & serves] ^ TURNED)


class _Rules:
    """The rules that are heard at all, sorted; what is said of each stands at its place."""

    def __init__(self, picked: Picked) -> None:
        columns = _columns(picked.rows(RULES), 4)
        self._ids, turns, laws, serves = columns[:, np.argsort(columns[0])]
        self._turns, self._laws, self._serves = turns != 0, laws != 0, serves != 0
        self._ways = np.ones(len(self._ids), dtype=np.int64)
        self._several_ways = bool(picked.ways)
        for rule_id, ways in picked.ways.items():
            at = np.flatnonzero(self._ids == rule_id)
            self._serves[at] &= bool(ways)
            self._ways[at] = np.where(self._serves[at], len(ways), 1)

    def heard_for(self, ends: Numbers, types: Numbers) -> Table:
        """Links with the part types at the ends where they are heard, of rules that are heard."""
        heard = among(ends // OF_RULE, self._ids)
        ends, types = ends[heard], types[heard]
        offering = ends & TURNED == 0
        # A rule is heard for what it offers where it names nothing else, and a law for both.
        wanted = among(ends + TURNED, np.sort(ends[~offering]))
        for_both = offering & (~wanted | self._laws[self._at(ends)])
        return np.concatenate([ends ^ TURNED, ends[for_both]]), np.concatenate([types, types[for_both]])

    def each_way(self, places: Numbers, links: Numbers) -> tuple[Numbers, Truths, Truths]:
        """The places of each way to meet a rule; with whether it holds turned round, and serves as a link."""
        at = self._at(links)
        if self._several_ways:
            count = self._ways[at]
            places = np.repeat(places, count) + _WAYS[runs(np.zeros_like(count), count)]
            at = np.repeat(at, count)
        return places, self._turns[at], self._serves[at]

    def _at(self, links: Numbers) -> Numbers:
        return np.searchsorted(self._ids, links // OF_RULE)


def _columns(rows: Iterable[Iterable[int]], width: int) -> Numbers:
    """The columns of rows of whole numbers, so many of them."""
    return np.fromiter(chain.from_iterable(rows), dtype=np.int64).reshape(-1, width).T


def _beside(links: Numbers, models: Table) -> Table:
    """The place of each link among the links, once for every model it has, with that model."""
    first = np.searchsorted(models[0], links)
    count = np.searchsorted(models[0], links, side="right") - first
    return np.repeat(np.arange(len(links)), count), models[1][runs(first, count)]


def _models(links: Numbers, picked: Picked, spoken: Spoken) -> Table:
    """Links with the models that must be asked for, sorted; where several conditions name models, those in all."""
    rows = picked.rows(NAMED)
    # As one list they are read several times as fast as one by one.
    lists = json.loads(f"[{','.join(row[1] for row in rows)}]")
    naming = np.fromiter((row[0] for row in rows), dtype=np.int64, count=len(rows)) ^ TURNED
    count = np.fromiter(map(len, lists), dtype=np.int64, count=len(lists))
    models = np.fromiter(map(spoken.__getitem__, chain.from_iterable(lists)), dtype=np.int64)
    line, named = np.repeat(np.arange(len(naming)), count), np.repeat(naming, count)
    ordered = np.sort(naming)
    there = models != NO_SUCH
    for link in set(ordered[1:][ordered[1:] == ordered[:-1]].tolist()):
        there &= (named != link) | _in_all(np.flatnonzero(naming == link), line, models)
    loose = np.unique(links[~among(links, ordered)])
    named = np.concatenate([named[there], loose])
    models = np.concatenate([models[there], np.full_like(loose, NO_MODEL)])
    order = np.argsort(named, kind="stable")
    return named[order], models[order]


def _in_all(lines: Numbers, line: Numbers, models: Numbers) -> Truths:
    """Which models are in all of these lines; `line` is that of each model."""
    several = [set(models[line == each].tolist()) for each in lines.tolist()]
    return np.isin(models, list(set.intersection(*several)))
