"""What the yard writes into a folder and loads again is the same yard."""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import Phase, event, given, settings
from sqlalchemy import select

from app.book.sheets import dump_folder, load_folder
from app.book.sheets.spec import sheets
from app.book.work import Book, Who, open_book
from tests.book.sheet_rows import GENTLE, Maker, makers, write_yard

OWNER = Who("OW")
# A yard is made from a seed, so that a smaller one is no simpler to read.
FAST = (Phase.explicit, Phase.reuse, Phase.generate)


def fresh(template: Path, at: Path) -> Book:
    shutil.copy(template, at)
    return open_book(str(at))


def files_of(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def without_ids(book: Book) -> dict[str, list[dict[str, Any]]]:
    """Every table's plain values, in the order of their keys; ids are the book's own business."""
    found = {}
    with book.engine.connect() as connection:
        for name, sheet in sheets().items():
            plain = [sheet.table.c[column.name] for column in sheet.columns if not column.refers]
            rows = connection.execute(select(*plain)).mappings()
            found[name] = sorted((dict(row) for row in rows), key=repr)
    return found


def load_line_apart(files: dict[str, bytes]) -> tuple[dict[str, bytes], list[bytes]]:
    """The files without the history, and the history's lines."""
    return {name: data for name, data in files.items() if name != "history.csv"}, (
        files.get("history.csv", b"").split(b"\r\n")
    )


@settings(max_examples=60, phases=FAST)
@given(maker=makers())
def test_a_dumped_yard_loads_into_the_same_yard_and_dumps_the_same_bytes(sqlite_template: Path, maker: Maker) -> None:
    with TemporaryDirectory() as name:
        here = Path(name)
        first = fresh(sqlite_template, here / "first.book")
        with first.engine.begin() as connection:
            taken = write_yard(connection, maker)
        event(f"tables with rows: {len(taken) // 5 * 5}+")
        dump_folder(first, here / "one")
        second = fresh(sqlite_template, here / "second.book")
        report = load_folder(second, OWNER, here / "one")
        dump_folder(second, here / "two")
        before, after = files_of(here / "one"), files_of(here / "two")
        kept, history = load_line_apart(before)
        again, longer = load_line_apart(after)
        # Loading is itself a line of the history, and raises the counters to the numbers in use.
        kept.pop("counters.csv", None)
        again.pop("counters.csv", None)
        assert again == kept
        assert [line for line in longer if line in history] == [line for line in history if line in longer]
        assert report.added == sum(taken.values())
        one, two = without_ids(first), without_ids(second)
        del one["counters"], two["counters"], one["history"], two["history"]
        assert two == one
        first.close()
        second.close()


def test_every_table_makes_the_trip_on_both_databases(book: Book, sqlite_template: Path, tmp_path: Path) -> None:
    there = fresh(sqlite_template, tmp_path / "there.book")
    with there.engine.begin() as connection:
        taken = write_yard(connection, Maker(GENTLE, Random(8)), tries=60)
    assert set(taken) == set(sheets())
    dump_folder(there, tmp_path / "one")
    load_folder(book, OWNER, tmp_path / "one")
    dump_folder(book, tmp_path / "two")
    kept, _ = load_line_apart(files_of(tmp_path / "one"))
    again, _ = load_line_apart(files_of(tmp_path / "two"))
    assert again.pop("counters.csv")
    del kept["counters.csv"]
    assert again == kept
    there.close()


@settings(max_examples=15, phases=FAST)
@given(maker=makers())
def test_loading_a_folder_twice_adds_nothing(sqlite_template: Path, maker: Maker) -> None:
    with TemporaryDirectory() as name:
        here = Path(name)
        book = fresh(sqlite_template, here / "yard.book")
        with book.engine.begin() as connection:
            taken = write_yard(connection, maker)
        dump_folder(book, here / "one")
        report = load_folder(book, OWNER, here / "one")
        assert (report.added, report.changed, report.same) == (0, 0, sum(taken.values()))
        book.close()
