"""`donorbook pattern`: does a part's mounting pattern meet a vehicle's."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from app.commands.bench_kinds import LENGTH, both
from app.commands.desk import Desk, YardCommand
from app.commands.show import lines_of, pairs, table
from app.commands.units import with_units

if TYPE_CHECKING:
    from app.book.bench.patterns import HeldPattern
    from app.fit.lengths import Length


@click.command(cls=YardCommand)
@click.argument("part")
@click.argument("vehicle")
@click.option("--bolt", type=LENGTH, help="The bolt or sleeve that goes through; else the yard's setting.")
@click.option("--allowance", type=LENGTH, help="How far a point may be off where no sizes say it.")
@click.option("--search", is_flag=True, help="Search which point goes where, whatever their names.")
@click.option("--may-turn", is_flag=True, help="Either face of the part will do.")
@click.option("--mirror", is_flag=True, help="The other side's part is meant.")
@click.pass_obj
def pattern(
    desk: Desk,
    part: str,
    vehicle: str,
    bolt: Length | None,
    allowance: Length | None,
    search: bool,
    may_turn: bool,
    mirror: bool,
) -> None:
    """Hold a part's mounting pattern against a vehicle's.

    PART is a tag or the code of a design; VEHICLE a stock number, a frame design, a survey file, or another design.
    The best position is found under which every point lies within its clearance, slots sliding as far as they go:
    fits, does not, or measure again, with the point that leaves least, what would have to move and how far, and the
    one point whose better measurement would decide. A flat pattern cannot tell left from right by itself.

    \b
    Examples:
      donorbook pattern P7K3M83 D2
      donorbook pattern P7K3M83 "heavy open" --allowance 5/16 --json
    """
    from app.book.bench.patterns import How, hold_pattern

    how = How(bolt.mm if bolt else None, allowance.mm if allowance else None, search, may_turn, mirror)
    with desk.book() as book:
        found = hold_pattern(book, part, vehicle, how)
    desk.show(with_units(found.found), lambda: _lines(found))


def _lines(held: HeldPattern) -> Iterator[str]:
    found = held.found
    yield from pairs([("part", held.part), ("vehicle", held.vehicle), ("verdict", found.outcome)])
    yield from lines_of(found.words)
    yield ""
    rows = [
        (each.part, each.vehicle, str(each.outcome), both(each.off_mm), both(each.free_mm), each.way)
        for each in found.pairs
    ]
    yield from table(("part", "vehicle", "", "off", "allowed", "which way"), rows, figures=(3, 4))
