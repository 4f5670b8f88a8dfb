"""Fits, does not, or measure again, for many fits at once: cheap proofs first, the exact search where they fail.

A motion at hand under which every pair lies within its clearance proves that it can be done. That it cannot is
proved by weights w: were every distance d within its clearance r, the least sum of w d^2 over all motions could
not be more than the sum of w r^2 (weak duality; the weights are made heavier where a pair is far out, after
Lawson's algorithm for the Chebyshev problem, 1961).
"""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from app.fit.patterns.barrier import least_excess
from app.fit.patterns.clearance import Joined
from app.fit.patterns.problem import Bools, Floats, Problem, excesses, lengths
from app.fit.patterns.turns import fit_many

EXACT_MM = 1e-6
"""Nearer than this to a limit counts as on it, which fits."""

_ROUNDS = 8
_ROUNDING = 1e-9
_TINY = 1e-300
_LEAST_PULL = 1e-9

Codes = NDArray[np.int8]


class Code(IntEnum):
    """Three values, best first."""

    FITS = 0
    MEASURE = 1
    DOES_NOT = 2


def judge(joined: Joined, turn: Floats, shift: Floats, *, mirrored: bool = False, held: bool = False) -> Codes:
    """The code of each fit, (B,). Where `held`, only motions near the given ones are looked at."""
    if joined.blocked:
        return np.full(joined.problem.size, Code.DOES_NOT, dtype=np.int8)
    could, could_be_open = _bounds(joined.possible(EXACT_MM), turn, shift, mirrored, held)
    alive = np.flatnonzero(could | could_be_open)
    sure, sure_open = np.zeros((2, len(could)), dtype=bool)
    rest = joined.take(alive).sure(EXACT_MM)
    sure[alive], sure_open[alive] = _bounds(rest, turn[alive], shift[alive], mirrored, held)
    first, second = np.flatnonzero(could_be_open), np.flatnonzero(sure_open)
    both = np.concatenate([first, second])
    if len(both):
        sign = np.repeat((1.0, -1.0), (len(first), len(second)))[:, None]
        part = joined.take(both)
        problem = part.problem.with_clearance(part.problem.clearance + sign * part.doubt + EXACT_MM)
        met = least_excess(problem, turn[both], shift[both], decide=True)[2] <= 0
        could[first], sure[second] = met[: len(first)], met[len(first) :]
    return np.where(sure, Code.FITS, np.where(could, Code.MEASURE, Code.DOES_NOT)).astype(np.int8)


def can_meet(problem: Problem, turn: Floats, shift: Floats, *, mirrored: bool = False) -> Bools:
    """Whether some motion brings every pair that counts within its clearance, (B,)."""
    found, left = _bounds(problem, turn, shift, mirrored, False)
    if left.any():
        found[left] = least_excess(problem.take(left), turn[left], shift[left], decide=True)[2] <= 0
    return found


def ruled_out_by_lengths(problem: Problem) -> Bools:
    """Where two points lie farther apart, or nearer, than any clearance allows, (B,): no fit, without a search."""
    radius = _radius(problem)
    own = lengths(problem.a[:, 1:] - problem.a[:, :-1])
    other = lengths(problem.b[:, 1:] - problem.b[:, :-1])
    out = np.abs(own - other) > radius[:, 1:] + radius[:, :-1] + EXACT_MM
    return np.asarray(out.any(axis=1), dtype=bool)


def _bounds(problem: Problem, turn: Floats, shift: Floats, mirrored: bool, held: bool) -> tuple[Bools, Bools]:
    """Which fits are proved to meet, and which stay open; the others are proved not to."""
    found: Bools = excesses(problem, turn, shift).max(axis=1) <= 0
    hopeless = (np.where(problem.counts, problem.clearance, 0.0) < 0).any(axis=1)
    left = np.flatnonzero(~found & ~hopeless)
    still = np.zeros(problem.size, dtype=bool)
    if len(left):
        found[left], still[left] = _by_weights(problem.take(left), mirrored, held)
    return found, still


def _by_weights(problem: Problem, mirrored: bool, held: bool) -> tuple[Bools, Bools]:
    """Which fits are proved to meet, and which stay open; the others are proved not to."""
    radius = _radius(problem)
    weights = np.where(np.isfinite(radius), 1.0 / radius**2, 0.0)
    met, ruled_out = np.zeros(problem.size, dtype=bool), np.zeros(problem.size, dtype=bool)
    left = np.flatnonzero(weights.any(axis=1))
    for _ in range(_ROUNDS):
        if not len(left):
            break
        part, weight, reach = problem.take(left), weights[left], radius[left]
        ruled_out[left], met[left], ratio = _weighed(part, weight, reach, mirrored)
        if held:
            met[left] = False
        weight = weight * np.maximum(ratio**2, _LEAST_PULL)
        weights[left] = weight / np.maximum(weight.max(axis=1, keepdims=True), _TINY)
        left = left[~ruled_out[left] & ~met[left]]
    return met, ~met & ~ruled_out


def _weighed(problem: Problem, weight: Floats, radius: Floats, mirrored: bool) -> tuple[Bools, Bools, Floats]:
    """Of one set of weights: what is ruled out, what is met, and each distance as a share of its clearance."""
    turn, shift = fit_many(problem.a, problem.b, weight, mirrored)
    square = ((problem.a @ turn.transpose(0, 2, 1) + shift[:, None] - problem.b) ** 2).sum(axis=2)
    allowed = np.where(weight > 0, weight * np.where(weight > 0, radius, 0.0) ** 2, 0.0).sum(axis=1)
    ruled_out = (weight * square).sum(axis=1) > allowed * (1 + _ROUNDING)
    if len(problem.slides.of) or problem.across is not None:
        met = excesses(problem, turn, shift).max(axis=1) <= 0
    else:
        met = (~problem.counts | (square <= problem.clearance**2)).all(axis=1)
    return ruled_out, met & ~ruled_out, np.sqrt(square) / radius


def _radius(problem: Problem) -> Floats:
    """How far apart a pair may be with its slides drawn out, (B, rows); infinite where nothing bounds it.

    Of a pair that is held across its bolt and along it in two rows, the first stands for both.
    """
    clearance = np.maximum(problem.clearance, _ROUNDING)
    radius = np.where(problem.counts, clearance, np.inf)
    if problem.mate is not None and problem.across is not None:
        whole = np.abs(np.trace(problem.across[0], axis1=1, axis2=2) - problem.dimensions) < _ROUNDING
        with_mate = np.flatnonzero(problem.mate >= 0)
        radius[:, ~whole] = np.inf
        both = np.hypot(clearance[:, with_mate], clearance[:, problem.mate[with_mate]])
        radius[:, with_mate] = np.where(problem.counts[:, with_mate], both, np.inf)
    for j, row in enumerate(problem.slides.of):
        radius[:, row] += problem.slides.reach[:, j]
    return radius
