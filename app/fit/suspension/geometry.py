"""A double wishbone in front view by exact geometry: where the wheel goes as it rises and falls.

Millimeters and degrees. y runs outboard from the truck's centerline, z up; one side is looked at.
"""

from __future__ import annotations

from cmath import phase
from dataclasses import dataclass
from math import cos, degrees, hypot, inf, radians, sin, sqrt
from typing import NamedTuple

from app.errors import BadInput

STEP = radians(0.25)
"""How far the lower arm is turned from look to look while the wanted height is searched."""

HALVINGS = 60

MOST_CAMBER_DEG = 45.0
"""No wheel that was ever driven stands further over."""


class SuspensionError(BadInput, ValueError):
    """Arms that cannot be, or cannot reach; the place names the measure."""


class Point(NamedTuple):
    """A point in front view, mm: y outboard, z up."""

    y: float
    z: float


@dataclass(frozen=True, slots=True)
class FrontView:
    """The five points of one side at ride height, mm; `camber_deg` as it stands, negative when the top leans in.

    `tire_radius_mm` finds where the tire meets the ground; without it track is followed at the wheel's center.
    SuspensionError when a ball joint is not outboard of its pivot, the upper one is not above the lower one,
    or the wheel cannot stand so.
    """

    lower_pivot: Point
    lower_ball: Point
    upper_pivot: Point
    upper_ball: Point
    wheel_center: Point
    tire_radius_mm: float = 0.0
    camber_deg: float = 0.0

    def __post_init__(self) -> None:
        for arm, pivot, ball in (
            ("lower", self.lower_pivot, self.lower_ball),
            ("upper", self.upper_pivot, self.upper_ball),
        ):
            if not ball.y > pivot.y:
                raise SuspensionError(
                    f"the {arm} ball joint does not lie outboard of its pivot",
                    "Measure both from the truck's centerline outward",
                    place=f"{arm} arm",
                )
        if not (abs(self.camber_deg) < MOST_CAMBER_DEG and 0 <= self.tire_radius_mm < inf):
            raise SuspensionError(
                f"camber {self.camber_deg:g} degrees, tire radius {self.tire_radius_mm:g} mm: that cannot be",
                "Measure both again",
                place="wheel",
            )
        if not self.upper_ball.z > self.lower_ball.z:
            raise SuspensionError(
                "the upper ball joint is not above the lower one", "Check the two heights", place="ball joints"
            )


@dataclass(frozen=True, slots=True)
class Linkage:
    """The arms as lengths between fixed pivots, with the knuckle that the ball joints carry.

    `view` is what the knuckle was measured in; lengths may differ from it after an arm swap.
    """

    view: FrontView
    lower_mm: float
    upper_mm: float

    @property
    def knuckle(self) -> complex:
        """From the lower ball joint to the upper one, as measured."""
        return _c(self.view.upper_ball) - _c(self.view.lower_ball)


@dataclass(frozen=True, slots=True)
class Position:
    """The side at one height of the wheel. `rotation_deg` from the measured stand, positive when the top goes in."""

    lower_ball: Point
    upper_ball: Point
    wheel_center: Point
    tire: Point
    rotation_deg: float
    camber_deg: float
    linkage: Linkage

    def carry(self, point: Point) -> Point:
        """Where a point fixed to the knuckle has gone, from where it was measured."""
        turn = _turn(radians(self.rotation_deg))
        return _p(_c(self.lower_ball) + (_c(point) - _c(self.linkage.view.lower_ball)) * turn)

    def instant_center(self) -> Point | None:
        """Where the two arms' lines meet; None when they are parallel."""
        view = self.linkage.view
        return meeting(view.lower_pivot, self.lower_ball, view.upper_pivot, self.upper_ball)

    def swing_arm_mm(self) -> float:
        """From the wheel's center to the instant center, measured across; infinite for parallel arms.

        Below zero when the instant center lies outboard.
        """
        center = self.instant_center()
        return inf if center is None else self.wheel_center.y - center.y

    def camber_rate(self) -> float:
        """Degrees of camber for each mm of travel just here, negative when the top leans in as the wheel rises.

        One radian over the swing arm: geometry; it holds at this height alone.
        """
        arm = self.swing_arm_mm()
        return 0.0 if arm == inf else -degrees(1 / arm)


def linkage_of(view: FrontView, lower_by_mm: float = 0.0, upper_by_mm: float = 0.0) -> Linkage:
    """The arms of a view, with other arms in their place that are so much longer (or shorter, below zero).

    SuspensionError when nothing would be left of an arm.
    """
    lengths = {}
    for arm, pivot, ball, more in (
        ("lower", view.lower_pivot, view.lower_ball, lower_by_mm),
        ("upper", view.upper_pivot, view.upper_ball, upper_by_mm),
    ):
        lengths[arm] = hypot(ball.y - pivot.y, ball.z - pivot.z) + more
        if not lengths[arm] > 0:
            raise SuspensionError(
                f"nothing is left of the {arm} arm", "Check how much shorter it is", place=f"{arm} arm"
            )
    return Linkage(view, lengths["lower"], lengths["upper"])


def at_travel(linkage: Linkage, travel_mm: float) -> Position:
    """The side with the wheel's center so far above where it was measured (below zero: rebound).

    The four-bar is closed by circle intersection, the lower arm's angle halved down to the last figure.
    SuspensionError when the arms do not reach, with how far they do.
    """
    view = linkage.view
    wanted = view.wheel_center.z + travel_mm
    begin = _first_closing(linkage)
    up = 1 if begin.wheel_center.z < wanted else -1
    low, high = _bracket(linkage, begin, wanted, up)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        reached = _closed(linkage, middle)
        past = reached is None or (reached.wheel_center.z - wanted) * up > 0
        low, high = (low, middle) if past else (middle, high)
    found = _closed(linkage, low)
    assert found is not None
    return found


def _first_closing(linkage: Linkage) -> Position:
    """The side with the lower arm nearest to how it was measured, where the arms can be joined at all."""
    start = _arm_angle(linkage)
    for number in range(int(radians(80) / STEP)):
        for angle in (start + number * STEP, start - number * STEP):
            found = _closed(linkage, angle)
            if found is not None:
                return found
    raise SuspensionError(
        "arms of these lengths cannot be joined by this knuckle", "Check the lengths and the pivots", place="arms"
    )


def _bracket(linkage: Linkage, begin: Position, wanted: float, up: int) -> tuple[float, float]:
    """Two angles of the lower arm a step apart between which the wheel passes the wanted height."""
    angle = phase(_c(begin.lower_ball) - _c(linkage.view.lower_pivot))
    last = begin
    while (here := _closed(linkage, angle + up * STEP)) is not None:
        if (here.wheel_center.z - wanted) * up >= 0:
            return angle, angle + up * STEP
        if (here.wheel_center.z - last.wheel_center.z) * up <= 0:
            break
        angle, last = angle + up * STEP, here
    stop = last.wheel_center.z - linkage.view.wheel_center.z
    raise SuspensionError(
        f"the arms do not let the wheel travel {wanted - linkage.view.wheel_center.z:+.1f} mm",
        f"They end at about {stop:+.0f} mm: ask for less travel, or check lengths and pivots",
        place="travel",
    )


def _closed(linkage: Linkage, angle: float) -> Position | None:
    """The side with the lower arm at an angle; None where the upper arm does not reach."""
    view, knuckle = linkage.view, linkage.knuckle
    lower = _c(view.lower_pivot) + linkage.lower_mm * _turn(angle)
    measured_side = _cross(_c(view.upper_pivot) - _c(view.lower_ball), knuckle)
    upper = _crossing(lower, abs(knuckle), _c(view.upper_pivot), linkage.upper_mm, measured_side)
    if upper is None:
        return None
    turn = (upper - lower) / knuckle
    rotation = phase(turn)
    wheel = lower + (_c(view.wheel_center) - _c(view.lower_ball)) * turn
    camber = view.camber_deg - degrees(rotation)
    tire = wheel - 1j * view.tire_radius_mm * _turn(-radians(camber))
    return Position(_p(lower), _p(upper), _p(wheel), _p(tire), degrees(rotation), camber, linkage)


def _crossing(a: complex, r: float, b: complex, s: float, side: float) -> complex | None:
    """Where a circle of r about a meets one of s about b, on the side of the line from a to b that was measured."""
    span = abs(b - a)
    if span == 0 or span > r + s or span < abs(r - s):
        return None
    along = (r**2 - s**2 + span**2) / (2 * span)
    across = sqrt(max(r**2 - along**2, 0.0))
    return a + (b - a) / span * complex(along, across if side > 0 else -across)


def meeting(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Where the line through a and b meets the line through c and d; None for parallel lines."""
    one, other = _c(b) - _c(a), _c(d) - _c(c)
    turned = _cross(one, other)
    if abs(turned) <= 1e-12 * abs(one) * abs(other):
        return None
    return _p(_c(a) + one * (_cross(_c(c) - _c(a), other) / turned))


def _arm_angle(linkage: Linkage) -> float:
    return phase(_c(linkage.view.lower_ball) - _c(linkage.view.lower_pivot))


def _cross(one: complex, other: complex) -> float:
    return (one.conjugate() * other).imag


def _turn(angle: float) -> complex:
    return complex(cos(angle), sin(angle))


def _c(point: Point) -> complex:
    return complex(point.y, point.z)


def _p(number: complex) -> Point:
    return Point(number.real, number.imag)
