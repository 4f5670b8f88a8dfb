"""Least squares rigid fits of many patterns at once.

In 2-D the turn has a closed form. In 3-D it is the greatest eigenvalue of Horn's 4x4 matrix, found by Newton's
method on its characteristic polynomial, and the eigenvector by cofactors (Horn, JOSA A 4 (1987) 629; Theobald,
Acta Cryst. A61 (2005) 478). Where that eigenvalue is all but double, the singular value decomposition takes over.
"""

from __future__ import annotations

import numpy as np

from app.fit.patterns.problem import Bools, Floats

_NEWTONS = 30
_ENOUGH = 1e-14
_CLEAR_GAP = 1e-4


def fit_many(a: Floats, b: Floats, weights: Floats | None = None, mirrored: bool = False) -> tuple[Floats, Floats]:
    """Turns (B, d, d) and shifts (B, d) that bring points a (B, n, d) nearest to b, each fit for itself.

    `weights` (B, n) are zero or more, not all zero. Points in a line or in one place leave the turn open.
    """
    middle_a, middle_b = _middle(a, weights), _middle(b, weights)
    moved_a = a - middle_a[:, None]
    held_b = b - middle_b[:, None]
    cross = held_b.transpose(0, 2, 1) @ (moved_a if weights is None else moved_a * weights[..., None])
    turn = _turns(cross, mirrored)
    shift: Floats = middle_b - (turn @ middle_a[..., None])[..., 0]
    return turn, shift


def _middle(points: Floats, weights: Floats | None) -> Floats:
    if weights is None:
        plain: Floats = points.mean(axis=1)
        return plain
    weighted: Floats = (weights[:, None, :] @ points)[:, 0] / weights.sum(axis=1, keepdims=True)
    return weighted


def _turns(cross: Floats, mirrored: bool) -> Floats:
    """The turns R with the greatest trace of R^T cross."""
    flip = np.ones(cross.shape[2])
    flip[-1] = -1.0 if mirrored else 1.0
    proper = cross * flip
    turn = _flat_turns(proper) if cross.shape[1] == 2 else _space_turns(proper)
    return turn * flip


def _flat_turns(cross: Floats) -> Floats:
    sine, cosine = cross[:, 1, 0] - cross[:, 0, 1], cross[:, 0, 0] + cross[:, 1, 1]
    length = np.hypot(sine, cosine)
    sine, cosine = np.where(length > 0, sine, 0.0), np.where(length > 0, cosine, 1.0)
    length = np.where(length > 0, length, 1.0)
    rows = np.stack([cosine, -sine, sine, cosine], axis=-1) / length[:, None]
    turn: Floats = rows.reshape(-1, 2, 2)
    return turn


def _space_turns(cross: Floats) -> Floats:
    size = np.sqrt((cross**2).sum(axis=(1, 2)))
    scaled = cross / np.where(size > 0, size, 1.0)[:, None, None]
    matrix = _horn(scaled)
    greatest, slope = _greatest(scaled)
    quaternion, length = _eigenvector(matrix, greatest)
    turn = _from_quaternion(quaternion)
    weak: Bools = (slope < _CLEAR_GAP) | (length < _CLEAR_GAP * _CLEAR_GAP)
    if weak.any():
        turn[weak] = _by_svd(cross[weak])
    return turn


def _horn(s: Floats) -> Floats:
    """Horn's symmetric matrix, with s[i, j] the sum of vehicle coordinate i times part coordinate j."""
    xx, xy, xz = s[:, 0, 0], s[:, 1, 0], s[:, 2, 0]
    yx, yy, yz = s[:, 0, 1], s[:, 1, 1], s[:, 2, 1]
    zx, zy, zz = s[:, 0, 2], s[:, 1, 2], s[:, 2, 2]
    rows = [
        [xx + yy + zz, yz - zy, zx - xz, xy - yx],
        [yz - zy, xx - yy - zz, xy + yx, zx + xz],
        [zx - xz, xy + yx, yy - xx - zz, yz + zy],
        [xy - yx, zx + xz, yz + zy, zz - xx - yy],
    ]
    matrix: Floats = np.stack([np.stack(row, axis=-1) for row in rows], axis=1)
    return matrix


def _greatest(s: Floats) -> tuple[Floats, Floats]:
    """The greatest eigenvalue and the slope of the polynomial there, for s of unit size.

    The polynomial is x^4 - 2 |s|^2 x^2 - 8 det(s) x + |s|^4 - 4 |cofactors of s|^2; sqrt(3) is above its roots.
    """
    cofactors = _cofactors(s)
    det = (s[:, 0] * cofactors[:, 0]).sum(axis=1)
    square = (s**2).sum(axis=(1, 2))
    last = square**2 - 4.0 * (cofactors**2).sum(axis=(1, 2))
    x = np.full(len(s), np.sqrt(3.0))
    for _ in range(_NEWTONS):
        value = ((x * x - 2.0 * square) * x - 8.0 * det) * x + last
        slope = (4.0 * x * x - 4.0 * square) * x - 8.0 * det
        step = value / np.where(np.abs(slope) > _ENOUGH, slope, np.inf)
        x = x - step
        if np.abs(step).max() < _ENOUGH:
            break
    return x, (4.0 * x * x - 4.0 * square) * x - 8.0 * det


def _cofactors(s: Floats) -> Floats:
    """Cofactors of 3x3 matrices: each row is the cross product of the next two."""
    second, third = s[:, (1, 2, 0)], s[:, (2, 0, 1)]
    cofactors: Floats = second[..., (1, 2, 0)] * third[..., (2, 0, 1)] - second[..., (2, 0, 1)] * third[..., (1, 2, 0)]
    return cofactors


def _eigenvector(matrix: Floats, value: Floats) -> tuple[Floats, Floats]:
    """Unit eigenvectors (B, 4) from the longest row of cofactors of matrix - value, and that row's length."""
    shifted = matrix - value[:, None, None] * np.eye(4)
    minors = _cofactor_rows(shifted)
    lengths = np.linalg.norm(minors, axis=2)
    best = lengths.argmax(axis=1)
    rows = np.arange(len(matrix))
    length = lengths[rows, best]
    return minors[rows, best] / np.where(length > 0, length, 1.0)[:, None], length


def _cofactor_rows(m: Floats) -> Floats:
    """All cofactors of symmetric 4x4 matrices, (B, 4, 4), by 2x2 minors."""

    def two(i: int, j: int) -> list[Floats]:
        pairs = ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3))
        return [m[:, i, p] * m[:, j, q] - m[:, i, q] * m[:, j, p] for p, q in pairs]

    def against(row: int, minors: list[Floats]) -> Floats:
        ab, ac, ad, bc, bd, cd = minors
        r = m[:, row]
        return np.stack(
            [
                r[:, 1] * cd - r[:, 2] * bd + r[:, 3] * bc,
                -(r[:, 0] * cd - r[:, 2] * ad + r[:, 3] * ac),
                r[:, 0] * bd - r[:, 1] * ad + r[:, 3] * ab,
                -(r[:, 0] * bc - r[:, 1] * ac + r[:, 2] * ab),
            ],
            axis=-1,
        )

    low, high = two(2, 3), two(0, 1)
    cofactors: Floats = np.stack([against(1, low), -against(0, low), against(3, high), -against(2, high)], axis=1)
    return cofactors


def _from_quaternion(q: Floats) -> Floats:
    w, x, y, z = q.T
    rows = [
        [w * w + x * x - y * y - z * z, 2 * (x * y - w * z), 2 * (x * z + w * y)],
        [2 * (x * y + w * z), w * w - x * x + y * y - z * z, 2 * (y * z - w * x)],
        [2 * (x * z - w * y), 2 * (y * z + w * x), w * w - x * x - y * y + z * z],
    ]
    turn: Floats = np.stack([np.stack(row, axis=-1) for row in rows], axis=1)
    return turn


def _by_svd(cross: Floats) -> Floats:
    u, _, vt = np.linalg.svd(cross)
    sign = np.ones((len(cross), 3))
    sign[:, 2] = np.sign(np.linalg.det(u) * np.linalg.det(vt))
    turn: Floats = u @ (sign[..., None] * vt)
    return turn


def turned_over(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """The best motions that lay a flat pattern on the other face: 3-D turns (B, 3, 3) and shifts (B, 3).

    For patterns all but flat: the second greatest stationary value of the same sum.
    """
    middle_a, middle_b = a.mean(axis=1), b.mean(axis=1)
    cross = (b - middle_b[:, None]).transpose(0, 2, 1) @ (a - middle_a[:, None])
    u, _, vt = np.linalg.svd(cross)
    sign = np.ones((len(cross), 3))
    sign[:, 1] = -1.0
    sign[:, 2] = -np.sign(np.linalg.det(u) * np.linalg.det(vt))
    turn = u @ (sign[..., None] * vt)
    return turn, middle_b - (turn @ middle_a[..., None])[..., 0]
