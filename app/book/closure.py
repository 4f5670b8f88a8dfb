"""Keeping what the rules come to as rows: where each may be heard, and which links of chains can meet.

The rows are made from the rules, models and facts: all of them after a load, those of one rule when it changes. Both
ways give the same rows.
"""

from __future__ import annotations

import gc
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, delete, select

from app.book.modelreading import Models, read_facts, read_models
from app.book.rulereading import read_bare_rules, read_moves, read_rules
from app.book.schema import NO_MODEL, PartType, RuleDateMove, rule_meets, rule_reach
from app.fit.closure import ANY_MODEL, Joints, Link, Meeting, links_of, models_named, reach
from app.fit.knowledge import FactInfo, Knowledge
from app.fit.rules import End, Rule

BASIS = frozenset({"rules", "rule_types", "rule_conditions", "rule_date_moves", "models", "model_facts", "facts"})
"""The tables the rows are made from, besides the part types."""

Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Catalog:
    """What rules speak of: part types, models and facts."""

    types: Mapping[int, str]
    type_ids: Mapping[str, int]
    models: Models
    facts: Mapping[str, FactInfo]

    def model_ids(self, names: Iterable[str]) -> list[int]:
        """The ids of models by their plain words; what is no model is left out."""
        return [self.models.ids[key] for key in self.models.named(names)]


def read_catalog(connection: Connection) -> Catalog:
    """The catalog as it stands."""
    rows = connection.execute(select(PartType.id, PartType.name)).all()
    types = {row.id: row.name for row in rows}
    return Catalog(types, {name: key for key, name in types.items()}, read_models(connection), read_facts(connection))


def link_number(rule_id: int, back: bool) -> int:
    """A link as one number."""
    return 2 * rule_id + back


def rebuild(connection: Connection) -> None:
    """Make all the rows anew."""
    for table in (rule_reach, rule_meets):
        connection.execute(delete(table))
    with _without_sweeping():
        catalog = read_catalog(connection)
        catalog.models.bring_all(connection)
        making = _Making(connection, catalog, read_bare_rules(connection, catalog.types))
        _put(connection, rule_reach, sorted(making.reach()))
        _put(connection, rule_meets, sorted(making.meets()))


@contextmanager
def _without_sweeping() -> Iterator[None]:
    """Millions of small objects that all stay: looking for garbage among them takes longer than making them."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def renew(connection: Connection, catalog: Catalog, rule_ids: Iterable[int]) -> None:
    """Make the rows of some rules anew, because these changed or are new; of rules whose dates they move too."""
    given = sorted(rule_ids)
    moved = connection.scalars(select(RuleDateMove.moves_id).where(RuleDateMove.rule_id.in_(given)))
    ids = sorted({*given, *moved})
    numbers = [link_number(rule_id, back) for rule_id in ids for back in (False, True)]
    connection.execute(delete(rule_reach).where(rule_reach.c.link.in_(numbers)))
    connection.execute(delete(rule_meets).where(rule_meets.c.second.in_(numbers)))
    connection.execute(delete(rule_meets).where(rule_meets.c.first.in_(numbers)))
    making = _Making(connection, catalog, read_rules(connection, ids, catalog.types))
    _put(connection, rule_reach, list(making.reach()))
    if making.links:
        near = {number // 2 for link in making.links for number in _near(connection, link, catalog)} - set(ids)
        _put(connection, rule_meets, sorted(making.meets_with(read_rules(connection, near, catalog.types))))


class _Making:
    """Rows of some rules in the making."""

    def __init__(self, connection: Connection, catalog: Catalog, rules: Mapping[int, Rule]) -> None:
        self.catalog = catalog
        self.rules = rules
        self.links = links_of(rules.values())
        self.ids = {rule.code: rule_id for rule_id, rule in rules.items()}
        moves = read_moves(connection, catalog.types)
        self.meeting = Meeting(Knowledge(catalog.facts, (), moves, models=catalog.models.on(connection)))

    def reach(self) -> Iterator[Row]:
        """Where the rules may be heard, and where links of chains start."""
        for rule_id, rule in self.rules.items():
            for part_type, model, back in reach(rule):
                models = [NO_MODEL] if model == ANY_MODEL else self.catalog.model_ids([model])
                number = link_number(rule_id, back)
                yield from ((False, self.catalog.type_ids[part_type], model_id, number) for model_id in models)
        for link in self.links:
            named = models_named(link.conditions, End.PART)
            models = [NO_MODEL] if named is None else self.catalog.model_ids(named)
            for part_type in link.offered:
                yield from ((True, self.catalog.type_ids[part_type], model, self._number(link)) for model in models)

    def meets(self) -> Iterator[Row]:
        """Which of the links can meet."""
        joints = Joints(self.links)
        for link in self.links:
            for other in joints.after(link):
                yield from self._met(link, other)

    def meets_with(self, others: Mapping[int, Rule]) -> set[Row]:
        """Where these links meet one another or links of other rules."""
        self.ids.update({rule.code: rule_id for rule_id, rule in others.items()})
        joints = Joints((*self.links, *links_of(others.values())))
        found: set[Row] = set()
        for link in self.links:
            found.update(row for other in joints.after(link) for row in self._met(link, other))
            found.update(row for other in joints.before(link) for row in self._met(other, link))
        return found

    def _number(self, link: Link) -> int:
        return link_number(self.ids[link.rule.code], link.back)

    def _met(self, first: Link, second: Link) -> Iterator[Row]:
        families = self.meeting.families(first, second)
        if families:
            yield (self._number(second), self._number(first), json.dumps(sorted(families)))


def _near(connection: Connection, link: Link, catalog: Catalog) -> Iterator[int]:
    """The links that may come before or after one."""
    for gives, types, end in ((True, link.wanted, End.TARGET), (False, link.offered, End.PART)):
        near = select(rule_reach.c.link).where(
            rule_reach.c.gives.is_(gives), rule_reach.c.part_type_id.in_([catalog.type_ids[name] for name in types])
        )
        named = models_named(link.conditions, end)
        if named is not None:
            near = near.where(rule_reach.c.model_id.in_([*catalog.model_ids(named), NO_MODEL]))
        yield from connection.scalars(near)


def _put(connection: Connection, table: Table, rows: Sequence[Row]) -> None:
    """Write many rows as fast as the database takes them."""
    if not rows:
        return
    columns = ", ".join(column.name for column in table.columns)
    if connection.dialect.name == "postgresql":
        raw: Any = connection.connection.dbapi_connection
        with raw.cursor() as cursor, cursor.copy(f"COPY {table.name} ({columns}) FROM STDIN") as copy:
            for row in rows:
                copy.write_row(row)
        return
    marks = ", ".join("?" * len(table.columns))
    connection.exec_driver_sql(f"INSERT INTO {table.name} ({columns}) VALUES ({marks})", list(rows))
