"""What other arms do: camber, track, what the adjusters take out, tie-rod and half-shaft left over.

Two ways of figuring, each named as what it is: `simple` turns the knuckle about the ball joint that stays,
`exact` closes the arms over the knuckle at the same ride height. Millimeters and degrees.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import atan2, degrees, dist, isfinite

from app.fit.suspension.geometry import FrontView, Point, Position, SuspensionError, at_travel, linkage_of

BALL_HEIGHTS_MM = (50.0, 1500.0)
"""Between the ball joints of any knuckle. Common practice, no source."""


class Figured(StrEnum):
    """How a figure was found."""

    SIMPLE = "simple figure: atan of the difference over the ball joints' height"
    EXACT = "exact geometry of arms and pivots at the same ride height"


class TrackAt(StrEnum):
    """Where a change of track was looked at."""

    LOWER_BALL = "the lower ball joint"
    GROUND = "the ground"
    WHEEL = "the wheel's center"


@dataclass(frozen=True, slots=True)
class Reach:
    """What the truck has to give; None where it was not looked at.

    `camber_deg` the adjusters take out either way; `tie_rod_*` thread, `shaft_*` plunge, both in mm.
    """

    camber_deg: float | None = None
    tie_rod_out_mm: float | None = None
    tie_rod_in_mm: float | None = None
    shaft_out_mm: float | None = None
    shaft_in_mm: float | None = None

    def __post_init__(self) -> None:
        for place in self.__slots__:
            value = getattr(self, place)
            if value is not None and not (isfinite(value) and value >= 0):
                raise SuspensionError(
                    f"{value:g} cannot be what is left", "Type it at zero or above", place=place.rpartition("_")[0]
                )


@dataclass(frozen=True, slots=True)
class Taken:
    """Something that must move, how far (mm, outward above zero), what there is and what is left; None: not known.

    `left_mm` below zero is what it is short.
    """

    needed_mm: float
    has_mm: float | None

    @property
    def left_mm(self) -> float | None:
        """What is left over, below zero when short."""
        return None if self.has_mm is None else self.has_mm - abs(self.needed_mm)


@dataclass(frozen=True, slots=True)
class SwapFigures:
    """What an arm swap does at ride height. Camber below zero leans the top in; track and moves outward are above.

    `camber_left_deg` is what the adjusters do not take out, 0 when they do, None when they were not looked at.
    """

    figured: Figured
    lower_by_mm: float
    upper_by_mm: float
    ball_height_mm: float
    camber_deg: float
    adjusters_deg: float | None
    track_side_mm: float
    track_at: TrackAt
    tie_rod: Taken
    half_shaft: Taken

    @property
    def track_pair_mm(self) -> float:
        """Both sides swapped alike."""
        return 2 * self.track_side_mm

    @property
    def camber_left_deg(self) -> float | None:
        """Degrees of the change that no adjuster takes out."""
        return None if self.adjusters_deg is None else max(abs(self.camber_deg) - self.adjusters_deg, 0.0)

    @property
    def roadworthy(self) -> bool | None:
        """False when something is left over or short, None when something was not looked at."""
        lefts = (self.tie_rod.left_mm, self.half_shaft.left_mm)
        if (self.camber_left_deg or 0) > 1e-9 or any(left is not None and left < -1e-9 for left in lefts):
            return False
        return None if self.camber_left_deg is None or None in lefts else True


def simple_swap(
    ball_height_mm: float, lower_by_mm: float = 0.0, upper_by_mm: float = 0.0, reach: Reach | None = None
) -> SwapFigures:
    """The figure a person does in the head: camber = atan(difference / ball joints' height).

    Track, tie-rod and half-shaft are taken at the lower ball joint, where the move is largest. Source: the
    right triangle. SuspensionError for a height no knuckle has.
    """
    low, high = BALL_HEIGHTS_MM
    if not low <= ball_height_mm <= high:
        raise SuspensionError(
            f"{ball_height_mm:g} mm is no height between ball joints",
            f"Measure from one to the other, {low:g} to {high:g} mm, or check its unit",
            place="ball height",
        )
    camber = -degrees(atan2(lower_by_mm - upper_by_mm, ball_height_mm))
    moves = _Moves(camber, lower_by_mm, TrackAt.LOWER_BALL, lower_by_mm, lower_by_mm)
    return _figures(Figured.SIMPLE, (lower_by_mm, upper_by_mm, ball_height_mm), moves, reach or Reach())


@dataclass(frozen=True, slots=True)
class Joined:
    """A tie-rod or half-shaft: its inner end on the frame, its outer end on the knuckle, as measured."""

    inner: Point
    outer: Point

    def longer_by(self, position: Position) -> float:
        """How much longer it must be with the knuckle where it is now, mm."""
        return dist(self.inner, position.carry(self.outer)) - dist(self.inner, self.outer)


def exact_swap(
    view: FrontView,
    lower_by_mm: float = 0.0,
    upper_by_mm: float = 0.0,
    reach: Reach | None = None,
    *,
    tie_rod: Joined | None = None,
    half_shaft: Joined | None = None,
) -> SwapFigures:
    """The same from the pivots, with the wheel's center held at the height it had.

    Track is followed where the tire meets the ground (at the wheel's center when no radius is known). A tie-rod
    or half-shaft that was not measured is taken to move as the lower ball joint and the wheel's center do.
    SuspensionError when the arms cannot be joined at that height.
    """
    new = at_travel(linkage_of(view, lower_by_mm, upper_by_mm), 0.0)
    old = at_travel(linkage_of(view), 0.0)
    track = new.tire.y - old.tire.y
    rod = tie_rod.longer_by(new) if tie_rod else new.lower_ball.y - old.lower_ball.y
    shaft = half_shaft.longer_by(new) if half_shaft else new.wheel_center.y - old.wheel_center.y
    sizes = (lower_by_mm, upper_by_mm, dist(view.lower_ball, view.upper_ball))
    where = TrackAt.GROUND if view.tire_radius_mm else TrackAt.WHEEL
    moves = _Moves(new.camber_deg - old.camber_deg, track, where, rod, shaft)
    return _figures(Figured.EXACT, sizes, moves, reach or Reach())


@dataclass(frozen=True, slots=True)
class _Moves:
    camber: float
    track: float
    track_at: TrackAt
    rod: float
    shaft: float


def _figures(figured: Figured, sizes: tuple[float, float, float], moves: _Moves, reach: Reach) -> SwapFigures:
    rod, shaft = moves.rod, moves.shaft
    return SwapFigures(
        figured,
        *sizes,
        moves.camber,
        reach.camber_deg,
        moves.track,
        moves.track_at,
        Taken(rod, reach.tie_rod_out_mm if rod >= 0 else reach.tie_rod_in_mm),
        Taken(shaft, reach.shaft_out_mm if shaft >= 0 else reach.shaft_in_mm),
    )


@dataclass(frozen=True, slots=True)
class Travel:
    """One height of the wheel, mm above ride height, with the old arms and the new.

    `track_*` of a side, from the old arms at ride height.
    `camber_*` degrees as they stand, `swing_arm_*` mm across to the instant center (infinite: parallel arms).
    """

    travel_mm: float
    camber_old_deg: float
    camber_new_deg: float
    track_old_mm: float
    track_new_mm: float
    swing_arm_old_mm: float
    swing_arm_new_mm: float


def over_travel(
    view: FrontView, travels_mm: Iterable[float], lower_by_mm: float = 0.0, upper_by_mm: float = 0.0
) -> tuple[Travel, ...]:
    """Camber and track through bump (above zero) and rebound, before and after the swap."""
    before, after = linkage_of(view), linkage_of(view, lower_by_mm, upper_by_mm)
    start = at_travel(before, 0.0).tire.y
    return tuple(_at(at_travel(before, each), at_travel(after, each), each, start) for each in travels_mm)


def _at(old: Position, new: Position, travel: float, start: float) -> Travel:
    return Travel(
        travel,
        old.camber_deg,
        new.camber_deg,
        old.tire.y - start,
        new.tire.y - start,
        old.swing_arm_mm(),
        new.swing_arm_mm(),
    )


def steps(bump_mm: float, rebound_mm: float, count: int = 4) -> Sequence[float]:
    """Heights to look at: ride height and `count` equal steps each way; both reaches above zero."""
    down = [-rebound_mm * each / count for each in range(count, 0, -1)] if rebound_mm else []
    up = [bump_mm * each / count for each in range(1, count + 1)] if bump_mm else []
    return [*down, 0.0, *up]
