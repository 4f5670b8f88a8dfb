"""The statements that find parts for an ask, each written once: the same for any number of part types and models.

First comes what ranks a part among its equals, read off an index alone; all else of it is read for the few that are
looked at.
"""

from __future__ import annotations

from typing import NamedTuple

from app.book.fetching import LISTED, Statement, listed, statement

MOST = 2_000
"""So many free parts of what is asked for are looked at, and so many companions."""


class Glance(NamedTuple):
    """What ranks a part among its equals; `made_on` as YYYY-MM-DD, `off` the cents of its gone pieces.

    Of a part that somebody has, `hold` is a JSON list of who and until when.
    """

    id: int
    tag: str
    part_type_id: int
    side: str
    condition: str
    price_cents: int
    miles: int | None
    made_on: str
    model_id: int | None
    donor_id: int | None
    standing: str
    design: str | None
    place_kind: str | None
    off: int | None
    hold: str | None
    chosen: int


class Whole(NamedTuple):
    """All of a part; hours in thousandths, days as YYYY-MM-DD, `seen`, `told` and `gone` JSON lists.

    `seen` and `told` hold the number, name, value, doubt and source of each fact of the part and of its donor, `gone`
    the part type and price of each piece that is gone. The swapped group's own identity comes last.
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


# The standing stands as a literal, because a bound one would not use the partial index, and is not read where it is
# known, because all else is read off that index.
_GLANCE = """
SELECT p.id, p.tag, p.part_type_id, p.side, p.condition, p.price_cents, p.miles, {made_on}, p.model_id, p.donor_id,
<standing>, de.code, pl.kind,
(SELECT sum(z.price_cents) FROM parts z WHERE z.lump_id = p.id AND z.standing IN ({gone})), <hold>, <chosen> AS chosen
FROM parts p LEFT JOIN places pl ON pl.id = p.place_id LEFT JOIN designs de ON de.id = p.design_id
WHERE """
_HOLD = """(SELECT CAST({array}(h.name, CAST(h.until AS TEXT)) AS TEXT) FROM holds h
WHERE h.part_id = p.id AND h.ended_at IS NULL)"""
_FREE = "p.part_type_id {types} AND p.standing = 'free'"
_BEST = f" ORDER BY p.condition, p.price_cents, p.id LIMIT {MOST}"
_ANY_ORDER = f" LIMIT {MOST + 1}"
"""As they lie, which is quicker; one more than is looked at shows that there are too many."""
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
i.id, i.year, i.built, i.plant
FROM parts p LEFT JOIN donors d ON d.id = p.donor_id LEFT JOIN places pl ON pl.id = p.place_id
LEFT JOIN designs de ON de.id = p.design_id JOIN part_types t ON t.id = p.part_type_id
LEFT JOIN donor_identities i ON i.donor_id = p.donor_id AND i."group" = t."group"
WHERE """

# A server takes what may be many rows for a reason to read all parts; what is in an array it looks up by index.
_WORDS = {
    "sqlite": {
        "found_in": "IN (",
        "end": ")",
        "array": "json_array",
        "arrays": "json_group_array",
        "day": "substr(p.{0}, 1, 10)",
    },
    "postgresql": {
        "found_in": "= ANY (ARRAY(",
        "end": "))",
        "array": "json_build_array",
        "arrays": "json_agg",
        "day": "to_char(p.{0} AT TIME ZONE 'UTC', 'YYYY-MM-DD')",
    },
}
_LISTS = ("types", "models", "designs", "parts", "companions", "told_apart", "donors", "near")


def _written(*pieces: str) -> Statement:
    """Pieces of one statement with the lists and functions of each database."""
    return statement({dialect: _in_words_of(dialect, " UNION ALL ".join(pieces)) for dialect in LISTED})


def _in_words_of(dialect: str, words: str) -> str:
    own = _WORDS[dialect]
    days = {"made_on": own["day"].format("made_at"), "seen_on": own["day"].format("seen_at")}
    gone = "'sold', 'written off', 'missing'"
    return words.format(**listed(dialect, _LISTS), **days, **own, gone=gone)


def _glance(where: str, most: str = "", *, kept: bool = False) -> str:
    """Parts at a glance: free ones, so many of them, or those that somebody has."""
    told = {"<standing>": "p.standing" if kept else "'free'", "<hold>": _HOLD if kept else "CAST(NULL AS TEXT)"}
    words = _GLANCE
    for mark, said in {**told, "<chosen>": "0" if kept else "1"}.items():
        words = words.replace(mark, said)
    return f"SELECT * FROM ({words}{where}{most}) AS {'kept' if kept else 'free'}"


_KEPT_ONES = _glance(_KEPT, kept=True)


def _off_models(most: str) -> Statement:
    return _written(
        _glance(f"{_FREE} AND p.model_id {{models}}", most),
        _glance(f"{_FREE} AND p.model_id IS NULL", most),
        # By the design alone, and by its number then: the parts of a design are few, those of a type are not.
        _glance(f"p.id {{found_in}}SELECT u.id FROM parts u WHERE u.design_id {{designs}}{{end}} AND +{_FREE}", most),
        _KEPT_ONES,
    )


PARTS: dict[bool, Statement] = {False: _written(_glance(_FREE, _ANY_ORDER), _KEPT_ONES), True: _off_models(_ANY_ORDER)}
"""What ranks the parts of some types, off some models (True) or off any."""

BEST_PARTS: dict[bool, Statement] = {False: _written(_glance(_FREE, _BEST), _KEPT_ONES), True: _off_models(_BEST)}
"""The same where there are too many: the best and cheapest of them."""

WHOLE: Statement = _written(f"{_WHOLE}p.id {{parts}}")
"""Parts by their ids, with all that is written down of them, of their donors and of their gone pieces."""

TAGGED: Statement = _written(f"{_WHOLE}p.tag = :tag")
"""The same for one tag."""

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
COMPANIONS: Statement = _written(
    f"{_WHOLE}{_CHEAPEST}",
    f"{_WHOLE}{_ANY.replace('<which>', 'q.part_type_id {companions} AND q.miles IS NOT NULL')}",
    f"{_WHOLE}{_ANY.replace('<which>', 'q.part_type_id {told_apart}')}",
    f"{_WHOLE}{_NEAR}",
)
"""Parts that sets may be made up with, of three sorts.

Of companions that only shelf, condition and price tell apart, the cheapest so many of each that a set could use; of
others, and of those with miles, all; and those that must come off the part's own donor.
"""
