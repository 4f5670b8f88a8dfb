"""Rules as far as it matters where they are heard and which links meet: what each end of them names and asks.

Read for all rules at once, or for a few, in numbers: reading a body of rules whole takes ten times as long. Links and
the ends of rules have the numbers that `linknumbers` makes.
"""

from __future__ import annotations

import json
from array import array
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

from sqlalchemy import Connection, text

from app.book.fetching import LISTED
from app.book.linknumbers import LINK_BITS, OF_RULE, STORY, TURNED, link_number, rule_of, way_number
from app.book.modelreading import Models
from app.book.rulereading import read_moves
from app.book.schema import NO_MODEL
from app.fit.closure import Asked
from app.fit.knowledge import DateMove
from app.fit.linkways import PLAINLY, Facts, MetWay, ways_of
from app.fit.rules import Condition, End, Op
from app.fit.values import plain

MODEL_BITS = 22
LINKS, MODELS = (1 << LINK_BITS) - 1, (1 << MODEL_BITS) - 1
"""A part type, a model and a link in one number of 63 bits that sorts like them.

There is room for 4,000 types, 4 million models and 8 million rules.
"""

ANYWHERE = [NO_MODEL]
"""The models of an end that names none."""

Rows = Sequence[Sequence[Any]]

SERVES = (
    "r.chains AND r.kind = 'fit' AND r.state = 'open' AND r.grade = 'bolts_up' AND NOT EXISTS ("
    "SELECT 1 FROM rule_conditions b WHERE b.rule_id = r.id "
    "AND (b.op = 'within' OR b.fact = 'side' AND b.op = 'differs'))"
)
"""What rules may be links of a chain if they can be met end by end: as `links_of` says of rules read whole."""

_END = f"{OF_RULE} * rule_id + CASE \"end\" WHEN 'target' THEN {TURNED} ELSE 0 END"
_NAMES_MODEL = "fact = 'model' AND op = 'any of' AND alt = 0"
_RULES = (
    f"SELECT r.id, r.direction = 'both ways', r.kind = 'law', {SERVES} FROM rules r "
    "WHERE r.state <> 'closed' AND r.kind <> 'moves date' AND r.id {picked}"
)
_TYPES = f"SELECT {_END}, part_type_id FROM rule_types WHERE \"end\" <> 'between' AND rule_id {{picked}}"
_NAMED = (
    f"SELECT {_END}, CAST(values_ AS TEXT) FROM rule_conditions "
    f"WHERE {_NAMES_MODEL} AND \"end\" <> 'between' AND rule_id {{picked}}"
)
_ASKED = (
    f"SELECT {_END}, fact, op, CAST(values_ AS TEXT), other_fact, allowed, alt FROM rule_conditions "
    f"WHERE NOT ({_NAMES_MODEL}) AND \"end\" <> 'between' AND rule_id {{picked}} ORDER BY rule_id, number"
)
_SPANNING = (
    'SELECT rule_id, "end", fact, op, other_fact, alt FROM rule_conditions '
    "WHERE (alt > 0 OR \"end\" = 'between' AND fact <> 'side') AND rule_id {picked} ORDER BY rule_id, number"
)
_MOVED = "SELECT m.moves_id, r.code FROM rule_date_moves m JOIN rules r ON r.id = m.moves_id WHERE m.moves_id {picked}"

_SPAN = "span"
_PICKED = {_SPAN: "BETWEEN :low AND :high", **{name: each.format(name="ids") for name, each in LISTED.items()}}
_STATEMENTS = {
    (each, name): text(each.format(picked=picked))
    for each in (_RULES, _TYPES, _NAMED, _ASKED, _SPANNING, _MOVED)
    for name, picked in _PICKED.items()
}


@dataclass(frozen=True)
class Picked:
    """Some rules of a book: those of listed ids, or all between two; `facts` are those that they speak of."""

    connection: Connection
    facts: Facts
    given: Mapping[str, Any]
    how: str

    def rows(self, statement: str) -> Rows:
        """What a statement says of them."""
        found: Any = self.connection.execute(_STATEMENTS[statement, self.how], self.given)
        # Plain rows as the driver has them: a body of rules has millions.
        rows: Rows = found.cursor.fetchall()
        found.close()
        return rows

    @cached_property
    def ways(self) -> Mapping[int, Sequence[MetWay]]:
        """The ways to meet each rule that is not met plainly, by the rule's id; none of one that cannot be a link."""
        found: dict[int, list[Condition]] = {}
        for rule_id, end, fact, op, other_fact, alt in self.rows(_SPANNING):
            found.setdefault(rule_id, []).append(Condition(End(end), fact, Op(op), (), other_fact, alt=alt))
        ways = {rule_id: ways_of(spanning, self.facts) for rule_id, spanning in found.items()}
        return {rule_id: each for rule_id, each in ways.items() if each != (PLAINLY,)}


def listed(connection: Connection, facts: Facts, ids: Iterable[int]) -> Picked:
    """The rules of these ids."""
    return Picked(connection, facts, {"ids": json.dumps(sorted(ids))}, connection.dialect.name)


def every(connection: Connection, facts: Facts) -> Picked:
    """All rules."""
    return Picked(connection, facts, {"low": 1, "high": STORY}, _SPAN)


def spans(connection: Connection, facts: Facts, length: int) -> Iterable[Picked]:
    """All rules, so many ids at a time."""
    last = connection.scalar(text("SELECT max(id) FROM rules")) or 0
    for low in range(1, last + 1, length):
        yield Picked(connection, facts, {"low": low, "high": low + length - 1}, _SPAN)


NO_SUCH = 0
"""The id of what is no model."""


class Spoken(dict[Any, int]):
    """The ids of models by the words that rules have for them."""

    def __init__(self, models: Models) -> None:
        super().__init__()
        self._models = models

    def __missing__(self, word: Any) -> int:
        found = self._models.named((plain(str(word)),))
        known = self[word] = self._models.ids[found[0]] if found else NO_SUCH
        return known


@dataclass
class Places:
    """Where rules are heard, and where links of chains start and end: part type, model and link in one number each."""

    heard: array[int] = field(default_factory=lambda: array("q"))
    starts: array[int] = field(default_factory=lambda: array("q"))
    ends: array[int] = field(default_factory=lambda: array("q"))

    def read(self, picked: Picked, spoken: Spoken) -> None:
        """Add those of some rules."""
        types, models = _types(picked.rows(_TYPES)), _named(picked.rows(_NAMED), spoken)
        heard, starts, ends, ways = list[int](), list[int](), list[int](), picked.ways
        for rule_id, turns, law, serves in picked.rows(_RULES):
            there, back = _there_and_back(link_number(rule_id, False, 0), law, types, models)
            if serves and rule_id in ways:
                serves = bool(ways[rule_id])
                there, back = (_each_way(places, len(ways[rule_id])) for places in (there, back))
            heard += there
            if turns:
                heard += back
            if serves:
                # What is heard turned round is where the link starts, and the other way about.
                ends += there
                starts += [place ^ TURNED for place in back]
                if turns:
                    ends += back
                    starts += [place ^ TURNED for place in there]
        self.heard.fromlist(heard)
        self.starts.fromlist(starts)
        self.ends.fromlist(ends)


def _there_and_back(
    link: int, law: bool, types: Mapping[int, list[int]], models: Mapping[int, list[int]]
) -> tuple[list[int], list[int]]:
    """Where a rule is heard, and where it is heard turned round."""
    offered, wanted = types.get(link, []), types.get(link + TURNED)
    heard_for = {*(wanted or ()), *offered} if law else wanted or offered
    ours, theirs = models.get(link, ANYWHERE), models.get(link + TURNED, ANYWHERE)
    return (
        [(kind << MODEL_BITS | model) << LINK_BITS | link for kind in heard_for for model in theirs],
        [(kind << MODEL_BITS | model) << LINK_BITS | link + TURNED for kind in offered for model in ours],
    )


def _each_way(places: Iterable[int], ways: int) -> list[int]:
    """The places of links that are met in the first way, with those of the other ways; of no link as they are."""
    numbers = [way_number(way) for way in range(ways or 1)]
    return [place + number for place in places for number in numbers]


def _types(rows: Rows) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for end, part_type in rows:
        found.setdefault(end, []).append(part_type)
    return found


def _named(rows: Rows, spoken: Spoken) -> dict[int, list[int]]:
    """The models that ends must be one of; where several conditions of an end name models, those in all of them."""
    found: dict[int, list[int]] = {}
    # As one list they are read several times as fast as one by one.
    lists = json.loads(f"[{','.join(row[1] for row in rows)}]")
    for (end, _), words in zip(rows, lists, strict=True):
        ids = list(map(spoken.__getitem__, words))
        if end in found or NO_SUCH in ids:
            ids = [each for each in ids if each != NO_SUCH and each in found.get(end, ids)]
        found[end] = ids
    return found


class Asking:
    """What is asked of the vehicle at ends of rules, besides naming models; what several ask alike has one number.

    `of` are those numbers by the end.
    """

    def __init__(self, picked: Picked) -> None:
        self.asked = [Asked()]
        self.moved: dict[int, str] = {row[0]: row[1] for row in picked.rows(_MOVED)}
        self.of: dict[int, int] = {}
        self._numbers: dict[tuple[Any, ...], int] = {}

    def read(self, picked: Picked) -> None:
        """Add what some rules ask."""
        by_end: dict[int, list[Any]] = {}
        for end, *cells in picked.rows(_ASKED):
            by_end.setdefault(end, []).append(tuple(cells))
        for rule_id, ways in picked.ways.items():
            for end in (End.PART, End.TARGET):
                first = link_number(rule_id, end is End.TARGET, 0)
                by_end |= _each_asking(first, by_end.pop(first, []), end, ways)
        for end, lines in by_end.items():
            key = (self.moved.get(rule_of(end), ""), *lines)
            if key not in self._numbers:
                self._numbers[key] = len(self.asked)
                self.asked.append(Asked(key[0], tuple(_condition(*each) for each in lines)))
            self.of[end] = self._numbers[key]


def _each_asking(first: int, lines: Sequence[Any], end: End, ways: Sequence[MetWay]) -> dict[int, list[Any]]:
    """What an end asks in each way to meet its rule."""
    return {
        first + way_number(number): left
        for number, way in enumerate(ways)
        if (left := [*(line for line in lines if way.keeps(end, line[0], line[-1])), *_by_value(end, way)])
    }


def _by_value(end: End, way: MetWay) -> Iterator[tuple[Any, ...]]:
    """What an end asks in place of what is held between the ends, as it is read of others."""
    for each in way.by_value:
        if each.end is end:
            yield each.fact, str(each.op), json.dumps(each.values), each.other_fact, each.allowed, each.alt


@lru_cache(maxsize=4096)
def _condition(fact: str, op: str, values: str, other_fact: str, allowed: str, alt: int) -> Condition:
    return Condition(End.TARGET, fact, Op(op), tuple(map(str, json.loads(values))), other_fact, allowed, alt)


def moves_of(connection: Connection, moved: Mapping[int, str], types: Mapping[int, str]) -> tuple[DateMove, ...]:
    """What moves the dates of rules; nothing is read where nothing does."""
    return read_moves(connection, types) if moved else ()
