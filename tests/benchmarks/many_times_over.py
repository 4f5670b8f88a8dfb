"""The casebook's yard with its donors and parts many times over: realistic words, few part types, many of each."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, insert, select

from app.book.schema import Donor, Part, PartFact, Standing, Whereabouts
from app.book.work import Book, Who

YARD = Path(__file__).parents[1] / "casebook"
LINES = (
    "08 longwagon half ton lca rh",
    "steering box 2008 light longwagon",
    "left hub 07 tolliver light 4x4",
    "radiator 2007 light tolliver stick",
    "tank 26 gallon 07 light tolliver short bed",
    "alternator 08 light longwagon rear air towing",
    "tailgate 2009 light tolliver",
    "front door lh 2010 light longwagon power",
    "transfer case 08 light longwagon buttons four-speed small case",
    "headlamp lh 2008 osier",
)
BATCH = 20_000
ME = Who("OW", seat="counter")


def grow(book: Book, wanted: int, seed: int) -> None:
    """Copy the casebook's donors and parts until the yard has the wanted number of parts."""
    chosen = random.Random(seed)
    with book.engine.begin() as connection:
        have = connection.scalar(select(func.count()).select_from(Part)) or 0
        if have >= wanted:
            return
        parts = [dict(row._mapping) for row in connection.execute(select(Part.__table__))]
        facts: dict[int, list[dict[str, Any]]] = {}
        for row in connection.execute(select(PartFact.__table__)):
            facts.setdefault(row.part_id, []).append(dict(row._mapping))
        donors = [dict(row._mapping) for row in connection.execute(select(Donor.__table__))]
        _copy(connection, parts, facts, donors, have, wanted, chosen)


def _copy(
    connection: Connection,
    parts: list[dict[str, Any]],
    facts: dict[int, list[dict[str, Any]]],
    donors: list[dict[str, Any]],
    have: int,
    wanted: int,
    chosen: random.Random,
) -> None:
    part_id = max(part["id"] for part in parts)
    donor_id = max(donor["id"] for donor in donors)
    new: dict[str, list[dict[str, Any]]] = {"donors": [], "parts": [], "facts": []}
    while have < wanted:
        twins = {}
        for donor in donors:
            donor_id += 1
            twins[donor["id"]] = donor_id
            new["donors"].append({**donor, "id": donor_id, "stock_number": f"N{donor_id}", "vin": "", "tag": ""})
        for part in parts:
            part_id += 1
            have += 1
            free = chosen.random() < 0.3 and part["standing"] == Standing.FREE
            new["parts"].append(_twin(part, part_id, twins[part["donor_id"]], free, chosen))
            new["facts"] += [{**fact, "id": None, "part_id": part_id} for fact in facts.get(part["id"], [])]
        if len(new["parts"]) > BATCH or have >= wanted:
            _flush(connection, new)


def _twin(part: dict[str, Any], part_id: int, donor_id: int, free: bool, chosen: random.Random) -> dict[str, Any]:
    twin = {**part, "id": part_id, "tag": f"N{part_id}", "donor_id": donor_id, "lump_id": None}
    twin["price_cents"] = max(0, part["price_cents"] + chosen.randrange(-20, 21) * 100)
    if not free:
        gone = {"standing": Standing.SOLD, "whereabouts": Whereabouts.GONE, "place_id": None, "holder_id": None}
        twin |= {**gone, "block_reason": ""}
    return twin


def _flush(connection: Connection, new: dict[str, list[dict[str, Any]]]) -> None:
    for table, name in ((Donor, "donors"), (Part, "parts"), (PartFact, "facts")):
        rows = [{key: value for key, value in row.items() if value is not None or key != "id"} for row in new[name]]
        if rows:
            connection.execute(insert(table.__table__), rows)  # type: ignore[arg-type]
        new[name].clear()
