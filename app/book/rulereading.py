"""Reading interchange rules into the engine's form: a rule is one row, with all its lines as lists."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache, partial
from typing import Any, TypeVar

from sqlalchemy import Connection, text

from app.book.fetching import LISTED, Statement, fetch, listed, statement
from app.fit.knowledge import DateMove
from app.fit.rules import (
    Companion,
    Condition,
    Consequence,
    Direction,
    End,
    Evidence,
    EvidenceLine,
    Op,
    Operation,
    Rule,
    RuleKind,
    RuleState,
    Way,
)
from app.fit.terms import Grade, Side

Line = TypeVar("Line")
Cells = Sequence[Any]
Types = Mapping[int, str]

_DECODER = json.JSONDecoder()
_ENDS = {end.value: end for end in End}
_OPS = {op.value: op for op in Op}
_KINDS = {kind.value: kind for kind in RuleKind}
_GRADES = {grade.value: grade for grade in Grade}
_DIRECTIONS = {direction.value: direction for direction in Direction}
_STATES = {state.value: state for state in RuleState}

BATCH = 5_000
"""So many rules are read at a time where all are."""

_LINES = {
    "rule_types": 'x.id, x."end", x.part_type_id',
    "rule_conditions": 'x.number, x."end", x.fact, x.op, {json}(x.values_), x.other_fact, x.allowed, x.alt',
    "rule_operations": "x.number, x.work, x.hours, x.kind, x.by_whom, x.way",
    "rule_companions": "x.number, x.part_type_id, x.side, x.count, CAST(x.same_donor AS INTEGER), {json}(x.given), "
    "x.or_else, x.already_there",
    "rule_consequences": "x.number, x.words, x.amount, x.fact, x.worked_out",
    "rule_evidence": "x.number, x.kind, x.count, x.words",
}
_OF_LINKS = ("rule_types", "rule_conditions")
"""What a rule comes to as a link of a chain, besides what it is called and why."""

_ARRAYS = {
    "sqlite": {"json": "json", "array": "json_array", "arrays": "json_group_array"},
    "postgresql": {"json": "", "array": "json_build_array", "arrays": "json_agg"},
}


def _rules(dialect: str, where: str, lines: Collection[str] = tuple(_LINES)) -> str:
    """Rules with some of their lines; in place of the others stands nothing."""
    is_whole = int(len(lines) == len(_LINES))
    own = f"{is_whole}, r.id, r.code, r.kind, r.grade, r.direction, r.state, r.why, CAST(r.chains AS INTEGER)"
    lists = ", ".join(_list(dialect, table) if table in lines else "CAST(NULL AS TEXT)" for table in _LINES)
    return f"SELECT {own}, {lists} FROM rules r WHERE {where}".format(**listed(dialect, ("ids", "links")))


def _list(dialect: str, table: str) -> str:
    words = _ARRAYS[dialect]
    cells = _LINES[table].format(**words)
    return "(SELECT CAST({arrays}({array}({cells})) AS TEXT) FROM {table} x WHERE x.rule_id = r.id)".format(
        cells=cells, table=table, **words
    )


_BY_ID: Statement = statement({dialect: _rules(dialect, "r.id {ids}") for dialect in LISTED})
_WITH_LINKS: Statement = statement(
    {
        dialect: f"{_rules(dialect, 'r.id {ids}')} UNION ALL {_rules(dialect, 'r.id {links}', _OF_LINKS)}"
        for dialect in LISTED
    }
)
_BATCH: Statement = statement(
    {dialect: _rules(dialect, "r.id BETWEEN :first AND :last ORDER BY r.id") for dialect in LISTED}
)
_IDS = text("SELECT id FROM rules ORDER BY id")


def read_rules(connection: Connection, ids: Iterable[int], types: Types) -> dict[int, Rule]:
    """The rules of these ids with all that goes with them; `types` are the names of the part types by id."""
    rows = fetch(connection, _BY_ID, {"ids": json.dumps(list(ids))})
    return {row[1]: _rule(row, types) for row in rows}


def read_rules_and_links(
    connection: Connection, ids: Sequence[int], links: Sequence[int], types: Types
) -> tuple[dict[int, Rule], dict[int, Rule]]:
    """The rules of these ids, and others only as links of chains: without work, companions, consequences, evidence."""
    rows = fetch(connection, _WITH_LINKS, {"ids": json.dumps(ids), "links": json.dumps(links)})
    whole = {row[1]: _rule(row, types) for row in rows if row[0]}
    return whole, {row[1]: _rule(row, types) for row in rows if not row[0]}


def read_every_rule(connection: Connection, types: Types) -> Iterator[Rule]:
    """Every rule of the book in the order of their ids; a few thousand at a time are at hand while they are read."""
    ids = connection.scalars(_IDS).all()
    for at in range(0, len(ids), BATCH):
        between = {"first": ids[at], "last": ids[min(at + BATCH, len(ids)) - 1]}
        yield from (_rule(row, types) for row in fetch(connection, _BATCH, between))


_MOVES = text("SELECT rule_id, moves_id, from_month, to_month FROM rule_date_moves ORDER BY id")
_CODES = text("SELECT m.moves_id, r.code FROM rule_date_moves m JOIN rules r ON r.id = m.moves_id")


def read_moves(connection: Connection, types: Mapping[int, str]) -> tuple[DateMove, ...]:
    """Every rule that moves the date of another."""
    rows = connection.execute(_MOVES).all()
    if not rows:
        return ()
    movers = read_rules(connection, sorted({row.rule_id for row in rows}), types)
    codes: dict[int, str] = {row.moves_id: row.code for row in connection.execute(_CODES)}
    return tuple(DateMove(movers[row.rule_id], codes[row.moves_id], row.from_month, row.to_month) for row in rows)


def _rule(row: Cells, types: Types) -> Rule:
    _, _, code, kind, grade, direction, state, why, chains, of_types, *lists = row
    conditions, operations, companions, consequences, evidence = lists
    ends = _lines(of_types, _type)
    offered = _names(ends, End.PART, types)
    return Rule(
        code=code,
        kind=_KINDS[kind],
        grade=_GRADES[grade] if grade else Grade.MEASURE,
        direction=_DIRECTIONS[direction],
        state=_STATES[state],
        why=why,
        offered_types=offered,
        wanted_types=_names(ends, End.TARGET, types) or offered,
        conditions=_lines(conditions, _condition),
        operations=_lines(operations, _operation),
        companions=_lines(companions, partial(_companion, types)),
        consequences=_lines(consequences, Consequence),
        evidence=_lines(evidence, _evidence),
        chains=bool(chains),
    )


def _lines(listed: str | None, read: Callable[..., Line]) -> tuple[Line, ...]:
    """The lines of a list in the order of their numbers."""
    if not listed or listed == "[]":
        return ()
    cells, _ = _DECODER.raw_decode(listed)
    if len(cells) > 1:
        cells.sort(key=_number)
    return tuple([read(*each) for _, *each in cells])


def _number(cells: Cells) -> int:
    return int(cells[0])


def _names(ends: Sequence[tuple[str, int]], end: End, types: Types) -> frozenset[str]:
    return _once(frozenset(types[of] for at, of in ends if at == end.value))


@lru_cache(maxsize=4096)
def _once(names: frozenset[str]) -> frozenset[str]:
    """The same names as one object, however many rules have them."""
    return names


def _type(end: str, of: int) -> tuple[str, int]:
    return end, of


def _condition(
    end: str, fact: str, op: str, values: Sequence[object], other_fact: str, allowed: str, alt: int
) -> Condition:
    return Condition(_ENDS[end], fact, _OPS[op], tuple(map(str, values)), other_fact, allowed, alt)


def _operation(work: str, hours: int | None, kind: str, by_whom: str, way: str) -> Operation:
    return Operation(work, in_hours(hours), kind, by_whom, Way(way))


@lru_cache(maxsize=1024)
def _evidence(kind: str, count: int, words: str) -> EvidenceLine:
    return EvidenceLine(Evidence(kind), count, words)


def _companion(types: Types, of: int, side: str, count: int, same_donor: int, *cells: Any) -> Companion:
    given, or_else, already_there = cells
    return Companion(types[of], Side(side), count, bool(same_donor), tuple(map(str, given)), or_else, already_there)


def in_hours(thousandths: str | int | None) -> Decimal | None:
    """Hours as the book keeps them, in thousandths, without zeros beyond their own places."""
    if thousandths is None:
        return None
    plain = (Decimal(thousandths) / 1000).normalize()
    return plain.quantize(Decimal(1)) if plain == plain.to_integral_value() else plain
