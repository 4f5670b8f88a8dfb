"""How the database finds what an ask needs: by the index of parts free to sell, never through all parts or rules."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import text

from app.book.bearing import STATEMENTS
from app.book.fetching import fetch
from app.book.partrows import BEST_PARTS, COMPANIONS, PARTS, WHOLE, Glance
from app.book.rulesheets import BY_ID
from app.book.work import Book, open_book
from tests.benchmarks.big_yard import Size, build

LISTS = {"types": "[3]", "models": "[4, 5, 6]", "designs": "[2]", "parts": "[1]", "donors": "[1]", "ids": "[1]"}
GIVEN: dict[str, object] = {**LISTS, "companions": "[5]", "told_apart": "[6]", "near": "[7]", "enough": 3}


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


def test_parts_are_found_by_the_index_of_those_free_to_sell(yard: Book) -> None:
    steps = plan(yard, PARTS[True]["sqlite"])
    assert any("p USING COVERING INDEX ix_parts_free (part_type_id=? AND model_id=?" in step for step in steps)
    assert not [step for step in steps if step.startswith(("SCAN p", "SCAN d ", "SCAN i"))]
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


def test_companions_are_found_by_the_index_of_those_free_to_sell(yard: Book) -> None:
    steps = plan(yard, COMPANIONS["sqlite"])
    assert len([step for step in steps if "INDEX ix_parts_free (part_type_id=?" in step]) == 4
    tables = ("json_each", "SCAN b", "SCAN e", "SCAN p ", "(subquery")
    assert not [step for step in steps if step.startswith("SCAN") and not any(each in step for each in tables)], steps
    assert "SCAN p" not in steps


def test_where_there_are_too_many_the_best_and_cheapest_are_looked_at(yard: Book) -> None:
    with yard.engine.connect() as connection:
        given = {"types": "[3]", "models": str(list(range(1, 1_201))), "designs": "[]"}
        every = [Glance._make(row) for row in fetch(connection, PARTS[True], given)]
        best = [Glance._make(row) for row in fetch(connection, BEST_PARTS[True], given)]
    assert len(every) > 5
    assert sorted(every) == sorted(best)
    ranks = [(row.condition, row.price_cents, row.id) for row in best if row.chosen]
    assert ranks == sorted(ranks)
