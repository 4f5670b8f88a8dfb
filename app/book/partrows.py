"""The statements that find parts for an ask, each written once: the same for any number of part types and models."""

from __future__ import annotations

from typing import Any

from sqlalchemy import TextualSelect, text

from app.book.modelreading import LISTED
from app.book.schema import Moment, Thousandths

MOST = 2_000
"""So many free parts of what is asked for are looked at, and so many companions."""

_COLUMNS = """
SELECT {what} AS what, p.id, p.tag, p.part_type_id, p.side, p.position, p.condition, p.price_cents, p.core_cents,
p.pieces, p.miles, p.made_at, p.seen_at, p.pull_hours, p.standing, p.block_reason, p.whereabouts, p.donor_id,
d.stock_number, d.year, d.built, d.vin, d.frame_state, pl.code AS place, pl.kind AS place_kind, de.code AS design,
p.model_id, i.id AS swapped, i.year AS own_year, i.built AS own_built, i.plant AS own_plant
FROM parts p LEFT JOIN donors d ON d.id = p.donor_id LEFT JOIN places pl ON pl.id = p.place_id
LEFT JOIN designs de ON de.id = p.design_id JOIN part_types t ON t.id = p.part_type_id
LEFT JOIN donor_identities i ON i.donor_id = p.donor_id AND i."group" = t."group"
WHERE """
# The standing stands as a literal, because a bound one would not use the partial index.
_FREE = "p.part_type_id {types} AND p.standing = 'free'"
_ORDER = f" ORDER BY p.condition, p.price_cents, p.id LIMIT {MOST}"
_KEPT = "p.part_type_id {types} AND p.standing IN ('held', 'on ticket', 'blocked')"
_STOCK = "p.part_type_id {companions} AND p.standing = 'free'"


def _some(what: str, where: str, *, most: bool = True) -> str:
    return f"SELECT * FROM ({_COLUMNS.format(what=what)}{where}{_ORDER if most else ''}) AS {what.strip(chr(39))}"


def _statement(pieces: tuple[str, ...], listed: str) -> TextualSelect:
    lists = {name: listed.format(name=name) for name in ("types", "companions", "models", "designs")}
    whole = " UNION ALL ".join(pieces).format(**lists)
    return text(whole).columns(made_at=Moment(), seen_at=Moment(), pull_hours=Thousandths())


_EVERY = (_some("'free'", _FREE), _some("'kept'", _KEPT, most=False), _some("'stock'", _STOCK))
_NAMED = (
    _some("'free'", f"{_FREE} AND p.model_id {{models}}"),
    _some("'nameless'", f"{_FREE} AND p.model_id IS NULL"),
    # The plus keeps the type out of the choice of an index: the designs are few, the parts of a type are not.
    _some("'use'", "p.design_id {designs} AND +p.part_type_id {types} AND p.standing = 'free'"),
    *_EVERY[1:],
)
PARTS: dict[tuple[str, bool], Any] = {
    (name, of_models): _statement(_NAMED if of_models else _EVERY, listed)
    for name, listed in LISTED.items()
    for of_models in (False, True)
}
TAGGED: Any = text(f"{_COLUMNS.format(what=chr(39) + 'tag' + chr(39))} p.tag = :tag").columns(
    made_at=Moment(), seen_at=Moment(), pull_hours=Thousandths()
)

_ABOUT = """
SELECT 'seen' AS what, x.part_id AS of_id, f.name, x.value, x.u_mm, x.known_by, x.id FROM part_facts x
JOIN facts f ON f.id = x.fact_id WHERE x.part_id {parts}
UNION ALL
SELECT 'told', y.donor_id, g.name, y.value, NULL, y.known_by, y.id FROM donor_facts y
JOIN facts g ON g.id = y.fact_id WHERE y.donor_id {donors}
UNION ALL
SELECT 'gone', z.lump_id, CAST(z.part_type_id AS TEXT), CAST(z.price_cents AS TEXT), NULL, z.standing, z.id
FROM parts z
WHERE z.lump_id {parts} AND z.lump_id IS NOT NULL
UNION ALL
SELECT 'hold', h.part_id, h.name, CAST(h.until AS TEXT), NULL, '', h.id FROM holds h
WHERE h.ended_at IS NULL AND h.part_id {parts}
ORDER BY 7
"""
ABOUT: dict[str, Any] = {
    name: text(_ABOUT.format(parts=listed.format(name="parts"), donors=listed.format(name="donors")))
    for name, listed in LISTED.items()
}
"""All that is written down about parts and their donors, of every kind in one statement."""
