"""Rules read from their sheets: whoever changes a line of one, what is read next is what its lines say now."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from alembic import command
from sqlalchemy import Connection, Integer, Table, delete, func, insert, select, text, update

from app.book import schema
from app.book.asking import ask
from app.book.reach.closure import rebuild
from app.book.reach.rulereading import read_every_rule, read_rules
from app.book.reach.rulesheets import write_sheets
from app.book.ruling import Proof, close, dispute, settle
from app.book.schema import Base, rule_sheets
from app.book.sheets import dump_folder, load_folder
from app.book.upgrading import bring_up
from app.book.work import Book, Who
from app.fit.rules import Rule
from app.fit.terms import Grade
from migrations.run import config
from tests.book.test_closure_any_rules import RULES, fill, table, write_conditions

OW, TODAY = Who("OW"), date(2026, 3, 4)
YARD = Path(__file__).parents[1] / "casebook"
LINES = (
    schema.RuleType,
    schema.RuleCondition,
    schema.RuleOperation,
    schema.RuleCompanion,
    schema.RuleConsequence,
    schema.RuleEvidence,
)


def write_rest(connection: Connection, chosen: random.Random, rule_id: int) -> None:
    """Work, companions, consequences and evidence, in no order of their numbers."""
    made: dict[type[Base], list[dict[str, Any]]] = {
        schema.RuleOperation: [{"work": "drill", "hours": 1.5, "way": "back"}, {"work": "plug | ] ,\n it"}],
        schema.RuleCompanion: [{"part_type_id": 1, "given": ["drive=4x4"]}, {"part_type_id": 2, "same_donor": True}],
        schema.RuleConsequence: [{"words": "rides {n} higher", "amount": '1 1/2"'}, {"words": "no ABS’s"}],
        schema.RuleEvidence: [{"kind": "tried", "words": "twice"}, {"kind": "told", "count": 3}],
    }
    for kind, lines in made.items():
        some = chosen.sample(lines, chosen.randint(0, 2))
        for number, line in sorted(enumerate(some, start=1), reverse=chosen.random() < 0.5):
            connection.execute(insert(table(kind)), {"rule_id": rule_id, "number": number, **line})


def furnish(connection: Connection, chosen: random.Random) -> None:
    """A yard at random with all that goes with its rules, and the sheets of all these."""
    fill(connection, chosen)
    for rule_id in range(1, RULES + 1):
        write_rest(connection, chosen, rule_id)
    rebuild(connection)


def ids_of(connection: Connection) -> list[int]:
    return list(connection.scalars(select(schema.Rule.id).order_by(schema.Rule.id)))


def names_of(connection: Connection) -> dict[int, str]:
    rows = connection.execute(select(schema.PartType.id, schema.PartType.name))
    return {row.id: row.name for row in rows}


def by_sheet(connection: Connection) -> dict[int, Rule]:
    return read_rules(connection, ids_of(connection), names_of(connection))


def by_lines(connection: Connection) -> dict[int, Rule]:
    """The rules as their lines say, with no sheet at hand."""
    with connection.begin_nested() as nested:
        connection.execute(delete(rule_sheets))
        found = by_sheet(connection)
        nested.rollback()
    return found


def made(connection: Connection) -> set[int]:
    """The rules that have a sheet."""
    return set(connection.scalars(select(rule_sheets.c.rule_id).where(rule_sheets.c.code.is_not(None))))


def changed(column: Any, value: Any) -> Any:
    """Another value that a column may have."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, list):
        return [*value, "another"]
    if isinstance(column.type, Integer):
        return value + 50
    return f"{value} or so"


def columns_of(kind: type[Base]) -> Iterator[Any]:
    """The columns of a line, but for those that name another row or are of a closed list."""
    of: Table = table(kind)
    yield from (each for each in of.columns if each.name not in ("id", "rule_id") and not each.foreign_keys)


@pytest.mark.parametrize("kind", LINES, ids=lambda kind: kind.__tablename__)
def test_a_sheet_is_gone_as_soon_as_any_line_of_its_rule_changes(book: Book, kind: type[Base]) -> None:
    lines = table(kind)
    with book.engine.begin() as connection:
        furnish(connection, random.Random(1))
        whole = made(connection)
        assert whole == set(ids_of(connection))
        one = connection.execute(select(lines).order_by(lines.c.id).limit(1)).mappings().one()
        for change in (
            update(lines).where(lines.c.id == one["id"]).values({"rule_id": one["rule_id"]}),
            delete(lines).where(lines.c.id == one["id"]),
            insert(lines).values(dict(one)),
        ):
            connection.execute(change)
            assert made(connection) == whole - {one["rule_id"]}
            write_sheets(connection, [one["rule_id"]])
            assert made(connection) == whole


def test_a_line_put_under_another_rule_takes_both_sheets_away(book: Book) -> None:
    lines = table(schema.RuleEvidence)
    with book.engine.begin() as connection:
        furnish(connection, random.Random(1))
        one = connection.execute(select(lines.c.id, lines.c.rule_id).limit(1)).one()
        other = next(each for each in ids_of(connection) if each != one.rule_id)
        connection.execute(update(lines).where(lines.c.id == one.id).values(rule_id=other, number=90))
        assert set(ids_of(connection)) - made(connection) == {one.rule_id, other}
        assert by_sheet(connection) == by_lines(connection)


def test_a_rule_that_goes_takes_its_sheet_along(book: Book) -> None:
    with book.engine.begin() as connection:
        furnish(connection, random.Random(1))
        connection.execute(insert(table(schema.Rule)), {"id": 99, "code": "R99", "grade": "measure", "why": "told"})
        assert 99 not in made(connection)
        write_sheets(connection, [99])
        assert 99 in made(connection)
        connection.execute(delete(schema.Rule).where(schema.Rule.id == 99))
        assert not connection.scalar(select(func.count()).where(rule_sheets.c.rule_id == 99))


@pytest.mark.parametrize("column", ["code", "why", "chains", "state", "grade", "direction", "kind"])
def test_what_a_rule_says_of_itself_is_read_as_it_stands(book: Book, column: str) -> None:
    said = {
        "chains": False,
        "state": "disputed",
        "grade": "measure",
        "direction": "both ways",
        "kind": "numbers",
    }
    rules = table(schema.Rule)
    with book.engine.begin() as connection:
        furnish(connection, random.Random(2))
        before = by_sheet(connection)
        connection.execute(update(rules).where(rules.c.id == 3).values({column: said.get(column, "another")}))
        connection.execute(update(rules).where(rules.c.id == 4).values({column: said.get(column, "one more")}))
        after = by_sheet(connection)
        assert {each for each in after if after[each] != before[each]} & {3, 4}
        assert after == by_lines(connection)


@pytest.mark.parametrize("seed", range(6))
def test_rules_read_from_sheets_are_those_of_their_lines_whoever_changed_these(book: Book, seed: int) -> None:
    chosen = random.Random(seed)
    with book.engine.begin() as connection:
        furnish(connection, chosen)
        assert by_sheet(connection) == by_lines(connection)
        assert tuple(read_every_rule(connection, names_of(connection))) == tuple(by_lines(connection).values())
        for _ in range(30):
            change_a_line(connection, chosen)
            if chosen.random() < 0.3:
                write_sheets(connection, chosen.sample(ids_of(connection), 5))
            assert by_sheet(connection) == by_lines(connection)


def change_a_line(connection: Connection, chosen: random.Random) -> None:
    """Add, change or delete a line, as somebody would who knows nothing of sheets."""
    kind, rule_id = chosen.choice(LINES), chosen.randint(1, RULES)
    lines = table(kind)
    own = connection.execute(select(lines).where(lines.c.rule_id == rule_id)).mappings().all()
    if own and chosen.random() < 0.3:
        connection.execute(delete(lines).where(lines.c.id == chosen.choice(own)["id"]))
    elif own and kind is not schema.RuleType:
        free = ("why", "words", "work", "amount", "allowed", "or_else", "values", "values_", "given", "number", "count")
        some = [each for each in columns_of(kind) if each.name in free]
        row, column = chosen.choice(own), chosen.choice(some)
        values = {column.name: changed(column, row[column.name])} if row[column.name] is not None else {}
        connection.execute(update(lines).where(lines.c.id == row["id"]).values(values or {"number": row["number"]}))
    elif not own and kind is not schema.RuleType:
        write_again(connection, chosen, rule_id, kind)


def write_again(connection: Connection, chosen: random.Random, rule_id: int, kind: type[Base]) -> None:
    if kind is schema.RuleCondition:
        write_conditions(connection, chosen, rule_id)
        return
    lines: dict[type[Base], dict[str, Any]] = {
        schema.RuleOperation: {"work": "weld"},
        schema.RuleCompanion: {"part_type_id": 3},
        schema.RuleConsequence: {"words": "is louder"},
        schema.RuleEvidence: {"kind": "guess"},
    }
    connection.execute(insert(table(kind)), {"rule_id": rule_id, "number": 1, **lines[kind]})


def test_every_rule_has_its_sheet_after_a_load_and_after_each_decision(book: Book, tmp_path: Path) -> None:
    def settled() -> bool:
        with book.engine.begin() as connection:
            return made(connection) == set(ids_of(connection)) and by_sheet(connection) == by_lines(connection)

    load_folder(book, OW, YARD)
    assert settled()
    dispute(book, OW, "R60", "one came back")
    assert settled()
    settle(book, OW, "R60", Proof("31 in on both", tool="tape"))
    assert settled()
    settle(book, OW, "R60", Proof("30 in on one", tool="tape"), says=Grade.BOLTS_IN)
    assert settled()
    close(book, OW, "R61", "measured otherwise")
    assert settled()
    folder = tmp_path / "written"
    dump_folder(book, folder)
    file = folder / "rule_evidence.csv"
    file.write_text(file.read_text().replace("tape", "laser"))
    assert load_folder(book, OW, folder).changed
    assert settled()


def test_lines_that_all_go_at_once_take_all_sheets_along(book: Book) -> None:
    gone = "DELETE FROM" if book.engine.dialect.name == "sqlite" else "TRUNCATE"
    with book.engine.begin() as connection:
        furnish(connection, random.Random(5))
        told = {rule_id for rule_id, rule in by_sheet(connection).items() if rule.evidence}
        connection.execute(text(f"{gone} rule_evidence"))
        assert told
        assert not made(connection) & told
        assert not any(rule.evidence for rule in by_sheet(connection).values())


def test_a_book_of_before_there_were_sheets_has_them_once_it_is_brought_up(book: Book) -> None:
    with book.engine.begin() as connection:
        furnish(connection, random.Random(6))
        before = by_sheet(connection)
    with book.engine.begin() as connection:
        command.downgrade(config(connection), "0004")
    bring_up(book.engine)
    with book.engine.begin() as connection:
        assert made(connection) == set(ids_of(connection))
        assert by_sheet(connection) == before
        connection.execute(update(schema.Rule).where(schema.Rule.id == 1).values(why="told otherwise"))
        assert by_sheet(connection)[1].why == "told otherwise"


def doubt(connection: Connection) -> None:
    """Change a line as somebody would with the server's own tools."""
    connection.execute(text("UPDATE rule_conditions SET fact = 'plant' WHERE rule_id = 1"))


def write_one(connection: Connection) -> None:
    write_sheets(connection, [1])


@pytest.mark.parametrize(("first", "second"), [(doubt, write_one), (write_one, doubt)], ids=["changed", "written"])
@pytest.mark.parametrize("had_one", [True, False], ids=["with a sheet", "without one"])
def test_a_sheet_made_while_a_line_is_changed_elsewhere_never_tells_the_old(
    postgres_book: Book, first: Callable[[Connection], None], second: Callable[[Connection], None], had_one: bool
) -> None:
    engine = postgres_book.engine
    with engine.begin() as connection:
        fill(connection, random.Random(7))
        if had_one:
            write_one(connection)

    def afterwards() -> None:
        with engine.begin() as other:
            second(other)

    waiting = Thread(target=afterwards)
    with engine.begin() as connection:
        first(connection)
        waiting.start()
        waiting.join(0.3)
        assert waiting.is_alive()
    waiting.join()
    with engine.begin() as connection:
        assert by_sheet(connection) == by_lines(connection)
        assert any(each.fact == "plant" for each in by_sheet(connection)[1].conditions)


def test_an_ask_reads_a_rule_without_a_sheet_from_its_lines_in_as_many_statements(sqlite_book: Book) -> None:
    words = "alternator 2008 light longwagon rear air towing"
    load_folder(sqlite_book, OW, YARD)
    found = ask(sqlite_book, OW, words, on=TODAY, keep=False)
    with sqlite_book.engine.begin() as connection:
        connection.execute(text("UPDATE counters SET last = last + 1 WHERE series = 'rules'"))
        connection.execute(delete(rule_sheets))
    seen: list[str] = []
    with sqlite_book.engine.connect() as connection:
        driver: Any = connection.connection.driver_connection
        driver.set_trace_callback(seen.append)
    again = ask(sqlite_book, OW, words, on=TODAY, keep=False)
    assert again.answers == found.answers
    # One for what bears on the ask, one for the law, and one where a chain may be an answer.
    assert sum("rule_sheets" in each for each in seen) <= 3
