"""Random and malicious lines asked of a whole yard: each is answered, and what it could not read is named."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.book.asking import ask
from app.book.knowing import knowing
from app.book.sheets.load import load_folder
from app.book.work import Book, open_book
from tests.book.test_ask_meanings import hostile_lines
from tests.book.test_casebook_answers import C1, TODAY, YARD

LINES = 1_500


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(Path(tmp_path_factory.mktemp("hostile")) / "yard.book"))
    load_folder(book, C1, YARD)
    yield book
    book.close()


def test_hostile_lines_are_answered(yard: Book) -> None:
    with yard.read() as session:
        phrases = sorted(knowing(session).vocabulary.phrases)
    for line in hostile_lines(phrases, LINES, seed=11):
        found = ask(yard, C1, line, on=TODAY, keep=False)
        assert found.asked.words == line
        assert json.loads(json.dumps(found.as_record()))["asked"]["words"] == line


@pytest.mark.parametrize("figure", ["9" * 40, "9" * 40 + "18", "0." + "1" * 60, "1/3", "7/0", "3/128"])
def test_a_figure_that_no_tape_shows_is_not_understood_as_a_length(yard: Book, figure: str) -> None:
    with yard.read() as session:
        names = sorted(knowing(session).type_ids)
    for name in names:
        found = ask(yard, C1, f"{figure} in {name}", on=TODAY, keep=False)
        assert figure not in found.asked.facts.values(), name
