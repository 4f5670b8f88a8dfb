"""Rules as far as it matters where they are heard and which links meet: what each end of them names and asks.

Read for all rules at once, or for a few, in numbers: reading a body of rules whole takes ten times as long. Links and
the ends of rules have the numbers that `linknumbers` makes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from sqlalchemy import Connection, text

from app.book.fetching import LISTED, fetch, statement
from app.book.modelreading import Models
from app.book.reach.linknumbers import LINK_BITS, OF_RULE, STORY, TURNED, link_number, rule_of, way_number
from app.book.reach.rulereading import read_moves
from app.fit.chains.closure import Asked
from app.fit.known import DateMove
from app.fit.links.linkways import PLAINLY, Facts, MetWay, ways_of
from app.fit.rules import Condition, End, Op
from app.fit.values import plain

MODEL_BITS = 22
LINKS, MODELS = (1 << LINK_BITS) - 1, (1 << MODEL_BITS) - 1
"""A part type, a model and a link in one number of 63 bits that sorts like them.

There is room for 4,000 types, 4 million models and 8 million rules.
"""

Rows = Sequence[Sequence[Any]]

SERVES = "r.chains AND r.kind = 'fit' AND r.state = 'open' AND r.grade = 'bolts_up'"
"""What rules may be links of chains as far as they can be met end by end; the same as of rules that are read whole."""

_END = f"{OF_RULE} * rule_id + CASE \"end\" WHEN 'target' THEN {TURNED} ELSE 0 END"
_NAMES_MODEL = "fact = 'model' AND op = 'any of' AND alt = 0"
RULES = (
    f"SELECT r.id, r.direction = 'both ways', r.kind = 'law', {SERVES} FROM rules r "
    "WHERE r.state <> 'closed' AND r.kind <> 'moves date' AND r.id {picked}"
)
"""Rules that are heard at all: whether they hold turned round, are law, and may be links."""

TYPES = f"SELECT {_END}, part_type_id FROM rule_types WHERE \"end\" <> 'between' AND rule_id {{picked}}"
"""Ends of rules with their part types."""

NAMED = (
    f"SELECT {_END}, CAST(values_ AS TEXT) FROM rule_conditions "
    f"WHERE {_NAMES_MODEL} AND \"end\" <> 'between' AND rule_id {{picked}}"
)
"""Ends of rules with a list of models each that they must be one of."""

_ASKED = (
    f"SELECT {_END}, fact, op, CAST(values_ AS TEXT), other_fact, allowed, alt FROM rule_conditions "
    f"WHERE NOT ({_NAMES_MODEL}) AND \"end\" <> 'between' AND rule_id {{picked}} ORDER BY rule_id, number"
)
_SPANNING = (
    'SELECT rule_id, "end", fact, op, other_fact, alt FROM rule_conditions '
    "WHERE (alt > 0 OR op IN ('within', 'differs') OR \"end\" = 'between' AND fact <> 'side') "
    "AND rule_id {picked} ORDER BY rule_id, number"
)
_MOVED = "SELECT m.moves_id, r.code FROM rule_date_moves m JOIN rules r ON r.id = m.moves_id WHERE m.moves_id {picked}"

_SPAN = "BETWEEN :low AND :high"
_STATEMENTS = {
    (each, spanned): statement(
        {name: each.format(picked=_SPAN if spanned else ids.format(name="ids")) for name, ids in LISTED.items()}
    )
    for each in (RULES, TYPES, NAMED, _ASKED, _SPANNING, _MOVED)
    for spanned in (False, True)
}


@dataclass(frozen=True)
class Picked:
    """Some rules of a book: those of listed ids, or all between two; `facts` are those that they speak of."""

    connection: Connection
    facts: Facts
    given: Mapping[str, Any]

    def rows(self, words: str) -> Rows:
        """What a statement says of them, as the driver has it: a body of rules has millions of rows."""
        return fetch(self.connection, _STATEMENTS[words, "low" in self.given], self.given)

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
    return Picked(connection, facts, {"ids": json.dumps(sorted(ids))})


def every(connection: Connection, facts: Facts) -> Picked:
    """All rules."""
    return Picked(connection, facts, {"low": 1, "high": STORY})


def spans(connection: Connection, facts: Facts, length: int) -> Iterable[Picked]:
    """All rules, so many ids at a time."""
    last = connection.scalar(text("SELECT max(id) FROM rules")) or 0
    for low in range(1, last + 1, length):
        yield Picked(connection, facts, {"low": low, "high": low + length - 1})


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
