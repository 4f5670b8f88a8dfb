"""The statements that find parts for an ask, each written once: the same for any number of part types and models.

First comes what ranks a part among its equals, read off an index alone; all else of it is read for the few that are
looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from typing import NamedTuple

from app.book.fetching import JSON, LISTED, Statement, listed, statement
from app.book.modelreading import LINE
from app.book.schema import PlaceKind
from app.fit.candidates import Standing as Ranking
from app.fit.sets import NOT_OFFERED
from app.fit.terms import Condition

MOST = 2_000
"""So many free parts of what is asked for are looked at, and so many companions."""

SHELF_KINDS = frozenset(map(str, set(PlaceKind) - {
    PlaceKind.QUARANTINE, PlaceKind.SCRAP_BIN, PlaceKind.YARD_ROW, PlaceKind.AREA
}))  # fmt: skip
"""Where a part is at hand."""

MODEL = "model"
"""Stands for the standing in a row that is no part, but a line of what a model can be: its id, and the tag's words."""


class Glance(NamedTuple):
    """What ranks a part among its equals, in the order in which it does: from `off_shelf` to `tag`.

    `rank` is that of its condition, `price_cents` less its gone pieces, `made_on` YYYY-MM-DD.
    Of a part that somebody has, `hold` is a JSON list of who and until when.
    """

    id: int
    part_type_id: int
    side: str
    design_id: int | None
    model_id: int | None
    off_shelf: int
    rank: int
    miles: int | None
    price_cents: int
    made_on: str
    tag: str
    may_be_offered: int
    donor_id: int | None
    standing: str
    hold: str | None

    def ranks(self, unknown_miles: int) -> Ranking:
        """What ranks it among its equals; miles that nobody knows as so many."""
        miles = self.miles if self.miles is not None else unknown_miles
        return (self.off_shelf, self.rank, miles, self.price_cents, self.made_on, (self.tag,))


class Whole(NamedTuple):
    """All of a part; hours in thousandths, days as YYYY-MM-DD, `seen`, `told` and `gone` JSON lists.

    `seen` and `told` hold the number, name, value, doubt and source of each fact of the part and of its donor, `gone`
    the part type and price of each piece that is gone. The swapped group's own identity comes last, then `whose` row
    it is.
    """

    id: int
    tag: str
    part_type_id: int
    side: str
    position: str
    condition: str
    price_cents: int
    core_cents: int
    pieces: int
    miles: int | None
    made_on: str
    seen_on: str | None
    pull_thousandths: int | None
    standing: str
    block_reason: str
    whereabouts: str
    donor_id: int | None
    stock_number: str | None
    year: int | None
    built: str | None
    vin: str | None
    frame_state: str | None
    place: str | None
    place_kind: str | None
    design: str | None
    model_id: int | None
    seen: str | None
    told: str | None
    gone: str | None
    swapped: int | None
    own_year: int | None
    own_built: str | None
    own_plant: str | None
    whose: int


SEEN, STOCK, LINE_OF_MODEL = range(3)
"""Whose a whole row is: a part looked at, one that a set may be made up with, or a line of what a model can be."""


def _switch(column: str, values: Mapping[str, int], otherwise: int) -> str:
    cases = " ".join(f"WHEN '{value}' THEN {number}" for value, number in values.items())
    return f"CASE {column} {cases} ELSE {otherwise} END"


_OFF_SHELF = _switch("pl.kind", dict.fromkeys(sorted(SHELF_KINDS), 0), 1)
_RANK = _switch("p.condition", {each.value: each.rank for each in Condition}, len(Condition))
_OFFERED = _switch("p.condition", dict.fromkeys(sorted(map(str, NOT_OFFERED)), 0), 1)
_HOLD = """COALESCE((SELECT CAST({array}(h.name, CAST(h.until AS TEXT)) AS TEXT) FROM holds h
 WHERE h.part_id = p.id AND h.ended_at IS NULL), (SELECT CAST({array}('', CAST(s.keeps_until AS TEXT)) AS TEXT)
 FROM sale_lines s JOIN sale_tickets t ON t.id = s.ticket_id
 WHERE s.part_id = p.id AND s.live AND s.keeps_until IS NOT NULL AND t.state = 'draft'))"""
_GLANCE = f"""
SELECT p.id, p.part_type_id, p.side, p.design_id, p.model_id, {_OFF_SHELF}, {_RANK}, p.miles,
{{most}}(0, p.price_cents - COALESCE((SELECT sum(z.price_cents) FROM parts z
 WHERE z.lump_id = p.id AND z.standing IN ({{gone}})), 0)), {{made_on}}, p.tag, <offered>, p.donor_id,
<standing>, <hold>
FROM <parts> p LEFT JOIN places pl ON pl.id = p.place_id"""
_BARE = """
SELECT p.id, p.part_type_id, p.side, p.condition, p.price_cents, p.miles, p.made_at, p.model_id, p.donor_id, p.tag,
p.place_id, p.design_id, <standing> AS standing FROM parts p"""
_FREE = "p.part_type_id {types} AND p.standing = 'free'"
_BEST = f" ORDER BY p.condition, p.price_cents, p.id LIMIT {MOST}"
_KEPT = "p.part_type_id {types} AND p.standing IN ('held', 'on ticket', 'blocked')"

_WHOLE = """
SELECT p.id, p.tag, p.part_type_id, p.side, p.position, p.condition, p.price_cents, p.core_cents, p.pieces, p.miles,
{made_on}, {seen_on}, p.pull_hours, p.standing, p.block_reason, p.whereabouts, p.donor_id, d.stock_number, d.year,
d.built, d.vin, d.frame_state, pl.code, pl.kind, de.code, p.model_id,
(SELECT CAST({arrays}({array}(x.id, f.name, x.value, x.u_mm, x.known_by)) AS TEXT)
 FROM part_facts x JOIN facts f ON f.id = x.fact_id WHERE x.part_id = p.id),
(SELECT CAST({arrays}({array}(y.id, g.name, y.value, NULL, y.known_by)) AS TEXT)
 FROM donor_facts y JOIN facts g ON g.id = y.fact_id WHERE y.donor_id = p.donor_id),
(SELECT CAST({arrays}({array}(z.part_type_id, z.price_cents)) AS TEXT)
 FROM parts z WHERE z.lump_id = p.id AND z.standing IN ({gone})),
i.id, i.year, i.built, i.plant, <whose>
FROM parts p LEFT JOIN donors d ON d.id = p.donor_id LEFT JOIN places pl ON pl.id = p.place_id
LEFT JOIN designs de ON de.id = p.design_id JOIN part_types t ON t.id = p.part_type_id
LEFT JOIN donor_identities i ON i.donor_id = p.donor_id AND i."group" = t."group"
WHERE """

# A server takes what may be many rows for a reason to read all parts; what is in an array it looks up by index.
_WORDS = {
    "sqlite": {
        "found_in": "IN (",
        "end": ")",
        "day": "substr({0}, 1, 10)",
        "most": "max",
    },
    "postgresql": {
        "found_in": "= ANY (ARRAY(",
        "end": "))",
        "day": "to_char({0} AT TIME ZONE 'UTC', 'YYYY-MM-DD')",
        "most": "greatest",
    },
}
_LISTS = ("types", "models", "designs", "parts", "companions", "told_apart", "donors", "near", "unread", "whole")


def _written(*pieces: str, around: str = "{pieces}") -> Statement:
    """Pieces of one statement with the lists and functions of each database."""
    whole = around.replace("{pieces}", " UNION ALL ".join(pieces))
    return statement({dialect: _in_words_of(dialect, whole) for dialect in LISTED})


def _in_words_of(dialect: str, words: str) -> str:
    own = {**JSON[dialect], **_WORDS[dialect]}
    days = {"made_on": own["day"].format("made_at"), "seen_on": own["day"].format("seen_at")}
    gone = "'sold', 'written off', 'missing'"
    return words.format(**listed(dialect, _LISTS), **days, **own, gone=gone)


_OF_DESIGNS = f"SELECT u.id FROM parts u WHERE u.design_id {{designs}}{{end}} AND +{_FREE}"


def _found(of_models: bool, most: str) -> Iterator[tuple[str, bool]]:
    """Which parts are looked at: of those that are free so many, and those that somebody has (True)."""
    if of_models:
        yield f"{_FREE} AND p.model_id {{models}}{most}", False
        yield f"{_FREE} AND p.model_id IS NULL{most}", False
        # By the design alone, and by its number then: the parts of a design are few, those of a type are not.
        yield f"p.id {{found_in}}{_OF_DESIGNS}{most}", False
    else:
        yield f"{_FREE}{most}", False
    yield _KEPT, True


def _each_at_a_glance(of_models: bool, most: str) -> str:
    """All there is to a glance joined for each sort of parts alone, which an embedded database is quicker at.

    The standing stands as a literal, because a bound one would not use the partial index, and is not read where it is
    known, because all else is read off that index.
    """
    pieces = []
    for number, (where, kept) in enumerate(_found(of_models, most)):
        told = {"<offered>": "0", "<standing>": "p.standing", "<hold>": _HOLD}
        free = {"<offered>": _OFFERED, "<standing>": "'free'", "<hold>": "NULL"}
        words = _with({"<parts>": "parts", **(told if kept else free)}, _GLANCE)
        pieces.append(f"SELECT * FROM ({words} WHERE {where}) AS found_{number}")
    return " UNION ALL ".join(pieces)


def _all_at_a_glance(of_models: bool, most: str) -> str:
    """The same joined once for all sorts together: a server sets up each join before it begins."""
    pieces = []
    for number, (where, kept) in enumerate(_found(of_models, most)):
        bare = _with({"<standing>": "p.standing" if kept else "'free'"}, _BARE)
        pieces.append(f"SELECT * FROM ({bare} WHERE {where}) AS found_{number}")
    told = {
        "<parts>": f"({' UNION ALL '.join(pieces)}) AS",
        "<offered>": f"CASE p.standing WHEN 'free' THEN {_OFFERED} ELSE 0 END",
        "<standing>": "p.standing",
        "<hold>": f"CASE p.standing WHEN 'free' THEN NULL ELSE {_HOLD} END",
    }
    return _with(told, _GLANCE)


def _with(told: Mapping[str, str], words: str) -> str:
    for mark, said in told.items():
        words = words.replace(mark, said)
    return words


_LINES = f"""
UNION ALL
SELECT m.model_id, 0, '', NULL, m.model_id, 0, 0, 0, 0, '', {LINE}, 0, NULL, '{MODEL}', NULL
FROM model_facts m JOIN facts f ON f.id = m.fact_id WHERE m.model_id {{found_in}}<models>{{end}}"""
_WITH_LINES = {
    False: f"WITH found ({', '.join(Glance._fields)}) AS (<glance>) SELECT * FROM found"
    + _LINES.replace("<models>", "SELECT o.model_id FROM found o WHERE NOT (o.model_id {whole})"),
    # Off the index once more, which is quicker than to keep what was found by it.
    True: "<glance>"
    + _LINES.replace(
        "<models>",
        f"SELECT p.model_id FROM parts p WHERE {_FREE} AND p.model_id {{unread}} UNION SELECT p.model_id FROM parts p "
        f"WHERE p.id {{found_in}}{_OF_DESIGNS} AND NOT (p.model_id {{models}})",
    ),
}


_ANY_ORDER = f" LIMIT {MOST + 1}"
"""As they lie, which is quicker; one more than is looked at shows that there are too many."""


class Sort(NamedTuple):
    """Which parts are found: off some models or any, the `best` of them or any so many, and with what models can be."""

    of_models: bool
    best: bool
    with_models: bool


def _parts(sort: Sort) -> Statement:
    around = _WITH_LINES[sort.of_models] if sort.with_models else "<glance>"
    most = _BEST if sort.best else _ANY_ORDER
    made = {"sqlite": _each_at_a_glance(sort.of_models, most), "postgresql": _all_at_a_glance(sort.of_models, most)}
    return statement({name: _in_words_of(name, around.replace("<glance>", words)) for name, words in made.items()})


PARTS = {sort: _parts(sort) for sort in map(Sort._make, product((False, True), repeat=3))}
"""What ranks the parts of some types; what their models can be as far as it is `unread`, or not among the `whole`."""

_CHEAPEST = """p.id {found_in}
SELECT b.id FROM (SELECT q.id, row_number() OVER (
 PARTITION BY q.part_type_id, q.side, q.condition, q.pieces, pq.kind ORDER BY q.price_cents, q.made_at, q.id) AS at
 FROM parts q LEFT JOIN places pq ON pq.id = q.place_id
 WHERE q.part_type_id {companions} AND q.standing = 'free' AND q.miles IS NULL) AS b WHERE b.at <= :enough{end}"""
_ANY = f"""p.id {{found_in}}SELECT e.id FROM (SELECT q.id FROM parts q WHERE q.standing = 'free' AND <which>
 ORDER BY q.condition, q.price_cents, q.id LIMIT {MOST}) AS e{{end}}"""
# The plus keeps the donor out of the choice of an index: it has parts of every type.
_NEAR = """p.id {found_in}SELECT q.id FROM parts q WHERE q.part_type_id {near} AND q.standing = 'free'
 AND +q.donor_id {donors}{end}"""
_OF_PARTS = _WHOLE.replace("<whose>", str(SEEN))
_OF_STOCK = _WHOLE.replace("<whose>", str(STOCK))
_SETS = (
    f"{_OF_STOCK}{_CHEAPEST}",
    f"{_OF_STOCK}{_ANY.replace('<which>', 'q.part_type_id {companions} AND q.miles IS NOT NULL')}",
    f"{_OF_STOCK}{_ANY.replace('<which>', 'q.part_type_id {told_apart}')}",
    f"{_OF_STOCK}{_NEAR}",
)
_WITH_THEIR_MODELS = f"""
WITH found ({", ".join(Whole._fields)}) AS ({{pieces}})
SELECT * FROM found
UNION ALL
SELECT m.model_id, {LINE}{", NULL" * (len(Whole._fields) - 3)}, {LINE_OF_MODEL}
FROM model_facts m JOIN facts f ON f.id = m.fact_id
WHERE m.model_id IN (SELECT o.model_id FROM found o WHERE o.whose = {STOCK})"""

WHOLE: Statement = _written(f"{_OF_PARTS}p.id {{parts}}")
"""Parts by their ids, with all that is written down of them, of their donors and of their gone pieces."""

TAGGED: Statement = _written(f"{_OF_PARTS}p.tag = :tag")
"""The same for one tag."""

WITH_STOCK: dict[bool, Statement] = {
    False: _written(f"{_OF_PARTS}p.id {{parts}}", *_SETS),
    True: _written(f"{_OF_PARTS}p.id {{parts}}", *_SETS, around=_WITH_THEIR_MODELS),
}
"""Parts by their ids, and those that sets may be made up with, of three sorts; also what their models can be (True).

Of companions that only shelf, condition and price tell apart, the cheapest so many of each that a set could use; of
others, and of those with miles, all; and those that must come off the part's own donor.
"""
