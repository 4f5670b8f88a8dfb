"""Books of generated yards for measurements, in files or on a PostgreSQL server: made once, copied to be written."""

from __future__ import annotations

import pickle
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
from sqlalchemy import select
from sqlalchemy.engine import URL, make_url

from app.book.schema import Part
from app.book.work import Book, open_book
from tests.benchmarks.big_yard import BigYard, Size, build
from tests.support.books import Databases, copy_file
from tests.support.postgres import find_server


def shares(taken: Sequence[float]) -> str:
    """Median and tails of a list of milliseconds."""
    return ", ".join(f"p{int(share * 100)} {share_of(taken, share):.2f}" for share in (0.5, 0.95, 0.99))


def share_of(taken: Sequence[float], share: float) -> float:
    """What so great a share of a list of milliseconds does not exceed."""
    return sorted(taken)[min(len(taken) - 1, int(len(taken) * share))]


def timed(work: Callable[..., object], *given: Any) -> float:
    """Milliseconds of one run."""
    started = time.perf_counter()
    work(*given)
    return (time.perf_counter() - started) * 1000


@contextmanager
def place_for(given: str | None, postgres: bool) -> Iterator[str]:
    """The address given; else one for a while, in a folder or on a server such as the tests have."""
    if given:
        yield given
    elif postgres:
        server = find_server()
        try:
            databases = Databases(server)
            place = databases.address(databases.empty())
            yield place
            _beside(place).unlink(missing_ok=True)
        finally:
            server.stop()
    else:
        with tempfile.TemporaryDirectory() as folder:
            yield str(Path(folder) / "yard.book")


def made(place: str, size: Size) -> tuple[Book, BigYard]:
    """The yard of a book; built where it is not there yet, and kept with what asks are made of."""
    beside, book = _beside(place), open_book(place)
    with book.read() as session:
        there = session.scalar(select(Part.id).limit(1)) is not None
    if there:
        return book, pickle.loads(beside.read_bytes())
    yard = build(book, size)
    beside.write_bytes(pickle.dumps(yard))
    if server_of(place):
        # As the server does by itself after a while: what is seen by everybody is then read off an index alone.
        with psycopg.connect(plain(make_url(place)), autocommit=True) as connection:
            connection.execute("VACUUM ANALYZE")
    return book, yard


def _beside(place: str) -> Path:
    """Where what asks are made of is kept: beside a file; for a book on a server among temporary files."""
    if server_of(place):
        return Path(tempfile.gettempdir()) / f"{make_url(place).database}.yard"
    return Path(f"{place}.yard")


def server_of(place: str) -> bool:
    """Whether a book is on a server."""
    return "://" in place


def plain(url: URL) -> str:
    """A database's address as its driver takes it."""
    return url.set(drivername="postgresql").render_as_string(hide_password=False)


def about(place: str) -> str:
    """What keeps the book: a server and whether it waits for the disk, or a file."""
    if not server_of(place):
        return "SQLite"
    with psycopg.connect(plain(make_url(place))) as connection:
        row = connection.execute(
            "SELECT split_part(current_setting('server_version'), ' ', 1), current_setting('fsync'), "
            "current_setting('synchronous_commit'), current_setting('shared_buffers')"
        ).fetchone()
    assert row is not None
    return f"PostgreSQL {row[0]}, fsync {row[1]}, synchronous_commit {row[2]}, shared_buffers {row[3]}"


@contextmanager
def copied(place: str) -> Iterator[str]:
    """The address of a copy that may be written; it goes at the end."""
    if not server_of(place):
        with tempfile.TemporaryDirectory() as folder:
            yield str(copy_file(Path(place), Path(folder) / "copy.book"))
        return
    url = make_url(place)
    name = f"{url.database}_{uuid.uuid4().hex[:6]}"
    _administer(url, f'CREATE DATABASE "{name}" TEMPLATE "{url.database}"')
    try:
        yield plain(url.set(database=name))
    finally:
        _administer(url, f'DROP DATABASE "{name}" WITH (FORCE)')


def _administer(url: URL, statement: str) -> None:
    with psycopg.connect(plain(url.set(database="postgres")), autocommit=True) as connection:
        connection.execute(statement.encode())
