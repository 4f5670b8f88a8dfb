"""Opening the book: where it is, how the database is spoken to, and whether its schema is ours."""

from __future__ import annotations

import os
import random
import sqlite3
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DatabaseError, DisconnectionError, OperationalError

from app.errors import BookTrouble

if TYPE_CHECKING:
    import psycopg
    from sqlalchemy.pool import ConnectionPoolEntry

SCHEMA = "0005"
ENVIRONMENT = "DONORBOOK_BOOK"
BUSY_MS = 250
BUSY_SECONDS = 20.0
IDLE_SECONDS = 5.0


def where(given: str | None = None) -> str:
    """The book's address: what was given, else the environment, else the usual per-user folder."""
    chosen = given or os.environ.get(ENVIRONMENT)
    if chosen:
        return chosen
    from platformdirs import user_data_path

    return str(user_data_path("donorbook", appauthor=False) / "yard.book")


def to_url(address: str) -> URL:
    """A file name or a database URL as a URL.

    Raises:
        BookTrouble: the URL is of a database the book does not know.
    """
    if "://" not in address:
        return URL.create("sqlite", database=str(Path(address).expanduser()))
    try:
        url = make_url(address)
    except ArgumentError:
        raise BookTrouble(f"{address} is not a database URL", "Give a file, or postgresql://host/name.") from None
    if url.get_backend_name() not in ("sqlite", "postgresql"):
        raise BookTrouble(f"the book cannot live in {url.get_backend_name()}", "Give a file, or a PostgreSQL URL.")
    return url


def make_engine(address: str) -> Engine:
    """An engine on the book's address; a SQLite file runs in WAL with foreign keys on."""
    url = to_url(address)
    if url.get_backend_name() == "postgresql":
        engine = create_engine(url)
        event.listen(engine, "connect", _set_up_postgresql)
        _greet_after_a_while(engine)
        return engine
    engine = create_engine(url, connect_args={"check_same_thread": False})
    event.listen(engine, "connect", _set_up_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _greet_after_a_while(engine: Engine) -> None:
    """Ask the server whether it is still there where it was not spoken to for a while, and else come anew."""

    def leave(_connection: Any, record: ConnectionPoolEntry) -> None:
        record.info["left"] = time.monotonic()

    def take(connection: Any, record: ConnectionPoolEntry, _taken: Any) -> None:
        now = time.monotonic()
        if now - record.info.get("left", now) <= IDLE_SECONDS:
            return
        try:
            engine.dialect.do_ping(connection)
        except engine.dialect.loaded_dbapi.Error as error:
            raise DisconnectionError from error

    event.listen(engine, "checkin", leave)
    event.listen(engine, "checkout", take)


def _set_up_postgresql(connection: psycopg.Connection, _record: Any) -> None:
    """Tell the server what an ask is like: a few rows out of many, by index, in less time than a compiler takes."""
    connection.autocommit = True
    connection.execute("SET jit = off")
    connection.execute("SET random_page_cost = 1.1")
    connection.autocommit = False


def _set_up_sqlite(connection: sqlite3.Connection, _record: Any) -> None:
    connection.isolation_level = None
    connection.execute(f"PRAGMA busy_timeout={BUSY_MS}")
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("PRAGMA foreign_keys=ON")


def _begin_sqlite(connection: Connection) -> None:
    """Begin in the wanted mode; a busy book is tried again after a short random wait, not one long one."""
    mode = connection.get_execution_options().get("sqlite_begin", "DEFERRED")
    raw = connection.connection.dbapi_connection
    assert raw is not None
    deadline = time.monotonic() + BUSY_SECONDS
    while True:
        try:
            raw.cursor().execute(f"BEGIN {mode}")
            return
        except sqlite3.OperationalError as error:
            if "locked" not in str(error):
                raise BookTrouble(
                    f"the book cannot be written: {error}", "Check the disk and the file's permissions."
                ) from error
            if time.monotonic() > deadline:
                raise BookTrouble("the book is busy", "Somebody writes a lot now; try again in a minute.") from error
            time.sleep(random.uniform(0.005, 0.05))


def schema_of(engine: Engine) -> str | None:
    """The schema version the book is at; None for an empty database.

    Raises:
        BookTrouble: the address cannot be opened, or holds something that is no book.
    """
    try:
        with engine.connect() as connection:
            tables = inspect(connection).get_table_names()
            if not tables:
                return None
            if "alembic_version" not in tables:
                raise BookTrouble(f"{engine.url.database} is a database, but no book", "Give another file or database.")
            found: str | None = connection.scalar(text("SELECT version_num FROM alembic_version"))
            return found
    except OperationalError as error:
        raise BookTrouble(
            f"the book at {engine.url.render_as_string()} cannot be opened: {error.orig}",
            "Check the path or the server, then try again.",
        ) from error
    except DatabaseError as error:
        raise BookTrouble(f"{engine.url.database} is not a book: {error.orig}", "Give another file.") from error
