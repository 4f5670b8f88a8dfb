"""Reading interchange rules into the engine's form: those of given ids, all their lines in one statement."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from sys import intern
from typing import Any

from sqlalchemy import Connection, text

from app.book.modelreading import LISTED
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

Cells = Sequence[Any]
Lines = Mapping[str, Sequence[Cells]]

_RULE = "SELECT 'rule', id, 0, code, kind, grade, direction, CAST(chains AS INTEGER), why, state FROM rules"
_TYPE = (
    "SELECT 'type', rule_id, id, \"end\", CAST(part_type_id AS TEXT), NULL, NULL, CAST(NULL AS INTEGER), NULL, NULL "
    "FROM rule_types"
)
_CONDITION = (
    "SELECT 'condition', rule_id, number, \"end\", fact, op, CAST(values_ AS TEXT), alt, other_fact, allowed "
    "FROM rule_conditions"
)
_COMPANION = (
    "SELECT 'companion', rule_id, number, CAST(part_type_id AS TEXT), side, CAST(count AS TEXT), CAST(given AS TEXT), "
    "CAST(same_donor AS INTEGER), or_else, already_there FROM rule_companions"
)
_EVIDENCE = (
    "SELECT 'evidence', rule_id, number, kind, CAST(count AS TEXT), words, NULL, CAST(NULL AS INTEGER), NULL, NULL "
    "FROM rule_evidence"
)
_LINES = (
    "SELECT 'operation', rule_id, number, way, work, kind, CAST(hours AS TEXT), CAST(NULL AS INTEGER), by_whom, NULL "
    "FROM rule_operations",
    _COMPANION,
    "SELECT 'consequence', rule_id, number, words, amount, fact, worked_out, CAST(NULL AS INTEGER), NULL, NULL "
    "FROM rule_consequences",
    _EVIDENCE,
)
_DECODER = json.JSONDecoder()
BATCH = 5_000
"""So many rules are read at a time where all are."""


def _whole(listed: str) -> str:
    pieces = [
        f"{_RULE} WHERE id {listed}",
        *(f"{each} WHERE rule_id {listed}" for each in (_TYPE, _CONDITION, *_LINES)),
    ]
    return " UNION ALL ".join(pieces) + " ORDER BY 2, 3"


_BY_ID = {name: text(_whole(listed.format(name="ids"))) for name, listed in LISTED.items()}
_EVERY = tuple(text(f"{each} ORDER BY 2, 3") for each in (_RULE, _TYPE, _CONDITION))
_IDS = text("SELECT id FROM rules ORDER BY id")
_BATCH = (
    text(f"{_RULE} WHERE id BETWEEN :first AND :last ORDER BY 2"),
    *(
        text(f"{each} WHERE rule_id BETWEEN :first AND :last ORDER BY 2, 3")
        for each in (_TYPE, _CONDITION, _COMPANION, _EVIDENCE)
    ),
)


def read_rules(connection: Connection, ids: Iterable[int], types: Mapping[int, str]) -> dict[int, Rule]:
    """The rules of these ids with all that goes with them; `types` are the names of the part types by id."""
    rows = connection.execute(_BY_ID[connection.dialect.name], {"ids": json.dumps(list(ids))})
    return {rule_id: _rule(lines, types) for rule_id, lines in _by_rule(rows)}


def read_bare_rules(connection: Connection, types: Mapping[int, str]) -> dict[int, Rule]:
    """Every rule of the book with its part types and conditions alone: all that decides where it is heard."""
    lines: dict[int, dict[str, list[Cells]]] = {}
    for statement in _EVERY:
        for row in connection.execute(statement):
            lines.setdefault(row[1], {}).setdefault(row[0], []).append(row[3:])
    return {rule_id: _rule(each, types) for rule_id, each in lines.items()}


def read_judged_rules(connection: Connection, types: Mapping[int, str]) -> Iterator[Rule]:
    """Every rule of the book without work and consequences: all by which one is held against another.

    They come in the order of their ids, and a few thousand at a time are at hand while they are read.
    """
    ids = connection.scalars(_IDS).all()
    for at in range(0, len(ids), BATCH):
        between = {"first": ids[at], "last": ids[min(at + BATCH, len(ids)) - 1]}
        lines: dict[int, dict[str, list[Cells]]] = {}
        for statement in _BATCH:
            for row in connection.execute(statement, between).all():
                lines.setdefault(row[1], {}).setdefault(row[0], []).append(row[3:])
        yield from (_rule(each, types) for each in lines.values())


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


def _by_rule(rows: Iterable[Cells]) -> Iterator[tuple[int, Lines]]:
    found: dict[int, dict[str, list[Cells]]] = {}
    for row in rows:
        found.setdefault(row[1], {}).setdefault(row[0], []).append(row[3:])
    yield from found.items()


def _rule(lines: Lines, types: Mapping[int, str]) -> Rule:
    code, kind, grade, direction, chains, why, state = lines["rule"][0]
    ends: dict[str, set[str]] = {}
    for end, type_id, *_ in lines.get("type", ()):
        ends.setdefault(end, set()).add(types[int(type_id)])
    offered = _once(frozenset(ends.get(End.PART.value, ())))
    return Rule(
        code=code,
        kind=RuleKind(kind),
        grade=Grade(grade) if grade else Grade.MEASURE,
        direction=Direction(direction),
        state=RuleState(state),
        why=why,
        offered_types=offered,
        wanted_types=_once(frozenset(ends.get(End.TARGET.value, ()))) or offered,
        conditions=tuple(map(_condition, lines.get("condition", ()))),
        operations=tuple(map(_operation, lines.get("operation", ()))),
        companions=tuple(_companion(each, types) for each in lines.get("companion", ())),
        consequences=tuple(Consequence(*each[:4]) for each in lines.get("consequence", ())),
        evidence=tuple(_evidence(*each[:3]) for each in lines.get("evidence", ())),
        chains=bool(chains),
    )


@lru_cache(maxsize=4096)
def _once(names: frozenset[str]) -> frozenset[str]:
    """The same names as one object, however many rules have them."""
    return names


@lru_cache(maxsize=1024)
def _evidence(kind: str, count: str, words: str) -> EvidenceLine:
    return EvidenceLine(Evidence(kind), int(count), words)


@lru_cache(maxsize=4096)
def _condition(cells: Cells) -> Condition:
    end, fact, op, values, alt, other_fact, allowed = cells
    listed = tuple(intern(str(each)) for each in _DECODER.raw_decode(values)[0])
    return Condition(End(end), intern(fact), Op(op), listed, other_fact, allowed, alt)


def _operation(cells: Cells) -> Operation:
    way, work, kind, hours, _, by_whom, _ = cells
    return Operation(work, in_hours(hours), kind, by_whom, Way(way))


def in_hours(thousandths: str | int | None) -> Decimal | None:
    """Hours as the book keeps them, in thousandths, without zeros beyond their own places."""
    if thousandths is None:
        return None
    plain = (Decimal(thousandths) / 1000).normalize()
    return plain.quantize(Decimal(1)) if plain == plain.to_integral_value() else plain


def _companion(cells: Cells, types: Mapping[int, str]) -> Companion:
    type_id, side, count, given, same_donor, or_else, already_there = cells
    wanted = tuple(map(str, json.loads(given)))
    return Companion(types[int(type_id)], Side(side), int(count), bool(same_donor), wanted, or_else, already_there)
