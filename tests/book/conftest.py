"""The invented yards, for tests that only read them: the casebook's, or each of all in turn."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.book.knowing import knowing
from app.book.sheets import load_folder
from app.book.words.vocabulary import Vocabulary
from app.book.work import Book, Who, open_book

FOLDERS = Path(__file__).parents[1]


def loaded(folder: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp(folder) / "yard.book"))
    load_folder(book, Who("C1", seat="counter"), FOLDERS / folder)
    yield book
    book.close()


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    yield from loaded("casebook", tmp_path_factory)


@pytest.fixture(
    scope="module",
    params=["casebook", "second_yard", "third_yard", "fourth_yard", "fifth_yard", "sixth_yard", "seventh_yard"],
)
def any_yard(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    yield from loaded(request.param, tmp_path_factory)


@pytest.fixture(scope="module")
def vocabulary(yard: Book) -> Vocabulary:
    """What the yard understands."""
    with yard.read() as session:
        return knowing(session).vocabulary
