"""How the database finds what an ask needs: by the index of parts free to sell, never through all parts or rules."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from sqlalchemy import Connection, text

from app.book.bearing import STATEMENTS
from app.book.fetching import fetch
from app.book.partrows import LINE_OF_MODEL, MODEL, PARTS, STOCK, WHOLE, WITH_STOCK, Glance, Sort, Whole
from app.book.reach.rulesheets import BY_ID
from app.book.work import Book, open_book
from tests.benchmarks.big_yard import Size, build

LISTS = {
    "types": "[3]",
    "models": "[4, 5, 6]",
    "designs": "[2]",
    "parts": "[1]",
    "donors": "[1]",
    "ids": "[1]",
    "unread": "[5]",
}
GIVEN: dict[str, object] = {
    **LISTS,
    "whole": "[6]",
    "companions": "[5]",
    "told_apart": "[6]",
    "near": "[7]",
    "enough": 3,
}


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Book:
    book = open_book(str(Path(tmp_path_factory.mktemp("plans")) / "yard.book"))
    build(book, Size(families=30, designs=600, rules=1_500, parts=6_000, types=100))
    return book


def plan(yard: Book, statement: str) -> list[str]:
    words = statement
    given = {name: value for name, value in GIVEN.items() if f":{name}" in words}
    with yard.engine.connect() as connection:
        return [row[3] for row in connection.execute(text(f"EXPLAIN QUERY PLAN {words}"), given)]


@pytest.mark.parametrize("best", [False, True], ids=["any", "the best"])
@pytest.mark.parametrize("with_models", [False, True], ids=["alone", "with their models"])
def test_parts_are_found_by_the_index_of_those_free_to_sell(yard: Book, best: bool, with_models: bool) -> None:
    steps = plan(yard, PARTS[Sort(True, best, with_models)]["sqlite"])
    assert any("p USING COVERING INDEX ix_parts_free (part_type_id=? AND model_id=?" in step for step in steps)
    assert not [step for step in steps if step.startswith(("SCAN p", "SCAN d ", "SCAN i", "SCAN m"))]
    assert not [step for step in steps if "BLOOM" in step]


@pytest.mark.parametrize("of_models", [True, False], ids=["for a vehicle", "for any vehicle"])
def test_rules_are_found_by_what_they_reach(yard: Book, of_models: bool) -> None:
    steps = plan(yard, STATEMENTS[of_models]["sqlite"])
    assert any(step.startswith("SEARCH r USING PRIMARY KEY") for step in steps)
    assert any(step.startswith("SEARCH m USING PRIMARY KEY (second=?)") for step in steps)
    assert not [step for step in steps if step.startswith(("SCAN r", "SCAN m", "SCAN n", "SCAN u"))]
    assert not [step for step in steps if "BLOOM" in step]


def test_a_rule_is_read_by_its_number_from_its_sheet_and_else_from_its_lines(yard: Book) -> None:
    steps = plan(yard, BY_ID["sqlite"])
    assert any(step.startswith("SEARCH s USING INTEGER PRIMARY KEY") for step in steps)
    assert not [step for step in steps if step.startswith("SCAN") and not step.startswith("SCAN k")], steps


def test_a_part_is_read_whole_by_its_number_and_what_is_written_of_it_by_the_part(yard: Book) -> None:
    steps = plan(yard, WHOLE["sqlite"])
    assert not [step for step in steps if step.startswith("SCAN") and "json_each" not in step.lower()], steps


@pytest.mark.parametrize("with_models", [False, True], ids=["alone", "with their models"])
def test_companions_are_found_by_the_index_of_those_free_to_sell(yard: Book, with_models: bool) -> None:
    steps = plan(yard, WITH_STOCK[with_models]["sqlite"])
    assert len([step for step in steps if "INDEX ix_parts_free (part_type_id=?" in step]) == 4
    tables = ("json_each", "SCAN b", "SCAN e", "SCAN p ", "(subquery", "SCAN found", "SCAN o")
    assert not [step for step in steps if step.startswith("SCAN") and not any(each in step for each in tables)], steps
    assert "SCAN p" not in steps


def test_where_there_are_too_many_the_best_and_cheapest_are_looked_at(yard: Book) -> None:
    with yard.engine.connect() as connection:
        given = {"types": "[3]", "models": str(list(range(1, 1_201))), "designs": "[]"}
        found = [Glance._make(row) for row in fetch(connection, PARTS[Sort(True, best=True, with_models=False)], given)]
        prices = {row.id: row.price_cents for row in connection.execute(text("SELECT id, price_cents FROM parts"))}
    ranks = [(row.rank, prices[row.id], row.id) for row in found if row.standing == "free"]
    assert len(ranks) > 5
    assert ranks == sorted(ranks)


def lines_of(connection: Connection, models: set[int]) -> set[tuple[int, str]]:
    lines = connection.execute(text("SELECT model_id, value FROM model_facts"))
    return {(model, value) for model, value in lines if model in models}


def test_what_models_can_be_is_read_along_with_their_parts_as_far_as_it_is_not_known(yard: Book) -> None:
    with yard.engine.connect() as connection:
        given = {"types": str(list(range(1, 20))), "models": str(list(range(1, 1_201))), "designs": "[]"}
        off = {
            row.model_id
            for row in map(Glance._make, fetch(connection, PARTS[Sort(True, best=False, with_models=False)], given))
        }
        unread = sorted(model for model in off if model is not None)[::2]
        sort = Sort(of_models=True, best=False, with_models=True)
        found = map(Glance._make, fetch(connection, PARTS[sort], {**given, "unread": str(unread)}))
        read = {(row.id, json.loads(row.tag)[2]) for row in found if row.standing == MODEL}
        expected = lines_of(connection, set(unread))
    assert expected
    assert read == expected


def test_what_the_models_of_companions_can_be_is_read_along_with_them(yard: Book) -> None:
    with yard.engine.connect() as connection:
        given = {**GIVEN, "companions": "[5, 6, 7, 8]", "parts": "[]"}
        found = [Whole._make(row) for row in fetch(connection, WITH_STOCK[True], given)]
        off = {row.model_id for row in found if row.whose == STOCK and row.model_id is not None}
        expected = lines_of(connection, off)
    assert expected
    assert {(row.id, json.loads(row.tag)[2]) for row in found if row.whose == LINE_OF_MODEL} == expected
