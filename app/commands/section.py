"""`donorbook section`: what a rail's shape is worth in bending and in twist; no book is opened."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from app.commands.bench_kinds import LENGTH, RAIL, inches
from app.commands.desk import Desk, YardCommand
from app.commands.kinds import Figure, OneOf
from app.commands.records import record
from app.commands.show import lines_of, pairs, table
from app.errors import BadInput

if TYPE_CHECKING:
    from app.fit.lengths import Length
    from app.fit.sections.boxing import Boxing
    from app.fit.sections.build import RailKind
    from app.fit.sections.compare import RailRatios
    from app.fit.sections.rails import PlateOn, Properties, Rail

POUND_FEET = Figure("lb-ft", above_zero=True)

ROWS = (
    ("area", "area_mm2", 2),
    ("I up and down", "ix_mm4", 4),
    ("I sideways", "iy_mm4", 4),
    ("S up and down", "sx_mm3", 3),
    ("S sideways", "sy_mm3", 3),
    ("centroid from the web's back", "centroid_x_mm", 1),
    ("shear center from the web's back", "shear_x_mm", 1),
    ("torsion constant J", "j_mm4", 4),
    ("torsion modulus", "torsion_modulus_mm3", 3),
    ("warping constant Cw", "cw_mm6", 6),
)
"""What is shown of a section: its words, the property, the power of its length."""


@click.command(cls=YardCommand)
@click.argument("kind", type=OneOf("kind", "app.fit.sections.build:RailKind"))
@click.argument("sizes", nargs=-1, required=True, type=LENGTH, metavar="HEIGHT WIDTH WALL")
@click.option("--radius", type=LENGTH, help="Outer radius of the corners; sharp when left out.")
@click.option("--plate", type=LENGTH, help="Thickness of the plate that boxes it; else as thick as the wall.")
@click.option(
    "--plate-on",
    type=OneOf("where", "app.fit.sections.rails:PlateOn"),
    default="open side",
    show_default=True,
    help='Where a part-boxed rail is plated: "open side" (closes the box) or "flanges" (stays open).',
)
@click.option("--against", type=RAIL, help='Another rail to hold it against, such as "open 8.25x2.80x0.220".')
@click.option("--length", type=LENGTH, help="Length of the whole rail, to box a part of it.")
@click.option("--boxed-length", type=LENGTH, help="How much of an open rail is boxed, in its middle.")
@click.option("--boxed-from", type=LENGTH, help="Where the boxed part begins, from one end; else in the middle.")
@click.option("--torque", type=POUND_FEET, default="1000", show_default=True, help="Torque for the angle of twist.")
@click.pass_obj
def section(desk: Desk, /, kind: RailKind, sizes: tuple[Length, ...], **said: Any) -> None:
    """Figure what a rail's section is worth, boxed, open or round.

    KIND is boxed, open, tube or part-boxed; a tube takes its diameter and wall. Sizes are outside sizes, inches
    unless a unit is typed. A part-boxed rail is an open one with plate welded along its whole edges, figured where
    it is plated; with --length and --boxed-length also what that does to the whole rail. Boxing or welding a frame
    is for certified people, under local rules.

    \b
    Examples:
      donorbook section boxed 6in 3in 0.12in --radius 0.24in
      donorbook section open 8.25 2.80 0.220 --against "boxed 7.10x2.90x0.150"
      donorbook section part-boxed 8.25 2.80 0.220 --plate 1/4 --length 60 --boxed-length 30 --json
      donorbook section tube 76.2mm 3mm
    """
    from app.fit.sections.build import rail_of
    from app.fit.sections.compare import compare_rails

    plate_on: PlateOn = said["plate_on"]
    rail = rail_of(kind, [size.mm for size in sizes], _mm(said["radius"]) or 0.0, _mm(said["plate"]), plate_on)
    ratios = compare_rails(rail, said["against"]) if said["against"] else None
    boxing = _boxing(rail, said)
    desk.show(_record(rail, ratios, boxing), lambda: _lines(rail, said["against"], ratios, boxing))


def _mm(length: Length | None) -> float | None:
    return None if length is None else length.mm


def _boxing(rail: Rail, said: dict[str, Any]) -> Boxing | None:
    from app.fit.sections.boxing import NMM_PER_LB_FT, BoxedLength, box_a_length
    from app.fit.sections.rails import OpenChannel, Plated, PlateOn

    length, boxed, torque = said["length"], said["boxed_length"], said["torque"]
    if length is None and boxed is None and said["boxed_from"] is None:
        return None
    if length is None or boxed is None:
        raise BadInput("boxing a part needs both lengths", "Give --length and --boxed-length.", place="--boxed-length")
    open_rail = rail.rail if isinstance(rail, Plated) else rail
    closes = not isinstance(rail, Plated) or rail.plate_on is PlateOn.OPEN_SIDE
    if not isinstance(open_rail, OpenChannel) or not closes:
        raise BadInput(
            "only an open rail can be boxed over a length, by a plate on its open side",
            "Take open or part-boxed.",
            place="kind",
        )
    plate = _mm(said["plate"]) or open_rail.wall_mm
    lengths = BoxedLength(length.mm, boxed.mm, _mm(said["boxed_from"]))
    return box_a_length(open_rail, plate, lengths, float(torque) * NMM_PER_LB_FT)


def _record(rail: Rail, ratios: RailRatios | None, boxing: Boxing | None) -> dict[str, object]:
    from app.fit.sections.compare import WARPING, WELDING

    found = rail.properties()
    plain: dict[str, object] = {
        "rail": rail.words,
        "closed": rail.closed,
        "properties": found,
        "properties_in": _in_inches(found),
    }
    if ratios is not None:
        figures = record(ratios)
        assert isinstance(figures, dict)
        plain["against"] = {f"{name}_ratio" if isinstance(v, float) else name: v for name, v in figures.items()}
    if boxing is not None:
        plain["boxing"] = boxing
    return {**plain, "cautions": [WELDING, WARPING]}


def _in_inches(found: Properties) -> dict[str, float | None]:
    named = {}
    for _, name, power in ROWS:
        value = getattr(found, name)
        unit = "in" if power == 1 else f"in{power}"
        named[f"{name.rpartition('_')[0]}_{unit}"] = None if value is None else inches(value, power)
    return named


def _lines(rail: Rail, other: Rail | None, ratios: RailRatios | None, boxing: Boxing | None) -> Iterator[str]:
    from app.fit.sections.compare import WARPING, WELDING

    found = rail.properties()
    yield from pairs([("rail", rail.words), ("steel", f"{found.steel_kg_per_m * 0.3048 / 0.45359237:.1f} lb a foot")])
    yield from table(("", "inches", "millimeters"), list(_rows(found)), figures=(1, 2))
    yield f"torsion constant: {found.j_by}"
    if ratios is not None and other is not None:
        yield f"against {other.words}: {ratios.words}"
        if rail.closed != other.closed:
            yield WARPING
    if boxing is not None:
        yield from _boxing_lines(boxing)
    if not rail.closed or boxing is not None or (other is not None and not other.closed):
        yield from lines_of([WELDING], "caution: ")


def _rows(found: Properties) -> Iterator[tuple[str, str, str]]:
    """What is shown, without the centers of a section whose two centers are its middle."""
    raised = {1: "", 2: "²", 3: "³", 4: "⁴", 6: "⁶"}
    for words, name, power in ROWS:
        value = getattr(found, name)
        if value is None or (power == 1 and abs(found.centroid_x_mm - found.shear_x_mm) < 1e-6):
            continue
        yield words, f"{_four(inches(value, power))} in{raised[power]}", f"{_four(value)} mm{raised[power]}"


def _four(value: float) -> str:
    """Four figures, thousands commas."""
    if abs(value) >= 1000:
        return f"{float(f'{value:.4g}'):,.0f}"
    text = f"{value:.4g}"
    return f"{value:.6f}".rstrip("0") if "e" in text else text


def _boxing_lines(boxing: Boxing) -> Iterator[str]:
    yield boxing.words
    torque = f"{boxing.torque_nmm / 1e6:,.2f} kN m"
    yield f"twist under {torque}, ends free to warp: open {boxing.open_twist_deg:.2f}°, boxed {boxing.twist_deg:.2f}°"
    yield f"with ends held: open {boxing.open_twist_held_deg:.2f}°, boxed {boxing.twist_held_deg:.2f}°"
    yield from lines_of([boxing.model])
