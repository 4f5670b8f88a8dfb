"""How the database finds what a changed rule needs: by index, never through all rules or all that they come to."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from sqlalchemy import select

from app.book.reach.closure import read_catalog, renew
from app.book.schema import Rule
from app.book.work import open_book
from tests.benchmarks.big_yard import Size, build

FIGURES = re.compile(r"[\d\[\], ]+")
SMALL = ("json_each", "rule_date_moves")
"""What is read through: what was given, and the few rules that move dates."""


def test_a_changed_rule_is_found_by_what_it_reaches(tmp_path: Path) -> None:
    book = open_book(str(tmp_path / "yard.book"))
    build(book, Size(families=30, designs=60, rules=1_500, parts=400, types=100))
    asked: list[str] = []
    with book.engine.begin() as connection:
        catalog = read_catalog(connection)
        ids = connection.scalars(select(Rule.id).limit(20)).all()
        driver: Any = connection.connection.driver_connection
        driver.set_trace_callback(asked.append)
        for rule_id in ids:
            renew(connection, catalog, [rule_id])
        driver.set_trace_callback(None)
        alike = {FIGURES.sub("", words): words for words in asked if "rule" in words}
        assert len(alike) >= 10
        for words in alike.values():
            steps = [row[3] for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {words}")]
            through = [step for step in steps if step.startswith("SCAN")]
            assert not [step for step in through if not any(name in step for name in SMALL)], (words, steps)
            assert not [step for step in steps if "BLOOM" in step], (words, steps)
    book.close()
