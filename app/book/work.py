"""One use case, one transaction, one history line: it happened whole or not at all."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path

from sqlalchemy import Engine, text
from sqlalchemy.orm import Session

from app.book.engine import SCHEMA, make_engine, schema_of, where
from app.book.schema import History, Outcome, Role
from app.book.settings import Settings, load_settings
from app.errors import BookTrouble, Refused


def _now() -> datetime:
    return datetime.now(UTC).replace(microsecond=0)


@dataclass(frozen=True, slots=True)
class Who:
    """The person at the seat."""

    code: str
    role: Role = Role.OWNER
    seat: str = "office"


@dataclass
class Work:
    """An open transaction of one person; only `Book.write` makes one."""

    session: Session
    who: Who
    now: datetime
    noted: bool = field(default=False, init=False)

    @cached_property
    def settings(self) -> Settings:
        """The yard's settings as they stand in this transaction."""
        return load_settings(self.session)

    def note(self, action: str, subject: str, words: str, **details: object) -> None:
        """Write the history line that goes with what was done."""
        self.session.add(_line(self.who, self.now, action, subject, words, Outcome.DONE, details))
        self.noted = True

    def note_refusal(self, action: str, subject: str, words: str, **details: object) -> None:
        """Write a history line of a "no" that leaves the work going on, such as two readings that differ."""
        self.session.add(_line(self.who, self.now, action, subject, words, Outcome.REFUSED, details))
        self.noted = True

    def number(self, series: str) -> int:
        """The next number of a series; given out once, even to two desks at the same moment."""
        found = self.session.scalar(
            text(
                "INSERT INTO counters (series, last) VALUES (:series, 1) "
                "ON CONFLICT (series) DO UPDATE SET last = counters.last + 1 RETURNING last"
            ),
            {"series": series},
        )
        assert isinstance(found, int)
        return found


def _line(
    who: Who, at: datetime, action: str, subject: str, words: str, outcome: Outcome, details: dict[str, object]
) -> History:
    return History(
        event=uuid.uuid4().hex,
        at=at,
        seat=who.seat,
        by=who.code,
        action=action,
        subject=subject,
        outcome=outcome,
        words=words,
        details=details,
    )


class Book:
    """The yard's book: an engine and a clock, with a way to read and a way to write."""

    def __init__(self, engine: Engine, clock: Callable[[], datetime] = _now) -> None:
        self.engine = engine
        self.clock = clock
        self._writer = engine.execution_options(sqlite_begin="IMMEDIATE")
        self._on_server = engine.dialect.name == "postgresql"
        self._reader = (
            engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
            if self._on_server
            else engine
        )

    @contextmanager
    def read(self) -> Iterator[Session]:
        """A session on one unmoving state of the book; nothing it does is kept, and a server lets it write nothing."""
        with Session(self._reader, expire_on_commit=False) as session:
            yield session
            if self._on_server:
                # The driver forgets the statements it has prepared when it rolls back, and each is planned anew.
                session.expunge_all()
                session.commit()

    @contextmanager
    def write(self, who: Who) -> Iterator[Work]:
        """One transaction: kept whole when the block ends, rolled back on any error.

        A `Refused` raised inside is rolled back too, and then written to the history as a refusal.
        """
        now = self.clock()
        try:
            with Session(self._writer, expire_on_commit=False) as session, session.begin():
                work = Work(session, who, now)
                yield work
                assert work.noted, "a use case must leave a history line"
        except Refused as refusal:
            with Session(self._writer) as session, session.begin():
                session.add(
                    _line(who, now, refusal.action, refusal.subject, refusal.title, Outcome.REFUSED, refusal.details)
                )
            raise

    @contextmanager
    def unrecorded(self, who: Who) -> Iterator[Work]:
        """One transaction for what is nobody's act: drafts and the print queue. No history line is asked for."""
        with Session(self._writer, expire_on_commit=False) as session, session.begin():
            yield Work(session, who, self.clock())

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def open_book(address: str | None = None, *, clock: Callable[[], datetime] = _now, create: bool = True) -> Book:
    """Open the book at an address, a new one being made where there is none.

    Raises:
        BookTrouble: it cannot be opened, or its schema is older or newer than this program.
    """
    place = where(address)
    if "://" not in place:
        file = Path(place).expanduser()
        if not create and not file.exists():
            raise BookTrouble(
                f"there is no book at {file}", "Give another with --book, take a vehicle in, or run: donorbook demo."
            )
        _make_folder(file)
    engine = make_engine(place)
    try:
        _bring_up(engine)
    except BookTrouble:
        engine.dispose()
        raise
    return Book(engine, clock)


def _bring_up(engine: Engine) -> None:
    found = schema_of(engine)
    if found is None:
        from migrations.run import upgrade

        upgrade(engine)
    elif found != SCHEMA:
        raise _other_version(found)


def _make_folder(file: Path) -> None:
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BookTrouble(
            f"the folder {file.parent} cannot be made: {error.strerror}", "Give another with --book."
        ) from error


def _other_version(found: str) -> BookTrouble:
    if found > SCHEMA:
        return BookTrouble(
            f"this book is of version {found}, newer than this program ({SCHEMA})", "Install the newer program."
        )
    return BookTrouble(f"this book is of version {found}, this program wants {SCHEMA}", "Run: donorbook upgrade.")
