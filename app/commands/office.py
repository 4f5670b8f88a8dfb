"""The office: history, people, settings."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from typing import TYPE_CHECKING, cast

import click

from app.commands.desk import Desk, YardCommand
from app.commands.kinds import LIMIT, OneOf
from app.commands.show import listed, pairs, table, when
from app.errors import BadInput

if TYPE_CHECKING:
    from app.book.history import HistoryRow
    from app.book.office import SettingRow
    from app.book.people import PersonRow
    from app.book.schema import Role


@click.command(cls=YardCommand)
@click.option("--about", "subject", default="", metavar="TEXT", help='A tag, a stock number, "ticket 12" …')
@click.option("--action", default="", metavar="TEXT", help='One verb: "take in", sell, "put away", vin …')
@click.option("--seat", default="", metavar="SEAT", help="What one seat did.")
@click.option("--limit", default=200, type=LIMIT, show_default=True, help="How many at most.")
@click.pass_obj
def history(desk: Desk, subject: str, action: str, seat: str, limit: int) -> None:
    """Show what was done by whom and when.

    Newest first; what was refused is there too.

    \b
    Examples:
      donorbook history --about D1
      donorbook history --action sell --limit 20 --json
    """
    from app.book.history import history as lines

    with desk.book() as book:
        rows = lines(book, subject=subject, action=action, seat=seat, limit=limit)
    desk.show({"history": rows}, lambda: _history_lines(rows, limit))


def _history_lines(rows: tuple[HistoryRow, ...], limit: int) -> Iterator[str]:
    if rows:
        cells = [(when(row.at), row.seat, row.by, row.action, row.subject, row.outcome, row.words) for row in rows]
        yield from table(("time", "seat", "by", "action", "about", "", "words"), cells)
    yield listed(len(rows), "line", limit)


@click.command(cls=YardCommand)
@click.pass_obj
def people(desk: Desk) -> None:
    """List who works here.

    \b
    Example:
      donorbook people
    """
    from app.book.people import people as everybody

    with desk.book() as book:
        rows = everybody(book)
    desk.show({"people": rows}, lambda: _people_lines(rows))


def _people_lines(rows: tuple[PersonRow, ...]) -> Iterator[str]:
    if rows:
        yield from table(("code", "name", "role"), [(row.code, row.name, row.role) for row in rows])
    else:
        yield "nobody is written in yet: the book belongs to its owner, OW"


@click.command("sign-on", cls=YardCommand)
@click.argument("code")
@click.argument("name")
@click.option(
    "--role", required=True, type=OneOf("role", "app.book.schema:Role"), help="intake, puller, counter, scale or owner."
)
@click.pass_obj
def sign_on(desk: Desk, code: str, name: str, role: Enum) -> None:
    """Write a person into the book, or change a name or role. Only the owner does.

    \b
    Example:
      donorbook sign-on C1 "R. Ash" --role counter
    """
    from app.book.people import sign_on as write_in

    with desk.at("office") as (book, who):
        row = write_in(book, who, code, name, cast("Role", role))
    desk.show(row, lambda: pairs([("code", row.code), ("name", row.name), ("role", row.role)]))


@click.command(cls=YardCommand)
@click.argument("name", required=False)
@click.argument("value", required=False)
@click.pass_obj
def settings(desk: Desk, name: str | None, value: str | None) -> None:
    """Show the yard's settings, show one, or set one. Only the owner sets.

    \b
    Examples:
      donorbook settings
      donorbook settings tax_percent
      donorbook settings tax_percent 6.5
    """
    from app.book.office import change_setting
    from app.book.office import settings as in_force

    if name is not None and value is not None:
        with desk.at("office") as (book, who):
            rows = [change_setting(book, who, name, value)]
    else:
        with desk.book() as book:
            rows = [row for row in in_force(book) if name in (None, row.name)]
    if not rows:
        raise BadInput(f"there is no setting {name!r}", "See them with: donorbook settings.", place="setting")
    desk.show({"settings": rows} if name is None else rows[0], lambda: _setting_lines(rows))


def _setting_lines(rows: list[SettingRow]) -> Iterator[str]:
    cells = [(row.name, row.value, "" if row.value == row.usual else row.usual or "empty") for row in rows]
    yield from table(("setting", "value", "else"), cells)
