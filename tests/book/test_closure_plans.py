"""How the database finds what a changed rule needs: by index, never through all rules or all that they come to."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import event, select

from app.book.closure import read_catalog, renew
from app.book.schema import Rule
from app.book.work import open_book
from tests.benchmarks.big_yard import Size, build

SMALL = ("json_each", "rule_date_moves")
"""What is read through: what was given, and the few rules that move dates."""


def test_a_changed_rule_is_found_by_what_it_reaches(tmp_path: Path) -> None:
    book = open_book(str(tmp_path / "yard.book"))
    build(book, Size(families=30, designs=60, rules=1_500, parts=400, types=100))
    asked: list[tuple[str, Any]] = []
    with book.engine.begin() as connection:
        catalog = read_catalog(connection)
        ids = connection.scalars(select(Rule.id).limit(20)).all()
        event.listen(connection, "before_cursor_execute", lambda *given: asked.append((given[2], given[3])))
        for rule_id in ids:
            renew(connection, catalog, [rule_id])
        done = {words: given for words, given in asked if "rule" in words}
        assert len(done) >= 10
        for words, given in done.items():
            steps = [row[3] for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {words}", given)]
            through = [step for step in steps if step.startswith("SCAN")]
            assert not [step for step in through if not any(name in step for name in SMALL)], (words, steps)
            assert not [step for step in steps if "BLOOM" in step], (words, steps)
    book.close()
