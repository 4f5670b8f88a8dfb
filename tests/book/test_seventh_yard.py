"""Counter questions over a seventh invented yard, of boats, outboards and trailers: nothing is fitted to one's data.

The yard is the CSV folder `tests/seventh_yard`, the questions with their answers worked out by hand stand in
`seventh_yard.toml`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from app.book.asking import ask
from app.book.work import Book
from tests.book.conftest import loaded
from tests.book.test_second_yard import C1, assert_answered

QUESTIONS = tomllib.loads((Path(__file__).parent / "seventh_yard.toml").read_text(encoding="utf-8"))["question"]
TODAY = date(2027, 3, 10)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    yield from loaded("seventh_yard", tmp_path_factory)


@pytest.mark.parametrize(
    "question",
    QUESTIONS,
    ids=lambda each: " ".join((each["words"], *each.get("facts", {}).values(), str(each.get("on", "")))),
)
def test_a_question_over_boats_and_trailers_has_its_answer(yard: Book, question: dict[str, Any]) -> None:
    assert_answered(yard, question, TODAY)
    asked = ask(yard, C1, question["words"], on=TODAY, keep=False).asked
    assert list(asked.not_understood) == question.get("left", [])
