"""More counter questions over the casebook yard, with answers worked out by hand from the rules of the game.

The questions stand in `more_questions.toml`, those of the edges in `odd_questions.toml`, the casebook's own in
other words in `other_words.toml`, each with the reason in a word.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.book.asking import ask
from app.book.sheets import load_folder
from app.book.work import Book, open_book
from app.fit.answers import Answer, AnswerLine
from tests.book.test_casebook_answers import C1, TODAY, YARD

FILES = ("more_questions.toml", "odd_questions.toml", "other_words.toml")
QUESTIONS = [
    question
    for name in FILES
    for question in tomllib.loads((Path(__file__).parent / name).read_text(encoding="utf-8"))["question"]
]


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    book = open_book(str(tmp_path_factory.mktemp("more") / "yard.book"))
    load_folder(book, C1, YARD)
    yield book
    book.close()


def asked(yard: Book, question: dict[str, Any]) -> Answer:
    return ask(
        yard,
        C1,
        question["words"],
        part=question.get("part", ""),
        facts=question.get("facts", {}),
        on=question.get("on", TODAY),
        keep=False,
    )


def listed(lines: tuple[AnswerLine, ...]) -> list[str]:
    return [f"{'+'.join(line.tags)} {line.grade}" for line in lines]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda each: each["words"])
def test_a_question_has_the_answer_worked_out_by_hand(yard: Book, question: dict[str, Any]) -> None:
    found = asked(yard, question)
    assert listed(found.answers) == question["answers"], question["why"]
    assert listed(found.not_what_was_asked) == question.get("below", []), question["why"]
    refused = {tag for line in found.do_not_sell for tag in line.tags}
    assert refused == set(question.get("never", [])), question["why"]
    every = (*found.answers, *found.not_what_was_asked, *found.do_not_sell)
    said = {"+".join(line.tags): line.say for line in every}
    for tags, words in question.get("says", {}).items():
        assert words in said[tags]
    by_rules = {"+".join(line.tags): list(line.rules) for line in every}
    for tags, rules in question.get("rules", {}).items():
        assert by_rules[tags] == rules
    if "price" in question:
        assert found.answers[0].price_cents == question["price"] * 100
    if "years" in question:
        assert list(found.asked.said_years) == question["years"]
    if "left" in question:
        assert list(found.asked.not_understood) == question["left"]
    said_by_fact = {each.fact: list(each.choices) for each in found.questions}
    for fact, words in question.get("choices", {}).items():
        assert said_by_fact[fact] == words
    if "asks" in question:
        # With no fact named nothing is asked, for nothing would change the answer.
        assert bool(found.questions) == bool(question["asks"])
        assert not found.questions or found.questions[0].fact in question["asks"]
