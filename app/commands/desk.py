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
from app.errors import BadInput, BookTrouble, YardError

if TYPE_CHECKING:
    from sqlalchemy.exc import StatementError

    from app.book.work import Book, Who


@dataclass
class Desk:
    """One command line's desk. `program` opens the terminal program on a book at a seat."""

    program: Callable[[str | None, str | None, str | None], None]
    address: str | None = None
    by: str | None = None
    as_json: bool = False

    @contextmanager
    def book(self, *, create: bool = False) -> Iterator[Book]:
        """The book, open while the block runs; only writing makes a new one, so that a slip in its name shows.

        Raises:
            BookTrouble: there is none, it cannot be opened, or the database failed while it was used.
            BadInput: the database refuses what was typed; nothing was changed.
        """
        from sqlalchemy.exc import StatementError

        from app.book.engine import to_url, where
        from app.book.work import open_book

        try:
            book = open_book(self.address, create=create)
            try:
                yield book
            finally:
                book.close()
        except StatementError as error:
            raise _told(error, to_url(where(self.address)).render_as_string()) from error

    @contextmanager
    def at(self, seat: str) -> Iterator[tuple[Book, Who]]:
        """The book and the person at a seat."""
        from app.book.people import who_is

        with self.book(create=True) as book:
            yield book, who_is(book, self.by, seat)

    def show(self, found: object, lines: Callable[[], Iterable[str]]) -> None:
        """Print one JSON object with --json, else lines for people."""
        if self.as_json:
            click.echo(json.dumps(record(found), ensure_ascii=False, indent=2))
        else:
            say(lines())


def _told(error: StatementError, address: str) -> YardError:
    from sqlalchemy.exc import DataError, DBAPIError, IntegrityError

    if isinstance(error, DBAPIError) and not isinstance(error, IntegrityError | DataError):
        return BookTrouble(
            f"the book at {address} failed: {error.orig}", "Look at the file, the disk or the server; try again."
        )
    return BadInput(f"the book cannot keep this: {error.orig}", "Nothing was changed; check what was typed.")


def _set(name: str) -> Callable[[click.Context, click.Parameter, Any], None]:
    def put(ctx: click.Context, _param: click.Parameter, value: Any) -> None:
        desk = ctx.find_object(Desk)
        if value and desk is not None:
            setattr(desk, name, value)

    return put


def _usual_options(*, hidden: bool) -> list[click.Parameter]:
    """--json, and --book and --by after a command's name as well as before it."""
    as_json, address, by = _set("as_json"), _set("address"), _set("by")
    return [
        click.Option(
            ["--json"], is_flag=True, hidden=hidden, expose_value=False, callback=as_json, help="Print one JSON object."
        ),
        click.Option(["--book"], hidden=True, expose_value=False, callback=address),
        click.Option(["--by"], hidden=True, expose_value=False, callback=by),
    ]


class YardCommand(click.Command):
    """A command with the usual options."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.params += _usual_options(hidden=False)


class YardGroup(click.Group):
    """Commands of one family, in the order in which they are written; the usual options may stand before them."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.no_args_is_help = False
        self.params += _usual_options(hidden=True)

    def list_commands(self, _ctx: click.Context) -> list[str]:
        """The names as they are written, not by the alphabet."""
        return list(self.commands)


def given(said: dict[str, Any]) -> dict[str, Any]:
    """Only what was typed, so that a form's own defaults stand for the rest."""
    return {name: value for name, value in said.items() if value is not None}
