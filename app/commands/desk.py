"""What every command stands on: the book's address, who is at the desk, and how the answer is shown."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from app.commands.records import record
from app.commands.show import say
from app.errors import BookTrouble

if TYPE_CHECKING:
    from app.book.work import Book, Who


@dataclass
class Desk:
    """One command line's desk. `program` opens the terminal program on a book at a seat."""

    program: Callable[[str | None, str | None, str | None], None]
    address: str | None = None
    by: str | None = None
    as_json: bool = False

    @contextmanager
    def book(self) -> Iterator[Book]:
        """The book, open while the block runs.

        Raises:
            BookTrouble: it cannot be opened, or the database failed while it was used.
        """
        from sqlalchemy.exc import DBAPIError

        from app.book.work import open_book

        try:
            book = open_book(self.address)
            try:
                yield book
            finally:
                book.close()
        except DBAPIError as error:
            raise BookTrouble(f"the book failed: {error.orig}", "Look at the disk or the server; try again.") from error

    @contextmanager
    def at(self, seat: str) -> Iterator[tuple[Book, Who]]:
        """The book and the person at a seat."""
        from app.book.people import who_is

        with self.book() as book:
            yield book, who_is(book, self.by, seat)

    def show(self, found: object, lines: Callable[[], Iterable[str]]) -> None:
        """Print one JSON object with --json, else lines for people."""
        if self.as_json:
            click.echo(json.dumps(record(found), ensure_ascii=False, indent=2))
        else:
            say(lines())


def _set(name: str) -> Callable[[click.Context, click.Parameter, Any], None]:
    def put(ctx: click.Context, _param: click.Parameter, value: Any) -> None:
        desk = ctx.find_object(Desk)
        if value and desk is not None:
            setattr(desk, name, value)

    return put


class YardCommand(click.Command):
    """A command that takes --json, and --book and --by after its name as well as before it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.params += [
            click.Option(
                ["--json"], is_flag=True, expose_value=False, callback=_set("as_json"), help="Print one JSON object."
            ),
            click.Option(["--book"], hidden=True, expose_value=False, callback=_set("address")),
            click.Option(["--by"], hidden=True, expose_value=False, callback=_set("by")),
        ]


def given(said: dict[str, Any]) -> dict[str, Any]:
    """Only what was typed, so that a form's own defaults stand for the rest."""
    return {name: value for name, value in said.items() if value is not None}
