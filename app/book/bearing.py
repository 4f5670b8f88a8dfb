"""The rules that bear on an ask, read by what is wanted and for which vehicle, and kept until a rule changes."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, text

from app.book.modelreading import LISTED, pairs
from app.book.rulereading import read_moves, read_rules
from app.book.schema import NO_MODEL
from app.fit.closure import Families, LinkKey
from app.fit.knowledge import DateMove, UseInfo
from app.fit.rules import Rule

if TYPE_CHECKING:
    from app.book.knowing import Knowing

MOST_KEPT = 2_000
"""So many bearings are kept, then the shelf is cleared."""


@dataclass(frozen=True, slots=True)
class Bearing:
    """What bears on part types wanted for some models: rules, what chains are made of, and uses of designs."""

    rules: tuple[Rule, ...]
    links: tuple[Rule, ...]
    meets: Mapping[tuple[LinkKey, LinkKey], Families]
    moves: tuple[DateMove, ...]
    uses: tuple[UseInfo, ...]
    designs: frozenset[int]

    @property
    def companions(self) -> frozenset[str]:
        """The part types that sets are made up with."""
        return frozenset(each.part_type for rule in self.rules for each in rule.companions)


@dataclass
class Shelf:
    """Rules and bearings that were read since the rules last changed."""

    version: int = 0
    rules: dict[int, Rule] = field(default_factory=dict)
    bearings: dict[tuple[frozenset[str], frozenset[str] | None], Bearing] = field(default_factory=dict)
    laws: tuple[int, ...] | None = None
    moves: tuple[DateMove, ...] = ()


_FOR = "r.gives = FALSE AND r.part_type_id {types}{models}"
_FOR_MODELS = " AND r.model_id {models}"
# Joins in this order only: from the few rows of what is wanted to what they meet.
_BEARING = """
SELECT 'heard', r.link, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL FROM rule_reach r WHERE {for}
UNION ALL
SELECT 'meets', m.first, m.second, m.families, NULL, NULL, NULL, NULL, NULL, NULL
FROM rule_reach r CROSS JOIN rule_meets m WHERE m.second = r.link AND {for}
UNION ALL
SELECT 'meets', n.first, n.second, n.families, NULL, NULL, NULL, NULL, NULL, NULL
FROM rule_reach r CROSS JOIN rule_meets m CROSS JOIN rule_meets n
WHERE m.second = r.link AND n.second = m.first AND {for}
UNION ALL
SELECT 'use', u.design_id, u.model_id, d.code, CAST(u.year_from AS TEXT), CAST(u.year_to AS TEXT), u.built_from,
u.built_to, CAST(u.plants AS TEXT), CAST(u.given AS TEXT) || u.known_by
FROM design_uses u JOIN designs d ON d.id = u.design_id
WHERE u.known_by IN ('seen', 'measured') AND d.part_type_id {types}{of_models}
"""
_LAWS = text("SELECT id FROM rules WHERE kind = 'law' AND state <> 'closed' ORDER BY id")


def _statement(listed: str, *, of_models: bool) -> Any:
    types, models = listed.format(name="types"), listed.format(name="models")
    wanted = _FOR.format(types=types, models=_FOR_MODELS.format(models=models) if of_models else "")
    used = f" AND u.model_id {models}" if of_models else ""
    return text(_BEARING.replace("{for}", wanted).format(types=types, of_models=used))


STATEMENTS = {
    (name, of_models): _statement(listed, of_models=of_models)
    for name, listed in LISTED.items()
    for of_models in (False, True)
}


def bearing(
    connection: Connection, known: Knowing, wanted: Iterable[str], models: Iterable[str] | None = None
) -> Bearing:
    """What bears on these part types, for these models, or for whatever vehicle where none is given."""
    types = frozenset(wanted)
    keys = frozenset(models) if models is not None else None
    shelf = known.rules
    kept = shelf.bearings.get((types, keys))
    if kept is None:
        if len(shelf.bearings) > MOST_KEPT:
            shelf.bearings.clear()
            shelf.rules.clear()
            shelf.laws = None
        kept = shelf.bearings[types, keys] = _read(connection, known, types, keys)
    return kept


def _read(connection: Connection, known: Knowing, types: frozenset[str], keys: frozenset[str] | None) -> Bearing:
    shelf = known.rules
    given = {
        "types": json.dumps([known.type_ids[name] for name in types if name in known.type_ids]),
        "models": json.dumps([NO_MODEL, *(known.shelf_of_models.ids[key] for key in keys or ())]),
    }
    rows = connection.execute(STATEMENTS[connection.dialect.name, keys is not None], given).all()
    heard = {row[1] for row in rows if row[0] == "heard"}
    met = {(row[1], row[2]): row[3] for row in rows if row[0] == "meets"}
    _bring(connection, known, {each // 2 for each in (*heard, *(link for pair in met for link in pair))})
    rules = _with_laws(shelf, {each // 2 for each in heard})
    links = tuple(shelf.rules[each] for each in sorted({link // 2 for pair in met for link in pair}))
    codes = {rule.code for rule in (*rules, *links)}
    uses = [row for row in rows if row[0] == "use"]
    return Bearing(
        rules=rules,
        links=links,
        meets={
            (_key(shelf, first), _key(shelf, second)): _families(families) for (first, second), families in met.items()
        },
        moves=tuple(move for move in shelf.moves if move.moves in codes),
        uses=tuple(_use(row, known) for row in uses),
        designs=frozenset(row[1] for row in uses),
    )


def _bring(connection: Connection, known: Knowing, ids: Iterable[int]) -> None:
    """Have the rules of these ids; laws, and rules that move dates, are read along the first time."""
    shelf = known.rules
    wanted = set(ids)
    if shelf.laws is None:
        shelf.moves = read_moves(connection, known.type_names)
        shelf.laws = tuple(connection.scalars(_LAWS))
        wanted |= set(shelf.laws)
    missing = sorted(wanted - shelf.rules.keys())
    if missing:
        shelf.rules |= read_rules(connection, missing, known.type_names)


def _with_laws(shelf: Shelf, ids: set[int]) -> tuple[Rule, ...]:
    """Rules with the laws about their companions, which no ask for something else reaches."""
    goes_along = {each.part_type for rule_id in ids for each in shelf.rules[rule_id].companions}
    laws = {rule_id for rule_id in shelf.laws or () if shelf.rules[rule_id].offered_types & goes_along}
    return tuple(shelf.rules[each] for each in sorted(ids | laws))


@lru_cache(maxsize=10_000)
def _families(listed: str) -> Families:
    return frozenset(json.loads(listed))


def _key(shelf: Shelf, link: int) -> LinkKey:
    return shelf.rules[link // 2].code, bool(link % 2)


def _use(row: Sequence[Any], known: Knowing) -> UseInfo:
    _, _, model_id, code, year_from, year_to, built_from, built_to, plants, given = row
    listed, _, known_by = given.rpartition("]")
    return UseInfo(
        code,
        known.shelf_of_models.keys[model_id],
        int(year_from) if year_from else None,
        int(year_to) if year_to else None,
        built_from or "",
        built_to or "",
        frozenset(map(str, json.loads(plants))),
        pairs(json.loads(f"{listed}]")),
        known_by,
    )
