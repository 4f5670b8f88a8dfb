"""The counters by which is told whether what is kept of the yard's knowledge is still what the book says."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection

from app.book.fetching import LISTED, fetch, statement

VERSION = "knowledge"
"""The counter that everything which changes models, facts, part types, designs or words moves on by one."""

RULES = "rules"
"""The counter that everything which changes a rule moves on by one."""

WORDS = f"SELECT 'version', c.last, c.series FROM counters c WHERE c.series IN ('{VERSION}', '{RULES}')"
"""Reads both, beside whatever else a statement reads."""

_VERSIONS = statement(dict.fromkeys(LISTED, WORDS))


class Outdated(Exception):
    """What is kept of the yard's knowledge is not what the book says any more."""


def versions(connection: Connection) -> tuple[int, int]:
    """The version of the knowledge and that of the rules."""
    return versions_in(fetch(connection, _VERSIONS, {}))


def versions_in(rows: Iterable[Sequence[Any]]) -> tuple[int, int]:
    """The two versions out of the rows of a statement that reads them besides; 0 for what never changed."""
    found: dict[str, int] = {row[2]: row[1] for row in rows if row[0] == "version"}
    return found.get(VERSION, 0), found.get(RULES, 0)
