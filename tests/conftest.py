"""What every test stands on: a still clock, a machine that looks the same everywhere, and fresh books.

`book` is an empty book on SQLite and again on PostgreSQL; `sqlite_book` and `postgres_book` are one of
them alone. `empty_address` is the address of a database without tables, on both.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from app.book.work import Book
from tests.support.books import Databases, copy_file, migrated_file, opened
from tests.support.clock import YARD_ZONE, Clock
from tests.support.postgres import NoServer, Server, find_server

NO_SKIP = "DONORBOOK_NO_SKIP"
DATABASES = ("sqlite", "postgresql")

# A shared machine is slow now and then, which is no fault of what is tested.
settings.register_profile("here", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", settings.get_profile("here"), derandomize=True, database=None, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")


@pytest.fixture(autouse=True)
def same_everywhere(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test sees whose machine it runs on: home folder, time zone, terminal, color, the user's book."""
    home = tmp_path_factory.mktemp("home")
    fixed = {
        "HOME": home,
        "XDG_DATA_HOME": home / "data",
        "XDG_CONFIG_HOME": home / "config",
        "XDG_CACHE_HOME": home / "cache",
        "XDG_STATE_HOME": home / "state",
        "TZ": YARD_ZONE,
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
        "COLUMNS": "80",
        "LINES": "24",
        "LC_ALL": "C.UTF-8",
    }
    for name, value in fixed.items():
        monkeypatch.setenv(name, str(value))
    for name in ("DONORBOOK_BOOK", "NO_COLOR", "FORCE_COLOR", "CLICOLOR", "XDG_RUNTIME_DIR"):
        monkeypatch.delenv(name, raising=False)
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture(autouse=True)
def still_screens(monkeypatch: pytest.MonkeyPatch) -> None:
    """A screen shows the same a moment later: no blinking cursor, nothing sliding."""
    from textual import constants
    from textual.widgets import Input, TextArea

    monkeypatch.setattr(constants, "TEXTUAL_ANIMATIONS", "none")
    for widget in (Input, TextArea):
        monkeypatch.setattr(widget.cursor_blink, "_default", False)


@pytest.fixture
def clock() -> Clock:
    """A clock at 2026-03-04 10:02 in the yard; set `clock.now` or call `clock.forward(minutes=5)`."""
    return Clock()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty book's file, made by the migrations once in a run."""
    return migrated_file(tmp_path_factory.mktemp("template"))


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[Server]:
    """One PostgreSQL server for the whole run; a skip that says what was tried where there is none."""
    try:
        server = find_server()
    except NoServer as none:
        if os.environ.get(NO_SKIP):
            pytest.fail(f"{none} ({NO_SKIP} is set: no skipping)", pytrace=False)
        pytest.skip(f"NOT TESTED ON POSTGRESQL: {none}")
    yield server
    server.stop()


@pytest.fixture(scope="session")
def databases(postgres_server: Server) -> Iterator[Databases]:
    """Databases on the run's server, each a copy of one template."""
    made = Databases(postgres_server)
    yield made
    made.close()


@pytest.fixture
def sqlite_book(sqlite_template: Path, tmp_path: Path, clock: Clock) -> Iterator[Book]:
    """An empty book in a SQLite file."""
    with opened(str(copy_file(sqlite_template, tmp_path / "yard.book")), clock) as book:
        yield book


@pytest.fixture
def postgres_book(databases: Databases, clock: Clock) -> Iterator[Book]:
    """An empty book in a PostgreSQL database."""
    name = databases.fresh()
    with opened(databases.address(name), clock) as book:
        yield book
    databases.drop(name)


@pytest.fixture(params=DATABASES)
def book(request: pytest.FixtureRequest) -> Book:
    """An empty book, once on each database."""
    found: Book = request.getfixturevalue("sqlite_book" if request.param == "sqlite" else "postgres_book")
    return found


@pytest.fixture(params=DATABASES)
def empty_address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a database that holds nothing yet, once on each database."""
    if request.param == "sqlite":
        yield str(tmp_path / "new.book")
        return
    databases: Databases = request.getfixturevalue("databases")
    name = databases.empty()
    yield databases.address(name)
    databases.drop(name)
