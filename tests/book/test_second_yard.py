"""Counter questions over another invented yard, of vans and trucks: nothing is fitted to one yard's data.

The yard is the CSV folder `tests/second_yard`, the questions with their answers worked out by hand stand in
`second_yard.toml`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from app.book.asking import ask
from app.book.work import Book, Who
from app.fit.answers import AnswerLine
from tests.book.conftest import loaded

YARD = Path(__file__).parents[1] / "second_yard"
QUESTIONS = tomllib.loads((Path(__file__).parent / "second_yard.toml").read_text(encoding="utf-8"))["question"]
TODAY = date(2026, 5, 20)
C1 = Who("C1", seat="counter")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    yield from loaded("second_yard", tmp_path_factory)


def listed(lines: tuple[AnswerLine, ...]) -> list[str]:
    return [f"{'+'.join(line.tags)} {line.grade}" for line in lines]


def assert_answered(yard: Book, question: dict[str, Any], today: date) -> None:
    facts, day = question.get("facts", {}), question.get("on", today)
    found = ask(yard, C1, question["words"], facts=facts, on=day, keep=False)
    assert listed(found.answers) == question["answers"], question["why"]
    assert listed(found.not_what_was_asked) == question.get("below", []), question["why"]
    assert {tag for line in found.do_not_sell for tag in line.tags} == set(question.get("never", [])), question["why"]
    every = (*found.answers, *found.not_what_was_asked, *found.do_not_sell)
    said = {"+".join(line.tags): line.say for line in every}
    for tags, words in question.get("says", {}).items():
        assert words in said[tags]
    then = {"+".join(line.tags): "; ".join(line.consequences) for line in every}
    for tags, words in question.get("then", {}).items():
        assert words in then[tags]
    if "price" in question:
        assert found.answers[0].price_cents == question["price"] * 100
    if "asks" in question:
        first = next((each.fact for each in found.questions), None)
        assert first in question["asks"] or (first is None and not question["asks"])


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda each: each["words"])
def test_a_question_over_vans_and_trucks_has_its_answer(yard: Book, question: dict[str, Any]) -> None:
    assert_answered(yard, question, TODAY)
