"""Asking the yard in one line of words, and keeping a want when nothing does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from app.commands.answers import answer_lines, of_typed, one_line, typed_lines
from app.commands.desk import Desk, YardCommand
from app.commands.kinds import DAY, FACT, MONEY
from app.commands.show import lines_of, listed, money, table, when

if TYPE_CHECKING:
    from app.book.typed import Typed
    from app.book.wanting import WantRow
    from app.fit.answers import Answer


def _ask_options(command: Any) -> Any:
    options = (
        click.option(
            "--fact", "facts", multiple=True, type=FACT, help='Known of the vehicle; "donorbook facts" lists them.'
        ),
        click.option("--side", default="", metavar="SIDE", help="LH or RH, as seated facing forward."),
        click.option("--part", default="", metavar="PART-TYPE", help="The part type, instead of what the words say."),
        click.option("--vehicle", default="", metavar="WORDS", help="Year, make, model or a VIN; it beats the words."),
    )
    for option in options:
        command = option(command)
    return command


@click.command(cls=YardCommand)
@click.argument("words", nargs=-1)
@_ask_options
@click.option("--wants", "--want", multiple=True, metavar="TEXT", help="A stated requirement; may be given again.")
@click.option("--on", type=DAY, help="The day of the ask, else today.")
@click.option("--all", "every", is_flag=True, help="Every line with its reasons, not only the first ones.")
@click.option("--no-keep", is_flag=True, help="Leave no trace of this ask in the book.")
@click.pass_obj
def ask(
    desk: Desk,
    /,
    words: tuple[str, ...],
    wants: tuple[str, ...],
    on: date | None,
    no_keep: bool,
    every: bool,
    **said: Any,
) -> None:
    """Ask whether the yard has a part that fits.

    One line of words in any order: year, model, part, side, what is known. The answer is a list, best fit
    first, each with its grade, price, condition and place and a sentence to say; what must not be sold stands
    apart with its reason; at the end the question that would change the answer. The ask is kept.

    A requirement is stated in the words or with --wants: "at least 30 gal", "today", "by tomorrow", "under 200",
    "A or better", or "fact=value". A tag (alone, or with a vehicle), a ticket as "#12" and a phone number are
    looked up. examples/ask_object.md describes what --json prints.

    \b
    Examples:
      donorbook ask 08 longwagon half ton lca rh
      donorbook ask "longwagon steering gear" --fact "rear suspension=five-link coil" --json
      donorbook ask --part "fuel tank" --vehicle "2008 longwagon light" --wants "at least 30 gal"
      donorbook ask P7K3M83 08 longwagon light
    """
    if not words and not said["part"]:
        raise click.UsageError("Nothing was asked. Say the words, or give --part and --vehicle.")
    alone = not any(said.values()) and not wants
    found = _typed(desk, words, on, said) if not said["part"] and not wants else None
    answer = of_typed(found) if found else _answer(desk, words, tuple(wants), on, not no_keep, said)
    if alone and found is None and not answer.asked.chips and not answer.asked.meanings:
        # What is no word of the yard's at all may be somebody's name.
        found = _named(desk, words)
        answer = of_typed(found) if found else answer
    if desk.as_json:
        desk.show(answer.as_record() | {"typed": found.as_record() if found else None}, tuple)
    else:
        desk.show(None, lambda: typed_lines(found) if found else answer_lines(answer, every=every))


def _typed(desk: Desk, words: tuple[str, ...], on: date | None, said: dict[str, Any]) -> Typed | None:
    from app.book.typed import typed

    side = {"side": said["side"]} if said["side"] else {}
    with desk.book() as book:
        return typed(book, " ".join(words), vehicle=said["vehicle"], facts={**dict(said["facts"]), **side}, on=on)


def _named(desk: Desk, words: tuple[str, ...]) -> Typed | None:
    from app.book.typed import typed_name

    with desk.book() as book:
        return typed_name(book, " ".join(words))


@click.command(cls=YardCommand)
@click.argument("tag")
@click.option("--vehicle", required=True, metavar="WORDS", help="Year, make and model, and what else is known.")
@click.option("--fact", "facts", multiple=True, type=FACT, help="What is known of the customer's vehicle.")
@click.option("--on", type=DAY, help="The day of the ask, else today.")
@click.pass_obj
def why(desk: Desk, tag: str, vehicle: str, facts: tuple[tuple[str, str], ...], on: date | None) -> None:
    """Say what one tag comes to on one vehicle, and why.

    The grade with all its reasons, whatever it is, also for a part that is not for sale.

    \b
    Example:
      donorbook why P7K3M83 --vehicle "2009 longwagon heavy"
    """
    from app.book.reverse import standing
    from app.book.reverse import why as why_so

    with desk.book() as book:
        line = why_so(book, tag, vehicle, facts=dict(facts), on=on)
        kept = standing(book, tag)
    desk.show(line.as_record() | {"standing": kept}, lambda: [*lines_of([kept] if kept else []), *one_line(line)])


@click.command(cls=YardCommand)
@click.argument("tag")
@click.option("--on", type=DAY, help="The day of the ask, else today.")
@click.pass_obj
def fits(desk: Desk, tag: str, on: date | None) -> None:
    """Say which vehicles a tag fits, best first.

    Grouped by grade, with how many models and model years that is. Runs of model years of which the same is said by
    the same rules stand together.

    \b
    Example:
      donorbook fits P7K3M83
    """
    from app.book.fitgroups import counted, in_groups
    from app.book.reverse import fits as fits_what
    from app.book.reverse import standing

    with desk.book() as book:
        rows = fits_what(book, tag, on=on)
        kept = standing(book, tag)
    groups, count = in_groups(rows), counted(rows)
    by_grade = {"came_off" if each.came_off else str(each.grade): each.models for each in groups}
    record = {
        "tag": tag,
        "standing": kept,
        "fits": [row.as_record() for row in rows],
        "groups": groups,
        "counted": {"goes_on": count.goes_on, "of": count.of, "by_grade": by_grade},
    }
    said = (kept, f"{tag}, {count.words}") if kept else (f"{tag}, {count.words}",)
    desk.show(record, lambda: _fit_lines(rows, groups, said))


def _fit_lines(rows: Any, groups: Any, said: Sequence[str]) -> Iterator[str]:
    yield from lines_of(said)
    yield from lines_of(group.words for group in groups)
    if rows:
        cells = [(row.years, row.vehicle, row.said, " ".join(row.line.rules), row.say) for row in rows]
        yield ""
        yield from table(("years", "vehicle", "fit", "rules", "say"), cells)


def _answer(
    desk: Desk, words: tuple[str, ...], wants: tuple[str, ...], on: date | None, keep: bool, said: dict[str, Any]
) -> Answer:
    from app.book.asking import ask as ask_yard

    with desk.at("counter") as (book, who):
        return ask_yard(book, who, " ".join(words), wants=wants, on=on, keep=keep, **_understood(said))


def _understood(said: dict[str, Any]) -> dict[str, Any]:
    return said | {"facts": dict(said["facts"])}


@click.command(cls=YardCommand)
@click.argument("words", nargs=-1, required=True)
@_ask_options
@click.option("--name", required=True, metavar="TEXT", help="Who wants it.")
@click.option("--phone", default="", metavar="TEXT", help="How to reach them.")
@click.option("--most", "most_cents", type=MONEY, help="The most they would pay, in dollars; else as the words say.")
@click.option("--as-said", is_flag=True, help="Keep words of which no part is understood.")
@click.pass_obj
def want(
    desk: Desk,
    /,
    words: tuple[str, ...],
    name: str,
    phone: str,
    most_cents: int | None,
    as_said: bool,
    **said: Any,
) -> None:
    """Write down what a customer wants, for when it comes in.

    The words are read as for "donorbook ask". Where they can mean several parts or vehicles, the want keeps all of
    them; "donorbook wants" says which tags answer it.

    \b
    Example:
      donorbook want 09 longwagon transfer case --name "R. Ash" --phone 555-0142 --most 450
    """
    from app.book.asking import ask as ask_yard
    from app.book.wanting import write_want

    with desk.at("counter") as (book, who):
        answer = ask_yard(book, who, " ".join(words), keep=False, **_understood(said))
        row = write_want(book, who, answer, name, phone, most_cents, as_said=as_said)
    desk.show(row, lambda: _written(row))


def _written(row: WantRow) -> Iterator[str]:
    """A want as it was understood."""
    yield from lines_of([f"want {row.number}: {row.words}, for {row.name}"])
    wishes = (*row.wishes, f"{row.pieces} pieces" if row.pieces else "", _paid(row))
    yield from lines_of(
        words for words in (" or ".join(row.parts), " or ".join(row.vehicles), ", ".join(filter(None, wishes))) if words
    )


def _paid(row: WantRow) -> str:
    return f"pays {money(row.most_cents)} at most" if row.most_cents else ""


@click.command(cls=YardCommand)
@click.pass_obj
def wants(desk: Desk) -> None:
    """List the open wants, each with the tags that answer it now.

    \b
    Example:
      donorbook wants
    """
    from app.book.wanting import wants as all_wants

    with desk.book() as book:
        rows = all_wants(book, look=True)
    desk.show({"wants": rows}, lambda: _want_lines(rows))


def _want_lines(rows: Any) -> Iterator[str]:
    if rows:
        cells = [
            (
                str(row.number),
                when(row.made_at),
                row.name,
                row.phone,
                money(row.most_cents),
                row.words,
                " ".join(row.here),
            )
            for row in rows
        ]
        yield from table(("want", "since", "name", "phone", "most", "words", "here now"), cells, figures=[0, 4])
    yield listed(len(rows), "want")
