"""Places, and what is put into them."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from enum import Enum
from typing import TYPE_CHECKING, cast

import click

from app.commands.desk import Desk, YardCommand
from app.commands.kinds import COUNT, POUNDS, OneOf
from app.commands.records import record
from app.commands.show import lines_of, listed, money, pairs, table

if TYPE_CHECKING:
    from app.book.parts import PartRow
    from app.book.places import PlaceRow
    from app.book.schema import PlaceKind


@click.command("put-away", cls=YardCommand)
@click.argument("tag")
@click.argument("place")
@click.pass_obj
def put_away(desk: Desk, tag: str, place: str) -> None:
    """Put a part into a place.

    From the hand or from another place. The place's kind and its limits in pounds and pieces are kept; a place
    that would do is named when this one does not.

    \b
    Example:
      donorbook put-away P7K3M83 A1-2
    """
    from app.book.places import put_away as put

    with desk.at("floor") as (book, who):
        done = put(book, who, tag, place)
    desk.show(done, lambda: lines_of([f"{done.words}, from {done.came_from}"]))


@click.command("take-up", cls=YardCommand)
@click.argument("tag")
@click.pass_obj
def take_up(desk: Desk, tag: str) -> None:
    """Take a part out of its place into the hand.

    \b
    Example:
      donorbook --by P1 take-up P7K3M83
    """
    from app.book.places import take_up as take

    with desk.at("floor") as (book, who):
        words = take(book, who, tag)
    desk.show({"words": words}, lambda: lines_of([words]))


@click.command("take-back", cls=YardCommand)
@click.pass_obj
def take_back(desk: Desk) -> None:
    """Take back the last move of this person at the floor.

    \b
    Example:
      donorbook --by P1 take-back
    """
    from app.book.places import take_back_move

    with desk.at("floor") as (book, who):
        words = take_back_move(book, who)
    desk.show({"words": words}, lambda: lines_of([words]))


@click.command(cls=YardCommand)
@click.argument("code")
@click.pass_obj
def place(desk: Desk, code: str) -> None:
    """Show a place and what stands in it.

    \b
    Example:
      donorbook place A1-2
    """
    from app.book.finding import PAGE, parts_in
    from app.book.places import place_named

    with desk.book() as book:
        row = place_named(book, code)
        inside = parts_in(book, row.code, limit=PAGE)
    desk.show({**_place_record(row), "parts": inside}, lambda: _place_lines(row, inside))


def _place_record(row: PlaceRow) -> dict[str, object]:
    plain = record(row)
    assert isinstance(plain, dict)
    return {**plain, "limits": row.limits}


def _place_lines(row: PlaceRow, inside: tuple[PartRow, ...]) -> Iterator[str]:
    yield from pairs([("place", row.code), ("kind", row.kind), ("tag", row.tag), ("limits", row.limits)])
    shown = f"{len(inside):,} of {len(row.tags):,}" if len(inside) < len(row.tags) else f"{len(inside):,}"
    yield from pairs([("pieces", shown)])
    if inside:
        cells = [(part.tag, part.name, str(part.condition), money(part.price_cents), part.standing) for part in inside]
        yield from table(("tag", "part", "condition", "price", "standing"), cells, figures=[3])


@click.command(cls=YardCommand)
@click.pass_obj
def places(desk: Desk) -> None:
    """List all places with kind, limits and pieces.

    \b
    Example:
      donorbook places --json
    """
    from app.book.places import places as all_places

    with desk.book() as book:
        rows = all_places(book)
    desk.show({"places": [_place_record(row) for row in rows]}, lambda: _places_lines(rows))


def _places_lines(rows: tuple[PlaceRow, ...]) -> Iterator[str]:
    if rows:
        cells = [(row.code, row.kind, f"{len(row.tags):,}", row.limits) for row in rows]
        yield from table(("place", "kind", "pieces", "limits"), cells, figures=[2])
    yield listed(len(rows), "place")


@click.command("add-place", cls=YardCommand)
@click.argument("code")
@click.argument("kind", type=OneOf("kind", "app.book.schema:PlaceKind"))
@click.option("--inside", default="", metavar="CODE", help="The place it is in.")
@click.option("--weight-limit", type=POUNDS, help="Pounds a piece it bears.")
@click.option("--piece-limit", type=COUNT, help="Pieces it takes.")
@click.pass_obj
def add_place(
    desk: Desk, code: str, kind: Enum, inside: str, weight_limit: Decimal | None, piece_limit: int | None
) -> None:
    """Make a place with its own tag.

    KIND decides what may stand in it: shelf, "door slot", "glass rack", "engine stand", "low heavy shelf",
    "hood rack", "axle row", "frame rack", "airbag locker", "HV cage", "yard row", will-call, quarantine,
    "scrap bin" or area.

    \b
    Examples:
      donorbook add-place A1-2 shelf --inside A1 --weight-limit 60
      donorbook add-place D-01 "door slot" --piece-limit 1
    """
    from app.book.places import add_place as add

    with desk.at("floor") as (book, who):
        row = add(
            book,
            who,
            code,
            cast("PlaceKind", kind),
            inside=inside,
            weight_limit_lb=weight_limit,
            piece_limit=piece_limit,
        )
    desk.show(_place_record(row), lambda: _place_lines(row, ()))
