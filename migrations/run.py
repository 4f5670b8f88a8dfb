"""Bringing a book to this program's schema from code, in a checkout or from an installed wheel."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine, inspect, text

from app.errors import BookTrouble

SCRIPTS = Path(__file__).parent


def config(connection: Connection | None = None) -> Config:
    """Alembic's configuration without an ini file, over an open connection if one is given."""
    made = Config()
    made.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    made.attributes["connection"] = connection
    return made


def upgrade(engine: Engine) -> Path | None:
    """Bring the book to the newest schema; an existing SQLite book is backed up first.

    Returns the backup's path, or None where there was nothing to back up or the server keeps backups.
    """
    if engine.dialect.name != "sqlite":
        with engine.begin() as connection:
            command.upgrade(config(connection), "head")
        return None
    backup = _back_up(engine)
    with engine.connect() as connection:
        # A batch change of a parent table with foreign keys on would delete its children.
        _pragma(connection, "PRAGMA foreign_keys=OFF")
        try:
            with connection.begin():
                command.upgrade(config(connection), "head")
                broken = connection.execute(text("PRAGMA foreign_key_check")).all()
                if broken:
                    raise BookTrouble(
                        f"the upgrade would leave {len(broken)} rows without their parents",
                        f"Nothing was changed; the book was copied to {backup} before.",
                    )
        finally:
            _pragma(connection, "PRAGMA foreign_keys=ON")
    return backup


def _pragma(connection: Connection, pragma: str) -> None:
    raw = connection.connection.dbapi_connection
    assert raw is not None
    raw.cursor().execute(pragma)


def _back_up(engine: Engine) -> Path | None:
    if not inspect(engine).get_table_names() or engine.url.database is None:
        return None
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S")
    target = Path(f"{engine.url.database}.before-{stamp}")
    source = sqlite3.connect(engine.url.database)
    copy = sqlite3.connect(target)
    try:
        source.backup(copy)
    finally:
        copy.close()
        source.close()
    return target
