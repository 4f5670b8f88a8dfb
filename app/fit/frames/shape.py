"""A frame as a tape sees it: named mounts, the rails along their length, the suspension, a few lengths by name.

x runs rearward from any origin, y outboard from the centerline on the mount's own side, z up; millimeters, and every
doubt is ± what the tool may be off.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import isfinite
from statistics import median

from app.errors import BadInput
from app.fit.lengths import MM_PER_INCH, LengthUnit, in_words
from app.fit.terms import FrontSuspension, RearSuspension, Section, Side

AXES = ("x", "y", "z")
"""Rearward, outboard, up."""
DIRECTIONS = {"x": ("rearward", "forward"), "y": ("outboard", "inboard"), "z": ("up", "down")}
"""What the trade calls more and less along each axis."""

_INCH = float(MM_PER_INCH)
_UNIT_SLIP = (0.75 * _INCH, 1.33 * _INCH)
"""A coordinate smaller than its fellows by a factor between these was typed in inches and read as millimeters."""
_CENTERLINE_MM = 1.0
"""A mount without a side this near to the centerline is one mount and not a pair."""
_MOST_APART_MM = 1e-6


class FrameError(BadInput, ValueError):
    """A frame that cannot be worked with: `place` names the frame and the point, `remedy` what to do next."""

    kind = "bad_frame"


class FrameKind(StrEnum):
    """Whether it is the reference of a design or was measured on one vehicle."""

    DESIGN = "design"
    SURVEY = "survey"


class Known(StrEnum):
    """Lengths by name that decide over groups of parts; the names are those of the facts."""

    WHEELBASE = "wheelbase"
    SPREAD = "frame spread"
    ARM_LENGTH = "arm length"
    SLEEVES = "sleeve spacing"
    UPPER_BOLTS = "upper arm bolt spacing"
    PIVOT_SPREAD = "lower pivot spread"
    BALL_HEIGHT = "ball joint height"
    THREAD = "tie-rod thread left"
    PLUNGE = "half-shaft plunge left"
    TORSION_BAR = "torsion bar length"
    CORE_SPREAD = "core support spread"
    CORE_HEIGHT = "core support height"
    STRAPS = "strap spacing"
    TANK_GAP = "tank gap"
    TANK_LENGTH = "tank length"
    RECEIVER = "receiver spread"
    BUMPER = "bumper bolt spacing"


@dataclass(frozen=True, slots=True)
class Doubt:
    """How far off each coordinate may be, in millimeters either way."""

    x: float = 0.0
    y: float = 0.0
    z: float = 0.0

    @classmethod
    def even(cls, u_mm: float) -> Doubt:
        """The same along all three."""
        return cls(u_mm, u_mm, u_mm)


@dataclass(frozen=True, slots=True)
class Mount:
    """A named mount; `side` NONE stands for both sides alike, or for one on the centerline.

    `size_mm` is the hole's or stud's diameter or a slot's width; `slot_mm` the length of a slot along the rail.
    """

    name: str
    side: Side
    x_mm: float
    y_mm: float
    z_mm: float
    doubt: Doubt = Doubt()
    kind: str = "hole"
    size_mm: float | None = None
    slot_mm: float | None = None
    tool: str = ""

    @property
    def at(self) -> tuple[float, float, float]:
        """x, y and z."""
        return self.x_mm, self.y_mm, self.z_mm

    @property
    def lateral_mm(self) -> float:
        """From the centerline, to the right as seated."""
        return -self.y_mm if self.side is Side.LH else self.y_mm

    @property
    def label(self) -> str:
        """Its name with its side."""
        return f"{self.name} {self.side}".rstrip()


@dataclass(frozen=True, slots=True)
class RailStation:
    """The rail at one place along its length; both rails alike. None where it was not measured.

    `outer_mm` is the outer face from the centerline, `top_mm` and `bottom_mm` the flanges' outer faces on the same
    z as the mounts, `u_mm` the doubt of each length, the spread's among them, and `wall_u_mm` that of the wall.
    """

    x_mm: float
    height_mm: float | None = None
    width_mm: float | None = None
    wall_mm: float | None = None
    outer_mm: float | None = None
    top_mm: float | None = None
    bottom_mm: float | None = None
    section: Section | None = None
    u_mm: float = 0.0
    wall_u_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Obstacle:
    """What sits on the rail and leaves no room for a sleeve: a spring hanger, a crossmember, a bracket."""

    name: str
    x_mm: float


@dataclass(frozen=True, slots=True)
class Reading:
    """A length by name with its doubt."""

    name: str
    mm: float
    u_mm: float = 0.0
    tool: str = ""


@dataclass(frozen=True, slots=True)
class FrameShape:
    """A frame design or the survey of a donor's frame.

    `rail` holds the stations along the length; a single one stands for the whole length. `datum` is the mount that
    x and z were measured from. `bad_repair` are the signs of it that were seen.
    """

    name: str
    kind: FrameKind = FrameKind.DESIGN
    mounts: tuple[Mount, ...] = ()
    rail: tuple[RailStation, ...] = ()
    front: FrontSuspension | None = None
    rear: RearSuspension | None = None
    section: Section | None = None
    readings: tuple[Reading, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    datum: str = ""
    bad_repair: tuple[str, ...] = ()

    def reading(self, name: str) -> Reading | None:
        """The length of that name, if it was taken."""
        return next((each for each in self.readings if each.name == name), None)


def checked(shape: FrameShape) -> FrameShape:
    """The same frame with its mounts a side, from front to rear, each once.

    FrameError names the point that was measured twice with different values, is no number, was typed in another
    unit, or stands both with and without a side; and a datum that is none of the mounts.
    """
    for mount in shape.mounts:
        _numbers(shape, mount)
    mounts = _each_once(shape, [side for mount in shape.mounts for side in both_sides(mount)])
    _one_unit(shape, mounts)
    if shape.datum and mounts and all(mount.name != shape.datum for mount in mounts):
        raise FrameError(f"the datum {shape.datum!r} is none of its mounts", "Name a mount.", place=shape.name)
    for name, many in _counted(each.name for each in shape.readings):
        if many > 1 and len({each.mm for each in shape.readings if each.name == name}) > 1:
            raise FrameError(f"{name} was measured twice", "Keep the finer reading.", place=shape.name)
    ordered = sorted(mounts, key=lambda each: (each.x_mm, each.name, each.side))
    rail = sorted((_filled(shape, station) for station in shape.rail), key=lambda each: each.x_mm)
    return replace(shape, mounts=tuple(ordered), rail=tuple(rail))


def both_sides(mount: Mount) -> tuple[Mount, ...]:
    """One mount a side where it stands for both."""
    if mount.side is not Side.NONE or abs(mount.y_mm) <= _CENTERLINE_MM:
        return (mount,)
    return replace(mount, side=Side.LH), replace(mount, side=Side.RH)


def _filled(shape: FrameShape, station: RailStation) -> RailStation:
    """The station with what follows from the rest: height from the flanges, outer face from the spread, section."""
    height, outer = station.height_mm, station.outer_mm
    if height is None and station.top_mm is not None and station.bottom_mm is not None:
        height = station.top_mm - station.bottom_mm
    spread = shape.reading(Known.SPREAD)
    if outer is None and spread is not None:
        outer = spread.mm / 2
    return replace(station, height_mm=height, outer_mm=outer, section=station.section or shape.section)


def _numbers(shape: FrameShape, mount: Mount) -> None:
    doubts = (mount.doubt.x, mount.doubt.y, mount.doubt.z)
    place = f"{shape.name}, {mount.label}"
    if not all(map(isfinite, (*mount.at, *doubts))):
        raise FrameError("a coordinate is no number", "Measure it again or leave the mount out.", place=place)
    if min(doubts) < 0:
        raise FrameError("a doubt is below zero", "Give it as so much either way.", place=place)


def _each_once(shape: FrameShape, mounts: Sequence[Mount]) -> list[Mount]:
    kept: dict[tuple[str, Side], Mount] = {}
    for mount in mounts:
        first = kept.setdefault((mount.name, mount.side), mount)
        for axis, one, other in zip(AXES, first.at, mount.at, strict=True):
            if abs(one - other) > _MOST_APART_MM:
                said = f"measured twice: {axis} {_both(one)} and {_both(other)}"
                remedy = "Keep the finer reading, or measure it again."
                raise FrameError(said, remedy, place=f"{shape.name}, {mount.label}")
    return list(kept.values())


def _both(mm: float) -> str:
    return f"{in_words(mm)} ({in_words(mm, LengthUnit.MM)})"


def _one_unit(shape: FrameShape, mounts: Sequence[Mount]) -> None:
    """A mount some 25 times nearer to the centerline than the others was typed in inches."""
    beside = [abs(mount.y_mm) for mount in mounts if mount.side is not Side.NONE and mount.y_mm]
    usual = median(beside) if len(beside) > 2 else 0.0
    for mount in mounts:
        if mount.side is not Side.NONE and mount.y_mm and slipped(usual, abs(mount.y_mm)):
            said = f"y is {_both(mount.y_mm)} where the others lie about {_both(usual)} out: units look mixed"
            raise FrameError(said, "Type every length with its unit.", place=f"{shape.name}, {mount.label}")


def slipped(usual: float, one: float) -> bool:
    """Whether two lengths differ by about the millimeters of an inch."""
    small, large = sorted((abs(usual), abs(one)))
    return small > 0 and _UNIT_SLIP[0] < large / small < _UNIT_SLIP[1]


def _counted(names: Iterable[str]) -> list[tuple[str, int]]:
    listed = list(names)
    return [(name, listed.count(name)) for name in dict.fromkeys(listed)]
