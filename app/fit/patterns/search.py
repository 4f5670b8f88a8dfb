"""Which point belongs to which where names do not say: every way in which the distances agree, many vehicles at once.

Were a fit to exist, any two points of the part would lie as far apart as their two counterparts, but for the
clearances of both. So the part's points are placed one after the other on what is left of each vehicle's, and only
ways whose distances to the first few placed agree go on. Nothing that could fit is lost. Distances do not
tell a mirror image; the way the first few points go round does.
"""

from __future__ import annotations

import numpy as np

from app.fit.patterns.errors import PatternError
from app.fit.patterns.problem import Bools, Floats, Ints

MOST_WAYS = 5_000, 100
"""More open ways than this, and so many more for each vehicle, are no search any more: the points need names."""


def ways_to_match(
    part: Floats,
    places: Floats,
    apart: Floats,
    room: Floats,
    may: Bools,
    *,
    mirrored_too: bool = False,
    beam: int | None = None,
) -> tuple[Ints, Ints]:
    """The vehicle (K,) and the points of it (K, n) of every way in which part points (n, d) agree with it.

    `places` (N, m, d) and `apart` (N, m, m) are each vehicle's points and their distances; `room` (N,) is how far any
    pair may be off, clearance and doubt together; `may` (n, m) says which kinds go on which. Ways that only a mirror
    image could take pass where `mirrored_too`. With a `beam` only so many ways go on at each point, those whose
    distances agree best. All in mm. PatternError where there are too many ways.
    """
    order = _order(part)
    own = np.linalg.norm(part[:, None] - part[None], axis=2)
    vehicle, placed = _pairs(own[order[0], order[1]], apart, room, may[order[0]], may[order[1]])
    for at in range(2, len(order)):
        checked = order[: min(at, part.shape[1] + 1)]
        vehicle, placed = _place(own[checked, order[at]], vehicle, placed, apart, room, may[order[at]])
        if at == part.shape[1]:
            good = _same_hand(part[order[: at + 1]], places[vehicle[:, None], placed], room[vehicle], mirrored_too)
            vehicle, placed = vehicle[good], placed[good]
        if beam is not None and len(vehicle) > beam:
            best = _mismatch(own[np.ix_(order[: at + 1], order[: at + 1])], apart, vehicle, placed).argsort()[:beam]
            vehicle, placed = vehicle[best], placed[best]
        if len(vehicle) > MOST_WAYS[0] + MOST_WAYS[1] * len(apart):
            raise _too_many()
    ways = np.empty((len(vehicle), len(order)), dtype=np.intp)
    ways[:, order] = placed
    return vehicle, ways


def _pairs(length: float, apart: Floats, room: Floats, first: Bools, second: Bools) -> tuple[Ints, Ints]:
    """Every two points of each vehicle that lie as far apart as the part's first two."""
    allowed = 2.0 * room[:, None, None]
    good = (apart >= length - allowed) & (apart <= length + allowed)
    if not (first.all() and second.all()):
        good &= first[:, None] & second[None, :]
    good[:, np.arange(len(first)), np.arange(len(first))] = False
    # The few that are left are found in the flat array, which is quicker than in three dimensions.
    vehicle, pair = np.divmod(np.flatnonzero(good), len(first) ** 2)
    one, other = np.divmod(pair, len(first))
    return vehicle, np.stack([one, other], axis=1)


def _place(lengths: Floats, vehicle: Ints, placed: Ints, apart: Floats, room: Floats, may: Bools) -> tuple[Ints, Ints]:
    """Each way so far with every point of its vehicle on which the next part point can go.

    `lengths` are its distances to the first few placed; they hold it in its place, but for mirror images.
    """
    rows = np.arange(len(vehicle))
    good = np.repeat(may[None, :], len(vehicle), axis=0)
    allowed = 2.0 * room[vehicle, None]
    for before, length in enumerate(lengths):
        good &= np.abs(apart[vehicle, placed[:, before]] - length) <= allowed
    for before in range(placed.shape[1]):
        good[rows, placed[:, before]] = False
    way, point = np.divmod(np.flatnonzero(good), good.shape[1])
    return vehicle[way], np.concatenate([placed[way], point[:, None]], axis=1)


def _mismatch(lengths: Floats, apart: Floats, vehicle: Ints, placed: Ints) -> Floats:
    """How badly all distances between the points placed so far agree, as a sum of squares."""
    found = apart[vehicle[:, None, None], placed[:, :, None], placed[:, None, :]]
    mismatch: Floats = ((found - lengths) ** 2).sum(axis=(1, 2))
    return mismatch


def _same_hand(own: Floats, found: Floats, room: Floats, mirrored_too: bool) -> Bools:
    """Whether the first three (in space four) points go round the same way, as far as the room lets tell.

    The product of their edges is linear in each edge, and each edge is off by at most twice the room.
    """
    edges, others = own[1:] - own[0], found[:, 1:] - found[:, :1]
    volume, volumes = float(np.linalg.det(edges)), np.linalg.det(others)
    sizes = np.linalg.norm(edges, axis=1)
    allowed = np.prod(sizes + 2.0 * room[:, None], axis=1) - np.prod(sizes)
    good: Bools = np.abs(volumes - volume) <= allowed
    return good | (np.abs(volumes + volume) <= allowed) if mirrored_too else good


def _order(part: Floats) -> Ints:
    """The two farthest points first, then always the point farthest from the line, the plane, the ones placed."""
    count, dimensions = part.shape
    own = np.linalg.norm(part[:, None] - part[None], axis=2)
    order = [int(each) for each in np.unravel_index(np.argmax(own), own.shape)]
    rest = part - part[order[0]]
    for _ in range(min(dimensions + 1, count) - 2):
        way = rest[order[-1]]
        length = float(np.linalg.norm(way))
        if length > 0:
            rest = rest - np.outer(rest @ way, way) / length**2
        far = np.linalg.norm(rest, axis=1)
        far[order] = -1.0
        order.append(int(np.argmax(far)))
    return np.array(order[:count] + [each for each in range(count) if each not in order], dtype=np.intp)


def _too_many() -> PatternError:
    title = "the points can be matched in too many ways"
    return PatternError(title, "Give the same names to points that belong together on both patterns")
