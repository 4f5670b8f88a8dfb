"""Rigid motions of a few points in space, and the largest set of points that one motion brings together.

Plain arithmetic: a frame has some dozen points. Points are (x, y, z) in millimeters, y to the right as seated.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice
from math import asin, atan2, comb, copysign, degrees, dist, hypot, sqrt

from app.errors import BadInput

Point = tuple[float, float, float]

MOST_TRIPLES = 800
"""How many triples are tried; more are thinned out evenly."""
_THINNEST = 0.02
"""The height of a triangle over its longest side below which it is taken for a line."""
_ROUNDS = 8
_FUZZ_MM = 1e-9
_SWEEPS = 60


class InLine(BadInput, ValueError):
    """Fewer than three points, or all of them in a line: no motion follows from them."""


@dataclass(frozen=True, slots=True)
class Rigid:
    """A point p goes to rows · p + shift."""

    rows: tuple[Point, Point, Point]
    shift: Point

    def apply(self, p: Point) -> Point:
        """Where a point comes to lie."""
        (a, b, c), (d, e, f), (g, h, i) = self.rows
        x, y, z = p
        u, v, w = self.shift
        return a * x + b * y + c * z + u, d * x + e * y + f * z + v, g * x + h * y + i * z + w

    def inverse(self) -> Rigid:
        """The motion back."""
        one, two, three = zip(*self.rows, strict=True)
        x, y, z = Rigid((one, two, three), (0.0, 0.0, 0.0)).apply(self.shift)
        return Rigid((one, two, three), (-x, -y, -z))

    @property
    def angles(self) -> Point:
        """Roll about x, pitch about y and yaw about z in degrees, turned in this order."""
        r = self.rows
        return (
            degrees(atan2(r[2][1], r[2][2])),
            degrees(-asin(max(-1.0, min(1.0, r[2][0])))),
            degrees(atan2(r[1][0], r[0][0])),
        )


def shifted(shift: Point) -> Rigid:
    """A motion that turns nothing."""
    return Rigid(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), shift)


@dataclass(frozen=True, slots=True)
class Agreement:
    """The motion and the points, by place in the list, that it brings within their limits."""

    motion: Rigid
    points: tuple[int, ...]


def best_motion(points: Sequence[Point], targets: Sequence[Point], weights: Sequence[float]) -> Rigid:
    """The motion that brings points nearest to their targets in the weighted sum of squares.

    By the quaternion of Horn, J. Opt. Soc. Am. A 4 (1987) 629.
    """
    total = sum(weights)
    here, there = _middle(points, weights, total), _middle(targets, weights, total)
    s = [[0.0] * 3 for _ in range(3)]
    for p, q, w in zip(points, targets, weights, strict=True):
        for i in range(3):
            for j in range(3):
                s[i][j] += w * (p[i] - here[i]) * (q[j] - there[j])
    rows = _turn(_top_vector(_horn(s)))
    turned = Rigid(rows, (0.0, 0.0, 0.0)).apply(here)
    return Rigid(rows, (there[0] - turned[0], there[1] - turned[1], there[2] - turned[2]))


def largest_agreement(points: Sequence[Point], targets: Sequence[Point], limits: Sequence[Point]) -> Agreement | None:
    """The motion that brings most points within their limits of their targets, along each axis.

    Every triple of points (some 800 at most) lays the ones over the others, and what then agrees is fitted anew
    until nothing changes. Of equal sets, the one that lies closest. None where no three points agree;
    InLine for fewer than three points or all of them in a line.
    """
    _not_in_line(targets)
    found: set[tuple[int, ...]] = set()
    best: tuple[tuple[int, float], Agreement] | None = None
    for triple in _triples(len(points)):
        if not _alike(triple, points, targets, limits):
            continue
        members = _within(_of(points, targets, triple), points, targets, limits)
        if len(members) < 3 or members in found:
            continue
        settled = _settle(members, found, points, targets, limits)
        if settled is not None:
            score = (len(settled.points), -round(_squares(settled, points, targets), 6))
            best = max(best, (score, settled), key=lambda each: each[0]) if best else (score, settled)
            if len(settled.points) == len(points):
                break
    return best[1] if best else None


def _settle(
    members: tuple[int, ...],
    seen: set[tuple[int, ...]],
    points: Sequence[Point],
    targets: Sequence[Point],
    limits: Sequence[Point],
) -> Agreement | None:
    """Fit and look anew which points agree until the set stays; None where it falls apart or was seen before."""
    for _ in range(_ROUNDS):
        seen.add(members)
        motion = _of(points, targets, members)
        now = _within(motion, points, targets, limits)
        if now == members:
            return Agreement(motion, members)
        if len(now) < 3 or now in seen or _thin([targets[i] for i in now]):
            return None
        members = now
    return None


def _of(points: Sequence[Point], targets: Sequence[Point], members: Sequence[int]) -> Rigid:
    return best_motion([points[i] for i in members], [targets[i] for i in members], [1.0] * len(members))


def _within(
    motion: Rigid, points: Sequence[Point], targets: Sequence[Point], limits: Sequence[Point]
) -> tuple[int, ...]:
    found = []
    for place, (point, (x, y, z), (most_x, most_y, most_z)) in enumerate(zip(points, targets, limits, strict=True)):
        a, b, c = motion.apply(point)
        if abs(a - x) <= most_x + _FUZZ_MM and abs(b - y) <= most_y + _FUZZ_MM and abs(c - z) <= most_z + _FUZZ_MM:
            found.append(place)
    return tuple(found)


def _squares(found: Agreement, points: Sequence[Point], targets: Sequence[Point]) -> float:
    return sum(dist(found.motion.apply(points[i]), targets[i]) ** 2 for i in found.points)


def _triples(count: int) -> Iterator[tuple[int, int, int]]:
    step = max(1, comb(count, 3) // MOST_TRIPLES)
    return islice(combinations(range(count), 3), 0, None, step)


def _alike(
    triple: tuple[int, int, int], points: Sequence[Point], targets: Sequence[Point], limits: Sequence[Point]
) -> bool:
    """Whether the three distances agree as far as the limits leave them free, and span more than a line."""
    for i, j in combinations(triple, 2):
        if abs(dist(points[i], points[j]) - dist(targets[i], targets[j])) > hypot(*limits[i]) + hypot(*limits[j]):
            return False
    return not _thin([targets[i] for i in triple])


def _thin(points: Sequence[Point]) -> bool:
    """Whether the points lie within a narrow strip about their extent, from the point farthest from the first."""
    one = max(points, key=lambda p: dist(points[0], p))
    other = max(points, key=lambda p: dist(one, p))
    long = dist(one, other)
    return long == 0.0 or max(_off_line(one, other, p) for p in points) < _THINNEST * long


def _off_line(one: Point, other: Point, p: Point) -> float:
    a = [o - s for s, o in zip(one, other, strict=True)]
    b = [o - s for s, o in zip(one, p, strict=True)]
    cross = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    return hypot(*cross) / hypot(*a)


def _not_in_line(points: Sequence[Point]) -> None:
    if len(points) < 3:
        raise InLine(f"{len(points)} points are in both, 3 are needed", "Measure more of the mounts.")
    if _thin(points):
        raise InLine("all the points lie in a line", "Measure a mount on the other side as well.")


def _middle(points: Sequence[Point], weights: Sequence[float], total: float) -> Point:
    x, y, z = (sum(w * p[i] for p, w in zip(points, weights, strict=True)) / total for i in range(3))
    return x, y, z


def _horn(s: list[list[float]]) -> list[list[float]]:
    (xx, xy, xz), (yx, yy, yz), (zx, zy, zz) = s
    return [
        [xx + yy + zz, yz - zy, zx - xz, xy - yx],
        [yz - zy, xx - yy - zz, xy + yx, zx + xz],
        [zx - xz, xy + yx, yy - xx - zz, yz + zy],
        [xy - yx, zx + xz, yz + zy, zz - xx - yy],
    ]


def _top_vector(matrix: list[list[float]]) -> list[float]:
    """The eigenvector of the largest eigenvalue of a symmetric matrix, by Jacobi's rotations."""
    size = len(matrix)
    a = [row[:] for row in matrix]
    v = [[float(i == j) for j in range(size)] for i in range(size)]
    small = 1e-15 * sqrt(sum(each * each for row in a for each in row))
    for _ in range(_SWEEPS):
        p, q = max(combinations(range(size), 2), key=lambda pair: abs(a[pair[0]][pair[1]]))
        if abs(a[p][q]) <= small:
            break
        _rotate(a, v, p, q)
    top = max(range(size), key=lambda i: a[i][i])
    return [row[top] for row in v]


def _rotate(a: list[list[float]], v: list[list[float]], p: int, q: int) -> None:
    """Turn the plane of p and q so that their common entry vanishes."""
    ratio = (a[q][q] - a[p][p]) / (2.0 * a[p][q])
    tangent = copysign(1.0, ratio) / (abs(ratio) + hypot(ratio, 1.0))
    cosine = 1.0 / hypot(tangent, 1.0)
    sine = tangent * cosine
    for k in range(len(a)):
        a[k][p], a[k][q] = cosine * a[k][p] - sine * a[k][q], sine * a[k][p] + cosine * a[k][q]
        v[k][p], v[k][q] = cosine * v[k][p] - sine * v[k][q], sine * v[k][p] + cosine * v[k][q]
    for k in range(len(a)):
        a[p][k], a[q][k] = cosine * a[p][k] - sine * a[q][k], sine * a[p][k] + cosine * a[q][k]


def _turn(quaternion: Sequence[float]) -> tuple[Point, Point, Point]:
    w, x, y, z = (each / hypot(*quaternion) for each in quaternion)
    return (
        (w * w + x * x - y * y - z * z, 2 * (x * y - w * z), 2 * (x * z + w * y)),
        (2 * (x * y + w * z), w * w - x * x + y * y - z * z, 2 * (y * z - w * x)),
        (2 * (x * z - w * y), 2 * (y * z + w * x), w * w - x * x - y * y + z * z),
    )
