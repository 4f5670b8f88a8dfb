"""Rows for every table of the book, made from the tables' own columns, with text that is hard on CSV."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from random import Random
from typing import Any

from hypothesis import strategies as st
from sqlalchemy import Connection, insert
from sqlalchemy.exc import IntegrityError

from app.book.schema import Standing, Whereabouts
from app.book.sheets import cells
from app.book.sheets.spec import Column, Sheet, sheets

NASTY = [
    "=1+1",
    "+1",
    "-1",
    "@x",
    "\tx",
    "\rx",
    "'x",
    "''",
    '"',
    ",",
    "a\r\nb",
    "a\nb",
    "a\rb",
    " x ",
    "x/y",
    "; ",
    "[]",
    "{}",
]
TEXT = st.one_of(
    st.sampled_from(["", *NASTY]),
    st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=12),
)
ENTRY = st.one_of(TEXT, st.sampled_from(["[x", "{", "a;b", "-"]), st.integers(-9, 9), st.just({"words": "dirt"}))
INT = st.integers(-(2**31) + 1, 2**31 - 1)
KINDS: dict[type, st.SearchStrategy[Any]] = {
    cells.Text: TEXT,
    cells.Month: st.dates(date(1980, 1, 1), date(2030, 12, 31)).map(lambda day: f"{day:%Y-%m}"),
    cells.Whole: st.one_of(st.integers(0, 9), INT),
    cells.Dollars: st.one_of(st.integers(0, 99_999), INT),
    cells.Exact: st.integers(1, 10**12).map(lambda number: Decimal(number) / 1000),
    cells.FineDollars: st.integers(0, 10**9).map(lambda number: Decimal(number) / 1000),
    cells.Figure: st.floats(0, 1e9) | st.floats(allow_nan=False, allow_infinity=False).map(lambda value: value + 0.0),
    cells.YesNo: st.booleans(),
    cells.Instant: st.datetimes(datetime(1980, 1, 1), datetime(2100, 1, 1)).map(lambda at: at.replace(tzinfo=UTC)),
    cells.Day: st.dates(),
    cells.Entries: st.lists(ENTRY, max_size=3),
    cells.Record: st.dictionaries(TEXT, ENTRY, max_size=3),
}
Ids = dict[str, list[int]]
Values = dict[str, Any]


@dataclass
class Maker:
    """Makes rows out of a few values of each kind; which goes where is left to chance."""

    pools: dict[type, list[Any]]
    chance: Random

    def row(self, sheet: Sheet, ids: Ids) -> Values:
        """A row of a sheet whose references point at rows that are there."""
        values = {column.name: self._value(column, ids) for column in sheet.columns}
        mend = MENDED.get(sheet.name)
        if mend is not None:
            mend(values)
        return values

    def _value(self, column: Column, ids: Ids) -> Any:
        if column.nullable and self.chance.random() < 0.4:
            return None
        if column.refers:
            known = ids.get(column.refers)
            return self.chance.choice(known) if known else None
        if isinstance(column.kind, cells.OneOf):
            return self.chance.choice(list(column.kind.members))
        return self.chance.choice(self.pools[type(column.kind)])


def _part(values: Values) -> None:
    values["tag"] = f"X-{zlib.crc32(values['tag'].encode()) % 10**6}"
    place, holder, donor = values["place_id"], values["holder_id"], values["donor_id"]
    values["whereabouts"] = Whereabouts.IN_PLACE if place else Whereabouts.IN_HAND if holder else Whereabouts.ON_VEHICLE
    values["holder_id"] = None if place else holder
    values["past"] = "" if donor else "old stock"
    values["block_reason"] = values["block_reason"] or "worn"
    if values["lump_id"] and values["standing"] in (Standing.FREE, Standing.BLOCKED):
        # A piece of a lump that may be sold or held goes with it, so it is none that is for sale.
        values["standing"] = Standing.MISSING
    values |= {"pieces": 1, "price_cents": abs(values["price_cents"]), "core_cents": abs(values["core_cents"])}


def _sale_ticket(values: Values) -> None:
    values["tag"] = "T-1"
    values |= {"parts_cents": 10000, "discount_cents": 500, "core_cents": 1500, "tax_cents": 700}
    values |= {"deposit_cents": 200, "total_cents": 11500, "void_reason": values["void_reason"] or "wrong part"}
    values["paid_at"] = values["paid_at"] or values["made_at"]


def _weight_ticket(values: Values) -> None:
    values |= {"tag": "T-1", "gross": Decimal(4680), "tare": Decimal(2100), "division": Decimal(20)}
    values |= {"deductions": Decimal("12.5"), "net": Decimal("2567.5")}
    values["void_reason"] = (values["void_reason"] or "typed wrong") if values["voided_at"] else ""


def _setting(values: Values) -> None:
    values["name"] = "yard_words"


def _surveyed(values: Values) -> None:
    values |= {name: "hook tape" for name in values if name.endswith("tool")}
    for name in [name for name in values if f"{name}_mm" in values]:
        mm = values[f"{name}_mm"] if name != "x" else values["x_mm"] or 0.0
        mm = None if mm is None else round(mm % 9000, 3)
        values |= {name: "" if mm is None else f"{mm} mm", f"{name}_mm": mm}
        if mm is not None and f"u_{name}_mm" in values:
            values[f"u_{name}_mm"] = abs(values[f"u_{name}_mm"] or 1.5)


def _untagged(values: Values) -> None:
    values["tag"] = ""


def _fact(values: Values) -> None:
    values["u_mm"] = None if values["u_mm"] is None else abs(values["u_mm"])
    _given(values)


def _given(values: Values) -> None:
    if "given" in values:
        values["given"] = [f"fact=x{each}" for each in values["given"]]


def _condition(values: Values) -> None:
    values |= {"end": "part", "op": "any of", "values_": values["values_"] or ["one"], "alt": abs(values["alt"])}


def _companion(values: Values) -> None:
    _given(values)
    values["already_there"] = f"fact=x{values['already_there']}"


MENDED: dict[str, Callable[[Values], None]] = {
    "parts": _part,
    "sale_tickets": _sale_ticket,
    "weight_tickets": _weight_ticket,
    "settings": _setting,
    "places": _untagged,
    "donors": _untagged,
    "facts": lambda values: values.update(kind="words", effort=abs(values["effort"])),
    "plate_words": lambda values: values.update(position=abs(values["position"]) % 17 + 1),
    "removals": lambda values: values.update(how="weighed"),
    "survey_points": _surveyed,
    "survey_stations": _surveyed,
    "aliases": lambda values: values.update(means=f"fact=x{values['means']}"),
    "model_facts": _fact,
    "part_facts": _fact,
    "design_facts": _fact,
    "frame_facts": _fact,
    "design_uses": _given,
    "rule_conditions": _condition,
    "rule_companions": _companion,
    "rule_consequences": lambda values: values.update(worked_out=""),
    "rules": lambda values: values.update(grade=values["grade"] or "set"),
}


GENTLE: dict[type, list[Any]] = {
    cells.Text: ["one", "=1+1", 'three, "four"', "five\r\nsix", "seven"],
    cells.Month: ["2001-01", "2009-12"],
    cells.Whole: [1, 2, 3, 4],
    cells.Dollars: [100, 250],
    cells.Exact: [Decimal("1.5"), Decimal(7)],
    cells.FineDollars: [Decimal("9.46"), Decimal(20500)],
    cells.Figure: [0.1, 2.5],
    cells.YesNo: [True, False],
    cells.Instant: [datetime(2026, 2, 10, 15, tzinfo=UTC), datetime(2026, 3, 10, 15, 0, 0, 5, tzinfo=UTC)],
    cells.Day: [date(2026, 1, 2)],
    cells.Entries: [[], ["a", "b"], ["a;b"]],
    cells.Record: [{}, {"a": 1}],
}


def makers() -> st.SearchStrategy[Maker]:
    """Makers of yards: a few values of each kind, and a seed."""
    pools = st.fixed_dictionaries({kind: st.lists(made, min_size=4, max_size=8) for kind, made in KINDS.items()})
    return st.builds(Maker, pools, st.integers(0, 2**32).map(Random))


def write_yard(connection: Connection, maker: Maker, tries: int = 4) -> dict[str, int]:
    """Write rows into a book, straight into its tables; returns how many the book took of each.

    What a constraint of the book forbids is left out, and nothing refers to it.
    """
    ids: Ids = {}
    for name, sheet in sheets().items():
        parents = [column.refers for column in sheet.columns if column.refers and not column.nullable]
        if not all(ids.get(parent) for parent in parents):
            continue
        for row_id in range(1, tries + 1):
            try:
                with connection.begin_nested():
                    connection.execute(insert(sheet.table), {"id": row_id, **maker.row(sheet, ids)})
            except IntegrityError:
                continue
            ids.setdefault(name, []).append(row_id)
    return {name: len(taken) for name, taken in ids.items()}
