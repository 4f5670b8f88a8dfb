"""Counter questions over a sixth invented yard, of motorhomes, quads and forklifts: nothing is fitted to one's data.

The yard is the CSV folder `tests/sixth_yard`, the questions with their answers worked out by hand stand in
`sixth_yard.toml`.
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

QUESTIONS = tomllib.loads((Path(__file__).parent / "sixth_yard.toml").read_text(encoding="utf-8"))["question"]
TODAY = date(2026, 10, 14)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    yield from loaded("sixth_yard", tmp_path_factory)


@pytest.mark.parametrize(
    "question",
    QUESTIONS,
    ids=lambda each: " ".join((each["words"], *each.get("facts", {}).values(), str(each.get("on", "")))),
)
def test_a_question_over_motorhomes_and_forklifts_has_its_answer(yard: Book, question: dict[str, Any]) -> None:
    assert_answered(yard, question, TODAY)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda each: each["words"])
def test_every_word_of_a_question_is_understood_or_said_not_to_be(yard: Book, question: dict[str, Any]) -> None:
    asked = ask(yard, C1, question["words"], on=TODAY, keep=False).asked
    assert list(asked.not_understood) == question.get("left", [])
