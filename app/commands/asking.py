"""Asking the yard in one line of words, and keeping a want when nothing does."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from app.commands.answers import answer_lines
from app.commands.desk import Desk, YardCommand
from app.commands.kinds import DAY, FACT, MONEY, OneOf
from app.commands.show import lines_of, listed, money, table, when

if TYPE_CHECKING:
    from app.fit.answers import Answer

SIDE = OneOf("side", "app.fit.terms:Side")


def _ask_options(command: Any) -> Any:
    options = (
        click.option("--fact", "facts", multiple=True, type=FACT, help="What is known of the customer's vehicle."),
        click.option("--side", type=SIDE, help="LH or RH, as seated facing forward."),
        click.option("--part", default="", metavar="PART-TYPE", help="The part type, instead of what the words say."),
        click.option("--vehicle", default="", metavar="MODEL", help="The model, instead of what the words say."),
    )
    for option in options:
        command = option(command)
    return command


@click.command(cls=YardCommand)
@click.argument("words", nargs=-1, required=True)
@_ask_options
@click.option("--want", "wants", multiple=True, metavar="TEXT", help="What the customer cares for; may be given again.")
@click.option("--on", type=DAY, help="The day of the ask, else today.")
@click.option("--no-keep", is_flag=True, help="Leave no trace of this ask in the book.")
@click.pass_obj
def ask(
    desk: Desk, /, words: tuple[str, ...], wants: tuple[str, ...], on: date | None, no_keep: bool, **said: Any
) -> None:
    """Ask whether the yard has a part that fits.

    One line of words in any order: year, model, part, side, what is known. The answer is a list, best fit
    first, each with its grade, price, condition and place and a sentence to say; what must not be sold stands
    apart with its reason; at the end the question that would change the answer. The ask is kept.

    \b
    Examples:
      donorbook ask 08 longwagon half ton lca rh
      donorbook ask "longwagon steering gear" --fact "rear suspension=five-link coil" --json
    """
    answer = _answer(desk, words, tuple(wants), on, not no_keep, said)
    if desk.as_json:
        desk.show(answer.as_record(), tuple)
    else:
        desk.show(None, lambda: answer_lines(answer))


def _answer(
    desk: Desk, words: tuple[str, ...], wants: tuple[str, ...], on: date | None, keep: bool, said: dict[str, Any]
) -> Answer:
    from app.book.asking import ask as ask_yard

    with desk.at("counter") as (book, who):
        return ask_yard(book, who, " ".join(words), wants=wants, on=on, keep=keep, **_understood(said))


def _understood(said: dict[str, Any]) -> dict[str, Any]:
    return said | {"facts": dict(said["facts"]), "side": str(said["side"] or "")}


@click.command(cls=YardCommand)
@click.argument("words", nargs=-1, required=True)
@_ask_options
@click.option("--name", required=True, metavar="TEXT", help="Who wants it.")
@click.option("--phone", default="", metavar="TEXT", help="How to reach them.")
@click.option("--most", "most_cents", type=MONEY, help="The most they would pay, in dollars.")
@click.pass_obj
def want(desk: Desk, /, words: tuple[str, ...], name: str, phone: str, most_cents: int | None, **said: Any) -> None:
    """Write down what a customer wants, for when it comes in.

    The words are read as for "donorbook ask".

    \b
    Example:
      donorbook want 09 longwagon transfer case --name "R. Ash" --phone 555-0142 --most 450
    """
    from app.book.asking import ask as ask_yard
    from app.book.asking import write_want

    with desk.at("counter") as (book, who):
        answer = ask_yard(book, who, " ".join(words), keep=False, **_understood(said))
        row = write_want(book, who, answer, name, phone, most_cents)
    desk.show(row, lambda: lines_of([f"want {row.number}: {row.words}, for {row.name}"]))


@click.command(cls=YardCommand)
@click.pass_obj
def wants(desk: Desk) -> None:
    """List the open wants.

    \b
    Example:
      donorbook wants
    """
    from app.book.asking import wants as all_wants

    with desk.book() as book:
        rows = all_wants(book)
    desk.show({"wants": rows}, lambda: _want_lines(rows))


def _want_lines(rows: Any) -> Iterator[str]:
    if rows:
        cells = [
            (str(row.number), when(row.made_at), row.name, row.phone, money(row.most_cents), row.words) for row in rows
        ]
        yield from table(("want", "since", "name", "phone", "most", "words"), cells, figures=[0, 4])
    yield listed(len(rows), "want")
