"""The model year: asked for where nobody said it and it would change the answer, and told beside the words.

1.7.18 of the casebook: the one fact that leaves the fewest parts undecided is asked first, and nothing that changes
nothing; the answers follow from the rules of the test yard.
"""

from __future__ import annotations

from datetime import date

import pytest

from app.book.asking import ask
from app.book.work import Book, Who
from app.errors import BadInput
from app.fit.answers import Answer

TODAY = date(2026, 3, 4)
C1 = Who("C1", seat="counter")


def answered(yard: Book, words: str, **facts: str) -> Answer:
    return ask(yard, C1, words, facts=facts, on=TODAY, keep=False)


def asked_for(found: Answer) -> list[str]:
    return [each.fact for each in found.questions]


def graded(found: Answer) -> list[str]:
    return [f"{'+'.join(line.tags)} {line.grade}" for line in found.answers]


def test_the_year_is_asked_where_it_tells_one_body_from_the_other(yard: Book) -> None:
    """R77 and R100: the tailgate of the second body bolts up to the second, and to the first nobody compared it."""
    found = answered(yard, "tailgate light tolliver")
    assert asked_for(found)[0] == "year"
    assert found.questions[0].words == "What year?"
    assert graded(answered(yard, "tailgate light tolliver", year="2009"))[0] == "S332 bolts_up"


def test_the_year_is_asked_beside_what_tells_more(yard: Book) -> None:
    """R29 to R32 split at January of 2009, in the middle of model year 2009: a month settles it, a year mostly."""
    found = answered(yard, "fuel pump light longwagon 26 gallon")
    assert asked_for(found) == ["built", "year"]
    assert graded(answered(yard, "fuel pump light longwagon 26 gallon", year="08")) == [
        "S202 bolts_up",
        "S200+S201 set",
    ]


@pytest.mark.parametrize(
    "line",
    ["lca rh light longwagon", "grille brae", "door mirror rh light longwagon", "left headlamp tansy"],
)
def test_a_year_that_changes_nothing_is_not_asked(yard: Book, line: str) -> None:
    assert "year" not in asked_for(answered(yard, line))


@pytest.mark.parametrize(
    "line",
    [
        "left hub 07 light tolliver 4x4",
        "fuel pump 09 light longwagon",
        "fuel pump light longwagon built 02/08",
        "tailgate light tolliver built before 2005",
    ],
)
def test_a_year_that_was_said_or_is_told_by_the_month_is_not_asked(yard: Book, line: str) -> None:
    assert "year" not in asked_for(answered(yard, line))


def test_of_two_years_that_were_said_the_one_is_asked(yard: Book) -> None:
    """2009 itself is split, but 2010 is not."""
    found = answered(yard, "fuel pump 2009 or 2010 light longwagon 26 gallon")
    (year,) = [each for each in found.questions if each.fact == "year"]
    assert year.choices == ("2009", "2010")


def test_a_stated_year_beats_the_words_and_leaves_the_models_that_were_built_then(yard: Book) -> None:
    found = answered(yard, "2004 light tolliver tailgate", year="2009")
    assert (found.asked.year, found.asked.models) == (2009, ("PL2",))
    assert [each.value for each in found.asked.chips if each.field == "year"] == ["2009"]


@pytest.mark.parametrize("said", ["soon", "2007 or 2008", "12345"])
def test_a_stated_year_must_be_one(yard: Book, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        answered(yard, "tailgate tolliver", year=said)
    assert caught.value.place == "year"
