"""How long from a key at the counter's ask line to its answer painted, the query in it: measured inside the program.

    .venv/bin/python tests/benchmarks/bench_keystroke.py
    .venv/bin/python tests/benchmarks/bench_keystroke.py --parts 100000 --rounds 5

Sentences are typed letter by letter, each key after the last one was answered. The clock runs from the change of the
line to the end of the repaint that follows its answer (up to 50 rows and the pane of reasons).
"""

from __future__ import annotations

import argparse
import asyncio
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from textual.widgets import Input

from app.book.sheets import load_folder
from app.book.work import Book, open_book
from app.screens.app import Donorbook
from app.screens.counter import CounterSeat
from tests.benchmarks.many_times_over import LINES, ME, YARD, grow

SIZE = (80, 24)
MOST_MS = 100


class Clocked(Donorbook):
    """The program, which notes when each answer stood on the screen."""

    def __init__(self, book: Book) -> None:
        super().__init__(book, "counter")
        self.painted = asyncio.Event()
        self.rows: list[int] = []


async def keys(app: Clocked, words: str) -> list[float]:
    """Milliseconds for each key of a sentence."""
    seat = app.screen
    assert isinstance(seat, CounterSeat)
    box = seat.query_one("#ask", Input)
    box.value = ""
    await asyncio.sleep(0.2)
    taken = []
    for end in range(1, len(words) + 1):
        started = time.perf_counter()
        box.value = words[:end]
        await _answered(app, seat, words[:end])
        taken.append((time.perf_counter() - started) * 1000)
        app.rows.append(len(seat.entries))
    return taken


async def _answered(app: Clocked, seat: CounterSeat, words: str) -> None:
    """Wait for the answer to these words, then for the repaint."""
    while True:
        state = seat.state
        heard = state.answer.asked.words if state.answer else (words if state.typed else "")
        if state.words == words and not state.asking_now and heard == words:
            break
        await asyncio.sleep(0.0005)
    app.painted.clear()
    seat.call_after_refresh(app.painted.set)
    await app.painted.wait()


async def run(book: Book, rounds: int) -> tuple[list[float], list[int]]:
    """Type all sentences so many times."""
    app = Clocked(book)
    taken: list[float] = []
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause(0.5)
        await keys(app, LINES[0])
        for _ in range(rounds):
            for words in LINES:
                taken += await keys(app, words)
    return sorted(taken), app.rows


def main() -> None:
    """Build the yard, type, report."""
    parser = argparse.ArgumentParser(description="Time keys at the counter.")
    parser.add_argument("--parts", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--book", help="keep the yard in this book; else a temporary one")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        book = open_book(given.book or str(Path(folder) / "yard.book"))
        load_folder(book, ME, YARD)
        grow(book, given.parts, given.seed)
        taken, rows = asyncio.run(run(book, given.rounds))
        book.close()
    at = {share: taken[min(len(taken) - 1, int(len(taken) * share))] for share in (0.5, 0.95, 0.99)}
    shares = ", ".join(f"p{int(share * 100)} {value:.1f} ms" for share, value in at.items())
    print(f"{given.parts:,} parts, {len(taken):,} keys, up to {max(rows)} rows: {shares}, longest {taken[-1]:.1f} ms")
    sys.exit(at[0.95] > MOST_MS)


if __name__ == "__main__":
    main()
