"""The vehicles of the yard, and a vehicle's page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from app.commands.desk import Desk, YardCommand
from app.commands.floor import part_record
from app.commands.kinds import LIMIT
from app.commands.records import dollar_text, record
from app.commands.show import heading, lines_of, listed, money, pairs, sums, table, when

if TYPE_CHECKING:
    from app.book.donors import DonorPage, DonorRow


@click.command(cls=YardCommand)
@click.option("--limit", default=500, type=LIMIT, show_default=True, help="How many at most.")
@click.pass_obj
def donors(desk: Desk, limit: int) -> None:
    """List the vehicles of the yard, newest first.

    \b
    Example:
      donorbook donors --limit 20
    """
    from app.book.donors import donors as all_donors

    with desk.book() as book:
        rows = all_donors(book, limit=limit)
    desk.show({"donors": rows}, lambda: _list_lines(rows, limit))


def _list_lines(rows: tuple[DonorRow, ...], limit: int) -> Iterator[str]:
    if rows:
        cells = [
            (row.stock_number, row.vehicle, row.state, row.frame_state, when(row.arrived_at), row.place, row.hold)
            for row in rows
        ]
        yield from table(("stock", "vehicle", "state", "frame", "arrived", "place", "hold"), cells)
    yield listed(len(rows), "vehicle", limit)


@click.command(cls=YardCommand)
@click.argument("vehicle", metavar="STOCK")
@click.pass_obj
def donor(desk: Desk, vehicle: str) -> None:
    """Show a vehicle's page: cost, parts off, money in, hulk.

    What it cost, what came off, what came in, and what its hulk should weigh. STOCK is a stock number, a
    vehicle tag or a VIN.

    \b
    Example:
      donorbook donor D1
    """
    from app.book.donors import donor_page

    with desk.book() as book:
        page = donor_page(book, vehicle)
    desk.show(_page_record(page), lambda: _page_lines(page))


def _page_record(page: DonorPage) -> dict[str, object]:
    plain = record(page)
    assert isinstance(plain, dict)
    row = plain.pop("row")
    costs = [{"kind": kind, "amount": dollar_text(amount)} for kind, amount in page.costs]
    return {
        **row,
        **plain,
        "identities": dict(page.identities),
        "facts": dict(page.facts),
        "costs": costs,
        "parts": [part_record(part) for part in page.parts],
    }


def _page_lines(page: DonorPage) -> Iterator[str]:
    row = page.row
    yield from pairs(
        [
            ("stock number", row.stock_number),
            ("vehicle", row.vehicle),
            ("vin", row.vin),
            ("built", page.built),
            ("miles", f"{page.miles:,}" if page.miles is not None else "not known"),
            ("paper", page.paper),
            ("source", page.source),
            ("arrived", when(row.arrived_at)),
            ("state", row.state),
            ("frame", row.frame_state),
            ("place", row.place),
            ("body", page.body),
            ("note", page.note),
            *((str(group), name) for group, name in page.identities),
            *page.facts,
        ]
    )
    yield from lines_of(page.holds, "held: ")
    yield from _parts(page)
    yield from _money(page)
    if page.balance is not None:
        yield ""
        yield from lines_of([page.balance.words], "hulk: ")


def _parts(page: DonorPage) -> Iterator[str]:
    if page.parts:
        cells = [
            (part.tag, part.name, str(part.condition), money(part.price_cents), part.standing, part.where)
            for part in page.parts
        ]
        yield ""
        yield from table(("tag", "part", "condition", "price", "standing", "where"), cells, figures=[3])


def _money(page: DonorPage) -> Iterator[str]:
    yield ""
    yield heading("money")
    spent = [(kind, money(amount)) for kind, amount in page.costs]
    whole = [("cost in all", money(page.cost_cents)), ("money in", money(page.money_cents))]
    yield from sums([*spent, *whole, ("left over", money(page.money_cents - page.cost_cents))])
