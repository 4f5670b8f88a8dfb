"""Sets as one: shown, quoted, held, sold, all or none; lumps put together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import click

from app.commands.answers import one_line
from app.commands.counter import SPOIL, WRITE, sold_lines
from app.commands.desk import Desk, YardCommand, YardGroup
from app.commands.kinds import DAY, FACT, HOURS, MONEY
from app.commands.show import lines_of, listed, money, table, when

if TYPE_CHECKING:
    from app.book.quotes import SetRow
    from app.book.work import Book
    from app.fit.answers import AnswerLine


@click.group("set", cls=YardGroup, subcommand_metavar="show|quote|hold|sell|list|close|join …")
def sets() -> None:
    """Show, quote, hold and sell a set as one.

    One price, all lines or none. A quote keeps nothing and is short the moment one of its pieces goes; the list
    says so. A hold keeps every piece or none.

    \b
    Examples:
      donorbook set show P7K3M83 --vehicle "2009 longwagon light"
      donorbook set quote P7K3M83 P7K3M9U --name "R. Ash" --phone 555-0142
      donorbook set list
      donorbook --by C1 set sell 3
    """


@sets.command(cls=YardCommand)
@click.argument("tag")
@click.option("--vehicle", required=True, metavar="WORDS", help="Year, make and model, and what else is known.")
@click.option("--fact", "facts", multiple=True, type=FACT, help="What is known of the customer's vehicle.")
@click.option("--on", type=DAY, help="The day of the ask, else today.")
@click.pass_obj
def show(desk: Desk, tag: str, vehicle: str, facts: tuple[tuple[str, str], ...], on: date | None) -> None:
    """Show the set a part needs on a vehicle: all its tags, one price, and what is missing.

    \b
    Example:
      donorbook set show P7K3M83 --vehicle "2008 longwagon light" --fact "wheel diameter=16 in"
    """
    from app.book.reverse import standing

    with desk.book() as book:
        line = _line(book, tag, vehicle, facts, on)
        kept = standing(book, tag)
    desk.show(line.as_record() | {"standing": kept}, lambda: _set_lines(line, kept))


def _line(book: Book, tag: str, vehicle: str, facts: Sequence[tuple[str, str]], on: date | None = None) -> AnswerLine:
    from app.book.reverse import why

    return why(book, tag, vehicle, facts=dict(facts), on=on)


def _set_lines(line: AnswerLine, kept: str) -> Iterator[str]:
    """What is on offer for a price, or else first why it is not."""
    from app.book.accepting import against

    tags, short = " + ".join(line.tags), against(line)
    priced = f"no price for {tags} until accepted in writing: {short}" if short else ""
    yield from lines_of([kept or priced or f"{money(line.price_cents)} for all: {tags}"])
    yield from one_line(line)


@sets.command(cls=YardCommand)
@click.argument("tags", nargs=-1, required=True, metavar="TAG...")
@click.option("--name", required=True, metavar="TEXT", help="For whom.")
@click.option("--phone", default="", metavar="TEXT", help="How to reach them.")
@click.option("--price", "price_cents", type=MONEY, help="For all together, instead of what they ask.")
@click.option("--vehicle", default="", metavar="WORDS", help="With one tag: the set it needs on this vehicle.")
@click.option("--fact", "facts", multiple=True, type=FACT, help="What is known of that vehicle.")
@click.option(
    "--accepted", default="", metavar="TEXT", help="The customer's written words that it won't fit or is short."
)
@click.pass_obj
def quote(
    desk: Desk,
    tags: tuple[str, ...],
    name: str,
    phone: str,
    price_cents: int | None,
    vehicle: str,
    facts: tuple[tuple[str, str], ...],
    accepted: str,
) -> None:
    """Quote tags as one, all or none. It keeps nothing; the setting quote_days says how long it stands.

    What won't fit the vehicle stated, or is short of a piece there, has no price until the customer accepts that in
    writing.

    \b
    Examples:
      donorbook set quote P7K3M83 P7K3M9U --name "R. Ash" --price 200
      donorbook set quote P7K3M83 --vehicle "2008 longwagon light" --name "R. Ash"
    """
    from app.book.quotes import quote as quote_set

    with desk.at("counter") as (book, who):
        wanted, fit = _of_vehicle(book, tags, vehicle, facts, accepted)
        row = quote_set(book, who, wanted, name, phone, price_cents=price_cents, **fit)
    desk.show({"quote": row}, lambda: lines_of([row.words]))


def _of_vehicle(
    book: Book, tags: tuple[str, ...], vehicle: str, facts: Sequence[tuple[str, str]], accepted: str
) -> tuple[tuple[str, ...], dict[str, Any]]:
    """The tags as typed, or the set that the one tag needs on a vehicle, with what its fit stands on."""
    if not vehicle:
        return tags, {}
    from app.book.accepting import Acceptance, against
    from app.book.behind import behind

    line = _line(book, tags[0], vehicle, facts)
    missing = Acceptance(against(line), accepted)
    return (line.tags if len(tags) == 1 else tags), {
        "grade": str(line.grade),
        "behind": behind(line),
        "accepted": missing,
    }


@sets.command(cls=YardCommand)
@click.argument("tags", nargs=-1, required=True, metavar="TAG...")
@click.option("--name", required=True, metavar="TEXT", help="For whom.")
@click.option("--phone", default="", metavar="TEXT", help="How to reach them.")
@click.option("--hours", type=HOURS, help="For how long; as long as the yard holds for nothing, else.")
@click.pass_obj
def hold(desk: Desk, tags: tuple[str, ...], name: str, phone: str, hours: Decimal | None) -> None:
    """Hold tags as one, all or none.

    \b
    Example:
      donorbook --by C1 set hold P7K3M83 P7K3M9U --name "R. Ash" --hours 4
    """
    from app.book.holds import hold_set

    with desk.at("counter") as (book, who):
        held = hold_set(book, who, tags, name, phone, hours=hours)
    desk.show({"hold": held}, lambda: lines_of([held.words]))


@sets.command(cls=YardCommand)
@click.argument("number", type=int)
@click.option("--paid", "paid_how", default="cash", show_default=True, metavar="HOW", help="cash, card or check.")
@click.option("--slip", default="", metavar="TEXT", help="Number of the card slip or the check.")
@WRITE
@SPOIL
@click.pass_obj
def sell(desk: Desk, number: int, paid_how: str, slip: str, written: Sequence[tuple[str, str]], spoil: bool) -> None:
    """Sell a quoted set at its price on one ticket, all or none.

    What the rules behind its fit want on the ticket must be written. Where another set or quote falls short by
    it, it is sold only with --spoil.

    \b
    Example:
      donorbook --by C1 set sell 3 --paid card --slip 0412
    """
    from app.book.quotes import quote_tags, quote_to_write, sell_quote
    from app.book.spoiling import refuse_spoiling
    from app.book.written import refuse_unwanted

    with desk.at("counter") as (book, who):
        refuse_unwanted(quote_to_write(book, number), dict(written))
        refuse_spoiling(book, who, quote_tags(book, number), meant=spoil)
        sold = sell_quote(book, who, number, paid_how, slip, dict(written))
    desk.show({"ticket": sold}, lambda: sold_lines(sold))


@sets.command("list", cls=YardCommand)
@click.pass_obj
def set_list(desk: Desk) -> None:
    """List open quotes and held sets, those that fell short first.

    \b
    Example:
      donorbook set list
    """
    from app.book.quotes import open_sets

    with desk.book() as book:
        rows = open_sets(book)
    desk.show({"sets": rows}, lambda: _list_lines(rows))


def _list_lines(rows: Sequence[SetRow]) -> Iterator[str]:
    if rows:
        cells = [
            (
                f"{row.kind} {row.number}",
                row.name,
                money(row.price_cents),
                when(row.until),
                row.state,
                " ".join(row.tags),
            )
            for row in rows
        ]
        head, *told = table(("", "name", "price", "until", "", "tags"), cells, figures=[2])
        yield head
        for line, row in zip(told, rows, strict=True):
            yield line
            yield from lines_of(row.short, "    short: ")
    yield listed(len(rows), "set")


@sets.command(cls=YardCommand)
@click.argument("number", type=int)
@click.option("--why", required=True, metavar="TEXT", help="Why the quote is over.")
@click.pass_obj
def close(desk: Desk, number: int, why: str) -> None:
    """Close an open quote.

    \b
    Example:
      donorbook set close 3 --why "found one nearer"
    """
    from app.book.quotes import close_quote

    with desk.at("counter") as (book, who):
        words = close_quote(book, who, number, why)
    desk.show({"words": words}, lambda: lines_of([words]))


@sets.command(cls=YardCommand)
@click.argument("lump")
@click.argument("pieces", nargs=-1, required=True, metavar="PIECE...")
@click.pass_obj
def join(desk: Desk, lump: str, pieces: tuple[str, ...]) -> None:
    """Make tags pieces of a lump, such as what hangs on a half-cut.

    A sold lump takes its pieces with it, a held one holds them, and a piece that is gone takes its price off.

    \b
    Example:
      donorbook set join P7K3M83 P7K3M9U
    """
    from app.book.lumps import join_lump

    with desk.at("floor") as (book, who):
        words = join_lump(book, who, lump, pieces)
    desk.show({"words": words}, lambda: lines_of([words]))
