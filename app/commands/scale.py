"""The scale: in, out, scrap, and voiding a weight ticket."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from app.book.money import say_price
from app.commands.desk import Desk, YardCommand, YardGroup, given
from app.commands.kinds import LIMIT, MOMENT, PRICE, SHOWN, TICKET, Named, OneOf
from app.commands.paper import draw_to
from app.commands.show import figure, lines_of, listed, money, pairs, table, when
from app.errors import Refused

if TYPE_CHECKING:
    from app.book.scale import WeightRow
    from app.book.work import Book, Who
    from app.fit.weights import Deduction

UNIT = OneOf("unit", "app.fit.weights:WeightUnit")


@click.group(cls=YardGroup, subcommand_metavar="in|out|scrap|void|show|list …")
def weigh() -> None:
    """Weigh in, out or scrap; show or void a ticket.

    Weights are typed as the scale shows them. A ticket is never edited, only voided with a reason.

    \b
    Examples:
      donorbook weigh in D1 --gross 25,480 --tare 19,860
      donorbook weigh out D1 --gross 23,120 --tare 19,860 --price 212 --per "gross ton"
      donorbook weigh scrap "cast aluminum" --party "R. Ash" --gross 640 --tare 600
      donorbook weigh void 12 --reason "wrong truck on the scale"
      donorbook weigh list
    """


def _readings(command: Any) -> Any:
    options = (
        click.option(
            "--ticket", "drawn_to", type=click.Path(path_type=Path), metavar="FILE", help="Draw it, .png or .pdf."
        ),
        click.option("--tare-at", type=MOMENT, help="When the tare was taken; else now."),
        click.option("--gross-at", type=MOMENT, help="When the gross was taken; else now."),
        click.option("--plate", metavar="TEXT", help="License plate of the truck."),
        click.option("--party", metavar="NAME", help="Who brings or takes it."),
        click.option("--per", "price_unit", type=UNIT, help='The price is by lb, kg, "net ton", "gross ton" or tonne.'),
        click.option("--price", "price_cents", type=PRICE, help="Dollars by the unit of --per."),
        click.option(
            "--deduct",
            "deductions",
            multiple=True,
            type=Named("words=weight"),
            help='Taken off the net, by weight or percent: "tires=120", "dirt=2%".',
        ),
        click.option("--division", type=SHOWN, help="Step of the scale, if not the yard's."),
        click.option("--unit", type=UNIT, help="Unit the scale shows; pounds if not said."),
        click.option("--swap", is_flag=True, help="The two were swapped: turn them."),
        click.option("--tare", required=True, type=SHOWN, help="Tare as the scale showed it."),
        click.option("--gross", required=True, type=SHOWN, help="Gross as the scale showed it."),
    )
    for option in options:
        command = option(command)
    return command


@weigh.command("in", cls=YardCommand)
@click.argument("vehicle")
@_readings
@click.pass_obj
def weigh_in(desk: Desk, /, **said: Any) -> None:
    """Weigh a vehicle as it arrives.

    \b
    Example:
      donorbook weigh in D1 --gross 25,480 --tare 19,860 --plate 4KD221 --ticket in.pdf
    """
    from app.book.scale import weigh_in as weigh_vehicle_in

    _weigh(desk, weigh_vehicle_in, said)


@weigh.command("out", cls=YardCommand)
@click.argument("vehicle")
@_readings
@click.option("--despite", metavar="WHY", help="The owner's reason to let a doubtful hulk go.")
@click.pass_obj
def weigh_out(desk: Desk, /, **said: Any) -> None:
    """Weigh a hulk out and hold it against all that came off.

    Refused while parts on it are promised, while it is held, and when it is too heavy for what came off it.

    \b
    Example:
      donorbook weigh out D1 --gross 23,120 --tare 19,860 --price 212 --per "gross ton" --party "Kell Mill"
    """
    from app.book.scale import weigh_out as weigh_hulk_out

    _weigh(desk, weigh_hulk_out, said)


@weigh.command("scrap", cls=YardCommand)
@click.argument("commodity")
@_readings
@click.pass_obj
def weigh_scrap(desk: Desk, /, **said: Any) -> None:
    """Weigh scrap that somebody brings in; --party says who.

    \b
    Example:
      donorbook weigh scrap "cast aluminum" --party "R. Ash" --gross 640 --tare 600 --price 0.55 --per lb
    """
    from app.book.scale import weigh_scrap as weigh_scrap_in

    _weigh(desk, weigh_scrap_in, said)


def _weigh(desk: Desk, use_case: Callable[[Book, Who, Any], WeightRow], said: dict[str, Any]) -> None:
    """Weigh, draw the ticket if wanted, and show it; two swapped readings are told with the way to turn them."""
    from app.book.scale import Weighing

    target = said.pop("drawn_to")
    if said.pop("swap"):
        said["gross"], said["tare"] = said["tare"], said["gross"]
    said["deductions"] = [_deduction(words, amount) for words, amount in said["deductions"]]
    with desk.at("scale") as (book, who):
        try:
            row = use_case(book, who, Weighing(**given(said)))
        except Refused as refusal:
            if refusal.details.get("swap"):
                refusal.remedy = "Turn them with --swap, or weigh again."
            raise
        drawn = draw_to(book, "weight", row.tag, target) if target else None
    _show(desk, row, drawn)


def _deduction(words: str, amount: str) -> Deduction:
    from app.fit.weights import Deduction, DeductionKind

    kind = DeductionKind.PERCENT if amount.endswith("%") else DeductionKind.WEIGHT
    return Deduction(words, SHOWN.convert(amount.removesuffix("%"), None, None), kind)


def _show(desk: Desk, row: WeightRow, drawn: Path | None = None) -> None:
    desk.show({"ticket": row, "file": drawn} if drawn else {"ticket": row}, lambda: _ticket_lines(row, drawn))


def _ticket_lines(row: WeightRow, drawn: Path | None) -> Iterator[str]:
    yield from pairs(
        [
            ("weight ticket", f"{row.number}  {row.tag}  {row.kind}"),
            ("vehicle", row.donor),
            ("commodity", row.commodity),
            ("party", row.party),
            ("plate", row.plate),
        ]
    )
    shown = [("gross", row.gross, when(row.gross_at)), ("tare", row.tare, when(row.tare_at)), ("net", row.net, "")]
    room = max(len(figure(value)) for _, value, _ in shown)
    yield from (f"{name:13}  {figure(value):>{room}} {row.unit}  {at}".rstrip() for name, value, at in shown)
    yield from pairs(
        [
            ("deducted    ", "; ".join(f"{words}: {figure(taken, row.unit)}" for words, taken in row.taken_off)),
            ("division     ", figure(row.division, row.unit)),
            (
                "price        ",
                f"{say_price(row.price_cents)} a {row.price_unit}" if row.price_cents is not None else "",
            ),
            ("amount       ", money(row.amount_cents)),
            ("void         ", row.void_reason),
        ]
    )
    if row.balance is not None:
        yield from lines_of([row.balance.words])
    if drawn is not None:
        yield from lines_of([f"ticket drawn: {drawn}"])


@weigh.command("void", cls=YardCommand)
@click.argument("ticket", type=TICKET)
@click.option("--reason", required=True, metavar="WHY", help="Why; it stays on the ticket.")
@click.pass_obj
def weigh_void(desk: Desk, ticket: str, reason: str) -> None:
    """Void a weight ticket by its number or tag.

    \b
    Example:
      donorbook weigh void 12 --reason "wrong truck on the scale"
    """
    from app.book.scale import void_weight

    with desk.at("scale") as (book, who):
        row = void_weight(book, who, ticket, reason)
    _show(desk, row)


@weigh.command("show", cls=YardCommand)
@click.argument("ticket", type=TICKET)
@click.pass_obj
def weigh_show(desk: Desk, ticket: str) -> None:
    """Show a weight ticket by its number or tag.

    \b
    Example:
      donorbook weigh show 12
    """
    from app.book.scale import weight_ticket

    with desk.book() as book:
        row = weight_ticket(book, ticket)
    _show(desk, row)


@weigh.command("list", cls=YardCommand)
@click.option("--limit", default=50, type=LIMIT, show_default=True, help="How many at most.")
@click.pass_obj
def weigh_list(desk: Desk, limit: int) -> None:
    """List the newest weight tickets.

    \b
    Example:
      donorbook weigh list --limit 10
    """
    from app.book.scale import weight_tickets

    with desk.book() as book:
        rows = weight_tickets(book, limit=limit)
    desk.show({"tickets": rows}, lambda: _list_lines(rows, limit))


def _list_lines(rows: tuple[WeightRow, ...], limit: int) -> Iterator[str]:
    if rows:
        cells = [
            (
                str(row.number),
                row.kind,
                row.donor or row.commodity,
                figure(row.net, row.unit),
                money(row.amount_cents),
                when(row.at),
                "void" if row.void_reason else "",
            )
            for row in rows
        ]
        yield from table(("ticket", "kind", "what", "net", "amount", "time", ""), cells, figures=[0, 3, 4])
    yield listed(len(rows), "weight ticket", limit)
