"""A progress line on stderr with rate and time left, and Ctrl-C turned into a clean stop."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event
from types import FrameType

import click

BAR = 24
EVERY = 0.1
"""Seconds between two drawings of the line."""


class Progress:
    """Draws "done of total" with a bar, rows a second and the time left; silent where stderr is no terminal."""

    def __init__(self, what: str = "rows") -> None:
        self.what = what
        self.began = time.monotonic()
        self.drawn = 0.0
        self.room = 0
        self.seen = sys.stderr.isatty()

    def __call__(self, done: int, total: int, step: str, /) -> None:
        """Told how far it is, and at which step."""
        now = time.monotonic()
        if not self.seen or (done < total and now - self.drawn < EVERY):
            return
        self.drawn = now
        self._draw(progress_line(done, total, step, now - self.began, self.what))

    def _draw(self, line: str) -> None:
        blanks = " " * max(0, self.room - len(line))
        click.echo(f"\r{line}{blanks}", err=True, nl=False)
        self.room = len(line)

    def close(self) -> None:
        """Wipe the line."""
        if self.room:
            self._draw("")
            click.echo("\r", err=True, nl=False)


def progress_line(done: int, total: int, step: str, seconds: float, what: str) -> str:
    """One line of progress after so many seconds."""
    full = BAR * done // total if total else 0
    rate = done / seconds if seconds > 0 else 0.0
    left = f"{clock_time((total - done) / rate)} left" if rate and done < total else ""
    bar = "#" * full + "." * (BAR - full)
    return f"{bar}  {done:,} of {total:,} {what}  {rate:,.0f} a second  {left}  {step}"[:78].rstrip()


def clock_time(seconds: float) -> str:
    """Seconds as 0:07 or 1:02:03."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


@contextmanager
def shown(what: str = "rows") -> Iterator[Progress]:
    """A progress line that is wiped at the end, however it ends."""
    line = Progress(what)
    try:
        yield line
    finally:
        line.close()


@contextmanager
def stoppable() -> Iterator[Event]:
    """An event that the first Ctrl-C sets; the second one interrupts as usual."""
    stop = Event()

    def first(_number: int, _frame: FrameType | None) -> None:
        stop.set()
        signal.signal(signal.SIGINT, signal.default_int_handler)

    before = signal.signal(signal.SIGINT, first)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)
