"""Which point of the part goes with which of the vehicle: by name where names are known, else searched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

import numpy as np

from app.fit.patterns.clearance import Column, Fastening, column, join
from app.fit.patterns.errors import PatternError
from app.fit.patterns.points import Pattern, Point
from app.fit.patterns.problem import Bools, Floats, Ints
from app.fit.patterns.search import ways_to_match
from app.fit.patterns.stack import Group, kind_of
from app.fit.patterns.turns import fit_many
from app.fit.terms import Side

_FREE_MM = 50.0
"""How far points may be off where nothing holds them, for the search by distances."""

_ROUNDING_MM = 1e-3
_MOST_MIRRORED = 64
_MOST_NEAREST = 32
_ANYWHERE_MM = 1e7
_BEAM = 300
_IN_LINE_MM = 1e-3


class Match(StrEnum):
    """How points are matched; AUTO by name where enough names of the part are on the vehicle, else searched."""

    AUTO = "auto"
    NAMES = "names"
    SEARCH = "search"


@dataclass(frozen=True, slots=True)
class Named:
    """The part's points that have a counterpart by name, where it is, and those that have none."""

    part: tuple[Point, ...]
    at: tuple[int, ...]
    missing: tuple[Point, ...]


def by_names(part: Pattern, like: Sequence[Point], side: Side) -> Named:
    """Counterparts by name and side; a name that stands there once needs no side."""
    known = {(point.name.casefold(), point.side): at for at, point in enumerate(like)}
    names = [point.name.casefold() for point in like]
    part_points, found, missing = [], [], []
    for point in part.points:
        name = point.name.casefold()
        at = known.get((name, point.side), known.get((name, part.side or side)))
        if at is None and names.count(name) == 1 and Side.NONE in (point.side, like[names.index(name)].side):
            at = names.index(name)
        if at is None or at in found:
            missing.append(point)
        else:
            part_points.append(point)
            found.append(at)
    return Named(tuple(part_points), tuple(found), tuple(missing))


def needed(dimensions: int) -> int:
    """How many points hold a pattern: two on the page, three in space."""
    return dimensions


def check_enough(whose: str, points: Sequence[Point]) -> None:
    """PatternError, naming the points, where too few are left, all are in one place or (in 3-D) in a line."""
    dimensions = len(points[0].position) if points else 2
    names = ", ".join(point.said for point in points)
    least = needed(dimensions)
    if len(points) < least:
        title = f"{whose} has {len(points)} of the {least} points needed{f': {names}' if names else ''}"
        raise PatternError(title, f"Measure {least - len(points)} more that both patterns have", place=names or whose)
    places: Floats = np.array([point.position for point in points], dtype=float)
    extents = np.linalg.svd(places - places.mean(axis=0), compute_uv=False)
    least_mm = max(_IN_LINE_MM, *(point.u_mm for point in points))
    if extents[0] <= least_mm:
        title = f"all points of {whose} are in one place within their doubt: {names}"
        raise PatternError(title, "Measure a point farther off, or better", place=names)
    if dimensions == 3 and extents[1] <= least_mm:
        title = f"all points of {whose} are in a line within their doubt: {names}"
        raise PatternError(title, "Measure a point off that line; without it the turn about it is open", place=names)


def rooms(part: Sequence[Column], group: Group, fastening: Fastening) -> tuple[Bools, Floats]:
    """Which part points go on which vehicle points by kind, (n, m), and how far any pair may be off, (N,)."""
    may = np.zeros((len(part), len(group.like)), dtype=bool)
    room = np.full(len(group.rows), _ROUNDING_MM)
    for slots, other in group.by_kind:
        for one, members in _alike(part).items():
            joined = join([part[one]], [other], fastening, group.view)
            if joined.blocked:
                continue
            may[np.ix_(np.array(members), slots)] = True
            reach = joined.problem.clearance + joined.doubt
            for j, row in enumerate(joined.problem.slides.of):
                reach[:, row] += np.minimum(joined.problem.slides.reach[:, j], _FREE_MM)
            room = np.maximum(room, reach.reshape(len(group.rows), -1).max(axis=1) + _ROUNDING_MM)
    return may, room


def _alike(part: Sequence[Column]) -> dict[int, list[int]]:
    """Part points that leave the same room, by the first of each."""
    kinds: dict[tuple[object, ...], int] = {}
    alike: dict[int, list[int]] = {}
    for at, each in enumerate(part):
        first = each.first
        bolt = first.name if first.size_mm is not None else ""
        key = (first.kind, first.size_mm, first.u_mm, first.length_mm, first.height_mm, first.axis, bolt)
        alike.setdefault(kinds.setdefault(key, at), []).append(at)
    return alike


def searched(points: Sequence[Point], group: Group, fastening: Fastening, *, mirrored_too: bool) -> tuple[Ints, Ints]:
    """Vehicles (K,) of the group and ways (K, n) in which the part's points, or their mirror image, may go on them."""
    if len(points) > len(group.like):
        title = f"the part has {len(points)} points, the vehicle {len(group.like)}"
        remedy = "Measure the vehicle's other points, or give the points of both the same names"
        raise PatternError(title, remedy, place=points[len(group.like)].said)
    part = [column([point]) for point in points]
    may, room = rooms(part, group, fastening)
    places = np.concatenate([each.position for each in part])
    return ways_to_match(places, group.position, group.apart, room, may, mirrored_too=mirrored_too)


def mirror_ways(points: Sequence[Point], group: Group, fastening: Fastening) -> Ints:
    """Other orders (S, n) of a flat part's points in which it may be its own mirror image; none in space if not flat.

    A part that is alike both ways round goes on with either face, its points' names changed over.
    """
    part = [column([point]) for point in points]
    places: Floats = np.concatenate([each.position for each in part])[None]
    extents = np.linalg.svd(places[0] - places[0].mean(axis=0), compute_uv=False)
    # Mirrored in its own plane a point goes over by twice its height, which two clearances must allow.
    if places.shape[2] == 3 and extents[2] > sqrt(len(points)) * _most_room(points, group, fastening):
        return np.zeros((0, len(points)), dtype=np.intp)
    room = rooms(part, group, fastening)[1].max(keepdims=True)
    may = np.array([[kind_of(one) == kind_of(other) for other in points] for one in points], dtype=bool)
    apart = np.linalg.norm(places[:, :, None] - places[:, None], axis=3)
    ways = ways_to_match(places[0], places, apart, room, may, mirrored_too=True)[1]
    others: Ints = ways[(ways != np.arange(len(points))).any(axis=1)][:_MOST_MIRRORED]
    return others


def _most_room(points: Sequence[Point], group: Group, fastening: Fastening) -> float:
    """More than any pair can be off: all that sizes, slots, heights, doubts and the allowance could give."""
    own = max(sum(filter(None, (each.size_mm, each.length_mm, each.height_mm, each.u_mm))) for each in points)
    arrays = (group.size, group.length, group.height, group.u)
    theirs = sum(float(np.nan_to_num(each).max()) for each in arrays)
    return own + theirs + (fastening.allowance_mm or 0.0)


def _closest(places: Floats, found: Floats, ways: Ints) -> Ints:
    """The few ways with the least sum of squares."""
    a = np.broadcast_to(places, found.shape)
    turn, shift = fit_many(a, found)
    apart = ((a @ turn.transpose(0, 2, 1) + shift[:, None] - found) ** 2).sum(axis=(1, 2))
    return ways[np.argsort(apart, kind="stable")[:_MOST_NEAREST]]


def nearest_ways(points: Sequence[Point], group: Group, fastening: Fastening) -> Ints:
    """Of one vehicle on which nothing fits: ways (K, n) that come near, none if kinds forbid all."""
    part = [column([point]) for point in points]
    may = rooms(part, group, fastening)[0]
    places = np.concatenate([each.position for each in part])
    anywhere = np.array([_ANYWHERE_MM])
    ways = ways_to_match(places, group.position, group.apart, anywhere, may, beam=_BEAM)[1]
    return _closest(places, group.position[0][ways], ways) if len(ways) else ways
