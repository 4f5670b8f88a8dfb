"""Counter questions over a third invented yard, of small cars, tractors and trailers: nothing is fitted to one's data.

The yard is the CSV folder `tests/third_yard`, the questions with their answers worked out by hand stand in
`third_yard.toml`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from app.book.work import Book
from tests.book.conftest import loaded
from tests.book.test_second_yard import assert_answered

YARD = Path(__file__).parents[1] / "third_yard"
QUESTIONS = tomllib.loads((Path(__file__).parent / "third_yard.toml").read_text(encoding="utf-8"))["question"]
TODAY = date(2026, 5, 20)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    yield from loaded("third_yard", tmp_path_factory)


@pytest.mark.parametrize(
    "question",
    QUESTIONS,
    ids=lambda each: " ".join((each["words"], *each.get("facts", {}).values(), str(each.get("on", "")))),
)
def test_a_question_over_cars_and_tractors_has_its_answer(yard: Book, question: dict[str, Any]) -> None:
    assert_answered(yard, question, TODAY)
