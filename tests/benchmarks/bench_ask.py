"""How long an ask takes on a generated yard: 60,000 applications, 300,000 design uses, 200,000 rules, so many parts.

    .venv/bin/python tests/benchmarks/bench_ask.py --parts 10000
    .venv/bin/python tests/benchmarks/bench_ask.py --parts 1000000 --book /tmp/large.book
    .venv/bin/python tests/benchmarks/bench_ask.py --postgres
    .venv/bin/python tests/benchmarks/bench_ask.py --book postgresql://server/yard

Three parts in ten are free to sell. Reported are milliseconds: of a whole ask (words in, ranked and explained first
page out), each for another vehicle and part; of reading its words; of fetching its parts, beside hand-written SQL for
the same rows in the same run; and of bringing what the rules come to up to date when one rule changes.
"""

from __future__ import annotations

import argparse
import random
import resource
import sqlite3
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

import psycopg
from sqlalchemy import select
from sqlalchemy.engine import make_url

from app.book.asking import ask
from app.book.knowing import knowing
from app.book.offers import Search, glance
from app.book.reach.closure import rebuild, renew
from app.book.schema import Rule
from app.book.words.understanding import understand
from app.book.work import Book, Who
from tests.benchmarks.big_books import about, made, place_for, plain, server_of, shares, timed
from tests.benchmarks.big_yard import BigYard, Size, asks

ME = Who("C1", seat="counter")
DAY = date(2026, 3, 4)
HAND_WRITTEN = """
SELECT p.id, p.tag, p.part_type_id, p.side, p.condition, p.price_cents, p.miles, p.made_at, p.model_id, p.donor_id,
pl.kind
FROM parts p LEFT JOIN places pl ON pl.id = p.place_id
WHERE p.part_type_id = {kind} AND p.standing = 'free' AND p.model_id {models}
ORDER BY p.condition, p.price_cents, p.id LIMIT 2000
"""


def whole_asks(book: Book, lines: Sequence[str], *, keep: bool = False) -> list[float]:
    """Milliseconds of each ask; each is for another vehicle or part, so nothing of it was read before."""

    def one(words: str) -> None:
        ask(book, ME, words, on=DAY, keep=keep)

    return [timed(one, words) for words in lines]


def words_read(book: Book, lines: Sequence[str]) -> list[float]:
    """Milliseconds of reading the words alone."""
    with book.read() as session:
        vocabulary = knowing(session).vocabulary
    return [timed(understand, words, vocabulary) for words in lines]


def hand_written(place: str) -> Callable[[int, Sequence[int]], object]:
    """Fetching the free parts of a kind off some models as somebody would write it for this database alone."""
    if server_of(place):
        server, words = psycopg.connect(plain(make_url(place))), HAND_WRITTEN.format(kind="%s", models="= ANY(%s)")
        return lambda kind, models: server.execute(words.encode(), (kind, models)).fetchall()
    file = sqlite3.connect(place)

    def fetch(kind: int, models: Sequence[int]) -> object:
        listed = f"IN ({', '.join(map(str, models))})"
        return file.execute(HAND_WRITTEN.format(kind=kind, models=listed)).fetchall()

    return fetch


def fetched(book: Book, yard: BigYard, place: str, rounds: int) -> tuple[list[float], list[float]]:
    """Milliseconds of fetching the parts of one kind and family, ours and hand-written, in turn."""
    chosen, ours, by_hand = random.Random(9), [], []
    fetch = hand_written(place)
    with book.read() as session:
        known, connection = knowing(session), session.connection()
        for at in range(rounds):
            family = yard.family()
            kind, models = chosen.choice(yard.types_of[family]), yard.models[family]
            search = Search(frozenset({known.type_names[kind]}), models=frozenset(f"M{each}" for each in models))
            known.shelf_of_models.bring(connection, search.models or ())
            # Who comes first brings the rows near for the other.
            if at % 2:
                by_hand.append(timed(fetch, kind, models))
            ours.append(timed(glance, connection, known, search))
            if not at % 2:
                by_hand.append(timed(fetch, kind, models))
    return ours, by_hand


def rules_changed(book: Book, rounds: int) -> list[float]:
    """Milliseconds of making the rows of one changed rule anew."""
    chosen: Any = random.Random(4)
    with book.engine.begin() as connection:
        ids = list(connection.scalars(select(Rule.id)))
        with book.read() as session:
            catalog = knowing(session).catalog
        return [timed(renew, connection, catalog, [rule_id]) for rule_id in chosen.sample(ids, rounds)]


def all_rules(book: Book) -> float:
    """Milliseconds of making all rows anew."""
    with book.engine.begin() as connection:
        return timed(rebuild, connection)


def report(book: Book, yard: BigYard, place: str, rounds: int) -> None:
    """Measure and say all but making every row anew."""
    lines = asks(yard, rounds + 100)
    whole_asks(book, lines[:100])
    print(f"{yard.size.parts:,} parts, {rounds} asks, milliseconds; {about(place)}")
    print(f"whole ask: {shares(whole_asks(book, lines[100:]))}")
    print(f"its words: {shares(words_read(book, lines[100:]))}")
    print(f"memory at most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    ours, by_hand = fetched(book, yard, place, rounds)
    print(f"its parts: {shares(ours)}; hand-written {shares(by_hand)}")
    print(f"a rule changed: {shares(rules_changed(book, 100))}")


def main() -> None:
    """Build the yard and report."""
    parser = argparse.ArgumentParser(description="Time asks on a large yard.")
    parser.add_argument("--parts", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=1_000)
    parser.add_argument("--book", help="keep the yard in this book, a file or a PostgreSQL URL; else a temporary one")
    parser.add_argument("--postgres", action="store_true", help="have the temporary book on a server as the tests do")
    parser.add_argument("--rebuild", action="store_true", help="also make all that the rules come to anew")
    parser.add_argument("--evenly", action="store_true", help="give every family as many rules as any other")
    parser.add_argument("--unnamed", type=float, default=0.0, help="the share of rules that name no model")
    given = parser.parse_args()
    with place_for(given.book, given.postgres) as place:
        book, yard = made(place, Size(parts=given.parts, evenly=given.evenly, unnamed=given.unnamed))
        report(book, yard, place, given.rounds)
        if given.rebuild:
            print(f"all rules anew: {all_rules(book) / 1000:.1f} s")
        book.close()


if __name__ == "__main__":
    main()
