"""Mounting patterns as people measure them: named points with kind, size, place and doubt, all in millimeters."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from math import hypot, isfinite, sqrt

from app.fit.patterns.errors import PatternError
from app.fit.terms import Side

Place = tuple[float, ...]
"""Two or three coordinates in millimeters."""

Key = tuple[str, Side]
"""What a point is known by: its name and its side."""


class Kind(StrEnum):
    """What a point is."""

    HOLE = "hole"
    SLOT = "slot"
    STUD = "stud"
    PAD = "pad"
    PIN = "pin"


class View(StrEnum):
    """What the axes of a pattern are.

    PLAN, SIDE and FRONT are a vehicle's own axes (x rearward, y to its right, z up), of which a 2-D pattern
    leaves one out: PLAN x and y, SIDE x and z, FRONT y and z. FACE is a flat part on the bench, its axes
    to the right and up as it was looked at. BODY is all three of the vehicle's axes.
    """

    PLAN = "plan"
    SIDE = "side"
    FRONT = "front"
    FACE = "face"
    BODY = "body"


@dataclass(frozen=True, slots=True)
class Point:
    """One place where a part and a vehicle meet.

    `position` has 2 or 3 coordinates in mm, y being signed (left of the centerline negative) as `outboard`
    makes it. `size_mm` is the diameter of a hole, stud or pin, the width of a slot, the diameter of a pad's
    face. `length_mm` is a slot's whole length, `direction` where it runs. `height_mm` is how far up or
    down a pad, or a hole with an `axis`, may be off (shims, rubber). `axis` is the way a bolt goes in; without
    it a hole's offset counts in every direction alike. `u_mm` is the measuring doubt of the position.
    A point that is not `required` is reported and decides nothing.
    """

    name: str
    position: Place
    kind: Kind = Kind.HOLE
    size_mm: float | None = None
    u_mm: float = 0.0
    side: Side = Side.NONE
    direction: Place | None = None
    length_mm: float | None = None
    axis: Place | None = None
    height_mm: float | None = None
    required: bool = True

    @property
    def key(self) -> Key:
        """Name and side."""
        return self.name, self.side

    @property
    def said(self) -> str:
        """The point as it is called: "M5 RH"."""
        return f"{self.name} {self.side}".strip()


@dataclass(frozen=True, slots=True)
class Pattern:
    """The points of one part or one vehicle, checked when it is made.

    `name` is what to call it; `view` is FACE in 2-D and BODY in 3-D unless given. A flat pattern shows whether
    it lies face up or face down by its `view` (2-D, other than FACE), by `normal` (the way its mating face
    looks, in its own axes; of a 2-D pattern only the third number counts), by the `side` it is for or the sides
    its points are on; by nothing else. PatternError names the point that is wrong.
    """

    name: str
    points: tuple[Point, ...]
    view: View | None = None
    side: Side = Side.NONE
    normal: Place | None = None

    def __post_init__(self) -> None:
        """Points measured twice alike are kept once."""
        _check(self.name, self.points)
        object.__setattr__(self, "points", tuple({point.key: point for point in self.points}.values()))
        _check_normal(self)

    @property
    def dimensions(self) -> int:
        """2 or 3."""
        return len(self.points[0].position)

    @property
    def seen(self) -> View:
        """The view, its default filled in."""
        return self.view or (View.FACE if self.dimensions == 2 else View.BODY)


def outboard(name: str, x: float, y: float, z: float, side: Side, **more: object) -> Point:
    """A point told as a frame's mounts are: x rearward, y outboard from the centerline, z up, on its side."""
    signed = -y if side is Side.LH else y
    return Point(name, (x, signed, z), side=side, **more)  # type: ignore[arg-type]


def both_sides(name: str, x: float, y: float, z: float, **more: object) -> tuple[Point, Point]:
    """The same mount on the left and on the right."""
    return outboard(name, x, y, z, Side.LH, **more), outboard(name, x, y, z, Side.RH, **more)


def mirrored(pattern: Pattern) -> Pattern:
    """The pattern of the other side's part: left and right changed over, in places, names of sides and directions."""
    axis = 1 if pattern.dimensions == 3 else _ACROSS[pattern.seen]
    points = tuple(_mirrored_point(point, axis) for point in pattern.points)
    normal = _flipped(pattern.normal, axis) if pattern.dimensions == 3 else pattern.normal
    return replace(pattern, points=points, side=_OTHER[pattern.side], normal=normal)


_ACROSS = {View.PLAN: 1, View.SIDE: None, View.FRONT: 0, View.FACE: 0, View.BODY: None}
_OTHER = {Side.LH: Side.RH, Side.RH: Side.LH, Side.NONE: Side.NONE}


def _mirrored_point(point: Point, axis: int | None) -> Point:
    position = _flipped(point.position, axis) or ()
    ways = {"direction": _flipped(point.direction, axis), "axis": _flipped(point.axis, axis)}
    return replace(point, position=position, side=_OTHER[point.side], **ways)  # type: ignore[arg-type]


def _flipped(place: Place | None, axis: int | None) -> Place | None:
    return None if place is None else tuple(-value if at == axis else value for at, value in enumerate(place))


def _check(name: str, points: tuple[Point, ...]) -> None:
    if not points:
        raise PatternError(f"{name} has no points", "Give it the points that were measured", place=name)
    seen: dict[Key, Point] = {}
    for point in points:
        _check_point(name, point, len(points[0].position))
        first = seen.setdefault(point.key, point)
        if first != point:
            raise _twice(name, first, point)


def _twice(name: str, first: Point, second: Point) -> PatternError:
    apart = sqrt(sum((one - other) ** 2 for one, other in zip(first.position, second.position, strict=True)))
    how = f"places {apart:.2f} mm apart" if apart else "different sizes, kinds or doubts"
    remedy = f"Keep the better reading of {first.said}, or give the two points different names"
    return PatternError(f"{first.said} is there twice with {how}", remedy, place=f"{name}, {first.said}")


def _check_point(name: str, point: Point, dimensions: int) -> None:
    where = f"{name}, {point.said}"
    if len(point.position) != dimensions or dimensions not in (2, 3):
        title = f"{point.said} has {len(point.position)} coordinates, the first point {dimensions}"
        raise PatternError(title, "Give every point two coordinates or every point three", place=where)
    for what, value in _numbers(point):
        if value is not None and not isfinite(value):
            raise PatternError(f"{what} of {point.said} is no number", f"Measure {point.said} again", place=where)
    for what, size in _lengths(point):
        if size is not None and size < 0:
            raise PatternError(f"{what} of {point.said} is below zero", "Give it as zero or more", place=where)
    _check_slot(point, where)


def _numbers(point: Point) -> Iterable[tuple[str, float | None]]:
    ways = [*point.position, *(point.direction or ()), *(point.axis or ())]
    return [*(("a coordinate", value) for value in ways), *_lengths(point)]


def _lengths(point: Point) -> tuple[tuple[str, float | None], ...]:
    sizes = ("the size", point.size_mm), ("the length", point.length_mm), ("the height", point.height_mm)
    return (*sizes, ("the doubt", point.u_mm))


def _check_slot(point: Point, where: str) -> None:
    for what, way in (("direction", point.direction), ("axis", point.axis)):
        if way is not None and (len(way) != len(point.position) or hypot(*way) == 0):
            remedy = f"Give the {what} of {point.said} as many numbers as its place has, not all zero"
            raise PatternError(f"the {what} of {point.said} says nothing", remedy, place=where)
    if point.kind is not Kind.SLOT:
        return
    if point.direction is None or point.length_mm is None:
        missing = "direction" if point.direction is None else "length"
        raise PatternError(f"the slot {point.said} has no {missing}", f"Give the {missing} it runs", place=where)
    if point.size_mm is not None and point.length_mm < point.size_mm:
        title = f"the slot {point.said} is shorter ({point.length_mm:g} mm) than it is wide ({point.size_mm:g} mm)"
        raise PatternError(title, "Give its whole length from end to end, and its width as its size", place=where)


def _check_normal(pattern: Pattern) -> None:
    if pattern.normal is None:
        return
    useful = pattern.normal[-1] if pattern.dimensions == 2 else hypot(*pattern.normal)
    if len(pattern.normal) != 3 or not all(map(isfinite, pattern.normal)) or not useful:
        title = f"the normal of {pattern.name} says nothing"
        raise PatternError(title, "Give the way its mating face looks as three numbers", place=pattern.name)
