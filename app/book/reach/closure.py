"""Keeping what the rules come to as rows: where each may be heard, and which links of chains can meet.

The rows are made from the rules, models and facts: all of them after a load, those of one rule when it changes. Both
ways give the same rows.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, delete, select, text

from app.book.fetching import LISTED, Statement, fetch, statement
from app.book.garbage import none_collected
from app.book.modelreading import Models, read_facts, read_models
from app.book.reach.linknumbers import LINK_BITS, OF_RULE, RUNS, STORY, link_number, rule_of
from app.book.reach.ruleends import (
    LINKS,
    MODEL_BITS,
    MODELS,
    SERVES,
    Asking,
    Spoken,
    every,
    listed,
    moves_of,
    spans,
)
from app.book.reach.rulesheets import write_missing_sheets, write_sheets
from app.book.schema import NO_MODEL, PartType, rule_meets, rule_reach
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo

if TYPE_CHECKING:
    from app.book.reach.linkmeets import Meets

BASIS = frozenset({"rules", "rule_types", "rule_conditions", "rule_date_moves", "models", "model_facts", "facts"})
"""The tables the rows are made from, besides the part types."""

SPAN = 20_000
"""So many rules are read, or rows written, at a time."""

PAGES_KB = 32_768
"""So much memory a SQLite file gets for pages while all rows are made anew."""

_MOVED_BY = statement(
    {
        name: f"SELECT moves_id FROM rule_date_moves WHERE rule_id {each.format(name='ids')}"
        for name, each in LISTED.items()
    }
)
_NUMBERS = {"sqlite": "json_each(:keys)", "postgresql": "json_array_elements_text(CAST(:keys AS JSON))"}
_TAKEN_AWAY = [
    text(
        f"DELETE FROM {table} WHERE "
        + " OR ".join(f"{link} BETWEEN :link + {first} AND :link + {first + OF_RULE - 1}" for first in RUNS)
    )
    for table, link in (("rule_reach", "link"), ("rule_meets", "second"), ("rule_meets", "first"))
]
_PUT_REACH = {
    name: text(
        "INSERT INTO rule_reach (gives, part_type_id, model_id, link) "
        f"SELECT CAST(:gives AS BOOLEAN), CAST(k.place >> {LINK_BITS + MODEL_BITS} AS INTEGER), "
        f"CAST(k.place >> {LINK_BITS} & {MODELS} AS INTEGER), CAST(k.place & {LINKS} AS INTEGER) "
        f"FROM (SELECT CAST(value AS BIGINT) AS place FROM {each}) AS k"
    )
    for name, each in _NUMBERS.items()
}
_NEAR = "SELECT r.part_type_id, r.model_id, r.link FROM rule_reach r WHERE r.gives = {gives} AND r.part_type_id {types}"
_NEAR_MODELS = " AND r.model_id {models}"
_SERVING = (
    f" AND EXISTS (SELECT 1 FROM rules q WHERE q.id = (r.link & {STORY}) / {OF_RULE} AND {SERVES.replace('r.', 'q.')})"
)


def _near_statement(starts: bool, of_models: bool) -> Statement:
    found = {}
    for name, each in LISTED.items():
        near = _NEAR.format(gives="TRUE" if starts else "FALSE", types=each.format(name="types"))
        near += _NEAR_MODELS.format(models=each.format(name="models")) if of_models else ""
        found[name] = near + ("" if starts else _SERVING)
    return statement(found)


_NEAR_BY = {
    (starts, of_models): _near_statement(starts, of_models) for starts in (False, True) for of_models in (False, True)
}
_MEETS = "INSERT INTO rule_meets (second, first, families) VALUES (?, ?, ?)"
_COPY_MEETS = "COPY rule_meets (second, first, families) FROM STDIN"


@dataclass(frozen=True, slots=True)
class Catalog:
    """What rules speak of: part types, models and facts."""

    types: Mapping[int, str]
    type_ids: Mapping[str, int]
    models: Models
    facts: Mapping[str, FactInfo]


def read_catalog(connection: Connection) -> Catalog:
    """The catalog as it stands."""
    rows = connection.execute(select(PartType.id, PartType.name)).all()
    types = {row.id: row.name for row in rows}
    return Catalog(types, {name: key for key, name in types.items()}, read_models(connection), read_facts(connection))


def rebuild(connection: Connection) -> None:
    """Make all the rows anew."""
    from app.book.reach.ruleplaces import Places

    for table in (rule_reach, rule_meets):
        connection.execute(delete(table))
    with none_collected(), _with_room(connection), _indexed_at_last(connection):
        write_missing_sheets(connection)
        catalog = read_catalog(connection)
        places, spoken = Places(), Spoken(catalog.models)
        asking = Asking(every(connection, catalog.facts))
        for picked in spans(connection, catalog.facts, SPAN):
            places.read(picked, spoken)
            asking.read(picked)
        _put_reach(connection, False, places.heard)
        _put_reach(connection, True, places.starts)
        meets = _meets(connection, catalog, asking)
        meets.add(places.ends, places.starts)
        _put_meets(connection, meets.rows())


@contextmanager
def _with_room(connection: Connection) -> Iterator[None]:
    """Keep a SQLite file's new pages in memory until they are full, instead of writing each of them many times."""
    if connection.dialect.name != "sqlite":
        yield
        return
    usual = connection.exec_driver_sql("PRAGMA cache_size").scalar_one()
    connection.exec_driver_sql(f"PRAGMA cache_size = -{PAGES_KB}")
    try:
        yield
    finally:
        connection.exec_driver_sql(f"PRAGMA cache_size = {usual}")


@contextmanager
def _indexed_at_last(connection: Connection) -> Iterator[None]:
    """Have a SQLite file make the indexes of the rows once all are there, which takes half the time.

    On a server that would keep everybody waiting who asks meanwhile.
    """
    indexes = [*rule_reach.indexes, *rule_meets.indexes] if connection.dialect.name == "sqlite" else []
    for index in indexes:
        index.drop(connection)
    yield
    for index in indexes:
        index.create(connection)


def renew(connection: Connection, catalog: Catalog, rule_ids: Iterable[int]) -> None:
    """Make the rows of some rules anew, because these changed or are new; of rules whose dates they move too."""
    from app.book.reach.ruleplaces import Places

    ids = _with_moved(connection, rule_ids)
    write_sheets(connection, ids)
    _take_away(connection, ids)
    changed = Places()
    changed.read(listed(connection, catalog.facts, ids), Spoken(catalog.models))
    _put_reach(connection, False, changed.heard)
    _put_reach(connection, True, changed.starts)
    if not len(changed.starts) and not len(changed.ends):
        return
    starts = _near(connection, True, changed.ends.tolist())
    ends = _near(connection, False, changed.starts.tolist())
    near = listed(connection, catalog.facts, ids | {rule_of(key & LINKS) for key in (*starts, *ends)})
    asking = Asking(near)
    asking.read(near)
    meets = _meets(connection, catalog, asking)
    meets.add(changed.ends, starts)
    others = {key for key in ends if rule_of(key & LINKS) not in ids}
    # What is near is heard there, but is no link where its rule cannot be met end by end.
    meets.add([key for key in others if near.ways.get(rule_of(key & LINKS)) != ()], changed.starts)
    _put_meets(connection, meets.rows())


def _with_moved(connection: Connection, rule_ids: Iterable[int]) -> set[int]:
    ids = set(rule_ids)
    return ids | {row[0] for row in fetch(connection, _MOVED_BY, {"ids": json.dumps(list(ids))})}


def _take_away(connection: Connection, ids: Iterable[int]) -> None:
    firsts = [{"link": link_number(rule_id, False, 0)} for rule_id in ids]
    for each in _TAKEN_AWAY:
        connection.execute(each, firsts)


def _meets(connection: Connection, catalog: Catalog, asking: Asking) -> Meets:
    from app.book.reach.linkmeets import Meets

    moves = moves_of(connection, asking.moved, catalog.types)
    return Meets(connection, catalog.models, asking, Knowledge(catalog.facts, (), moves))


def _near(connection: Connection, starts: bool, places: Iterable[int]) -> list[int]:
    """Where links start that may come after those which end at these places; or end, that may come before."""
    stops = {place >> LINK_BITS for place in places}
    types, models = {stop >> MODEL_BITS for stop in stops}, {stop & MODELS for stop in stops}
    given = {"types": json.dumps(list(types))}
    of_models = NO_MODEL not in models
    if of_models:
        given["models"] = json.dumps([NO_MODEL, *models])
    rows = fetch(connection, _NEAR_BY[starts, of_models], given)
    return [(kind << MODEL_BITS | model) << LINK_BITS | link for kind, model, link in rows]


def _put_reach(connection: Connection, gives: bool, places: Iterable[int]) -> None:
    """Write where rules are heard, or links start; in the order of the table, which is the fastest."""
    from app.book.reach.ruleplaces import in_order

    ordered = in_order(places)
    for at in range(0, len(ordered), SPAN):
        given = {"gives": gives, "keys": str(ordered[at : at + SPAN].tolist())}
        connection.execute(_PUT_REACH[connection.dialect.name], given)


def _put_meets(connection: Connection, rows: Iterable[tuple[int, int, str]]) -> None:
    """Write which links meet as fast as the database takes them."""
    raw: Any = connection.connection.dbapi_connection
    if connection.dialect.name == "sqlite":
        raw.executemany(_MEETS, rows)
        return
    with raw.cursor() as cursor, cursor.copy(_COPY_MEETS) as copy:
        for row in rows:
            copy.write_row(row)
