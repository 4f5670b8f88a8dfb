"""`donorbook balance`: what a hulk should weigh, and whether the scale agrees."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import click

from app.commands.desk import Desk, YardCommand
from app.commands.kinds import POUNDS, Named
from app.commands.show import pairs
from app.errors import BadInput

if TYPE_CHECKING:
    from app.fit.mass import How, MassBalance

NAMED_LB = Named("name=lb")
FREE = ("arrival", "off", "metered", "estimated", "missing", "still_on", "division")


@click.command(cls=YardCommand)
@click.argument("vehicle", required=False)
@click.option("--hulk", type=POUNDS, help="Net pounds of the hulk; else by its ticket, if it has one.")
@click.option("--arrival", type=POUNDS, help="Net pounds as it came in, when no vehicle of the book is meant.")
@click.option("--off", type=NAMED_LB, multiple=True, help="Something taken off and weighed; may be given again.")
@click.option("--metered", type=NAMED_LB, multiple=True, help="A fluid taken off by its gallons, in pounds.")
@click.option("--estimated", type=NAMED_LB, multiple=True, help="Something taken off whose weight was estimated.")
@click.option("--missing", type=NAMED_LB, multiple=True, help="Something recorded off that nobody can find.")
@click.option("--still-on", type=NAMED_LB, multiple=True, help="Something recorded as still on the vehicle.")
@click.option("--division", type=POUNDS, help="Steps of the scale in pounds; 20 when left out.")
@click.pass_obj
def balance(desk: Desk, /, vehicle: str | None, **said: Any) -> None:
    """Say what a hulk should weigh, and whether the scale agrees.

    VEHICLE is a stock number, tag or VIN of the book; without it the figures are given. The doubt is four steps of
    the scale, a tenth of estimated weights and a hundredth of weighed and metered ones. A hulk too heavy names what
    may still be on it, one too light what may have left without a tag. Status 1 when the hulk must not leave.

    \b
    Examples:
      donorbook balance D1
      donorbook balance D1 --hulk 3480
      donorbook balance --arrival 6540 --hulk 4780 --off "weighed parts=1592" --estimated "rear axle=455" \\
          --estimated "everything else=165" --json
    """
    from app.fit.mass import STOPS

    free = [name for name in FREE if said[name]]
    if vehicle is not None and free:
        raise BadInput(
            "the book has these figures of a vehicle", "Leave them out, or the vehicle.", place=f"--{_dashed(free[0])}"
        )
    found = _by_figures(said) if vehicle is None else _by_book(desk, vehicle, said["hulk"])
    desk.show(_record(found), lambda: _lines(found))
    if found.verdict in STOPS:
        raise SystemExit(1)


def _dashed(name: str) -> str:
    return name.replace("_", "-")


def _by_book(desk: Desk, vehicle: str, hulk: Decimal | None) -> MassBalance:
    from app.book.scale import foresee

    with desk.book() as book:
        found = foresee(book, vehicle, hulk)
    if found is None:
        raise BadInput(
            f"{vehicle} was never weighed in", "Weigh it in first: its net is where it starts.", place=vehicle
        )
    return found


def _by_figures(said: dict[str, Any]) -> MassBalance:
    from app.fit.mass import How, Removal, StillOn
    from app.fit.mass import balance as held

    if said["arrival"] is None:
        raise BadInput("which vehicle?", "Give a stock number, or --arrival with the figures.", place="--arrival")
    hows: dict[str, How] = {"off": How.WEIGHED, "metered": How.METERED, "estimated": How.ESTIMATED}
    removals = [
        Removal(name, POUNDS.convert(pounds, None, None), how)
        for option, how in hows.items()
        for name, pounds in said[option]
    ]
    removals += [
        Removal(name, POUNDS.convert(pounds, None, None), How.ESTIMATED, missing=True)
        for name, pounds in said["missing"]
    ]
    still_on = [StillOn(name, POUNDS.convert(pounds, None, None)) for name, pounds in said["still_on"]]
    return held(said["arrival"], removals, said["division"] or Decimal(20), said["hulk"], still_on)


def _record(found: MassBalance) -> dict[str, object]:
    return {
        "arrival_net_lb": found.arrival_net,
        "removed_lb": found.removed,
        "expected_lb": found.expected,
        "doubt_lb": found.doubt,
        "hulk_net_lb": found.hulk_net,
        "over_lb": found.over,
        "verdict": found.verdict,
        "suspects": [{"words": each.words, "weight_lb": each.weight_lb} for each in found.suspects],
        "words": found.words,
    }


def _lines(found: MassBalance) -> Iterator[str]:
    yield from pairs(
        [
            ("came in", f"{found.arrival_net:,} lb"),
            ("taken off", f"{found.removed:,} lb"),
            ("should weigh", f"{found.expected:,} lb, doubt {found.doubt:,.0f} either way"),
            ("hulk", f"{found.hulk_net:,} lb" if found.hulk_net is not None else ""),
            ("verdict", found.verdict),
        ]
    )
    if found.suspects:
        yield "may have left without a tag:" if found.verdict == "too light" else "may still be on it:"
        yield from (f"  {each.words}, {each.weight_lb:,} lb" for each in found.suspects)
    elif found.hulk_net is not None:
        yield found.words
