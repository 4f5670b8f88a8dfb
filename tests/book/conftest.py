"""The casebook's yard, for tests that only read it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.book.knowing import knowing
from app.book.sheets import load_folder
from app.book.vocabulary import Vocabulary
from app.book.work import Book, Who, open_book

YARD = Path(__file__).parents[1] / "casebook"


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("casebook") / "yard.book"))
    load_folder(book, Who("C1", seat="counter"), YARD)
    yield book
    book.close()


@pytest.fixture(scope="module")
def vocabulary(yard: Book) -> Vocabulary:
    """What the yard understands."""
    with yard.read() as session:
        return knowing(session).vocabulary
