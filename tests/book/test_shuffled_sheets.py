"""The order of the rows in a yard's sheets changes no answer: casebook, section 4."""

from __future__ import annotations

import csv
from pathlib import Path
from random import Random

import pytest

from app.book.asking import ask
from app.book.knowing import knowing
from app.book.sheets import load_folder
from app.book.work import open_book
from tests.book.test_by_all_there_is import TODAY, line
from tests.book.test_casebook_answers import YARD as CASEBOOK
from tests.book.test_second_yard import C1
from tests.book.test_second_yard import YARD as SECOND

ASKS = 120


def shuffled(folder: Path, to: Path) -> Path:
    """The same sheets with their rows in any order."""
    to.mkdir()
    for sheet in folder.glob("*.csv"):
        with sheet.open(newline="", encoding="utf-8") as given:
            head, *rows = csv.reader(given)
        Random(sheet.name).shuffle(rows)
        with (to / sheet.name).open("w", newline="", encoding="utf-8") as made:
            csv.writer(made, lineterminator="\n").writerows([head, *rows])
    return to


@pytest.mark.parametrize("folder", [CASEBOOK, SECOND], ids=["casebook", "second"])
def test_rows_in_another_order_answer_the_same(folder: Path, tmp_path: Path) -> None:
    books = [open_book(str(tmp_path / f"{name}.book")) for name in ("as it is", "shuffled")]
    for book, sheets in zip(books, (folder, shuffled(folder, tmp_path / "sheets")), strict=True):
        load_folder(book, C1, sheets)
    with books[0].read() as session:
        known = knowing(session)
        known.shelf_of_models.bring_all(session.connection())
        lines = [line(known, Random(seed)) for seed in range(ASKS)]
    found = 0
    for words in lines:
        plain, other = (ask(book, C1, words, on=TODAY, keep=False) for book in books)
        assert other.answers == plain.answers, words
        assert other.do_not_sell == plain.do_not_sell, words
        assert other.questions == plain.questions, words
        found += bool(plain.answers)
    assert found > ASKS // 5, "many asks must find something"
    for book in books:
        book.close()
