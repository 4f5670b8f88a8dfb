"""Two desks, two processes, one part at a time: both reach for it at the same moment."""

from __future__ import annotations

import multiprocessing
import queue
from collections.abc import Sequence
from dataclasses import dataclass, field
from multiprocessing.synchronize import Barrier
from typing import Any

from sqlalchemy.exc import IntegrityError

from app.book.keeping import NotForSale
from app.book.schema import Role
from app.book.work import Book, Who, open_book
from tests.support.sellers import Seller

PATIENCE_SECONDS = 120.0


@dataclass
class Desk:
    """What one desk came away with: tags it sold, was told are gone, and that only the database stopped."""

    sold: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    stopped: list[str] = field(default_factory=list)


def address_of(book: Book) -> str:
    """The address another process opens the book by."""
    if book.engine.dialect.name == "sqlite":
        assert book.engine.url.database is not None
        return book.engine.url.database
    return book.engine.url.render_as_string(hide_password=False)


def race(address: str, seller: Seller, tags: Sequence[str]) -> list[Desk]:
    """Let two processes sell the same parts, starting each part together; what each came away with."""
    context = multiprocessing.get_context("spawn")
    together, answers = context.Barrier(2), context.Queue()
    desks = [
        context.Process(target=_desk, args=(number, address, seller, list(tags), together, answers), daemon=True)
        for number in (1, 2)
    ]
    for desk in desks:
        desk.start()
    try:
        found = dict(answers.get(timeout=PATIENCE_SECONDS) for _ in desks)
    except queue.Empty:
        raise AssertionError(f"a desk did not finish: {[desk.exitcode for desk in desks]}") from None
    finally:
        for desk in desks:
            desk.join(5)
            desk.kill()
    return [found[1], found[2]]


def _desk(number: int, address: str, seller: Seller, tags: list[str], together: Barrier, answers: Any) -> None:
    book = open_book(address)
    who, came_away = Who(f"C{number}", Role.COUNTER, f"counter {number}"), Desk()
    for tag in tags:
        together.wait(PATIENCE_SECONDS)
        try:
            seller(book, who, tag)
            came_away.sold.append(tag)
        except NotForSale:
            came_away.told.append(tag)
        except IntegrityError:
            came_away.stopped.append(tag)
    book.close()
    answers.put((number, came_away))
