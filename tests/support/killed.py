"""Writers that are killed with signal 9, run as programs of their own.

    python -m tests.support.killed each SELLER ADDRESS TAG …   killed at every step of a sale, one part a step
    python -m tests.support.killed busy ADDRESS TAG …          writes until somebody kills it

The first prints the steps it was killed at as JSON; the second prints a line for each thing that it was
told is done.
"""

from __future__ import annotations

import itertools
import json
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any, NoReturn

from sqlalchemy import Engine, event

from app.book.holds import hold, release_hold
from app.book.scale import Weighing, weigh_scrap
from app.book.schema import Role
from app.book.work import Book, Who, open_book
from tests.support import sellers

WHO = Who("C1", Role.COUNTER, "counter 1")
BEFORE_COMMIT, AFTER_COMMIT = "before commit", "after commit"


class Steps:
    """Counts what the database is asked to do, and kills this process at one of those steps."""

    def __init__(self, last: int) -> None:
        self.last = last
        self.taken = 0
        self.names: list[str] = []
        event.listen(Engine, "before_cursor_execute", self._statement)
        event.listen(Engine, "commit", lambda _connection: self.step(BEFORE_COMMIT))

    def _statement(self, _connection: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
        self.step(" ".join(statement.split()[:3]))

    def step(self, name: str) -> None:
        """One step further; the last one is never finished."""
        self.taken += 1
        if self.taken == self.last:
            os.write(1, f"{name}\n".encode())
            os.kill(os.getpid(), signal.SIGKILL)


def kill_at_each_step(seller: sellers.Seller, address: str, tags: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Sell part after part, killed at step 1, 2, 3 … until a sale comes through; the tag and the step of each."""
    for last, tag in enumerate(tags, start=1):
        told, tell = os.pipe()
        child = os.fork()
        if child == 0:
            os.dup2(tell, 1)
            _sell_and_die(seller, address, tag, last)
        os.close(tell)
        _, status = os.waitpid(child, 0)
        with os.fdopen(told) as said:
            step = said.read().strip()
        if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL:
            yield tag, step
            continue
        if os.waitstatus_to_exitcode(status) != 0:
            raise SystemExit(f"the seller of {tag} failed by itself at step {last}")
        yield tag, "done"
        return
    raise SystemExit(f"{len(tags)} parts were too few for the steps of one sale")


def _sell_and_die(seller: sellers.Seller, address: str, tag: str, last: int) -> NoReturn:
    book = open_book(address)
    steps = Steps(last)
    seller(book, WHO, tag)
    steps.step(AFTER_COMMIT)
    os._exit(0)


def stay_busy(book: Book, tags: Sequence[str]) -> None:
    """Sell, hold and weigh without end, and say each thing only after the book has it."""
    for number, tag in enumerate(tags):
        if number % 3 == 0:
            hold(book, WHO, tag, "Ada")
            print("held", tag, flush=True)
        if number % 6 == 0:
            release_hold(book, WHO, tag)
        if number % 3 == 1:
            sellers.sell_well(book, WHO, tag)
            print("sold", tag, flush=True)
        if number % 3 == 2:
            form = Weighing(gross=Decimal(5820), tare=Decimal(3340), commodity="steel", party="Ada")
            print("weighed", weigh_scrap(book, WHO, form).number, flush=True)


def main(arguments: Sequence[str]) -> None:
    """Run one of the two writers."""
    if arguments[0] == "each":
        seller, address, *tags = arguments[1:]
        print(json.dumps(list(kill_at_each_step(getattr(sellers, seller), address, tags))))
        return
    address, *tags = arguments[1:]
    stay_busy(open_book(address), tags)
    # Nobody killed it in time: wait, so that the test sees a process that had nothing left to write.
    for _ in itertools.count():
        signal.pause()


if __name__ == "__main__":
    main(sys.argv[1:])
