"""Making the demo's book: in a new file that takes the old one's place, or in a server's empty database."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, time
from importlib.resources import as_file, files
from pathlib import Path

from sqlalchemy import Engine, exists, select
from sqlalchemy.orm import Session

from app.book.engine import make_engine, schema_of, where
from app.book.schema import Donor, History, Part, Person, Setting
from app.book.sheets import load_folder
from app.book.work import Book, Who, Work, open_book
from app.errors import BookTrouble
from seed_demo.generate import STEPS, fill

MARK = "demo yard"
"""How the setting `yard_words` of a demo begins."""

WHO = Who("OW", seat="demo")
Progress = Callable[[int, int, str], None]


def build_at(address: str, progress: Progress | None, *, fresh: bool, today: date | None) -> None:
    """Build the demo at an address unless it is there; see `seed_demo.build`."""
    place = where(address)
    day = today or datetime.now(UTC).date()
    steps = _Steps(progress)
    if "://" in place:
        _on_server(place, day, steps, fresh=fresh)
    else:
        _in_file(Path(place).expanduser(), day, steps, fresh=fresh)


class _Steps:
    """Tells how far the building has come."""

    def __init__(self, progress: Progress | None) -> None:
        self.progress = progress
        self.done = 0

    def __call__(self, words: str) -> None:
        """Say that a step begins."""
        if self.progress is not None:
            self.progress(self.done, len(STEPS) + 1, words)
        self.done += 1

    def finish(self) -> None:
        """Say that all is done."""
        if self.progress is not None:
            self.progress(len(STEPS) + 1, len(STEPS) + 1, "done")


def _in_file(file: Path, day: date, steps: _Steps, *, fresh: bool) -> None:
    if file.exists() and file.stat().st_size and _is_kept(str(file), fresh=fresh):
        return
    new = file.with_name(f"{file.name}.new")
    _remove(new)
    try:
        _press(str(new), day, steps)
        _remove(file)
        new.replace(file)
    except OSError as error:
        raise BookTrouble(f"{file} cannot be written: {error.strerror}", "Give another with --book.") from error
    finally:
        _remove(new)
    steps.finish()


def _remove(file: Path) -> None:
    """Take a SQLite file away with what it keeps beside it."""
    for name in (file.name, f"{file.name}-wal", f"{file.name}-shm"):
        file.with_name(name).unlink(missing_ok=True)


def _on_server(place: str, day: date, steps: _Steps, *, fresh: bool) -> None:
    if _is_kept(place, fresh=fresh):
        return
    engine = make_engine(place)
    try:
        if schema_of(engine) is not None:
            _empty(engine)
    finally:
        engine.dispose()
    _press(place, day, steps)
    steps.finish()


def _empty(engine: Engine) -> None:
    """Take the tables of an old demo away, with the guards that forbid to delete from them."""
    from alembic import command

    from migrations.run import config

    with engine.begin() as connection:
        command.downgrade(config(connection), "base")


def _is_kept(place: str, *, fresh: bool) -> bool:
    """True when the demo is there and stays.

    Raises:
        BookTrouble: the book is somebody's own, or no book at all.
    """
    engine = make_engine(place)
    try:
        if schema_of(engine) is None:
            return False
        with Session(engine) as session:
            words = session.scalar(select(Setting.value).where(Setting.name == "yard_words"))
            if (words or "").startswith(MARK):
                return not fresh
            used = [session.scalar(select(exists(select(table.id)))) for table in (Donor, Part, Person, History)]
        if any(used) or words is not None:
            raise BookTrouble(
                f"{engine.url.render_as_string()} is a yard's own book, not a demo",
                "Give the demo another place with --book.",
            )
        return False
    finally:
        engine.dispose()


def _press(place: str, day: date, steps: _Steps) -> None:
    steps("knowledge")
    opened = open_book(place)
    book = _DemoBook(opened.engine, day, steps)
    try:
        with as_file(files("seed_demo") / "data") as folder:
            load_folder(book, WHO, folder)
        if opened.engine.dialect.name == "sqlite":
            with contextlib.closing(opened.engine.raw_connection()) as raw:
                raw.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        opened.close()


class _DemoBook(Book):
    """A book whose one transaction takes the knowledge and the whole year, the same on every build."""

    def __init__(self, engine: Engine, day: date, steps: _Steps) -> None:
        super().__init__(engine, clock=lambda: datetime.combine(day, time(0), UTC))
        self.day = day
        self.steps = steps

    @contextmanager
    def write(self, who: Who) -> Iterator[Work]:
        """Keep what was loaded with the year behind it, or nothing."""
        with Session(self._writer, expire_on_commit=False) as session, session.begin():
            yield Work(session, who, self.clock())
            for line in session.new:
                if isinstance(line, History):
                    line.event = "demo knowledge"
            session.flush()
            fill(session.connection(), self.day, self.steps)
