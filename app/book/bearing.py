"""The rules that bear on an ask, read by what is wanted and for which vehicle, and kept until a rule changes."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache

from sqlalchemy import Connection, text

from app.book.fetching import JSON, LISTED, Statement, fetch, listed, statement
from app.book.knowing import Knowing
from app.book.modelreading import LINE, pairs
from app.book.reach.linknumbers import rule_of
from app.book.reach.linkreading import Links
from app.book.reach.rulereading import Texts, read_moves, whole_rule_on, with_names
from app.book.reach.rulesheets import read_sheets
from app.book.schema import NO_MODEL
from app.book.shelf import Bearing, Needed, Shelf
from app.book.versions import WORDS, Outdated, versions, versions_in
from app.fit.known import DateMove, UseInfo
from app.fit.links.link import Families
from app.fit.links.linkfamilies import Starting
from app.fit.links.linkgraph import LinkGraph
from app.fit.rules import Direction, Rule, RuleKind, code_order

MOST_KEPT = 500
"""So many bearings are kept, then they are cleared off the shelf."""

MOST_RULES = 20_000
"""So many rules and steps are kept, for bearings share them; then these are cleared too."""


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


def serving_types(rules: Iterable[Rule], wanted: frozenset[str]) -> frozenset[str]:
    """The part types that may answer: those wanted, and those that a rule puts in the place of one it does not offer.

    A rule about several types on both ends says of each what it says of the others of its own type alone.
    """
    found = set(wanted)
    for rule in rules:
        for offered, asked in _ways(rule) if rule.kind is not RuleKind.LAW else ():
            if (asked & wanted) - offered:
                found |= offered
    return frozenset(found)


def _ways(rule: Rule) -> Iterator[tuple[frozenset[str], frozenset[str]]]:
    """The part types that a rule offers, and those that these may be asked for as, in each of its directions."""
    asked = rule.wanted_types or rule.offered_types
    yield rule.offered_types, asked
    if rule.direction is Direction.BOTH_WAYS:
        yield asked, rule.offered_types


_FOR = "r.gives = FALSE AND r.part_type_id {types}{models}"
_FOR_MODELS = " AND r.model_id {models}"
# Joins in this order only: from the few rows of what is wanted to what they meet. A link stands in one row with all
# that may come before it.
_BEARING = """
WITH heard AS (SELECT r.link FROM rule_reach r WHERE {for})
SELECT 'heard', l.link, ({before}) FROM heard AS l
UNION ALL
SELECT 'before', l.link, ({before})
FROM (SELECT DISTINCT m.first AS link FROM heard CROSS JOIN rule_meets m WHERE m.second = heard.link) AS l
UNION ALL
SELECT 'use', u.design_id, CAST({array}((SELECT c.code FROM designs c WHERE c.id = u.design_id), u.model_id,
u.year_from, u.year_to, u.built_from, u.built_to, {json}(u.plants), {json}(u.given), u.known_by) AS TEXT)
FROM design_uses u WHERE u.known_by IN ('seen', 'measured') AND {used}
UNION ALL
SELECT 'model', m.model_id, {line} FROM model_facts m JOIN facts f ON f.id = m.fact_id WHERE m.model_id {unread}
UNION ALL
{versions}
"""
_DESIGNS = "SELECT d.id FROM designs d WHERE d.part_type_id {types}"
# By the few uses of the models, of which those of the designs are picked, and not by each design.
_USED = {
    "sqlite": {
        False: f"u.design_id IN ({_DESIGNS})",
        True: f"u.model_id {{models}} AND +u.design_id IN ({_DESIGNS})",
    },
    "postgresql": {
        False: f"u.design_id = ANY (ARRAY({_DESIGNS}))",
        True: f"u.model_id {{models}} AND u.design_id IN ({_DESIGNS})",
    },
}
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
    lists = listed(dialect, ("types", "models", "unread"))
    words = {
        "{for}": _FOR.format(types=lists["types"], models=_FOR_MODELS.format(**lists) if of_models else ""),
        "{before}": _BEFORE[dialect],
        "{array}": JSON[dialect]["array"],
        "{json}": JSON[dialect]["json"],
        "{line}": LINE.format(**JSON[dialect]),
        "{unread}": lists["unread"],
        "{versions}": WORDS,
        "{used}": _USED[dialect][of_models].format(**lists),
    }
    whole = _BEARING
    for name, each in words.items():
        whole = whole.replace(name, each)
    return whole


STATEMENTS: dict[bool, Statement] = {
    of_models: statement({name: _statement(name, of_models=of_models) for name in LISTED})
    for of_models in (False, True)
}


def bearing(
    connection: Connection,
    known: Knowing,
    wanted: Iterable[str],
    models: Iterable[str] | None = None,
    *,
    sure: bool = True,
) -> Bearing:
    """What bears on these part types, for these models, or for whatever vehicle where none is given.

    Read for the first time, what the models can be is read along.

    `sure` says that what is known was found up to date in this transaction; else that is looked at along the way.

    Raises:
        Outdated: what is known is out of date, so that all that was made of it is.
    """
    about = frozenset(wanted), frozenset(models) if models is not None else None
    shelf = known.rules
    kept = shelf.bearings.get(about)
    if kept is not None and (sure or _up_to_date(known, *versions(connection)) is shelf):
        return kept
    return _read(connection, known, *about)


def _up_to_date(known: Knowing, version: int, rules: int) -> Shelf:
    """The shelf of the rules as they are now; an empty one where they have changed."""
    if version != known.version:
        raise Outdated
    if known.rules.version != rules:
        known.rules = Shelf(rules)
    return known.rules


def _with_room(shelf: Shelf) -> Shelf:
    """The shelf, cleared where it is full."""
    if len(shelf.bearings) > MOST_KEPT:
        shelf.bearings.clear()
    if len(shelf.rules) + len(shelf.steps) > MOST_RULES:
        shelf.rules.clear()
        shelf.steps.clear()
        shelf.laws = shelf.reader = None
    return shelf


def _read(connection: Connection, known: Knowing, types: frozenset[str], keys: frozenset[str] | None) -> Bearing:
    models = known.shelf_of_models
    unread = models.missing(keys or ())
    given = {
        "types": json.dumps([known.type_ids[name] for name in types if name in known.type_ids]),
        "models": json.dumps([NO_MODEL, *(models.ids[key] for key in keys or ())]),
        "unread": json.dumps(unread),
    }
    rows = fetch(connection, STATEMENTS[keys is not None], given)
    shelf = _with_room(_up_to_date(known, *versions_in(rows)))
    models.settle(unread, [(row[1], row[2]) for row in rows if row[0] == "model"])
    heard_of = {rule_of(row[1]) for row in rows if row[0] == "heard"}
    before = _before({row[1]: row[2] for row in rows if row[2] and row[0] in ("heard", "before")})
    links = set[int]().union(before, *before.values())
    _bring(connection, known, shelf, heard_of, links)
    rules = _with_laws(shelf, heard_of)
    graph, kin = _graph(connection, shelf, links, before)
    if kin and keys is not None:
        lasts = {row[1] for row in rows if row[0] == "heard"}
        graph = _led_to(graph, shelf, lasts, {models.infos[key].family for key in keys})
    uses = [row for row in rows if row[0] == "use"]
    told = tuple(_use(row[2], known) for row in uses)
    found = Bearing(
        types=serving_types(rules, types),
        rules=rules,
        graph=graph,
        kin=kin,
        moves=_moves(shelf, rules, links),
        uses=told,
        designs={row[1]: use.design for row, use in zip(uses, told, strict=True)},
        needed=needed_for(rules, known.under_law),
    )
    shelf.bearings[types, keys] = found
    return found


def _before(listed: Mapping[int, str]) -> Mapping[int, Sequence[int]]:
    """The links that may come before each, all of them read at once."""
    return dict(zip(listed, json.loads(f"[[{'],['.join(listed.values())}]]"), strict=True)) if listed else {}


def _graph(
    connection: Connection, shelf: Shelf, links: Iterable[int], before: Mapping[int, Sequence[int]]
) -> tuple[LinkGraph, bool]:
    """The links that may stand in a chain, which may follow which, and whether some of them stay inside a family.

    They are numbered by the codes of their rules, so that it does not hang on the order in which rules were written
    down which of two ways is shown.
    """
    in_order = sorted(links, key=lambda each: shelf.steps[each].link.order)
    numbers = {link: number for number, link in enumerate(in_order)}
    steps = {number: shelf.steps[link] for link, number in numbers.items()}
    after: dict[int, list[int]] = {numbers[first]: [] for first in set[int]().union(*before.values())}
    for second, firsts in before.items():
        for first in firsts:
            after[numbers[first]].append(numbers[second])
    for following in after.values():
        following.sort()
    stay = [link for link, number in numbers.items() if not steps[number].roams]
    families: dict[tuple[int, int], Families] = {}
    if stay:
        rows = fetch(connection, _FAMILIES, {"ids": json.dumps(stay)})
        among = [row for row in rows if row[0] in numbers and row[1] in numbers]
        families = {(numbers[first], numbers[second]): _families(names) for first, second, names in among}
    return LinkGraph(steps, after, families), bool(stay)


def _led_to(graph: LinkGraph, shelf: Shelf, lasts: Collection[int], families: Iterable[str]) -> LinkGraph:
    """The links of chains alone that end in some families by some of the links."""
    named = {id(shelf.steps[link]) for link in lasts if link in shelf.steps}
    return Starting(graph, {at for at, step in graph.steps.items() if id(step) in named}, families).leading()


def _moves(shelf: Shelf, rules: Iterable[Rule], links: Iterable[int]) -> tuple[DateMove, ...]:
    if not shelf.moves:
        return ()
    codes = {rule.code for rule in rules} | {shelf.steps[link].link.rule.code for link in links}
    return tuple(move for move in shelf.moves if move.moves in codes)


def _bring(connection: Connection, known: Knowing, shelf: Shelf, ids: Iterable[int], links: set[int]) -> None:
    """Have the rules of these ids, and links; laws, and rules that move dates, are read along the first time."""
    wanted = set(ids)
    if shelf.laws is None:
        shelf.moves = read_moves(connection, known.type_names)
        shelf.laws = tuple(connection.scalars(_LAWS))
        wanted |= set(shelf.laws)
    # A difference of sets would go through the whole shelf.
    missing = {each for each in wanted if each not in shelf.rules}
    as_links = {rule_of(link) for link in links if link not in shelf.steps}
    if missing or as_links:
        reader = reader_of(known, shelf)
        for sheet, named in with_names(read_sheets(connection, missing | as_links)):
            if sheet.rule_id in missing:
                shelf.rules[sheet.rule_id] = whole_rule_on(sheet, named, reader.texts)
            if sheet.rule_id in as_links:
                shelf.steps.update(reader.steps(sheet, named))


def reader_of(known: Knowing, shelf: Shelf) -> Links:
    """What reads rules for this shelf."""
    if shelf.reader is None:
        shelf.reader = Links(Texts(known.type_names), known.facts)
    return shelf.reader


def _with_laws(shelf: Shelf, ids: set[int]) -> tuple[Rule, ...]:
    """Rules with the laws about what they offer and its companions, which no ask for something else reaches."""
    rules = [shelf.rules[rule_id] for rule_id in ids]
    goes_along = {each.part_type for rule in rules for each in rule.companions}.union(
        *(rule.offered_types for rule in rules)
    )
    laws = {rule_id for rule_id in shelf.laws or () if shelf.rules[rule_id].offered_types & goes_along}
    return tuple(sorted([shelf.rules[each] for each in ids | laws], key=lambda rule: code_order(rule.code)))


@lru_cache(maxsize=10_000)
def _families(names: str) -> Families:
    return frozenset(json.loads(names))


def _use(listed: str, known: Knowing) -> UseInfo:
    code, model_id, year_from, year_to, built_from, built_to, plants, given, known_by = json.loads(listed)
    return UseInfo(
        code,
        known.shelf_of_models.keys[model_id],
        year_from,
        year_to,
        built_from or "",
        built_to or "",
        frozenset(map(str, plants)),
        pairs(given),
        known_by,
    )
