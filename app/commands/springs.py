"""`donorbook springs`: torsion bars and coils by their sizes; no book is opened."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from app.commands.bench_kinds import BAR, LENGTH, OFFSET, both
from app.commands.desk import Desk, YardCommand
from app.commands.kinds import Figure
from app.commands.show import lines_of, pairs
from app.errors import BadInput

if TYPE_CHECKING:
    from app.fit.suspension.springs import TorsionBar

STORED = (
    "A loaded torsion bar or coil stores enough to kill: unload it with the proper tool first. A bar takes a set: "
    "never turn one from the other side."
)
POUNDS = Figure("lb", above_zero=True)
TURNS = Figure("turns", above_zero=True)
POUNDS_AN_INCH = 25.4 / 4.4482216152605
"""Pounds an inch in a newton a millimeter."""


@click.command(cls=YardCommand)
@click.option("--bar", type=BAR, help='A torsion bar, such as "46.50x1.25 hex": length that twists, and width.')
@click.option("--new-bar", type=BAR, help="The bar that is to go in its place.")
@click.option("--load", type=POUNDS, help="Pounds that the arm carries at its ball joint.")
@click.option("--arm", type=LENGTH, help="The arm from pivot to ball joint.")
@click.option("--arm-angle", type=float, default=0.0, metavar="DEGREES", help="Angle of the arm, minus: points down.")
@click.option("--raise", "raise_by", type=OFFSET, help="How far to raise the corner at the arm's end; minus: lower.")
@click.option("--wire", type=LENGTH, help="Wire of a coil.")
@click.option("--than", type=LENGTH, help="Wire of the coil it is held against.")
@click.option("--coil", type=LENGTH, help="The coil's diameter, to the middle of the wire.")
@click.option("--turns", type=TURNS, help="Working turns of the coil.")
@click.pass_obj
def springs(desk: Desk, /, **said: Any) -> None:
    """Figure torsion bars and coils from their sizes.

    Their rate, the key and ride height of another bar, wire against wire. A round bar has G π d⁴/(32 L), a hex
    bar G 0.11505 w⁴/L across its flats, a coil G d⁴/(8 D³ n), with spring steel of 79,300 N/mm². By wire alone
    two coils of one diameter and number of turns stand as their wires to the fourth power. Sizes are inches
    unless a unit is typed. Unload a bar or coil with the proper tool first.

    \b
    Examples:
      donorbook springs --wire 0.660 --than 0.620
      donorbook springs --bar "46.50x1.25 hex" --new-bar "44.75x1.25 hex" --load 1900 --arm 18.25 --arm-angle -6
      donorbook springs --bar "1200mm x 25.4mm round" --load 1900 --arm 18.25 --raise 1 --json
      donorbook springs --wire 0.62 --coil 5.5 --turns 6.5
    """
    found = {**_bars(said), **_coils(said)}
    if not found:
        raise BadInput("nothing to figure with", "Give --bar, or --wire.", place="--bar")
    desk.show({**found, "cautions": [STORED]}, lambda: _lines(found))


def _bars(said: dict[str, Any]) -> dict[str, object]:
    from app.fit.suspension.springs import key_turn_deg, swap_bar

    bar, new, corner = said["bar"], said["new_bar"], _corner(said)
    if bar is None:
        if new is not None or corner is not None or said["raise_by"] is not None:
            raise BadInput("which bar is in it?", "Give --bar.", place="--bar")
        return {}
    found: dict[str, object] = {"bar": _rates(bar)}
    if new is not None:
        found["new_bar"] = _rates(new)
        found["stiffer_ratio"] = new.rate / bar.rate
    if corner is None and said["raise_by"] is not None:
        raise BadInput("raising a corner asks for its load and arm", "Give --load and --arm.", place="--raise")
    if corner is not None:
        found["twist_at_ride_deg"] = bar.twist_deg(corner.torque())
        if new is not None:
            found["swap"] = swap_bar(bar, new, corner)
        if said["raise_by"] is not None:
            found["raise"] = {
                "raise_mm": said["raise_by"].mm,
                "key_turn_deg": key_turn_deg(new or bar, corner, said["raise_by"].mm),
            }
    return found


def _corner(said: dict[str, Any]) -> Any:
    from app.fit.suspension.springs import Corner

    load, arm = said["load"], said["arm"]
    if load is None and arm is None:
        return None
    if load is None or arm is None:
        raise BadInput("a corner is its load and its arm", "Give --load and --arm.", place="--load")
    return Corner(float(load) * 4.4482216152605, arm.mm, said["arm_angle"])


def _rates(bar: TorsionBar) -> dict[str, object]:
    return {
        "shape": bar.shape,
        "length_mm": bar.length_mm,
        "width_mm": bar.size_mm,
        "rate_nm_per_deg": bar.rate_nm_per_deg,
    }


def _coils(said: dict[str, Any]) -> dict[str, object]:
    from app.fit.suspension.springs import coil_rate, stiffer_by_wire, wire_words

    wire, than, coil, turns = said["wire"], said["than"], said["coil"], said["turns"]
    if wire is None:
        if any(each is not None for each in (than, coil, turns)):
            raise BadInput("which wire?", "Give --wire.", place="--wire")
        return {}
    found: dict[str, object] = {"wire_mm": wire.mm}
    if than is not None:
        ratio = stiffer_by_wire(wire.mm, than.mm)
        found |= {"than_mm": than.mm, "by_wire_ratio": ratio, "words": wire_words(ratio)}
    if coil is not None and turns is not None:
        rate = coil_rate(wire.mm, coil.mm, float(turns))
        found |= {"rate_n_per_mm": rate, "rate_lb_per_in": rate * POUNDS_AN_INCH}
    elif coil is not None or turns is not None or than is None:
        raise BadInput("a coil's rate asks for its diameter and turns", "Give --coil and --turns.", place="--coil")
    return found


def _lines(found: dict[str, Any]) -> Iterator[str]:
    yield from pairs(_said(found))
    yield from lines_of([STORED], "caution: ")


def _said(found: dict[str, Any]) -> Iterator[tuple[str, object]]:
    for name in ("bar", "new_bar"):
        if name in found:
            yield name.replace("_", " "), _bar_words(found[name])
    if "stiffer_ratio" in found:
        from app.fit.suspension.springs import wire_words

        yield "new bar is", wire_words(found["stiffer_ratio"])
    if "twist_at_ride_deg" in found:
        yield "twist at ride height", f"{found['twist_at_ride_deg']:.2f} degrees"
    if "swap" in found:
        swap = found["swap"]
        yield "key", f"{abs(swap.key_deg):.2f} degrees {'further' if swap.key_deg >= 0 else 'less'} for the same height"
        way = "sinks" if swap.sinks_mm >= 0 else "rises"
        yield "key left alone", f"the arm's end {way} {both(abs(swap.sinks_mm))}"
    if "raise" in found:
        lift = found["raise"]
        yield "to raise it " + both(lift["raise_mm"]), f"turn the key {lift['key_turn_deg']:+.2f} degrees"
    if "by_wire_ratio" in found:
        yield "by wire", f"{found['words']} than {both(found['than_mm'])}, with diameter and turns alike"
    if "rate_n_per_mm" in found:
        yield "coil rate", f"{found['rate_lb_per_in']:,.0f} lb an inch ({found['rate_n_per_mm']:.1f} N/mm)"


def _bar_words(bar: dict[str, Any]) -> str:
    size = f"{both(bar['length_mm'])} x {both(bar['width_mm'])} {bar['shape']}"
    pounds = bar["rate_nm_per_deg"] / 1.3558179483314
    return f"{size}: {pounds:.1f} lb-ft a degree ({bar['rate_nm_per_deg']:.2f} N m)"
