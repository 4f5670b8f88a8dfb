"""Fresh books for tests: each a copy of one that the migration made once in the run."""

from __future__ import annotations

import os
import sqlite3
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import psycopg
from sqlalchemy.engine import URL

from app.book.work import Book, open_book
from tests.support.postgres import Server


def migrated_file(folder: Path) -> Path:
    """A book file as the migrations make it."""
    file = folder / "template.book"
    open_book(str(file)).close()
    return file


def copy_file(template: Path, target: Path) -> Path:
    """Copy a book through SQLite itself: a plain copy of the file would leave out what is only in its WAL."""
    source, copy = sqlite3.connect(template), sqlite3.connect(target)
    try:
        copy.execute("PRAGMA synchronous=OFF")
        source.backup(copy)
    finally:
        copy.close()
        source.close()
    return target


class Databases:
    """Databases on one test server: a template made by the migrations, and quick copies of it."""

    def __init__(self, server: Server) -> None:
        self.server = server
        self._run = f"donorbook_{os.getpid()}_{uuid.uuid4().hex[:6]}"
        self._made = 0
        self._template = self.empty()
        open_book(self.address(self._template)).close()

    def address(self, name: str) -> str:
        """The address of a database by its name, as `--book` takes it."""
        url: URL = self.server.url.set(drivername="postgresql", database=name)
        return url.render_as_string(hide_password=False)

    def empty(self) -> str:
        """A new database with no tables; its name."""
        return self._create("TEMPLATE template0")

    def fresh(self) -> str:
        """A new database with an empty book; its name."""
        return self._create(f'TEMPLATE "{self._template}"')

    def drop(self, name: str) -> None:
        """Take a database away, whoever still has it open."""
        self._run_sql(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')

    def close(self) -> None:
        """Take the template away."""
        self.drop(self._template)

    def _create(self, clause: str) -> str:
        self._made += 1
        name = f"{self._run}_{self._made}"
        self._run_sql(f'CREATE DATABASE "{name}" {clause}')
        return name

    def _run_sql(self, statement: str) -> None:
        admin = self.server.url.set(drivername="postgresql").render_as_string(hide_password=False)
        with psycopg.connect(admin, autocommit=True) as connection:
            connection.execute(statement.encode())


@contextmanager
def opened(address: str, clock: Callable[[], datetime]) -> Iterator[Book]:
    """The book at an address, closed at the end."""
    book = open_book(address, clock=clock)
    try:
        yield book
    finally:
        book.close()
