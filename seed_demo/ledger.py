"""The rows of the demo year before they are written, and the history that goes with them."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, text

from app.book.schema import Base, History, Outcome

Row = dict[str, Any]


@dataclass
class Ledger:
    """Rows by table, each with the id it will have, and what happened when."""

    rows: dict[str, list[Row]] = field(default_factory=dict)
    happened: list[Row] = field(default_factory=list)

    def add(self, table: type[Base], **values: Any) -> int:
        """Keep a row of a table that is empty so far; its id. All rows of a table name the same columns."""
        kept = self.rows.setdefault(table.__tablename__, [])
        row_id = len(kept) + 1
        kept.append({"id": row_id, **values})
        return row_id

    def count(self, table: type[Base]) -> int:
        """How many rows of a table there are."""
        return len(self.rows.get(table.__tablename__, []))

    def note(
        self,
        at: datetime,
        seat: str,
        by: str,
        action: str,
        subject: str,
        words: str,
        details: Row | None = None,
        outcome: Outcome = Outcome.DONE,
    ) -> None:
        """Write down what happened; the lines are put in order of time at the end."""
        self.happened.append(
            {
                "at": at,
                "seat": seat,
                "by_": by,
                "action": action,
                "subject": subject,
                "outcome": outcome,
                "words": words,
                "details": details or {},
            }
        )

    def write(self, connection: Connection, rng: random.Random) -> None:
        """Put every row into the book, parents first, then the history in order of time."""
        for table in Base.metadata.sorted_tables:
            rows = self.rows.get(table.name)
            if rows:
                connection.execute(insert(table), rows)
                _set_sequence(connection, table.name)
        self.happened.sort(key=lambda line: line["at"])
        lines = [{"event": f"{rng.getrandbits(128):032x}", **line} for line in self.happened]
        connection.execute(insert(History), lines)


def _set_sequence(connection: Connection, table: str) -> None:
    """On a server, let the next row that the program writes come after the last one written here."""
    if connection.dialect.name == "postgresql":
        highest = f"(SELECT max(id) FROM {table})"
        connection.execute(text(f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), {highest})"))
