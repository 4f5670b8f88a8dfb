"""One demo yard for all its tests, ending on a fixed day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from app.book.work import Book
from seed_demo import build
from tests.support.books import opened

DAY = date(2026, 3, 4)
MORNING = datetime(2026, 3, 4, 13, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's file, built once."""
    file = tmp_path_factory.mktemp("demo") / "demo.book"
    build(str(file), today=DAY)
    return file


@pytest.fixture(scope="session")
def demo(demo_file: Path) -> Iterator[Book]:
    """The demo opened on the morning of its last day; tests only read in it."""
    with opened(str(demo_file), lambda: MORNING) as book:
        yield book
