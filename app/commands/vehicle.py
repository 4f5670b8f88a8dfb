"""A vehicle in the yard: its frame looked at and measured, drained, and the torch asked for."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from app.commands.desk import Desk, YardCommand, given
from app.commands.kinds import GALLONS, HOURS, MEASURED, MONEY, POUNDS, Named, OneOf
from app.commands.show import figure, lines_of, pairs
from app.fit.weights import Fluid

if TYPE_CHECKING:
    from app.book.frames import Surveyed

BY_TAPE = "hook tape"


@click.command(cls=YardCommand)
@click.argument("vehicle")
@click.option(
    "--section",
    required=True,
    type=OneOf("section", "app.fit.terms:Section"),
    help='"fully boxed", "open C-channel", "part boxed", "perimeter", "tube" or "unibody".',
)
@click.option(
    "--front",
    required=True,
    type=OneOf("front", "app.fit.terms:FrontSuspension"),
    help='"coil-over", "torsion bar", "coil, solid axle", "leaf, solid axle" or "strut".',
)
@click.option(
    "--rear",
    required=True,
    type=OneOf("rear", "app.fit.terms:RearSuspension"),
    help='"leaf", "five-link coil", "four-link coil", "independent", "twist beam" or "air".',
)
@click.option(
    "--diagonal",
    "diagonals",
    multiple=True,
    nargs=3,
    metavar="BOX ONE OTHER",
    help="Both diagonals of a box of the frame: nose, middle or tail. Inches unless a unit is typed.",
)
@click.option(
    "--measure", "measures", multiple=True, type=MEASURED, help="A length by name, inches unless a unit is typed."
)
@click.option(
    "--tool",
    default=BY_TAPE,
    show_default=True,
    help='What it was measured with: "hook tape", "tape under the truck", "tram gauge", "dial caliper", "counted".',
)
@click.option(
    "--mounts",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A CSV file of mounts with the columns mount,side,x,y,z,tool; see: donorbook frame.",
)
@click.option("--design", default="", metavar="CODE", help="Frame design to hold mounts against; else the vehicle's.")
@click.option("--datum", default="", metavar="TEXT", help="What the lengths were taken from.")
@click.option("--bad-repair", multiple=True, metavar="TEXT", help="A sign of bad repair, where; may be given again.")
@click.pass_obj
def survey(desk: Desk, /, **said: Any) -> None:
    """Write a frame survey of a vehicle.

    VEHICLE is a stock number, tag or VIN. The two diagonals of a box say straight, bent or measure again, with
    the tool's doubt counted in; mounts are held against the frame's design. A bent or badly repaired frame is
    scrap only, and its frame parts are blocked, on a hold or an open ticket as well;
    only the owner lifts that, with straight readings. Structural work on a frame is for a certified welder,
    under local rules.

    \b
    Examples:
      donorbook survey D1 --section "fully boxed" --front coil-over --rear "five-link coil" \\
          --diagonal middle "118 7/16" "118 1/2" --measure "rail height=7.10@dial caliper"
      donorbook survey D1 --section "open C-channel" --front "torsion bar" --rear leaf \\
          --bad-repair "plate welded over the left rail behind the cab"
    """
    from app.book.frames import Measure, Survey, survey_frame

    tool = said.pop("tool")
    said["diagonals"] = {box: (Measure(one, tool), Measure(other, tool)) for box, one, other in said["diagonals"]}
    said["measures"] = {name: Measure(typed, by or tool) for name, typed, by in said["measures"]}
    file = said.pop("mounts")
    if file is not None:
        from app.book.bench.files import typed_mounts

        said["mounts"] = typed_mounts(file)
    with desk.at("intake") as (book, who):
        found = survey_frame(book, who, Survey(**said))
    desk.show(found, lambda: _survey_lines(found))


def _survey_lines(found: Surveyed) -> Iterator[str]:
    yield from pairs([("vehicle", found.stock_number), ("frame", found.state), ("whose frame", found.identity)])
    yield from lines_of(found.arithmetic)
    if found.blocked:
        yield f"not for sale any more: {', '.join(found.blocked)}"
    yield from lines_of(found.to_tell, "tell: ")
    if found.given_back:
        yield f"for sale again: {', '.join(found.given_back)}"


def _fluid_options(command: Any) -> Any:
    for fluid in reversed(Fluid):
        name = fluid.value.replace(" ", "_")
        option = f"--{fluid.value.replace(' ', '-')}"
        command = click.option(option, name, type=GALLONS, help=f"Gallons of {fluid.value}.")(command)
    return command


@click.command(cls=YardCommand)
@click.argument("vehicle")
@_fluid_options
@click.option("--refrigerant", "refrigerant_lb", type=POUNDS, help="Pounds of refrigerant recovered.")
@click.option("--battery", "battery_lb", type=POUNDS, help="Pounds of the battery.")
@click.option(
    "--off", "other_lb", multiple=True, type=Named("name=lb"), help="Something else taken off, with its pounds."
)
@click.option("--hours", type=HOURS, help="Hours it took; their labor is added to the vehicle's cost.")
@click.option("--disposal", "disposal_cents", type=MONEY, help="Paid for disposal.")
@click.pass_obj
def drain(desk: Desk, /, vehicle: str, **said: Any) -> None:
    """Write down what was drained and taken off for safety.

    Fluids in gallons, the rest in pounds; what comes off is counted when the hulk is weighed out. Fuel is no
    work near flame or sparks; refrigerant is recovered with certified equipment, venting is against the law.
    Fire code and local rules decide.

    \b
    Examples:
      donorbook drain D1 --gasoline 11.5 --engine-oil 1.5 --coolant 3 --battery 38 --hours 0.8
      donorbook drain D1 --refrigerant 1.2 --off "wheel weights=2.4" --disposal 12.00
    """
    from app.book.teardown import Drain
    from app.book.teardown import drain as drain_vehicle

    gallons = {fluid: said.pop(fluid.value.replace(" ", "_")) for fluid in Fluid}
    said["gallons"] = {fluid: amount for fluid, amount in gallons.items() if amount is not None}
    said["other_lb"] = {name: POUNDS.convert(amount, None, None) for name, amount in said["other_lb"]}
    with desk.at("intake") as (book, who):
        drained = drain_vehicle(book, who, Drain(vehicle, **given(said)))
    desk.show(drained, lambda: _drain_lines(drained.stock_number, drained.fluids_lb, drained.removed_lb))


def _drain_lines(stock_number: str, fluids: Decimal, removed: Decimal) -> list[str]:
    return pairs([("vehicle", stock_number), ("fluids", figure(fluids, "lb")), ("off in all", figure(removed, "lb"))])


@click.command(cls=YardCommand)
@click.argument("vehicle")
@click.pass_obj
def torch(desk: Desk, vehicle: str) -> None:
    """Ask for leave to use the torch on a vehicle.

    Refused until the fuel is drained and written down, and while a hold is on the vehicle. The answer is
    written to the history either way. Fire code and local rules decide in the end.

    \b
    Example:
      donorbook torch D1
    """
    from app.book.teardown import ask_torch

    with desk.at("floor") as (book, who):
        permit = ask_torch(book, who, vehicle)
    desk.show(permit, lambda: lines_of([permit.words, permit.caution]))
