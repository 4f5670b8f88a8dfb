"""Changing a book behind the program's back, and what the database says to it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from app.book.work import Book


@contextmanager
def refused_by(name: str) -> Iterator[None]:
    """The database says no and names the constraint, or the column where SQLite names only that."""
    with pytest.raises(IntegrityError, match=name):
        yield


def change(book: Book, statement: str, **values: Any) -> None:
    """Change rows behind the program's back."""
    with book.engine.begin() as connection:
        connection.execute(text(statement), values)


def column_of(book: Book, table: str, column: str) -> list[Any]:
    """One column of a table, in the order of the rows."""
    with book.read() as session:
        return list(session.execute(text(f"SELECT {column} FROM {table} ORDER BY id")).scalars())
