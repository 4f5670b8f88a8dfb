"""Taking a part off, and looking one up."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from app.commands.desk import Desk, YardCommand, given
from app.commands.kinds import COUNT, HOURS, MEASURED, MONEY, POUNDS, OneOf
from app.commands.records import record
from app.commands.show import figure, lines_of, money, pairs, when

if TYPE_CHECKING:
    from app.book.parts import PartRow


@click.command(cls=YardCommand)
@click.argument("vehicle")
@click.argument("part_type", metavar="PART-TYPE")
@click.option("--side", type=OneOf("side", "app.fit.terms:Side"), help="LH or RH, as seated facing forward.")
@click.option("--position", metavar="TEXT", help="Where on the vehicle, for types with positions: front, rear …")
@click.option(
    "--condition",
    type=OneOf("condition", "app.fit.terms:Condition"),
    help="A clean and ready, B usable, C needs work, core, scrap. B if not said.",
)
@click.option("--damage", metavar="TEXT", help="What is wrong with it, with size and place.")
@click.option("--proven", metavar="TEXT", help="Ran, heard, turned by hand, not tested.")
@click.option("--pieces", type=COUNT, help="Pieces under this one tag.")
@click.option(
    "--fact",
    "facts",
    multiple=True,
    type=MEASURED,
    help="What was seen or measured on it; a length with its tool, else by hook tape.",
)
@click.option("--design", metavar="CODE", help="The design, if sure.")
@click.option("--weight", "weight_lb", type=POUNDS, help="Pounds on the bench scale; the usual weight is taken else.")
@click.option("--price", "price_cents", type=MONEY, help="Asking price in dollars.")
@click.option("--core", "core_cents", type=MONEY, help="Core charge in dollars; the type's own else.")
@click.option("--on-vehicle", is_flag=True, help="List it while it is still on the vehicle.")
@click.option("--pull-hours", type=HOURS, help="Hours to take it off, while on the vehicle.")
@click.option("--note", metavar="TEXT", help="Anything else.")
@click.option("--sure", multiple=True, metavar="FIELD", help="Confirm a doubtful field, such as weight.")
@click.pass_obj
def harvest(desk: Desk, /, vehicle: str, part_type: str, **said: Any) -> None:
    """Make the tag of a part that is in the hand.

    Or list one for sale while it is on the vehicle: a stock number, tag or VIN. "donorbook facts PART-TYPE"
    says which facts tell the part from its look-alikes and what can hurt. Lengths are typed as read: 17 1/4,
    812 mm, 17.25 in.

    \b
    Examples:
      donorbook harvest D1 "front lower control arm" --side RH --condition B --damage "light rust" \\
          --fact "pivot to ball joint=17 1/4@hook tape" --weight 29.5 --price 75
      donorbook harvest D1 hood --on-vehicle --pull-hours 0.4 --price 210
    """
    from app.book.facts import Seen
    from app.book.harvest import Doubtful, Harvest
    from app.book.harvest import harvest as harvest_part
    from app.book.wanting import callers

    said["facts"] = {name: Seen(value, tool) for name, value, tool in said["facts"]}
    said["sure"] = frozenset(said["sure"])
    with desk.at("floor") as (book, who):
        try:
            row = harvest_part(book, who, Harvest(vehicle, part_type, **given(said)))
        except Doubtful as doubt:
            doubt.remedy = f"Check it; if it is so, add --sure {doubt.field}."
            raise
        waiting = callers(book, row.tag)
    desk.show(
        {**part_record(row), "wanted": list(waiting)},
        lambda: [*part_lines(row), *lines_of(each.call for each in waiting), *_next_steps(row)],
    )


def _next_steps(row: PartRow) -> list[str]:
    place = [] if row.where.startswith("still on") else [f"then: donorbook put-away {row.tag} PLACE"]
    return [f"next: donorbook label {row.tag} --print", *place]


def part_record(row: PartRow) -> dict[str, object]:
    """A part as plain data, its facts by name."""
    plain = record(row)
    assert isinstance(plain, dict)
    cautions = [hazard.caution for hazard in row.hazards]
    return {**plain, "name": row.name, "where": row.where, "facts": dict(row.facts), "cautions": cautions}


def part_lines(row: PartRow) -> Iterator[str]:
    """A part for people."""
    yield from pairs(
        [
            ("tag", row.tag),
            ("part", row.name),
            ("off", " ".join(word for word in (row.donor, row.vehicle) if word)),
            ("condition", ", ".join(word for word in (row.condition, row.damage, row.proven) if word)),
            ("price", money(row.price_cents)),
            ("core", money(row.core_cents) if row.core_cents else ""),
            ("weight", figure(row.weight_lb, "lb") + (f", {row.weight_how}" if row.weight_lb is not None else "")),
            ("standing", ", ".join(word for word in (row.standing, row.block_reason) if word)),
            ("where", row.where),
            ("design", row.design),
            ("seen", when(row.seen_at)),
            *row.facts,
        ]
    )
    yield from lines_of((hazard.caution for hazard in row.hazards), "caution: ")


@click.command(cls=YardCommand)
@click.argument("tag")
@click.pass_obj
def part(desk: Desk, tag: str) -> None:
    """Show a part by its tag.

    \b
    Example:
      donorbook part P7K3M83
    """
    from app.book.finding import part as find_part

    with desk.book() as book:
        row = find_part(book, tag)
    desk.show(part_record(row), lambda: part_lines(row))


@click.command(cls=YardCommand)
@click.argument("tag")
@click.option(
    "--fact",
    "facts",
    multiple=True,
    required=True,
    type=MEASURED,
    help="What it is now; a length with its tool, else by hook tape; of a test the day, or today.",
)
@click.pass_obj
def look(desk: Desk, tag: str, facts: tuple[tuple[str, str, str], ...]) -> None:
    """Write down what was seen, measured or tested on a part.

    It takes the place of what was known; the history keeps what that was. A recall that was looked up frees an
    airbag that waited for it. Any fact of "donorbook facts PART-TYPE" may be looked at.

    \b
    Examples:
      donorbook --by P1 look P7K3M83 --fact "tested on=today"
      donorbook look P7K3M83 --fact "rotor thickness=1.26@dial caliper"
    """
    from app.book.facts import Seen
    from app.book.looking import look_again
    from app.book.wanting import callers

    with desk.at("floor") as (book, who):
        row = look_again(book, who, tag, {name: Seen(value, tool) for name, value, tool in facts})
        waiting = callers(book, row.tag)
    desk.show(
        {**part_record(row), "wanted": list(waiting)},
        lambda: [*part_lines(row), *lines_of(each.call for each in waiting)],
    )
