"""Bringing a book to today's schema: the migrations make what the models say, and no row is lost."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, inspect, text

import migrations.run
from app.book.engine import SCHEMA, make_engine, schema_of
from app.book.schema import Base
from app.book.sheets import load_folder
from app.book.upgrading import bring_up
from app.book.work import Book, Who, open_book
from migrations.run import config, upgrade
from tests.support.books import Databases
from tests.support.yard import furnish, keep, paid_ticket, part, sale_line, stock

ROOT = Path(__file__).parents[2]

AFTER = f"{int(SCHEMA) + 1:04d}"

# A change of a table that others point to: on SQLite the table is made anew and the old one dropped.
NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "{next}"
down_revision = "{newest}"
branch_labels = depends_on = None

def upgrade():
    with op.batch_alter_table("donors") as table:
        table.add_column(sa.Column("color", sa.String(), nullable=False, server_default=""))
{more}

def downgrade():
    with op.batch_alter_table("donors") as table:
        table.drop_column("color")
"""


def next_migration(more: str = "") -> str:
    """The text of a migration that comes after the newest."""
    return NEXT.format(next=AFTER, newest=SCHEMA, more=more)


@pytest.fixture
def next_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The migrations with one more after the newest; the file of it may be written anew."""
    scripts = tmp_path / "migrations"
    shutil.copytree(migrations.run.SCRIPTS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(migrations.run, "SCRIPTS", scripts)
    file = scripts / "versions" / f"{AFTER}_color.py"
    file.write_text(next_migration())
    return file


@pytest.fixture(params=["sqlite", "postgresql"])
def from_models(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[Engine, Engine]]:
    """Two databases of one kind: one made by the migrations, one straight from the models."""
    if request.param == "sqlite":
        addresses = [str(tmp_path / "migrated.book"), str(tmp_path / "models.book")]
        made: list[str] = []
    else:
        databases: Databases = request.getfixturevalue("databases")
        made = [databases.fresh(), databases.empty()]
        addresses = [databases.address(name) for name in made]
    open_book(addresses[0]).close()
    engines = make_engine(addresses[0]), make_engine(addresses[1])
    Base.metadata.create_all(engines[1])
    yield engines
    for engine in engines:
        engine.dispose()
    for name in made:
        databases.drop(name)


def described(engine: Engine) -> dict[str, dict[str, Any]]:
    """Every table as the database itself describes it, with nothing left to the order of things."""
    found = inspect(engine)

    def plain(rows: Any) -> list[str]:
        return sorted(" ".join(repr(sorted(row.items(), key=lambda item: item[0])).split()) for row in rows)

    return {
        table: {
            "columns": plain({**column, "type": repr(column["type"])} for column in found.get_columns(table)),
            "primary key": plain([found.get_pk_constraint(table)]),
            "foreign keys": plain(found.get_foreign_keys(table)),
            "unique": plain(found.get_unique_constraints(table)),
            "checks": plain(found.get_check_constraints(table)),
            "indexes": plain({**each, "dialect_options": repr(_clause(each))} for each in found.get_indexes(table)),
        }
        for table in found.get_table_names()
        if table != "alembic_version"
    }


def _clause(index: Any) -> list[tuple[str, str]]:
    return sorted((name, str(value)) for name, value in index.get("dialect_options", {}).items())


def test_the_migrations_make_exactly_what_the_models_say(from_models: tuple[Engine, Engine]) -> None:
    migrated, modelled = (described(engine) for engine in from_models)
    assert migrated.keys() == modelled.keys() == Base.metadata.tables.keys()
    for table, wanted in modelled.items():
        assert migrated[table] == wanted, table


def test_alembic_finds_no_difference_between_models_and_migrations(book: Book) -> None:
    with book.engine.connect() as connection:
        command.check(config(connection))


def test_the_program_wants_the_newest_migration_and_there_is_one_line_of_them(book: Book) -> None:
    assert ScriptDirectory.from_config(config()).get_heads() == [SCHEMA]
    assert schema_of(book.engine) == SCHEMA


def rows_of(engine: Engine) -> dict[str, list[Any]]:
    """All rows of all tables."""
    with engine.connect() as connection:
        names = [name for name in inspect(connection).get_table_names() if name != "alembic_version"]
        return {name: list(connection.execute(text(f"SELECT * FROM {name} ORDER BY 1")).all()) for name in names}


def sold_one(book: Book) -> None:
    """A yard with two parts, one of them sold."""
    stock(book, 2)
    keep(book, paid_ticket(), sale_line())


def test_an_upgrade_of_a_book_at_its_newest_changes_nothing(book: Book) -> None:
    sold_one(book)
    before = rows_of(book.engine)
    upgrade(book.engine)
    assert rows_of(book.engine) == before


def test_what_rules_come_to_is_made_anew_for_a_book_whose_links_had_other_numbers(book: Book) -> None:
    load_folder(book, Who("OW"), ROOT / "tests" / "casebook")
    before = rows_of(book.engine)
    with book.engine.begin() as connection:
        command.downgrade(config(connection), "0003")
        connection.execute(text("UPDATE rule_reach SET link = link + 1000000"))
        connection.execute(text("UPDATE rule_meets SET first = first + 1000000, second = second + 1000000"))
    bring_up(book.engine)
    after = rows_of(book.engine)
    for table in ("rule_reach", "rule_meets"):
        assert before[table]
        assert set(after[table]) == set(before[table])


def test_rows_of_links_with_other_numbers_are_gone_where_a_book_is_only_upgraded(book: Book) -> None:
    load_folder(book, Who("OW"), ROOT / "tests" / "casebook")
    with book.engine.begin() as connection:
        command.downgrade(config(connection), "0003")
    upgrade(book.engine)
    after = rows_of(book.engine)
    assert not after["rule_reach"]
    assert not after["rule_meets"]
    assert after["rules"]


def test_an_upgrade_of_a_parent_table_keeps_every_child_row(book: Book, next_version: Path) -> None:
    assert next_version.exists()
    sold_one(book)
    before = rows_of(book.engine)
    upgrade(book.engine)
    after = rows_of(book.engine)
    assert schema_of(book.engine) == AFTER
    assert [tuple(row)[:-1] for row in after["donors"]] == [tuple(row) for row in before["donors"]]
    assert {**after, "donors": None} == {**before, "donors": None}


def test_a_book_is_backed_up_whole_before_it_is_upgraded(sqlite_book: Book, next_version: Path) -> None:
    assert next_version.exists()
    sold_one(sqlite_book)
    before = rows_of(sqlite_book.engine)
    backup = upgrade(sqlite_book.engine)
    assert backup is not None
    copy = make_engine(str(backup))
    assert schema_of(copy) == SCHEMA
    assert rows_of(copy) == before
    copy.dispose()


def test_a_new_book_needs_no_backup(tmp_path: Path) -> None:
    open_book(str(tmp_path / "new.book")).close()
    assert not list(tmp_path.glob("*before*"))


def test_foreign_keys_are_on_again_after_an_upgrade(sqlite_book: Book) -> None:
    upgrade(sqlite_book.engine)
    with sqlite_book.read() as session:
        assert session.scalar(text("PRAGMA foreign_keys")) == 1


ORPHANS = '    op.execute("DELETE FROM donors")'
FALLS_OVER = '    op.execute("UPDATE donors SET words = words || \'!\'")\n    op.execute("SELECT * FROM no_such_table")'


@pytest.mark.parametrize("more", [ORPHANS, FALLS_OVER], ids=["orphans", "falls over"])
def test_an_upgrade_that_goes_wrong_leaves_the_book_as_it_was(book: Book, next_version: Path, more: str) -> None:
    next_version.write_text(next_migration(more))
    sold_one(book)
    before, tables = rows_of(book.engine), described(book.engine)
    with pytest.raises(Exception, match=r"parents|no_such_table|foreign key"):
        upgrade(book.engine)
    assert schema_of(book.engine) == SCHEMA
    assert rows_of(book.engine) == before
    assert described(book.engine) == tables


def test_foreign_keys_are_on_again_after_an_upgrade_that_went_wrong(sqlite_book: Book, next_version: Path) -> None:
    next_version.write_text(next_migration(FALLS_OVER))
    with pytest.raises(Exception, match="no_such_table"):
        upgrade(sqlite_book.engine)
    with sqlite_book.read() as session:
        assert session.scalar(text("PRAGMA foreign_keys")) == 1


def test_a_book_goes_down_to_nothing_and_up_again(book: Book) -> None:
    sold_one(book)
    before = described(book.engine)
    with book.engine.begin() as connection:
        command.downgrade(config(connection), "base")
    assert set(inspect(book.engine).get_table_names()) <= {"alembic_version"}
    with book.engine.begin() as connection:
        assert connection.execute(text(left_over(book.engine))).all() == []
    upgrade(book.engine)
    assert described(book.engine) == before
    sold_one(book)


def left_over(engine: Engine) -> str:
    """A query for triggers and functions that outlived their tables."""
    if engine.dialect.name == "sqlite":
        return "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    return "SELECT proname FROM pg_proc WHERE pronamespace = 'public'::regnamespace"


def test_the_guards_stand_again_after_going_down_and_up(book: Book) -> None:
    with book.engine.begin() as connection:
        command.downgrade(config(connection), "base")
    upgrade(book.engine)
    sold_one(book)
    with pytest.raises(Exception, match="never deleted"), book.engine.begin() as connection:
        connection.execute(text("DELETE FROM sale_tickets"))


def test_every_foreign_key_of_the_book_holds(sqlite_book: Book) -> None:
    furnish(sqlite_book)
    keep(sqlite_book, part())
    with sqlite_book.read() as session:
        assert session.execute(text("PRAGMA foreign_key_check")).all() == []
        assert session.scalar(text("PRAGMA integrity_check")) == "ok"


def test_an_installed_program_makes_a_book_from_any_folder(tmp_path: Path) -> None:
    # No project file beside it, and a folder name that a configuration file would trip over.
    installed = tmp_path / "100% our programs"
    for package in ("app", "labels", "migrations"):
        shutil.copytree(ROOT / package, installed / package, ignore=shutil.ignore_patterns("__pycache__"))
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    program = (
        "import sys; sys.path.insert(0, sys.argv[1]); import migrations.run; from app.book.work import open_book; "
        "open_book(sys.argv[2]).close(); print(migrations.run.SCRIPTS)"
    )
    file = tmp_path / "yard.book"
    run = [sys.executable, "-c", program, str(installed), str(file)]
    done = subprocess.run(run, cwd=elsewhere, capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == str(installed / "migrations")
    connection = sqlite3.connect(file)
    assert connection.execute("SELECT version_num FROM alembic_version").fetchall() == [(SCHEMA,)]
    connection.close()
    assert not list(elsewhere.iterdir())
