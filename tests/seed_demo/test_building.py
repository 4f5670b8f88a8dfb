"""Building the demo: the same every time, quick, told as it goes, and never over a yard's own book."""

from __future__ import annotations

import sqlite3
import time
from datetime import date, timedelta
from pathlib import Path

import pytest

from app.book.integrity import check
from app.book.people import sign_on
from app.book.schema import Role
from app.book.sheets import dump_folder
from app.book.work import Who, open_book
from app.errors import BookTrouble
from seed_demo import build
from tests.seed_demo.conftest import DAY

OWNER = Who("OW", Role.OWNER, "office")


def dumped(address: str, folder: Path) -> dict[str, bytes]:
    """A book's CSV folder, by file."""
    book = open_book(address)
    dump_folder(book, folder)
    book.close()
    return {file.name: file.read_bytes() for file in folder.iterdir()}


def test_two_builds_of_one_day_are_the_same_to_the_byte(demo_file: Path, tmp_path: Path) -> None:
    build(str(tmp_path / "again.book"), today=DAY)
    once, again = (
        dumped(str(file), tmp_path / name) for file, name in ((demo_file, "a"), (tmp_path / "again.book", "b"))
    )
    assert once.keys() == again.keys()
    assert [name for name in once if once[name] != again[name]] == []


def test_another_day_moves_the_year_along(tmp_path: Path) -> None:
    later = DAY + timedelta(days=100)
    build(str(tmp_path / "later.book"), today=later)
    connection = sqlite3.connect(tmp_path / "later.book")
    (newest,) = connection.execute("SELECT max(at) FROM asks").fetchone()
    connection.close()
    assert str(newest).startswith(later.isoformat())


def test_it_is_built_on_both_databases_and_anew_when_asked(empty_address: str) -> None:
    build(empty_address, today=DAY)
    build(empty_address, today=DAY, fresh=True)
    book = open_book(empty_address)
    try:
        assert check(book) == ()
        sign_on(book, OWNER, "C9", "Tavi", Role.COUNTER)
    finally:
        book.close()


def test_a_demo_that_is_there_stays_as_it_is(tmp_path: Path) -> None:
    address = str(tmp_path / "demo.book")
    build(address, today=DAY)
    book = open_book(address)
    sign_on(book, OWNER, "C9", "Tavi", Role.COUNTER)
    book.close()
    build(address, today=DAY)
    assert b"Tavi" in dumped(address, tmp_path / "kept")["people.csv"]
    build(address, today=DAY, fresh=True)
    assert b"Tavi" not in dumped(address, tmp_path / "fresh")["people.csv"]


@pytest.mark.parametrize("fresh", [False, True])
def test_a_yards_own_book_is_refused_and_left_alone(tmp_path: Path, fresh: bool) -> None:
    address = str(tmp_path / "yard.book")
    book = open_book(address)
    sign_on(book, OWNER, "OW", "Marit", Role.OWNER)
    book.close()
    before = (tmp_path / "yard.book").read_bytes()
    with pytest.raises(BookTrouble, match="own book, not a demo"):
        build(address, fresh=fresh)
    assert (tmp_path / "yard.book").read_bytes() == before


def test_a_file_that_is_no_book_is_refused_and_left_alone(tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear yard, " * 100)
    with pytest.raises(BookTrouble, match="not a book"):
        build(str(letter), fresh=True)
    assert letter.read_text().startswith("Dear yard")


def test_nothing_is_left_beside_the_book(tmp_path: Path) -> None:
    build(str(tmp_path / "demo.book"), today=DAY)
    assert {file.name for file in tmp_path.iterdir()} <= {"demo.book", "demo.book-wal", "demo.book-shm"}


def test_it_tells_how_far_it_is_and_takes_no_five_seconds(tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    start = time.process_time()
    build(str(tmp_path / "demo.book"), lambda *step: told.append(step), today=date(2025, 7, 1))
    assert time.process_time() - start < 5
    done = [step for step, _, _ in told]
    assert done == sorted(done)
    assert done[0] == 0
    assert told[-1][0] == told[-1][1]
    assert all(words for _, _, words in told)
