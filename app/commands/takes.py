"""The reverse question: what it would take to put this on that."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

import click

from app.commands.desk import Desk, YardCommand
from app.commands.kinds import DAY, FACT
from app.commands.show import heading, lines_of, money, pairs

if TYPE_CHECKING:
    from app.book.takes import Takes
    from app.fit.plans import Plan


@click.command(cls=YardCommand)
@click.argument("words", nargs=-1, required=True)
@click.option("--vehicle", required=True, metavar="WORDS", help="On which vehicle: year, make and model.")
@click.option("--part", default="", metavar="PART-TYPE", help="The part type, where the words could mean several.")
@click.option("--fact", "facts", multiple=True, type=FACT, help="What is known of that vehicle.")
@click.option("--on", type=DAY, help="The day, else today.")
@click.option(
    "--plans", "most", type=click.IntRange(1, 20), default=3, show_default=True, help="How many plans at most."
)
@click.pass_obj
def takes(
    desk: Desk,
    words: tuple[str, ...],
    vehicle: str,
    part: str,
    facts: tuple[tuple[str, str], ...],
    on: date | None,
    most: int,
) -> None:
    """Say what it would take to put this on that.

    Name one part or several, apart by "+" or "and", and off which vehicles they come if that matters. The cheapest
    complete sets in stock are listed: tags, work and hours at the setting shop_rate_cents_per_hour, what works
    differently afterwards, and what is missing. "Front end" and "rear end" also mean all of it under the frame.

    \b
    Examples:
      donorbook takes heavy front end --vehicle "2008 longwagon light"
      donorbook takes "body shell" --vehicle "2009 longwagon heavy" --json
      donorbook takes "fuel tank + hitch receiver" --vehicle "2008 longwagon light" --plans 5
    """
    from app.book.takes import takes as what_it_takes

    with desk.at("counter") as (book, who):
        rows = what_it_takes(book, who, " ".join(words), vehicle, part=part, facts=dict(facts), on=on, most=most)
    desk.show({"readings": [_record(row) for row in rows]}, lambda: _lines(rows))


def _record(row: Takes) -> dict[str, object]:
    return {
        "reading": row.reading,
        "vehicle": row.vehicle,
        "off": row.off,
        "needs": row.needs,
        "plans": [_plan_record(plan) for plan in row.plans],
        "refused": row.refused,
        "not_understood": row.not_understood,
    }


def _plan_record(plan: Plan) -> dict[str, object]:
    return {
        "tags": plan.tags,
        "grade": plan.grade,
        "complete": plan.complete,
        "parts_cents": plan.parts_cents,
        "hours": plan.hours,
        "labor_cents": plan.labor_cents,
        "total_cents": plan.total_cents,
        "work": [{"work": each.work, "hours": each.hours, "by": each.by_whom} for each in plan.work],
        "missing": plan.missing,
        "consequences": plan.consequences,
        "unknowns": plan.unknowns,
        "cautions": plan.cautions,
        "needs": [{"need": name, "tags": [tag for tag, _ in each.tags], "say": each.say} for name, each in plan.chosen],
    }


def _lines(rows: Sequence[Takes]) -> Iterator[str]:
    for at, row in enumerate(rows):
        if at:
            yield ""
        off = f", off {' '.join(row.off)}" if row.off else ""
        yield heading(f"{row.reading}{off}")
        if not row.plans:
            yield "nothing in stock would do" if not row.needs or not row.refused else "nothing in stock goes on"
        for number, plan in enumerate(row.plans, start=1):
            yield from _plan_lines(number, plan)
        yield from lines_of(row.refused, "won't do: ")
    if rows and rows[0].not_understood:
        yield f"not understood: {', '.join(rows[0].not_understood)}"


def _plan_lines(number: int, plan: Plan) -> Iterator[str]:
    labor = f", {plan.hours.normalize():f} h at the shop {money(plan.labor_cents)}" if plan.hours else ""
    head = f"{money(plan.total_cents)} in all: parts {money(plan.parts_cents)}{labor}"
    yield from pairs([(f"plan {number}", head), ("", f"{' + '.join(plan.tags)}, {plan.grade.said}")])
    for lead, told in (
        ("    work ", [f"{each.work}{f', {each.hours} h' if each.hours is not None else ''}" for each in plan.work]),
        ("    then ", plan.consequences),
        ("    not known: ", plan.unknowns),
        ("    missing: ", plan.missing),
        ("    caution: ", plan.cautions),
    ):
        yield from lines_of(told, lead)
