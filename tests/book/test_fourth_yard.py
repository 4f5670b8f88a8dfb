"""Counter questions over a fourth invented yard, of buses, coaches and trailers: nothing is fitted to one's data.

The yard is the CSV folder `tests/fourth_yard`, the questions with their answers worked out by hand stand in
`fourth_yard.toml`.
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

YARD = Path(__file__).parents[1] / "fourth_yard"
QUESTIONS = tomllib.loads((Path(__file__).parent / "fourth_yard.toml").read_text(encoding="utf-8"))["question"]
TODAY = date(2026, 5, 20)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    yield from loaded("fourth_yard", tmp_path_factory)


@pytest.mark.parametrize(
    "question",
    QUESTIONS,
    ids=lambda each: " ".join((each["words"], *each.get("facts", {}).values(), str(each.get("on", "")))),
)
def test_a_question_over_buses_and_coaches_has_its_answer(yard: Book, question: dict[str, Any]) -> None:
    assert_answered(yard, question, TODAY)


def test_a_hazard_of_the_yards_own_is_told_in_its_words(yard: Book) -> None:
    first = ask(yard, C1, "heater bottle 2014 wendle", on=TODAY, keep=False).answers[0]
    assert first.cautions == ("Pressure: take care, under local rules.",)
