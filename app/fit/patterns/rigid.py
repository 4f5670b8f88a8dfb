"""Rigid fits of one set of points on another, 2-D and 3-D: turned and shifted, never stretched."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, atan2, degrees, sqrt
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from app.fit.patterns.errors import PatternError
from app.fit.patterns.problem import Floats, excesses, plain
from app.fit.patterns.starts import least_from_starts


@dataclass(frozen=True, slots=True)
class Motion:
    """A point p of the part goes to rotation · p + shift, in millimeters; mirrored where it was turned over.

    `rotation` holds rows of a 2x2 or 3x3 matrix, its determinant +1, or -1 where mirrored.
    """

    rotation: tuple[tuple[float, ...], ...]
    shift: tuple[float, ...]
    mirrored: bool = False

    @property
    def dimensions(self) -> int:
        """2 or 3."""
        return len(self.shift)

    @property
    def angle_degrees(self) -> float:
        """How far it turns: counterclockwise in 2-D (-180 to 180), about its own axis in 3-D (0 to 180).

        Of a mirrored motion, the turn that follows on mirroring the last axis.
        """
        r = np.asarray(self.rotation) * _mirror(self.dimensions, self.mirrored)
        if self.dimensions == 2:
            return degrees(atan2(r[1, 0], r[0, 0]))
        sine = sqrt((r[2, 1] - r[1, 2]) ** 2 + (r[0, 2] - r[2, 0]) ** 2 + (r[1, 0] - r[0, 1]) ** 2)
        cosine = r[0, 0] + r[1, 1] + r[2, 2] - 1.0
        return degrees(atan2(sine, cosine)) if sine else degrees(acos(max(-1.0, min(1.0, cosine / 2))))

    def apply(self, points: ArrayLike) -> Floats:
        """Where points of the part, shape (n, d), come to lie."""
        moved: Floats = np.asarray(points, dtype=float) @ np.asarray(self.rotation).T + np.asarray(self.shift)
        return moved

    def residuals(self, a: ArrayLike, b: ArrayLike) -> Floats:
        """Distances in millimeters from each moved point of `a` to its point of `b`, taken point by point."""
        distances: Floats = np.linalg.norm(self.apply(a) - np.asarray(b, dtype=float), axis=1)
        return distances


def motion_of(rotation: Floats, shift: Floats) -> Motion:
    """A motion from arrays; mirrored where the determinant is negative."""
    rows = tuple(tuple(float(value) for value in row) for row in rotation)
    return Motion(rows, tuple(float(value) for value in shift), bool(np.linalg.det(rotation) < 0))


def least_squares(a: ArrayLike, b: ArrayLike, weights: ArrayLike | None = None, *, mirrored: bool = False) -> Motion:
    """The motion that brings points `a` nearest to points `b` in the sum of (weighted) squared distances.

    Both have shape (n, 2) or (n, 3), row i of one belonging to row i of the other; `weights` has shape (n,),
    none below zero. A proper rotation, or with `mirrored` a mirrored one. Singular value decomposition of
    the cross-covariance: Kabsch, Acta Cryst. A32 (1976) 922; Arun, Huang and Blostein, IEEE PAMI 9 (1987) 698;
    its sign correction after Umeyama, IEEE PAMI 13 (1991) 376. PatternError for shapes that do not belong
    together or for points that are no numbers. Points in a line or all in one place leave the turn about the
    line open: one of the best motions comes out.
    """
    first, second = same_shape(a, b)
    weight = _weights(weights, len(first))
    middle_a, middle_b = weight @ first, weight @ second
    u, _, vt = np.linalg.svd((second - middle_b).T @ ((first - middle_a) * weight[:, None]))
    turn = u @ (_sign(u, vt, mirrored)[:, None] * vt)
    return motion_of(turn, middle_b - turn @ middle_a)


def same_shape(a: ArrayLike, b: ArrayLike) -> tuple[Floats, Floats]:
    """Both as arrays of shape (n, d) with d 2 or 3; PatternError otherwise."""
    first, second = _finite(a), _finite(b)
    if first.ndim != 2 or first.shape != second.shape or first.shape[1] not in (2, 3) or not len(first):
        title = f"the two sets of points have shapes {first.shape} and {second.shape}"
        raise PatternError(title, "Give both as many points, each with 2 or each with 3 coordinates")
    return first, second


def _finite(points: ArrayLike) -> Floats:
    found: Floats = np.asarray(points, dtype=float)
    if not np.isfinite(found).all():
        row = int(np.argwhere(~np.isfinite(found))[0][0])
        raise PatternError(f"point {row + 1} has a coordinate that is no number", "Measure it again or leave it out")
    return found


def _weights(weights: ArrayLike | None, count: int) -> Floats:
    given: Floats = np.ones(count) if weights is None else np.asarray(weights, dtype=float)
    if given.shape != (count,) or not np.isfinite(given).all() or given.min() < 0 or given.sum() <= 0:
        raise PatternError("the weights do not belong to the points", "Give each point one weight, zero or more")
    shares: Floats = given / given.sum()
    return shares


def _sign(u: Floats, vt: Floats, mirrored: bool) -> Floats:
    """The factors that make the product of u and vt a proper rotation, or a mirrored one."""
    sign: Floats = np.ones(len(u))
    sign[-1] = np.sign(np.linalg.det(u) * np.linalg.det(vt)) * (-1.0 if mirrored else 1.0)
    return sign


def _mirror(dimensions: int, mirrored: bool) -> Any:
    return np.array([1.0] * (dimensions - 1) + [-1.0 if mirrored else 1.0])


@dataclass(frozen=True, slots=True)
class Minimax:
    """The motion with the least worst excess, that excess in mm, and each pair's own."""

    motion: Motion
    excess_mm: float
    excesses_mm: tuple[float, ...]


def minimax(a: ArrayLike, b: ArrayLike, clearance: ArrayLike = 0.0, *, mirrored: bool = False) -> Minimax:
    """The motion that makes the largest of (distance - clearance) least, to within 1e-8 mm; all in mm.

    `a` and `b` as for `least_squares`; `clearance` one for all or one a pair. At or below zero, every pair
    lies within its clearance. For the method see `barrier.py`; from several starts where the least squares fit is far
    out. PatternError as `least_squares`.
    """
    first, second = same_shape(a, b)
    room = np.broadcast_to(np.asarray(clearance, dtype=float), (len(first),))
    if not np.isfinite(room).all():
        raise PatternError("a clearance is no number", "Give every pair a clearance in mm, zero for a tight one")
    problem = plain(first[None], second[None], room[None].copy())
    turn, shift, excess = least_from_starts(problem, mirrored=mirrored)
    own = excesses(problem, turn, shift)[0]
    return Minimax(motion_of(turn[0], shift[0]), float(excess[0]), tuple(float(value) for value in own))
