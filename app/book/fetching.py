"""Running the few statements that an ask waits for: written once, as the database takes them, without more between."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

Statement = Mapping[str, str]
"""The same statement in the words of each database."""

LISTED = {
    "sqlite": "IN (SELECT value FROM json_each(:{name}))",
    "postgresql": "= ANY (ARRAY(SELECT CAST(value AS INTEGER) FROM json_array_elements_text(CAST(:{name} AS JSON))))",
}
"""How a statement asks for one of many whole numbers, given as a JSON list: it is the same statement for any number.

A server looks up what is in an array by index; a list of rows it may take for a reason to read the whole table.
"""

JSON = {
    "sqlite": {"json": "json", "array": "json_array", "arrays": "json_group_array"},
    "postgresql": {"json": "", "array": "json_build_array", "arrays": "json_agg"},
}
"""How a statement makes JSON: `json` of a column that holds some, an `array` of values, and one of `arrays` of rows."""

IDLE = 0
"""How a server's driver says that no transaction is begun."""

_NAMED = re.compile(r"(?<!:):([a-z_]+)")


def statement(words: Mapping[str, str]) -> Statement:
    """A statement with its values named as each database's driver takes them; it is written with `:name`."""
    return {"sqlite": words["sqlite"], "postgresql": _NAMED.sub(r"%(\1)s", words["postgresql"])}


def fetch(connection: Connection, words: Statement, given: Mapping[str, Any]) -> Sequence[Sequence[Any]]:
    """All rows of a statement, as the driver gives them, within the connection's transaction.

    Raises:
        DBAPIError: what the driver raised, as for any other statement.
    """
    driver: Any = connection.connection.driver_connection
    kinds: Any = connection.dialect.loaded_dbapi
    statement = words[connection.dialect.name]
    try:
        # On a server the beginning of a transaction goes along with its first statement.
        with driver.pipeline() if _is_idle(driver) else nullcontext():
            cursor = driver.execute(statement, given)
        rows: Sequence[Sequence[Any]] = cursor.fetchall()
    except kinds.Error as error:
        raise DBAPIError.instance(statement, dict(given), error, kinds.Error, dialect=connection.dialect) from error
    return rows


def _is_idle(driver: Any) -> bool:
    """Whether a server's connection has begun nothing yet."""
    return hasattr(driver, "pipeline") and driver.pgconn.transaction_status == IDLE


def listed(dialect: str, names: Sequence[str]) -> dict[str, str]:
    """How a statement asks for one of each of these lists of whole numbers."""
    return {name: LISTED[dialect].format(name=name) for name in names}
