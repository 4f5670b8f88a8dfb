"""Number series: what has been used of each, and bringing the counters up to it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from sqlalchemy import Connection, func, select, text

from app.book.schema import Counter
from app.book.sheets.cells import Whole
from app.book.sheets.spec import Sheet, sheet_named, sheets

# Series whose numbers stand behind a letter: stock number D14, contact K3.
LETTERED = {"donors": ("stock_number", "D"), "contacts": ("code", "K")}

_RAISE = text(
    "INSERT INTO counters (series, last) VALUES (:series, :last) "
    "ON CONFLICT (series) DO UPDATE SET last = :last WHERE counters.last < :last"
)


def numbered(sheet: Sheet) -> bool:
    """True for a sheet whose rows are known by a number that a counter gives out."""
    return len(sheet.key) == 1 and sheet.key[0].header == "number" and isinstance(sheet.key[0].kind, Whole)


def highest_used(connection: Connection, names: Iterable[str] | None = None) -> dict[str, int]:
    """The highest number used in each series of these tables, or of all; a series without rows is left out."""
    used: dict[str, int] = {}
    for name in sheets() if names is None else names:
        sheet = sheet_named(name)
        if numbered(sheet):
            highest = connection.scalar(select(func.max(sheet.table.c.number)))
        elif name in LETTERED:
            highest = _highest_behind(connection, sheet, *LETTERED[name])
        else:
            continue
        if highest and highest > 0:
            used[name] = highest
    return used


def _highest_behind(connection: Connection, sheet: Sheet, column: str, letter: str) -> int:
    shape = re.compile(rf"{letter}([0-9]{{1,9}})", re.IGNORECASE)
    matches = (shape.fullmatch(code) for code in connection.scalars(select(sheet.table.c[column])))
    return max((int(match[1]) for match in matches if match), default=0)


def raise_counters(connection: Connection, names: Iterable[str]) -> None:
    """Bring the counters of these tables up to the highest number used."""
    for series, last in highest_used(connection, names).items():
        connection.execute(_RAISE, {"series": series, "last": last})


def counters(connection: Connection) -> dict[str, int]:
    """The last number given out in each series."""
    rows = connection.execute(select(Counter.series, Counter.last))
    return {row.series: row.last for row in rows}
