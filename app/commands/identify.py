"""Saying later what a vehicle is, or what one group of its parts is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from app.commands.desk import Desk, YardCommand
from app.commands.kinds import OneOf, Whole
from app.commands.show import lines_of

if TYPE_CHECKING:
    from app.fit.terms import Group


@click.command(cls=YardCommand)
@click.argument("vehicle")
@click.option("--model", required=True, metavar="MODEL", help='Model key, or words such as "longwagon light".')
@click.option("--year", type=Whole("YEAR", 1900, 2099), help="Model year; for the whole vehicle else the one it has.")
@click.option("--built", metavar="YYYY-MM", help="Build month from the door label.")
@click.option(
    "--group",
    type=OneOf("group", "app.fit.terms:Group"),
    help='Only this group of parts: "frame", "body", "nose" or "driveline".',
)
@click.option("--note", default="", metavar="TEXT", help="Where that is known from.")
@click.pass_obj
def identify(
    desk: Desk, vehicle: str, model: str, year: int | None, built: str | None, group: Group | None, note: str
) -> None:
    """Say what a vehicle is, or what one group of its parts is.

    A body may sit on another frame, an engine may have been swapped: each group of parts goes by its own
    identity, which decides what its parts fit. VEHICLE is a stock number, tag or VIN.

    \b
    Examples:
      donorbook identify D1 --model "longwagon light" --year 2008 --built 2007-11
      donorbook identify D1 --group frame --model "longwagon heavy" --note "leaf springs in back"
    """
    from app.book.identity import identify as say_what_it_is

    with desk.at("intake") as (book, who):
        found = say_what_it_is(book, who, vehicle, model, year=year, built=built, group=group, note=note)
    of = f"{found.group} of {found.stock_number}" if found.group else found.stock_number
    desk.show(found, lambda: lines_of([f"{of}: {found.vehicle}"]))
