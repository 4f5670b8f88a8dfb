"""Torsion bars and coils: rate, what another bar does to the ride height and the key, wire against wire.

N, mm, N/mm², N mm; rates of bars in N mm a radian, of coils in N/mm; angles in degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import asin, cos, degrees, isfinite, pi, radians, sin

from app.fit.suspension.geometry import SuspensionError

SPRING_G = 79_300.0
"""Shear modulus of spring steel, N/mm² (11,500 ksi): a common handbook value, from memory."""

HEX_TORSION = 0.11505
"""Torsion constant of a solid hexagon over its width across flats to the fourth.

Saint-Venant torsion; computed by finite elements (sectionproperties 3.10.2, meshes to 1e-4 of the area: 0.115051).
"""

MOST_TURN = radians(60)
"""No arm turns further about its pivot."""


class BarShape(StrEnum):
    """What a torsion bar is along the length that twists."""

    ROUND = "round"
    HEX = "hex"


@dataclass(frozen=True, slots=True)
class TorsionBar:
    """A bar by the length that twists and its diameter, or its width across flats for a hex bar; mm.

    SuspensionError for a size not above zero.
    """

    length_mm: float
    size_mm: float
    shape: BarShape = BarShape.ROUND
    g: float = SPRING_G

    def __post_init__(self) -> None:
        _above_zero({"bar length": self.length_mm, "bar size": self.size_mm, "shear modulus": self.g})

    @property
    def torsion_constant(self) -> float:
        """mm⁴: π d⁴/32 for a round bar, 0.11505 w⁴ for a hex bar."""
        return (pi / 32 if self.shape is BarShape.ROUND else HEX_TORSION) * self.size_mm**4

    @property
    def rate(self) -> float:
        """N mm a radian, G J/L: π d⁴ G/(32 L) for a round bar (any text on springs)."""
        return self.g * self.torsion_constant / self.length_mm

    @property
    def rate_nm_per_deg(self) -> float:
        """N m a degree."""
        return radians(self.rate) / 1000

    def twist_deg(self, torque_nmm: float) -> float:
        """How far the bar twists under a torque."""
        return degrees(torque_nmm / self.rate)


def length_for_rate(bar: TorsionBar, rate: float) -> float:
    """How long a bar of the same size must be for a rate in N mm a radian; mm."""
    _above_zero({"rate": rate})
    return bar.g * bar.torsion_constant / rate


@dataclass(frozen=True, slots=True)
class Corner:
    """One corner at ride height: the load on the arm's end in N, the arm's length in mm, and its angle in degrees.

    The load is what the arm carries at its ball joint; the angle is above zero when the arm points up outward.
    """

    load_n: float
    arm_mm: float
    arm_deg: float = 0.0

    def __post_init__(self) -> None:
        _above_zero({"load": self.load_n, "arm": self.arm_mm})
        if not abs(self.arm_deg) < 60:
            raise SuspensionError(
                f"an arm at {self.arm_deg:g} degrees carries nothing", "Measure its angle again", place="arm angle"
            )

    def torque(self, turned_rad: float = 0.0) -> float:
        """N mm about the pivot, with the arm turned up so far from ride height."""
        return self.load_n * self.arm_mm * cos(radians(self.arm_deg) + turned_rad)

    def rise(self, turned_rad: float) -> float:
        """How far the arm's end rises when it is turned up so far; mm."""
        angle = radians(self.arm_deg)
        return self.arm_mm * (sin(angle + turned_rad) - sin(angle))


@dataclass(frozen=True, slots=True)
class BarSwap:
    """Another bar in the place of one. `rate_ratio` is the new rate over the old.

    `key_deg` is how much further the key must be wound for the same ride height (below zero: backed off);
    `sinks_mm` how far the corner sinks at the arm's end when the key is left alone (below zero: rises).
    """

    rate_ratio: float
    twist_old_deg: float
    twist_new_deg: float
    key_deg: float
    sinks_mm: float


def swap_bar(old: TorsionBar, new: TorsionBar, corner: Corner) -> BarSwap:
    """What a new bar does at a corner: statics of one arm, solved without small angles.

    SuspensionError when the new bar cannot hold the corner up at all.
    """
    torque = corner.torque()
    before, after = old.twist_deg(torque), new.twist_deg(torque)
    return BarSwap(new.rate / old.rate, before, after, after - before, corner.rise(_settles(new, before, corner)))


def _settles(bar: TorsionBar, wound_deg: float, corner: Corner) -> float:
    """How far the arm turns up until the bar, wound so far at ride height, holds the load; radians."""

    def short(turned: float) -> float:
        return corner.torque(turned) - bar.rate * (radians(wound_deg) + turned)

    low, high = -MOST_TURN, MOST_TURN
    if short(low) <= 0 or short(high) >= 0:
        raise SuspensionError(
            "the new bar does not hold this corner within 60 degrees", "Check length, size and load", place="new bar"
        )
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if short(middle) > 0 else (low, middle)
    return (low + high) / 2


def key_turn_deg(bar: TorsionBar, corner: Corner, raise_mm: float) -> float:
    """How far to wind the key to raise the corner at the arm's end by so much (below zero: lower it).

    The arm comes down by its own angle, and the bar's twist follows the torque. SuspensionError beyond the arm.
    """
    down = sin(radians(corner.arm_deg)) - raise_mm / corner.arm_mm
    if not abs(down) < sin(MOST_TURN):
        raise SuspensionError(
            f"the arm does not reach {raise_mm:.1f} mm", "Ask for less, or check the arm", place="raise"
        )
    turned = asin(down) - radians(corner.arm_deg)
    return bar.twist_deg(corner.torque(turned)) - bar.twist_deg(corner.torque()) - degrees(turned)


def coil_rate(wire_mm: float, mean_diameter_mm: float, turns: float, g: float = SPRING_G) -> float:
    """N/mm of a coil, G d⁴/(8 D³ n) of wire, mean diameter and working turns (any text on springs)."""
    _above_zero({"wire": wire_mm, "coil diameter": mean_diameter_mm, "turns": turns, "shear modulus": g})
    if wire_mm >= mean_diameter_mm:
        raise SuspensionError(
            "the wire is as thick as the coil is wide", "Measure the coil to the middle of the wire", place="wire"
        )
    return g * wire_mm**4 / (8 * mean_diameter_mm**3 * turns)


def stiffer_by_wire(wire_mm: float, than_mm: float) -> float:
    """Ratio of two coils' rates by wire alone, of one mean diameter and number of turns: (d/d')⁴."""
    _above_zero({"wire": wire_mm, "other wire": than_mm})
    return (wire_mm / than_mm) ** 4


def wire_words(ratio: float) -> str:
    """A ratio of rates as it is said: "28 % stiffer", "22 % softer"."""
    share = round(abs(ratio - 1) * 100)
    return "the same rate" if share == 0 else f"{share} % {'stiffer' if ratio > 1 else 'softer'}"


def _above_zero(sizes: dict[str, float]) -> None:
    for place, value in sizes.items():
        if not (isfinite(value) and value > 0):
            raise SuspensionError(f"a {place} of {value:g} is none", "Type it above zero", place=place)
