"""How long an ask takes on a generated yard: 60,000 applications, 300,000 design uses, 200,000 rules, so many parts.

    .venv/bin/python tests/benchmarks/bench_ask.py --parts 10000
    .venv/bin/python tests/benchmarks/bench_ask.py --parts 1000000 --book /tmp/large.book

Three parts in ten are free to sell. Reported are milliseconds: of a whole ask (words in, ranked and explained first
page out), each for another vehicle and part; of reading its words; of fetching its parts, beside hand-written SQL for
the same rows in the same run; and of bringing what the rules come to up to date when one rule changes.
"""

from __future__ import annotations

import argparse
import pickle
import random
import resource
import sqlite3
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from sqlalchemy import select

from app.book.asking import ask
from app.book.closure import rebuild, renew
from app.book.knowing import knowing
from app.book.offers import Search, glance
from app.book.schema import Rule
from app.book.understanding import understand
from app.book.work import Book, Who, open_book
from tests.benchmarks.big_yard import BigYard, Size, asks, build

ME = Who("C1", seat="counter")
DAY = date(2026, 3, 4)
HAND_WRITTEN = """
SELECT p.id, p.tag, p.part_type_id, p.side, p.condition, p.price_cents, p.miles, p.made_at, p.model_id, p.donor_id,
pl.kind
FROM parts p LEFT JOIN places pl ON pl.id = p.place_id
WHERE p.part_type_id = {kind} AND p.standing = 'free' AND p.model_id IN ({models})
ORDER BY p.condition, p.price_cents, p.id LIMIT 2000
"""


def shares(taken: Sequence[float]) -> str:
    """Median and tails of a list of milliseconds."""
    ordered = sorted(taken)
    at = {share: ordered[min(len(ordered) - 1, int(len(ordered) * share))] for share in (0.5, 0.95, 0.99)}
    return ", ".join(f"p{int(share * 100)} {value:.2f}" for share, value in at.items())


def timed(work: Callable[[], object]) -> float:
    """Milliseconds of one run."""
    started = time.perf_counter()
    work()
    return (time.perf_counter() - started) * 1000


def whole_asks(book: Book, lines: Sequence[str]) -> list[float]:
    """Milliseconds of each ask; each is for another vehicle or part, so nothing of it was read before."""
    return [timed(lambda words=words: ask(book, ME, words, on=DAY, keep=False)) for words in lines]  # type: ignore[misc]


def words_read(book: Book, lines: Sequence[str]) -> list[float]:
    """Milliseconds of reading the words alone."""
    with book.read() as session:
        vocabulary = knowing(session).vocabulary
    return [timed(lambda words=words: understand(words, vocabulary)) for words in lines]  # type: ignore[misc]


def fetched(book: Book, yard: BigYard, file: str, rounds: int) -> tuple[list[float], list[float]]:
    """Milliseconds of fetching the parts of one kind and family, ours and hand-written, in turn."""
    chosen, ours, plain = random.Random(9), [], []
    raw = sqlite3.connect(file)
    with book.read() as session:
        known, connection = knowing(session), session.connection()
        for _ in range(rounds):
            family = yard.family()
            kind, models = chosen.choice(yard.types_of[family]), yard.models[family]
            search = Search(frozenset({known.type_names[kind]}), models=frozenset(f"M{each}" for each in models))
            ours.append(timed(lambda search=search: glance(connection, known, search)))  # type: ignore[misc]
            written = HAND_WRITTEN.format(kind=kind, models=", ".join(map(str, models)))
            plain.append(timed(lambda written=written: raw.execute(written).fetchall()))  # type: ignore[misc]
    raw.close()
    return ours, plain


def rules_changed(book: Book, rounds: int) -> list[float]:
    """Milliseconds of making the rows of one changed rule anew."""
    chosen, taken = random.Random(4), []
    with book.engine.begin() as connection:
        ids = list(connection.scalars(select(Rule.id)))
        with book.read() as session:
            catalog = knowing(session).catalog
        for rule_id in chosen.sample(ids, rounds):
            taken.append(timed(lambda rule_id=rule_id: renew(connection, catalog, [rule_id])))  # type: ignore[misc]
    return taken


def all_rules(book: Book) -> float:
    """Milliseconds of making all rows anew."""
    with book.engine.begin() as connection:
        return timed(lambda: rebuild(connection))


def made(place: str, size: Size) -> tuple[Book, BigYard]:
    """The yard of a book; built where it is not there yet, and kept with what asks are made of."""
    beside = Path(f"{place}.yard")
    if beside.exists():
        return open_book(place), pickle.loads(beside.read_bytes())
    book = open_book(place)
    yard = build(book, size)
    beside.write_bytes(pickle.dumps(yard))
    return book, yard


def main() -> None:
    """Build the yard and report."""
    parser = argparse.ArgumentParser(description="Time asks on a large yard.")
    parser.add_argument("--parts", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=1_000)
    parser.add_argument("--book", help="keep the yard in this book; else a temporary one")
    parser.add_argument("--rebuild", action="store_true", help="also make all that the rules come to anew")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = given.book or str(Path(folder) / "yard.book")
        book, yard = made(place, Size(parts=given.parts))
        lines = asks(yard, given.rounds + 100)
        whole_asks(book, lines[:100])
        print(f"{given.parts:,} parts, {given.rounds} asks, milliseconds")
        print(f"whole ask: {shares(whole_asks(book, lines[100:]))}")
        print(f"its words: {shares(words_read(book, lines[100:]))}")
        ours, plain = fetched(book, yard, place, given.rounds)
        print(f"its parts: {shares(ours)}; hand-written {shares(plain)}")
        print(f"a rule changed: {shares(rules_changed(book, 100))}")
        print(f"memory at most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
        if given.rebuild:
            print(f"all rules anew: {all_rules(book) / 1000:.1f} s")
        book.close()


if __name__ == "__main__":
    main()
