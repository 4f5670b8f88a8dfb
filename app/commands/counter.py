"""Holding, selling, and voiding a sale."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from app.commands.desk import Desk, YardCommand, given
from app.commands.kinds import FACT, HOURS, MONEY, PERCENT, TICKET
from app.commands.paper import draw_to
from app.commands.show import lines_of, money, pairs, sums, table, when
from app.errors import BadInput

if TYPE_CHECKING:
    from app.book.sales import Line
    from app.book.tickets import SoldRow
    from app.book.work import Book
    from app.fit.answers import AnswerLine


WRITE = click.option(
    "--write",
    "written",
    multiple=True,
    type=FACT,
    help="What a rule wants on the ticket, such as who fits it; the value later says that it is not known yet.",
)
"""What goes on a ticket because a rule says so."""
SPOIL = click.option("--spoil", is_flag=True, help="Sell it although a set or a quote falls short by that.")
"""That a set may be broken."""


@click.command(cls=YardCommand)
@click.argument("tag")
@click.option("--name", required=True, metavar="TEXT", help="For whom.")
@click.option("--phone", default="", metavar="TEXT", help="How to reach them.")
@click.option("--hours", type=HOURS, help="For how long; as long as the yard holds for nothing, else.")
@click.option("--vehicle", default="", metavar="WORDS", help="For which vehicle; what law forbids on it is not held.")
@click.pass_obj
def hold(desk: Desk, tag: str, name: str, phone: str, hours: Decimal | None, vehicle: str) -> None:
    """Hold a part for somebody.

    What law forbids to sell is not held either.

    \b
    Example:
      donorbook --by C1 hold P7K3M83 --name "R. Ash" --phone 555-0142 --hours 4
    """
    from app.book.accepting import stood_on
    from app.book.holds import hold as hold_part

    with desk.at("counter") as (book, who):
        found = _on_vehicle(book, tag, vehicle, {}) if vehicle else None
        held = hold_part(book, who, tag, name, phone, hours=hours, behind=stood_on(found))
    desk.show(held, lambda: lines_of([f"{held.tag} is held for {held.name} until {when(held.until)}"]))


@click.command(cls=YardCommand)
@click.argument("tag")
@click.option("--why", default="released", metavar="TEXT", show_default=True, help="Why the hold ends.")
@click.pass_obj
def release(desk: Desk, tag: str, why: str) -> None:
    """End a hold; the part is free again.

    \b
    Example:
      donorbook release P7K3M83 --why "found one nearer"
    """
    from app.book.holds import release_hold

    with desk.at("counter") as (book, who):
        words = release_hold(book, who, tag, why)
    desk.show({"words": words}, lambda: lines_of([words]))


@click.command(cls=YardCommand)
@click.argument("tags", nargs=-1, required=True, metavar="TAG...")
@click.option("--customer", metavar="NAME", help="Who buys; needed for what is held for somebody.")
@click.option("--exempt", "exempt_number", metavar="NUMBER", help="Tax exemption number.")
@click.option("--price", "prices", multiple=True, metavar="[TAG=]DOLLARS", help="Another price than the asking price.")
@click.option("--discount", "discount_percent", type=PERCENT, help="Percent off the parts.")
@click.option("--discount-by", metavar="CODE", help="Whose badge stands for a discount over the counter's limit.")
@click.option("--old-one-in", multiple=True, metavar="TAG", help="The old one is on the counter: no core charge.")
@click.option("--grade", "grades", multiple=True, metavar="[TAG=]GRADE", help="The grade of fit as it was said.")
@click.option(
    "--said", multiple=True, metavar="[TAG=]TEXT", help="What was said about the fit; it goes on the receipt."
)
@click.option("--vehicle", default="", metavar="WORDS", help="For which vehicle; what its fit stands on is kept.")
@click.option("--fact", "facts", multiple=True, type=FACT, help="What is known of that vehicle.")
@click.option(
    "--accepted",
    multiple=True,
    metavar="[TAG=]TEXT",
    help="The customer's written words that it won't fit or is short; they stand on the ticket.",
)
@WRITE
@SPOIL
@click.option("--paid", "paid_how", default="cash", show_default=True, metavar="HOW", help="cash, card or check.")
@click.option("--slip", metavar="TEXT", help="Number of the card slip or the check.")
@click.option("--receipt", type=click.Path(path_type=Path), metavar="FILE", help="Draw the receipt as .png or .pdf.")
@click.pass_obj
def sell(desk: Desk, /, tags: tuple[str, ...], receipt: Path | None, spoil: bool, **said: Any) -> None:
    """Sell one part or more on one ticket and take the money.

    Tax is on the parts after discount, never on core charges, and is rounded once for the ticket. With one tag
    its name may be left out of --price, --grade, --said and --accepted. What law forbids is not sold; what won't
    fit the vehicle stated, or is short of a piece there, only against the customer's written acceptance. What the
    rules behind its fit want on the ticket must be written: who fits an airbag, what either meter shows. A part
    that others make a set with is sold alone only with --spoil.

    \b
    Examples:
      donorbook --by C1 sell P7K3M83 --paid cash --receipt receipt.pdf
      donorbook sell P7K3M83 --vehicle "08 longwagon light" --accepted "has his own harness, R. Ash"
      donorbook sell P7K3M83 --vehicle "08 longwagon light" --write "mileage shown=161,200"
      donorbook sell P7K3M83 P7K3M9U --price P7K3M83=70 --customer "R. Ash" --paid card --slip 0412
    """
    from app.book.sales import Basket
    from app.book.sales import sell as sell_parts
    from app.book.spoiling import refuse_spoiling

    lines = _basket_lines(tags, said)
    badge, vehicle, facts = said.pop("discount_by"), said.pop("vehicle"), dict(said.pop("facts"))
    written = dict(said.pop("written"))
    with desk.at("counter") as (book, who):
        if vehicle:
            lines = _for_vehicle(book, lines, vehicle, facts)
        lines = _with_written(book, lines, facts, written)
        allowed = _badge(book, badge) if badge else {}
        spoiled = refuse_spoiling(book, who, tags, meant=spoil)
        sold = sell_parts(book, who, Basket(lines=lines, **allowed, **given(said)))
        drawn = draw_to(book, "receipt", sold.tag, receipt) if receipt else None
    record = {"ticket": sold, "warnings": list(spoiled)} | ({"receipt": drawn} if drawn else {})
    desk.show(record, lambda: _sold(sold, drawn, spoiled))


def _sold(sold: SoldRow, drawn: Path | None, spoiled: Sequence[str]) -> Iterator[str]:
    yield from lines_of(spoiled, "warning: ")
    yield from sold_lines(sold, drawn)


def _for_vehicle(book: Book, lines: Sequence[Line], vehicle: str, facts: Mapping[str, str]) -> list[Line]:
    """Lines with what their fit stands on and what speaks against it; as it is where nothing joins the two.

    The grade that was said stands, but not over one of "won't fit".
    """
    from app.fit.terms import Grade

    answers = {line.tag: _on_vehicle(book, line.tag, vehicle, facts) for line in lines}
    sets = [each.tags for each in answers.values() if each is not None and each.grade is Grade.SET]
    whole = {tag for tags in sets if set(tags) <= set(answers) for tag in tags}
    return [_as_answered(line, answers[line.tag], in_set=line.tag in whole) for line in lines]


def _as_answered(line: Line, answer: AnswerLine | None, *, in_set: bool) -> Line:
    """A line with what its answer says; a piece of a set that is on the ticket whole is right as that."""
    from app.book.accepting import against
    from app.book.behind import behind
    from app.fit.terms import Grade

    if answer is None:
        return line
    if in_set:
        return replace(line, grade=line.grade or str(Grade.SET), behind=behind(answer))
    accepted = replace(line.accepted, against=against(answer))
    grade = line.grade if line.grade and answer.grade is not Grade.WONT_FIT else str(answer.grade)
    return replace(line, grade=grade, behind=behind(answer), accepted=accepted)


def _on_vehicle(book: Book, tag: str, vehicle: str, facts: Mapping[str, str]) -> AnswerLine | None:
    """What a part comes to on a vehicle; None where nothing joins the two."""
    from app.book.reverse import why
    from app.fit.engine import NotCompared

    try:
        return why(book, tag, vehicle, facts=facts)
    except NotCompared:
        return None


def _with_written(book: Book, lines: Sequence[Line], told: Mapping[str, str], written: Mapping[str, str]) -> list[Line]:
    """Lines with what the rules want on them; what was told of the vehicle need not be said twice."""
    from app.book.written import refuse_unwanted, to_write

    wanted = to_write(book, [(line.tag, line.behind) for line in lines])
    refuse_unwanted(wanted, written)
    known = {each.fact: told[each.fact] for each in wanted if each.fact in told}
    return [replace(line, written={**known, **written}) for line in lines]


def _badge(book: Book, code: str) -> dict[str, Any]:
    from app.book.people import who_is

    owner = who_is(book, code, "counter")
    return {"discount_by": owner.code, "discount_role": owner.role}


def _basket_lines(tags: Sequence[str], said: dict[str, Any]) -> list[Line]:
    from app.book.accepting import Acceptance
    from app.book.sales import Line

    names = [tag.upper() for tag in tags]
    price = {tag: MONEY.convert(typed, None, None) for tag, typed in _by_tag(names, said.pop("prices"), "--price")}
    grade = dict(_by_tag(names, said.pop("grades"), "--grade"))
    words = dict(_by_tag(names, said.pop("said"), "--said"))
    accepted = dict(_by_tag(names, said.pop("accepted"), "--accepted"))
    old_in = {_on_ticket(names, tag, "--old-one-in") for tag in said.pop("old_one_in")}
    return [
        Line(
            tag,
            price.get(tag),
            grade=_grade(grade.get(tag, "")),
            said=words.get(tag, ""),
            old_one_in=tag in old_in,
            accepted=Acceptance(words=accepted.get(tag, "")),
        )
        for tag in names
    ]


def _by_tag(tags: Sequence[str], typed: Sequence[str], option: str) -> Iterator[tuple[str, str]]:
    """TAG=VALUE pairs; with one tag on the ticket the value alone will do."""
    for each in typed:
        tag, equals, value = each.partition("=")
        if equals and tag.upper() in tags:
            yield tag.upper(), value
        elif len(tags) == 1 and not (equals and option == "--price"):
            yield tags[0], each
        else:
            raise BadInput(f"{each!r} names no tag of this ticket", "Type it as TAG=VALUE.", place=option)


def _on_ticket(tags: Sequence[str], tag: str, option: str) -> str:
    if tag.upper() not in tags:
        raise BadInput(f"{tag!r} is not on this ticket", "Name a tag that is sold.", place=option)
    return tag.upper()


def _grade(said: str) -> str:
    """A grade by its name or as it is said, checked."""
    from app.fit.terms import Grade

    if not said:
        return ""
    found = next((grade for grade in Grade if said.lower() in (grade.value, grade.said)), None)
    if found is None:
        raise BadInput(f"{said!r} is no grade", f"Grades are {', '.join(Grade)}.", place="--grade")
    return found.value


def sold_lines(row: SoldRow, drawn: Path | None = None) -> Iterator[str]:
    """A ticket for people: who and when, its lines, its sums."""
    yield from pairs(
        [
            ("ticket", f"{row.number}  {row.tag}  {row.state}"),
            ("customer", row.customer),
            ("time", when(row.paid_at or row.made_at)),
            ("by", row.by),
            ("void", row.void_reason),
        ]
    )
    cells = [(line.tag, line.words, line.said, money(line.price_cents)) for line in row.lines]
    yield from table(("tag", "part", "said", "price"), cells, figures=[3])
    yield from sums(_totals(row))
    if drawn is not None:
        yield from lines_of([f"receipt drawn: {drawn}"])


def _totals(row: SoldRow) -> list[tuple[str, str]]:
    tax = f"exempt {row.exempt_number}" if row.exempt_number else f"tax {row.tax_rate} %"
    discount = [("discount", money(-row.discount_cents))] if row.discount_cents else []
    core = [("core", money(row.core_cents))] if row.core_cents else []
    paid = f"total, {row.paid_how}" if row.paid_how else "total"
    parts = ("parts", money(row.parts_cents))
    return [parts, *discount, *core, (tax, money(row.tax_cents)), (paid, money(row.total_cents))]


@click.command(cls=YardCommand)
@click.argument("ticket", type=TICKET)
@click.pass_obj
def sale(desk: Desk, ticket: str) -> None:
    """Show a sale ticket by its number or tag.

    \b
    Example:
      donorbook sale 12
    """
    from app.book.tickets import ticket as find_ticket

    with desk.book() as book:
        row = find_ticket(book, ticket)
    desk.show({"ticket": row}, lambda: sold_lines(row))


@click.command(cls=YardCommand)
@click.argument("ticket", type=TICKET)
@click.option("--reason", required=True, metavar="WHY", help="Why; it stays on the ticket.")
@click.pass_obj
def void(desk: Desk, ticket: str, reason: str) -> None:
    """Void a paid sale ticket with a reason.

    The ticket stays as it was with the reason on it; its parts go back for sale. A weight ticket is voided
    with "donorbook weigh void".

    \b
    Example:
      donorbook --by C1 void 12 --reason "customer came back within the hour"
    """
    from app.book.sales import void_ticket
    from app.book.tickets import ticket as find_ticket

    with desk.at("counter") as (book, who):
        row = void_ticket(book, who, find_ticket(book, ticket).number, reason)
    desk.show({"ticket": row}, lambda: sold_lines(row))
