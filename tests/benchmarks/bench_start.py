"""From the command to the first screen painted, on a terminal of 80 by 24.

    .venv/bin/python tests/benchmarks/bench_start.py --rounds 10

The program runs on a pseudo-terminal, as it does for a person; the clock stops when the words of the first
screen have arrived. The book is a new one, made before the clock starts.
"""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import select
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time
from pathlib import Path

from app.book.work import open_book

PROGRAM = Path(sys.executable).with_name("donorbook")
SIZES = {"seats": (80, 24), "floor": (40, 16)}
PATIENCE = 20.0


def paint_time(book: str, seat: str | None, words: bytes, size: tuple[int, int]) -> float:
    """Seconds from the start of the process until the words are on the screen."""
    started = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", DONORBOOK_BOOK=book)
        os.execv(PROGRAM, [str(PROGRAM), *(["--seat", seat] if seat else [])])
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
    seen = b""
    try:
        while words not in seen:
            ready, _, _ = select.select([terminal], [], [], PATIENCE)
            if not ready:
                raise SystemExit(f"the screen never said {words!r}; it said {seen[-300:]!r}")
            seen += os.read(terminal, 65536)
        return time.perf_counter() - started
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)


def main() -> None:
    """Time some rounds and report."""
    parser = argparse.ArgumentParser(description="Time the way to the first screen.")
    parser.add_argument("--rounds", type=int, default=10)
    parser.add_argument("--seat", help="straight to this seat")
    parser.add_argument("--words", default="counter", help="words that show the screen is there")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        book = str(Path(folder) / "yard.book")
        open_book(book).close()
        size = SIZES["floor" if given.seat == "floor" else "seats"]
        times = [paint_time(book, given.seat, given.words.encode(), size) for _ in range(given.rounds + 1)][1:]
    print(f"first screen: median {statistics.median(times):.2f} s, worst {max(times):.2f} s of {given.rounds}")


if __name__ == "__main__":
    main()
