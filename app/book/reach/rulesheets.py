"""A rule with all its lines in one row, so that reading it is one look-up; what many rules share is one text of it.

A sheet is never stale. The database takes it away as soon as a line of its rule changes, whoever changes it (see
migrations/sheet_keeping.py), and a rule that has none is read from its lines, in the same words that sheets are made
with.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, text

from app.book.fetching import JSON, LISTED, Statement, fetch, statement

BATCH = 5_000
"""So many sheets are read at a time where all are."""


class Sheet(NamedTuple):
    """A rule as it is kept ready, in JSON but for its code and why.

    `terms` has its kind, grade, direction, state and whether it chains; `types` its part types; `named` the conditions
    that say which models it is about, `besides` all others; `rest` its work, companions, consequences and evidence.
    """

    rule_id: int
    code: str
    why: str
    terms: str
    types: str
    named: str
    besides: str
    rest: str


_NAMES_MODELS = "x.fact = 'model' AND x.op = 'any of' AND x.alt = 0 AND x.\"end\" <> 'between'"


def _list(table: str, cells: str, where: str = "") -> str:
    lines = f"SELECT {{arrays}}({{array}}({cells})) FROM {table} x WHERE x.rule_id = r.id{where}"
    return f"COALESCE(CAST(({lines}) AS TEXT), '[]')"


_REST = (
    _list("rule_operations", "x.number, x.work, x.hours, x.kind, x.by_whom, x.way"),
    _list(
        "rule_companions",
        "x.number, x.part_type_id, x.side, x.count, CAST(x.same_donor AS INTEGER), {json}(x.given), x.or_else, "
        "x.already_there",
    ),
    _list("rule_consequences", "x.number, x.words, x.amount, x.fact, x.worked_out"),
    _list("rule_evidence", "x.number, x.kind, x.count, x.words"),
)
_COLUMNS = {
    "code": "r.code",
    "why": "r.why",
    "terms": "CAST({array}(r.kind, r.grade, r.direction, r.state, CAST(r.chains AS INTEGER)) AS TEXT)",
    "types": _list("rule_types", 'x."end", x.part_type_id'),
    "named": _list("rule_conditions", 'x.number, x."end", {json}(x.values_)', f" AND {_NAMES_MODELS}"),
    "besides": _list(
        "rule_conditions",
        'x.number, x."end", x.fact, x.op, {json}(x.values_), x.other_fact, x.allowed, x.alt',
        f" AND NOT ({_NAMES_MODELS})",
    ),
    "rest": " || ',' || ".join(_REST),
}
_MADE = {
    dialect: {name: words.format(**arrays) for name, words in _COLUMNS.items()} for dialect, arrays in JSON.items()
}
"""How each column of a sheet is made from the lines of the rule `r`, in the words of each database."""

_EACH = {
    "sqlite": "json_each(:ids) AS k",
    "postgresql": "unnest(ARRAY(SELECT CAST(value AS INTEGER) FROM json_array_elements_text(CAST(:ids AS JSON)))) "
    "AS k(value)",
}
_SPAN = "(SELECT id AS value FROM rules WHERE id BETWEEN :first AND :last) AS k"


def reading(dialect: str, each: str) -> str:
    """How sheets are read of the rules whose ids are the values of `k`, in the words of a database."""
    made = (
        f"COALESCE(s.{name}, (SELECT {own} FROM rules r WHERE r.id = k.value))" for name, own in _MADE[dialect].items()
    )
    return f"SELECT k.value, {', '.join(made)} FROM {each} LEFT JOIN rule_sheets s ON s.rule_id = k.value"


BY_ID: Statement = statement({dialect: reading(dialect, _EACH[dialect]) for dialect in LISTED})
_BATCH: Statement = statement({dialect: f"{reading(dialect, _SPAN)} ORDER BY k.value" for dialect in LISTED})
_IDS = text("SELECT id FROM rules ORDER BY id")


def _writing(dialect: str, some: str) -> str:
    columns = ", ".join(_MADE[dialect])
    return (
        f"INSERT INTO rule_sheets (rule_id, {columns}) SELECT r.id, {', '.join(_MADE[dialect].values())} FROM rules r "
        f"WHERE {some}NOT EXISTS (SELECT 1 FROM rule_sheets s WHERE s.rule_id = r.id) ORDER BY r.id "
        "ON CONFLICT DO NOTHING"
    )


_CLEARED = text("DELETE FROM rule_sheets WHERE code IS NULL")
_WRITTEN = {dialect: text(_writing(dialect, "")) for dialect in LISTED}
_CLEARED_SOME = {
    dialect: text(f"DELETE FROM rule_sheets WHERE rule_id {some.format(name='ids')}")
    for dialect, some in LISTED.items()
}
_WRITTEN_SOME = {
    dialect: text(_writing(dialect, f"r.id {some.format(name='ids')} AND ")) for dialect, some in LISTED.items()
}


def read_sheets(connection: Connection, ids: Iterable[int]) -> Iterator[Sheet]:
    """The sheets of these rules, in any order."""
    return map(Sheet._make, fetch(connection, BY_ID, {"ids": json.dumps(list(ids))}))


def read_every_sheet(connection: Connection) -> Iterator[Sequence[Sheet]]:
    """The sheets of all rules in the order of their ids, a few thousand at a time."""
    ids = connection.scalars(_IDS).all()
    for at in range(0, len(ids), BATCH):
        between = {"first": ids[at], "last": ids[min(at + BATCH, len(ids)) - 1]}
        yield [Sheet._make(row) for row in fetch(connection, _BATCH, between)]


def write_sheets(connection: Connection, ids: Iterable[int]) -> None:
    """Make the sheets of some rules anew."""
    given: dict[str, Any] = {"ids": json.dumps(list(ids))}
    connection.execute(_CLEARED_SOME[connection.dialect.name], given)
    connection.execute(_WRITTEN_SOME[connection.dialect.name], given)


def write_missing_sheets(connection: Connection) -> None:
    """Make the sheets of all rules that have none."""
    connection.execute(_CLEARED)
    connection.execute(_WRITTEN[connection.dialect.name])
