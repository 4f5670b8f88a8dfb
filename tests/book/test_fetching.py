"""Statements that go straight to the driver: what goes wrong is told as for any other."""

from __future__ import annotations

import pytest
from sqlalchemy.exc import DBAPIError

from app.book.fetching import fetch, statement
from app.book.work import Book

WORDS = "SELECT last FROM counters WHERE series = :series"
NONSENSE = "SELECT last FROM no_such_thing WHERE series = :series"


def test_values_are_named_in_the_words_of_each_database() -> None:
    assert statement({"sqlite": WORDS, "postgresql": WORDS}) == {
        "sqlite": WORDS,
        "postgresql": "SELECT last FROM counters WHERE series = %(series)s",
    }


def test_a_cast_is_no_value() -> None:
    assert statement({"sqlite": "", "postgresql": "SELECT :a::text"})["postgresql"] == "SELECT %(a)s::text"


def test_rows_are_read_in_the_transaction_of_the_connection(book: Book) -> None:
    words = statement({"sqlite": WORDS, "postgresql": WORDS})
    with book.engine.begin() as connection:
        connection.exec_driver_sql("INSERT INTO counters (series, last) VALUES ('tries', 7)")
        assert [tuple(row) for row in fetch(connection, words, {"series": "tries"})] == [(7,)]
        connection.rollback()
    with book.engine.connect() as connection:
        assert list(fetch(connection, words, {"series": "tries"})) == []


def test_what_the_database_refuses_is_an_error_of_the_book_as_everywhere(book: Book) -> None:
    words = statement({"sqlite": NONSENSE, "postgresql": NONSENSE})
    with book.engine.connect() as connection, pytest.raises(DBAPIError, match="no_such_thing"):
        fetch(connection, words, {"series": "tries"})
