"""Desks with a book: empty, or with the small yard of this folder loaded."""

from __future__ import annotations

import pytest

from app.book.work import Book
from tests.commands.desk import YARD, Desk


def _address(book: Book) -> str:
    return book.engine.url.render_as_string(hide_password=False)


def _loaded(book: Book) -> Desk:
    desk = Desk(book.engine.url.database or "" if book.engine.dialect.name == "sqlite" else _address(book))
    desk.says("load", str(YARD))
    return desk


@pytest.fixture
def yard(sqlite_book: Book) -> Desk:
    """The small yard on SQLite."""
    return _loaded(sqlite_book)


@pytest.fixture
def each_yard(book: Book) -> Desk:
    """The small yard, once on each database."""
    return _loaded(book)
