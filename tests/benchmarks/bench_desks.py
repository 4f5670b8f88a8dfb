"""How long an ask takes while desks sell: a process for each desk, on a copy of a generated yard.

    .venv/bin/python tests/benchmarks/bench_desks.py
    .venv/bin/python tests/benchmarks/bench_desks.py --book /tmp/yard.book --pause 0.1
    .venv/bin/python tests/benchmarks/bench_desks.py --book postgresql://server/yard

Customers come to a desk at random, one every `--pause` seconds on average, and each takes one part. The same asks are
timed while the desks wait and while they sell, turn and turn about, each time by a reader that has not heard them yet.
"""

from __future__ import annotations

import argparse
import multiprocessing
import queue
import random
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from multiprocessing.synchronize import Barrier, Event
from typing import Any

from sqlalchemy import select

from app.book.sales import Basket, Line, sell
from app.book.schema import Part, Role, Standing
from app.book.work import Book, Who, open_book
from tests.benchmarks.bench_ask import whole_asks
from tests.benchmarks.big_books import about, copied, made, place_for, share_of, shares, timed
from tests.benchmarks.big_yard import Size, asks

IN_TURN = 250
"""So many asks are timed in one turn."""

PATIENCE_SECONDS = 120.0


@dataclass(frozen=True)
class Street:
    """What desks and the counter share: whether customers come, when the day is over, and what desks sold."""

    together: Barrier
    selling: Event
    over: Event
    answers: Any


@dataclass
class Times:
    """Milliseconds of asks while the desks waited and while they sold, and of the sales."""

    idle: list[float] = field(default_factory=list)
    busy: list[float] = field(default_factory=list)
    sales: list[float] = field(default_factory=list)
    seconds: float = 0.0
    """How long the desks sold in all."""


def desk(number: int, address: str, tags: Sequence[str], pause: float, street: Street) -> None:
    """Sell one part after the other while customers come; the first one before, as warming up."""
    book, who, chosen = open_book(address), Who(f"C{number}", Role.COUNTER, f"counter {number}"), random.Random(number)
    left, taken = list(tags), list[float]()

    def one() -> None:
        sell(book, who, Basket(lines=(Line(tag=left.pop()),)))

    one()
    street.together.wait(PATIENCE_SECONDS)
    while not street.over.wait(chosen.expovariate(1 / pause)):
        if left and street.selling.is_set():
            taken.append(timed(one))
    book.close()
    street.answers.put(taken)


def parts_for_sale(book: Book, desks: int) -> list[list[str]]:
    """The tags of all parts free to sell, dealt out to the desks in no order."""
    with book.read() as session:
        tags = list(session.scalars(select(Part.tag).where(Part.standing == Standing.FREE).order_by(Part.id)))
    random.Random(3).shuffle(tags)
    return [tags[at::desks] for at in range(desks)]


def asked(address: str, lines: Sequence[str], street: Street) -> Times:
    """Time the asks, idle and busy in turns of which each is first as often as the other."""
    times, warm = Times(), lines[:IN_TURN]
    readers = {False: open_book(address), True: open_book(address)}
    for reader in readers.values():
        whole_asks(reader, warm)
    street.together.wait(PATIENCE_SECONDS)
    for turn, at in enumerate(range(len(warm), len(lines), IN_TURN)):
        for sells in (turn % 2 == 1, turn % 2 == 0):
            (street.selling.set if sells else street.selling.clear)()
            started = time.perf_counter()
            (times.busy if sells else times.idle).extend(whole_asks(readers[sells], lines[at : at + IN_TURN]))
            times.seconds += (time.perf_counter() - started) * sells
    street.over.set()
    for reader in readers.values():
        reader.close()
    return times


def measured(address: str, lines: Sequence[str], desks: int, pause: float) -> Times:
    """Open the desks, time the asks, and close the desks."""
    book = open_book(address)
    stock = parts_for_sale(book, desks)
    book.close()
    context = multiprocessing.get_context("spawn")
    street = Street(context.Barrier(desks + 1), context.Event(), context.Event(), context.Queue())
    everybody = [
        context.Process(target=desk, args=(number, address, tags, pause, street), daemon=True)
        for number, tags in enumerate(stock, start=1)
    ]
    for each in everybody:
        each.start()
    try:
        times = asked(address, lines, street)
        for _ in everybody:
            times.sales += street.answers.get(timeout=PATIENCE_SECONDS)
    except (threading.BrokenBarrierError, queue.Empty):
        raise SystemExit("a desk did not open or close") from None
    finally:
        for each in everybody:
            each.join(5)
            each.kill()
    return times


def main() -> None:
    """Copy the yard, sell and ask, and report."""
    parser = argparse.ArgumentParser(description="Time asks on a large yard while desks sell.")
    parser.add_argument("--parts", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=2_000)
    parser.add_argument("--desks", type=int, default=8)
    parser.add_argument("--pause", type=float, default=1.0, help="seconds between two sales of a desk, on average")
    parser.add_argument("--book", help="a yard of bench_ask, a file or a PostgreSQL URL, to copy; else a new one")
    parser.add_argument("--postgres", action="store_true", help="have the new one on a server as the tests do")
    given = parser.parse_args()
    with place_for(given.book, given.postgres) as place:
        book, yard = made(place, Size(parts=given.parts))
        book.close()
        with copied(place) as copy:
            times = measured(copy, asks(yard, given.rounds + IN_TURN), given.desks, given.pause)
        print(f"{yard.size.parts:,} parts, {given.rounds} asks each way, milliseconds; {about(place)}")
    rate = len(times.sales) / times.seconds
    print(f"{given.desks} desks, a customer every {given.pause} s at each: {rate:.1f} sales a second")
    print(f"sales: {shares(times.sales)}")
    print(f"asks while nobody sells: {shares(times.idle)}")
    print(f"asks while all sell: {shares(times.busy)}")
    ratios = (f"p{int(at * 100)} {share_of(times.busy, at) / share_of(times.idle, at):.2f}" for at in (0.5, 0.95))
    print(f"busy to idle: {', '.join(ratios)}")


if __name__ == "__main__":
    main()
