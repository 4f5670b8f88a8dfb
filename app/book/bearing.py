"""The rules that bear on an ask, read by what is wanted and for which vehicle, and kept until a rule changes."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, text

from app.book.fetching import LISTED, Statement, fetch, listed, statement
from app.book.linknumbers import link_number, rule_of
from app.book.modelreading import pairs
from app.book.rulereading import read_moves, read_rules_and_links
from app.book.schema import NO_MODEL
from app.fit.closure import Families, links_of
from app.fit.knowledge import DateMove, UseInfo
from app.fit.linkgraph import LinkGraph, Step, step_of
from app.fit.rules import Rule

if TYPE_CHECKING:
    from app.book.knowing import Knowing

MOST_KEPT = 500
"""So many bearings are kept, then they are cleared off the shelf."""

MOST_RULES = 20_000
"""So many rules and steps are kept, for bearings share them; then these are cleared too."""


@dataclass(frozen=True, slots=True)
class Needed:
    """The part types that sets are made up with.

    `anywhere` are told apart by shelf, condition and price alone, `told_apart` by what is known of them too, and `near`
    come off the part's own donor. `enough` is the most that one set could use of a type.
    """

    anywhere: frozenset[str] = frozenset()
    told_apart: frozenset[str] = frozenset()
    near: frozenset[str] = frozenset()
    enough: int = 0

    def __bool__(self) -> bool:
        """Whether anything is needed."""
        return self.enough > 0


def needed_for(rules: Iterable[Rule], under_law: Iterable[str]) -> Needed:
    """What rules need besides; of kinds under a law the law tells which may go along."""
    every = list(rules)
    asked = {each for rule in every for each in rule.companions}
    # What is of a kind that rules speak of themselves must be what these ask of it.
    looked_at = frozenset(under_law).union(*(rule.offered_types for rule in every))
    apart = {each for each in asked if not each.same_donor and (each.given or each.part_type in looked_at)}
    near = {each for each in asked if each.same_donor}
    counts = Counter[str]()
    for each in asked:
        counts[each.part_type] += each.count
    return Needed(
        frozenset(each.part_type for each in asked - apart - near),
        frozenset(each.part_type for each in apart),
        frozenset(each.part_type for each in near),
        max(counts.values()) + 1 if counts else 0,
    )


@dataclass(frozen=True, slots=True)
class Bearing:
    """What bears on part types wanted for some models: rules, what chains are made of, and uses of designs."""

    rules: tuple[Rule, ...]
    graph: LinkGraph
    moves: tuple[DateMove, ...]
    uses: tuple[UseInfo, ...]
    designs: frozenset[int]
    needed: Needed


@dataclass
class Shelf:
    """Rules and bearings that were read since the rules last changed."""

    version: int = 0
    rules: dict[int, Rule] = field(default_factory=dict)
    steps: dict[int, Step] = field(default_factory=dict)
    bearings: dict[tuple[frozenset[str], frozenset[str] | None], Bearing] = field(default_factory=dict)
    laws: tuple[int, ...] | None = None
    moves: tuple[DateMove, ...] = ()


_FOR = "r.gives = FALSE AND r.part_type_id {types}{models}"
_FOR_MODELS = " AND r.model_id {models}"
# Joins in this order only: from the few rows of what is wanted to what they meet. A link stands in one row with all
# that may come before it.
_BEARING = """
SELECT 'heard', r.link, CAST(NULL AS TEXT), NULL, NULL, NULL, NULL, NULL, NULL, NULL FROM rule_reach r WHERE {for}
UNION ALL
SELECT 'before', l.link, ({before}), NULL, NULL, NULL, NULL, NULL, NULL, NULL FROM rule_reach l WHERE {for_last}
UNION ALL
SELECT 'before', l.link, ({before}), NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM (SELECT DISTINCT m.first AS link FROM rule_reach r CROSS JOIN rule_meets m WHERE m.second = r.link AND {for}) AS l
UNION ALL
SELECT 'use', u.design_id, CAST(u.model_id AS TEXT), d.code, CAST(u.year_from AS TEXT), CAST(u.year_to AS TEXT),
u.built_from, u.built_to, CAST(u.plants AS TEXT), CAST(u.given AS TEXT) || u.known_by
FROM designs d CROSS JOIN design_uses u
WHERE u.design_id = d.id AND u.known_by IN ('seen', 'measured') AND d.part_type_id {types}{of_models}
"""
_LAWS = text("SELECT id FROM rules WHERE kind = 'law' AND state <> 'closed' ORDER BY id")


_BEFORE = {
    "sqlite": "SELECT group_concat(b.first) FROM rule_meets b WHERE b.second = l.link",
    "postgresql": "SELECT string_agg(CAST(b.first AS TEXT), ',') FROM rule_meets b WHERE b.second = l.link",
}
_FAMILIES = statement(
    {
        name: f"SELECT first, second, families FROM rule_meets WHERE second {some} OR first {some}".format(name="ids")
        for name, some in LISTED.items()
    }
)


def _statement(dialect: str, *, of_models: bool) -> str:
    lists = listed(dialect, ("types", "models"))
    types = lists["types"]
    wanted = _FOR.format(types=types, models=_FOR_MODELS.format(**lists) if of_models else "")
    used = " AND u.model_id {models}".format(**lists) if of_models else ""
    whole = (
        _BEARING.replace("{for_last}", wanted.replace("r.", "l."))
        .replace("{for}", wanted)
        .replace("{before}", _BEFORE[dialect])
    )
    return whole.format(types=types, of_models=used)


STATEMENTS: dict[bool, Statement] = {
    of_models: statement({name: _statement(name, of_models=of_models) for name in LISTED})
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
        if len(shelf.rules) + len(shelf.steps) > MOST_RULES:
            shelf.rules.clear()
            shelf.steps.clear()
            shelf.laws = None
        kept = shelf.bearings[types, keys] = _read(connection, known, types, keys)
    return kept


def _read(connection: Connection, known: Knowing, types: frozenset[str], keys: frozenset[str] | None) -> Bearing:
    shelf = known.rules
    given = {
        "types": json.dumps([known.type_ids[name] for name in types if name in known.type_ids]),
        "models": json.dumps([NO_MODEL, *(known.shelf_of_models.ids[key] for key in keys or ())]),
    }
    rows = fetch(connection, STATEMENTS[keys is not None], given)
    heard = {row[1] for row in rows if row[0] == "heard"}
    before = {row[1]: list(map(int, row[2].split(","))) for row in rows if row[0] == "before" and row[2]}
    links = {*before, *(first for firsts in before.values() for first in firsts)}
    heard_of = set(map(rule_of, heard))
    _bring(connection, known, heard_of, links)
    rules = _with_laws(shelf, heard_of)
    uses = [row for row in rows if row[0] == "use"]
    return Bearing(
        rules=rules,
        graph=_graph(connection, shelf, links, before),
        moves=_moves(shelf, rules, links),
        uses=tuple(_use(row, known) for row in uses),
        designs=frozenset(row[1] for row in uses),
        needed=needed_for(rules, known.under_law),
    )


def _graph(
    connection: Connection, shelf: Shelf, links: Iterable[int], before: Mapping[int, Sequence[int]]
) -> LinkGraph:
    """The links that may stand in a chain, and which may follow which."""
    steps = {link: shelf.steps[link] for link in sorted(links)}
    after: dict[int, list[int]] = {}
    for second in sorted(before):
        for first in before[second]:
            after.setdefault(first, []).append(second)
    stay = [link for link, step in steps.items() if not step.roams]
    families: dict[tuple[int, int], Families] = {}
    if stay:
        rows = fetch(connection, _FAMILIES, {"ids": json.dumps(stay)})
        families = {(first, second): _families(names) for first, second, names in rows}
    return LinkGraph(steps, after, families)


def _moves(shelf: Shelf, rules: Iterable[Rule], links: Iterable[int]) -> tuple[DateMove, ...]:
    if not shelf.moves:
        return ()
    codes = {rule.code for rule in rules} | {shelf.steps[link].link.rule.code for link in links}
    return tuple(move for move in shelf.moves if move.moves in codes)


def _bring(connection: Connection, known: Knowing, ids: Iterable[int], links: Iterable[int]) -> None:
    """Have the rules of these ids, and links; laws, and rules that move dates, are read along the first time."""
    shelf = known.rules
    wanted = set(ids)
    if shelf.laws is None:
        shelf.moves = read_moves(connection, known.type_names)
        shelf.laws = tuple(connection.scalars(_LAWS))
        wanted |= set(shelf.laws)
    missing = sorted(wanted - shelf.rules.keys())
    steps = {rule_of(link) for link in links if link not in shelf.steps}
    if missing or steps:
        rules, as_links = read_rules_and_links(connection, missing, sorted(steps), known.type_names)
        shelf.rules |= rules
        for rule_id, rule in as_links.items():
            for link in links_of([rule], known.facts):
                shelf.steps[link_number(rule_id, link.back, link.way)] = step_of(link)


def _with_laws(shelf: Shelf, ids: set[int]) -> tuple[Rule, ...]:
    """Rules with the laws about their companions, which no ask for something else reaches."""
    goes_along = {each.part_type for rule_id in ids for each in shelf.rules[rule_id].companions}
    laws = {rule_id for rule_id in shelf.laws or () if shelf.rules[rule_id].offered_types & goes_along}
    return tuple(shelf.rules[each] for each in sorted(ids | laws))


@lru_cache(maxsize=10_000)
def _families(names: str) -> Families:
    return frozenset(json.loads(names))


def _use(row: Sequence[Any], known: Knowing) -> UseInfo:
    _, _, model_id, code, year_from, year_to, built_from, built_to, plants, given = row
    options, _, known_by = given.rpartition("]")
    return UseInfo(
        code,
        known.shelf_of_models.keys[int(model_id)],
        int(year_from) if year_from else None,
        int(year_to) if year_to else None,
        built_from or "",
        built_to or "",
        frozenset(map(str, json.loads(plants))),
        pairs(json.loads(f"{options}]")),
        known_by,
    )
