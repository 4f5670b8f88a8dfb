"""Vehicles of one make of pattern stacked as arrays, so that many are looked at in one go."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from app.fit.patterns.clearance import Column, Fastening, Joined, join
from app.fit.patterns.points import Key, Kind, Pattern, Point, View
from app.fit.patterns.problem import Floats, Ints
from app.fit.terms import Side


@dataclass(frozen=True, slots=True)
class Group:
    """N patterns whose points agree one by one in kind and in what is known of them.

    `rows` (N,) are their places in the list they came from. Arrays are (N, m) or (N, m, d), missing numbers NaN;
    `like` are the points of the first, `kinds` (m,) numbers alike points alike, `normals` (N, 3),
    `apart` (N, m, m) are the distances between points, `by_kind` the points of each kind and a column of the roomiest.
    """

    rows: Ints
    view: View
    has_side: bool
    like: tuple[Point, ...]
    kinds: Ints
    position: Floats
    size: Floats
    length: Floats
    height: Floats
    u: Floats
    direction: Floats
    axis: Floats
    normals: Floats
    apart: Floats
    by_kind: tuple[tuple[Ints, Column], ...]

    def picks(self, vehicle: Ints, ways: Ints) -> list[Column]:
        """The points (K, n) of several vehicles, column by column; those of one column all of one kind."""
        at = (vehicle[:, None], ways)
        size, length, height, u = self.size[at], self.length[at], self.height[at], self.u[at]
        spots, directions, axes = self.position[at], self.direction[at], self.axis[at]
        return [
            Column(
                self.like[int(point)],
                spots[:, j],
                size[:, j],
                length[:, j],
                height[:, j],
                u[:, j],
                directions[:, j],
                axes[:, j],
            )
            for j, point in enumerate(ways[0])
        ]


def has_side(pattern: Pattern) -> bool:
    """Whether it is for a side, or says of its points on which side they are."""
    return pattern.side is not Side.NONE or any(point.side is not Side.NONE for point in pattern.points)


def kind_of(point: Point) -> Hashable:
    """What two points must have in common to stand in one column."""
    known = (point.size_mm is None, point.height_mm is None, point.axis is None)
    return point.kind, point.required, known


def stack(patterns: Sequence[Pattern], *, by_name: bool) -> tuple[Group, ...]:
    """The patterns in groups of like ones, by names too or by kinds alone."""
    groups: dict[Hashable, list[int]] = {}
    for at, pattern in enumerate(patterns):
        names: tuple[Key, ...] = tuple(point.key for point in pattern.points) if by_name else ()
        kinds = tuple(kind_of(point) for point in pattern.points)
        facing = pattern.seen, has_side(pattern), pattern.normal is not None
        groups.setdefault((pattern.dimensions, names, kinds, facing), []).append(at)
    return tuple(_group(patterns, rows) for rows in groups.values())


def _group(patterns: Sequence[Pattern], rows: list[int]) -> Group:
    first = patterns[rows[0]]
    none = (np.nan,) * first.dimensions
    points = [patterns[at].points for at in rows]
    numbers = np.array([[_sizes(point) for point in each] for each in points], dtype=float)
    size, length, height, u = np.moveaxis(numbers, 2, 0)
    codes: dict[Hashable, int] = {}
    kinds = [codes.setdefault(kind_of(point), len(codes)) for point in first.points]
    position: Floats = np.array([[point.position for point in each] for each in points], dtype=float)
    direction = _unit(np.array([[point.direction or none for point in each] for each in points], dtype=float))
    axis = _unit(np.array([[point.axis or none for point in each] for each in points], dtype=float))
    return Group(
        rows=np.array(rows, dtype=np.intp),
        view=first.seen,
        has_side=has_side(first),
        like=first.points,
        kinds=np.array(kinds, dtype=np.intp),
        position=position,
        size=size,
        length=length,
        height=height,
        u=u,
        direction=direction,
        axis=axis,
        normals=np.array([patterns[at].normal or (np.nan,) * 3 for at in rows], dtype=float),
        apart=_apart(position),
        by_kind=tuple(
            _of_kind(first.points, np.flatnonzero(np.array(kinds) == kind), (position, direction, axis), numbers)
            for kind in codes.values()
        ),
    )


def _apart(position: Floats) -> Floats:
    """The distances between the points of each pattern, (N, m, m)."""
    centered = position - position.mean(axis=1, keepdims=True)
    square = (centered**2).sum(axis=2)
    product = centered @ centered.transpose(0, 2, 1)
    apart: Floats = np.sqrt(np.maximum(square[:, :, None] + square[:, None, :] - 2.0 * product, 0.0))
    return apart


def _of_kind(
    like: tuple[Point, ...], slots: Ints, ways: tuple[Floats, Floats, Floats], numbers: Floats
) -> tuple[Ints, Column]:
    """The points of a kind, and one column that leaves as much room as the roomiest of them on each vehicle.

    Pads, whose room grows with either of two sizes, stand in the column one by one.
    """
    first = like[int(slots[0])]
    chosen = slots if first.kind is Kind.PAD else slots[:1]
    position, direction, axis = (way[:, chosen].reshape(-1, way.shape[2]) for way in ways)
    if first.kind is Kind.PAD:
        size, length, height, u = numbers[:, slots].reshape(-1, numbers.shape[2]).T
        return slots, Column(first, position, size, length, height, u, direction, axis)
    size, length, height, u = numbers[:, slots].max(axis=1).T
    if first.kind in (Kind.STUD, Kind.PIN):
        size = numbers[:, slots, 0].min(axis=1)
    return slots, Column(first, position, size, length, height, u, direction, axis)


def _sizes(point: Point) -> tuple[float | None, ...]:
    return point.size_mm, point.length_mm, point.height_mm, point.u_mm


def _unit(ways: Floats) -> Floats:
    unit: Floats = ways / np.linalg.norm(ways, axis=-1, keepdims=True)
    return unit


def join_ways(
    part: Sequence[Column], group: Group, vehicle: Ints, ways: Ints, fastening: Fastening
) -> list[tuple[Ints, Joined]]:
    """The fits of ways (K, n) on vehicles (K,) of a group, with their rows, split where kinds of points differ."""
    if not len(vehicle):
        return []
    found = []
    for rows in _like_rows(group.kinds, ways):
        found.append((rows, join(part, group.picks(vehicle[rows], ways[rows]), fastening, group.view)))
    return found


def _like_rows(kinds: Ints, ways: Ints) -> list[Ints]:
    """Rows of ways that go on the same kinds of points in the same order."""
    if not kinds.any() or (ways == ways[0]).all():
        return [np.arange(len(ways), dtype=np.intp)]
    which = np.unique(kinds[ways], axis=0, return_inverse=True)[1].reshape(-1)
    return [np.flatnonzero(which == at) for at in range(int(which.max()) + 1)]
