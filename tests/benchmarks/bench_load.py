"""How fast a folder of parts loads and is written again, and the memory it takes. Run on demand, not with the tests.

python tests/benchmarks/bench_load.py                      100,000 parts, SQLite and PostgreSQL
python tests/benchmarks/bench_load.py --parts 1000000 --sqlite
"""

import argparse
import csv
import resource
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from app.book.sheets import Stopped, dump_folder, load_folder
from app.book.tags import TagKind, make_tag
from app.book.work import Book, Who, open_book
from tests.support.books import Databases
from tests.support.postgres import NoServer, find_server

OWNER = Who("OW")
AT = "2026-02-10T15:00:00Z"
A_DONOR = 50
"""Parts off one vehicle."""


def make_folder(folder: Path, parts: int) -> None:
    """A yard of so many parts, each with its own tag, on shelves and off vehicles."""
    folder.mkdir()
    donors = parts // A_DONOR + 1
    sheets: dict[str, tuple[str, Iterator[tuple[object, ...]]]] = {
        "part_types": ("name,group", ((f"part type {each}", "frame") for each in range(300))),
        "places": ("code,kind", ((f"A{each // 20}-{each % 20}", "shelf") for each in range(2000))),
        "donors": ("stock_number,arrived_at,year", ((f"D{each}", AT, 1990 + each % 30) for each in range(donors))),
        "parts": (
            "tag,donor,part_type,side,condition,price,weight_lb,whereabouts,place,made_at,made_by,seen_at,note",
            (_part(each) for each in range(parts)),
        ),
    }
    for name, (header, rows) in sheets.items():
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(header.split(","))
            writer.writerows(rows)


def _part(number: int) -> tuple[object, ...]:
    shelf = number % 2000
    return (
        make_tag(TagKind.PART, number),
        f"D{number // A_DONOR}",
        f"part type {number % 300}",
        ("LH", "RH", "")[number % 3],
        "AB"[number % 2],
        f"{number % 900}.50",
        number % 200 + 1,
        "in place",
        f"A{shelf // 20}-{shelf % 20}",
        AT,
        "P1",
        AT,
        "taken off clean, bolts in a bag",
    )


@contextmanager
def timed(what: str, rows: int) -> Iterator[None]:
    """Say how long something took, and how many rows a second."""
    start = time.perf_counter()
    yield
    took = time.perf_counter() - start
    print(f"  {what}: {took:.2f} s, {rows / took:,.0f} rows a second")


def measure(book: Book, folder: Path, parts: int) -> None:
    """Stop a load half-way, load, load again, write."""
    print(f"{book.engine.dialect.name}, {parts:,} parts")
    print(f"  stopping half-way: {stop_half_way(book, folder):.2f} s from asking to an untouched book")
    with timed("load", parts):
        rows = load_folder(book, OWNER, folder).added
    with timed("load again, nothing new", parts):
        assert load_folder(book, OWNER, folder).same == rows
    with timed("dump", parts):
        dump_folder(book, folder.with_name(f"{folder.name} {book.engine.dialect.name}"))
    print(f"  most memory so far: {most_memory_mb():.0f} MB")


def stop_half_way(book: Book, folder: Path) -> float:
    """Seconds from asking a load to stop until it is over."""
    stop, asked = threading.Event(), [0.0]

    def progress(done: int, total: int, _sheet: str, /) -> None:
        if done > total / 2 and not stop.is_set():
            asked[0] = time.perf_counter()
            stop.set()

    try:
        load_folder(book, OWNER, folder, progress=progress, stop=stop)
    except Stopped:
        return time.perf_counter() - asked[0]
    raise AssertionError("the load did not stop")


def most_memory_mb() -> float:
    """The most memory this process has taken, in megabytes."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1024 * 1024 if sys.platform == "darwin" else 1024)


def on_sqlite(run: Callable[[Book], None], here: Path) -> None:
    """Measure on a file."""
    book = open_book(str(here / "yard.book"))
    run(book)
    book.close()


def on_postgres(run: Callable[[Book], None]) -> None:
    """Measure on a server, where one can be had."""
    try:
        server = find_server()
    except NoServer as none:
        print(f"postgresql: not measured: {none}")
        return
    databases = Databases(server)
    name = databases.fresh()
    book = open_book(databases.address(name))
    try:
        run(book)
    finally:
        book.close()
        databases.drop(name)
        databases.close()
        server.stop()


def main() -> None:
    """Make the folder, then measure."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--parts", type=int, default=100_000)
    asked.add_argument("--sqlite", action="store_true", help="SQLite alone")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "yard"
        make_folder(folder, given.parts)

        def run(book: Book) -> None:
            measure(book, folder, given.parts)

        on_sqlite(run, Path(name))
        if not given.sqlite:
            on_postgres(run)


if __name__ == "__main__":
    main()
